//! Bringing logs in, answering what they leave open, and seeing what others bring.

use crate::driver::Browser;
use crate::shop::{Shop, keep, logs_of};

fn choose(browser: &Browser, key: &str) {
    let chooser = browser.one("#bring input[type=file]");
    let paths: Vec<String> = logs_of(key).iter().map(|path| path.to_string_lossy().into_owned()).collect();
    browser.put(&chooser, &paths.join("\n"));
}

#[test]
fn logs_chosen_on_the_page_become_a_run() {
    let shop = Shop::open();
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/runs");
    let dyno = invent::stories::by_key("spacer-a1").expect("a story").cell.key;
    browser.js(&format!("document.querySelector('#bring-dyno').value = '{dyno}'"));
    choose(&browser, "spacer-a1");
    browser.until("the new run", "location.pathname.startsWith('/runs/3')");
    browser.one("run-chart svg");
    assert_eq!(browser.path(), "/runs/3", "the cell file answers every question");
    browser.go("/runs");
    assert_eq!(browser.all("table.runs tbody tr").len(), 3);
    crate::quiet(&browser);
}

#[test]
fn a_log_that_asks_is_answered_on_the_page() {
    let shop = Shop::empty();
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/runs");
    assert!(browser.text().contains("No runs yet"));
    choose(&browser, "a-unit-to-ask-about");
    browser.until("the questions", "location.pathname === '/runs/1/questions'");
    let asked = browser.text();
    assert!(asked.contains("Torque"), "the question names the column:\n{asked}");
    for _ in 0..5 {
        // every question on the page gets an answer: the torque is in lb-ft, other choices as they come first
        let open =
            "[...document.querySelectorAll('#questions fieldset')].filter(f => !f.querySelector('input:checked'))";
        browser.js(&format!(
            "for (const f of {open}) {{
                const wanted = [...f.querySelectorAll('input[type=radio]')].find(i => /^lb.?.?ft$/.test(i.value)) ?? f.querySelector('input[type=radio]');
                wanted?.click();
            }}"
        ));
        browser.click(&browser.one("#questions button[type=submit]"));
        browser.until("the answer", "!document.querySelector('#questions') || document.readyState === 'complete'");
        if browser.path() == "/runs/1" {
            break;
        }
    }
    assert_eq!(browser.path(), "/runs/1");
    browser.one("run-chart svg");
    browser.go("/runs/1/questions");
    let given = browser.text();
    assert!(given.contains("Torque") && given.contains("ft"), "the answer stands on the page:\n{given}");
    crate::quiet(&browser);
}

#[test]
fn a_file_that_is_no_log_is_refused_with_words_and_nothing_is_kept() {
    let shop = Shop::empty();
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("letter.csv");
    std::fs::write(&file, "Dear owner,\nthe engine is done.\n").expect("a file");
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/runs");
    browser.put(&browser.one("#bring input[type=file]"), &file.to_string_lossy());
    let banner = browser.text_of(&browser.one(".banner"));
    assert!(banner.contains("letter.csv"), "the banner names the file: {banner}");
    browser.go("/runs");
    assert!(browser.text().contains("No runs yet"), "nothing was kept");
    // the refusal itself is an answer with an error code, which the console reports; nothing else may be there
    let rest: Vec<String> =
        browser.complaints().into_iter().filter(|line| !line.contains("/runs - Failed to load resource")).collect();
    assert!(rest.is_empty(), "{rest:?}");
}

#[test]
fn a_run_taken_in_elsewhere_appears_on_the_open_page() {
    let shop = Shop::open();
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/runs");
    assert_eq!(browser.all("table.runs tbody tr").len(), 2);
    browser.js("window.stillTheSamePage = true");
    keep(shop.folder(), "spacer-a1", &["--title", "From the other room"]);
    browser.until("the third run", "document.querySelectorAll('table.runs tbody tr').length === 3");
    assert!(browser.text().contains("From the other room"));
    assert_eq!(browser.js("return window.stillTheSamePage"), true, "the page was renewed in place, not loaded again");
    crate::quiet(&browser);
}

#[test]
fn a_log_written_into_the_watched_folder_appears_on_the_open_page() {
    let shop = Shop::open();
    let folder = tempfile::tempdir().expect("a folder");
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/runs");
    let mut watch = crate::shop::watch(shop.folder(), folder.path());
    std::fs::copy(&logs_of("cruiser-after")[0], folder.path().join("new-pull.csv")).expect("a copy");
    browser.until("the new run", "document.querySelectorAll('table.runs tbody tr').length === 3");
    assert!(browser.text().contains("new-pull"));
    watch.kill().expect("it was running");
    watch.wait().expect("it ended");
    crate::quiet(&browser);
}
