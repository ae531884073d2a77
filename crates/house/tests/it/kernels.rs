//! Kernels touch nothing outside themselves: no files, no clock, no network, no environment, no printing, no hidden state.
//!
//! A scan of the text, comments and test modules left out. It finds what is written plainly; it cannot see through a
//! macro or a re-export.

use house::{rust_files, text_of};

const KERNELS: &[&str] = &["quantity", "gas", "engine", "record", "pull", "chart", "evidence"];

const FORBIDDEN: &[(&str, &str)] = &[
    ("std::fs", "a kernel gets bytes, it does not open files"),
    ("std::net", "a kernel knows no network"),
    ("std::process", "a kernel starts nothing and ends nothing"),
    ("std::env", "same input, same output, on every machine"),
    ("SystemTime", "a kernel reads no clock"),
    ("Instant::now", "a kernel reads no clock"),
    ("Zoned::now", "a kernel reads no clock"),
    ("Timestamp::now", "a kernel reads no clock"),
    ("std::io::stdout", "a kernel does not print"),
    ("println!", "a kernel does not print"),
    ("eprintln!", "a kernel does not print"),
    ("thread_local!", "a kernel keeps no hidden state"),
    ("static mut", "a kernel keeps no hidden state"),
];

/// The code of a file without comments and without the test module at its end.
fn code(text: &str) -> String {
    let text = text.split("#[cfg(test)]\nmod ").next().unwrap_or_default();
    let lines = text.lines().map(|line| if line.trim_start().starts_with("//") { "" } else { line });
    lines.collect::<Vec<_>>().join("\n")
}

fn findings(name: &str, text: &str) -> Vec<String> {
    let code = code(text);
    let mut found = Vec::new();
    for (number, line) in code.lines().enumerate() {
        for (word, why) in FORBIDDEN.iter().filter(|(word, _)| line.contains(word)) {
            found.push(format!("{name}:{}: `{word}`: {why}", number + 1));
        }
        // counters and locks are fine where they are handed over; a static one would be memory between calls
        let fixed = line.trim_start().trim_start_matches("pub ").starts_with("static ");
        if fixed && ["Atomic", "Mutex", "RwLock", "Cell<"].iter().any(|word| line.contains(word)) {
            found.push(format!("{name}:{}: a static that changes: a kernel keeps no hidden state", number + 1));
        }
    }
    found
}

#[test]
fn kernels_touch_nothing_outside() {
    let mut found = Vec::new();
    for kernel in KERNELS {
        let files = rust_files(&format!("crates/{kernel}/src"));
        assert!(!files.is_empty(), "no sources of `{kernel}`");
        for file in files {
            found.extend(findings(&file.to_string_lossy(), &text_of(&file).expect("sources are UTF-8")));
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn physics_stays_out_of_the_store() {
    for file in rust_files("crates/store/src") {
        let code = code(&text_of(&file).expect("sources are UTF-8"));
        for word in ["torque", "lambda", "barometer", "rpm"] {
            let line = code.lines().position(|line| line.contains(word));
            assert!(
                line.is_none(),
                "{}:{}: the store knows no physics, found `{word}`",
                file.display(),
                line.unwrap_or(0) + 1
            );
        }
    }
}

#[test]
fn the_scan_finds_a_clock_and_leaves_comments_and_tests() {
    let text = "// std::fs is not used\nlet t = Instant::now();\n#[cfg(test)]\nmod tests { use std::fs; }\n";
    assert_eq!(findings("x.rs", text), ["x.rs:2: `Instant::now`: a kernel reads no clock"]);
    assert_eq!(
        findings("x.rs", "static SEEN: AtomicUsize = AtomicUsize::new(0);\nlet n = AtomicUsize::new(0);").len(),
        1
    );
}
