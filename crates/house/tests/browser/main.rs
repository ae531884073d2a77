//! The pages in a real browser, served by the real program on a shop filled through the real importer.
//!
//! Needs chromium, its driver and axe-core (`make tools`), and the program built (`cargo build -p plateau`); its path can be
//! given in `PLATEAU_BIN`. Without them the tests fail and say what is missing.

mod access;
mod bringing;
mod driver;
mod http;
mod jobs;
mod measure;
mod measured_job;
mod paper;
mod pdf;
mod people;
mod run_page;
mod shop;

use std::path::PathBuf;

/// The folder with the built programs of this profile: the test program lies in `target/debug/deps`.
fn built() -> PathBuf {
    let program = std::env::current_exe().expect("the test program has a path");
    program.ancestors().nth(2).expect("target/debug/deps/name").to_path_buf()
}

/// The folder that cargo builds into.
fn target() -> PathBuf {
    built().parent().expect("target/debug").to_path_buf()
}

/// The console holds neither an error nor a warning.
fn quiet(browser: &driver::Browser) {
    let complaints = browser.complaints();
    assert!(complaints.is_empty(), "the console complains on {}: {complaints:?}", browser.path());
}

#[test]
fn a_page_opens_and_complaints_are_heard() {
    let browser = driver::Browser::start("http://127.0.0.1:1", 1180, 820);
    browser.go("about:blank");
    browser.js("document.body.innerHTML = '<p id=x>412 N·m</p>'; console.error('so it is heard')");
    assert_eq!(browser.text_of(&browser.one("#x")), "412 N·m");
    let complaints = browser.complaints();
    assert!(complaints.iter().any(|line| line.contains("so it is heard")), "{complaints:?}");
    assert_eq!(pdf::pages(&browser.print(21.0, 29.7)), 1);
}
