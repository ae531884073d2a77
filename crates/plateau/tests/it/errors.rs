//! What a person reads when something is not right, pinned.

use crate::{out, plateau, sweep, without, write};

#[test]
fn every_error_says_where_and_what_to_do() {
    let dir = tempfile::tempdir().unwrap();
    let log = write(dir.path(), "pull.csv", &sweep(1, 1.0, "Torque (Nm)"));
    let empty = write(dir.path(), "empty.csv", "");
    let other = tempfile::tempdir().unwrap();
    std::fs::write(other.path().join("holiday.jpg"), b"x").unwrap();
    let other = other.path().to_string_lossy().into_owned();
    let missing = dir.path().join("missing.csv").to_string_lossy().into_owned();
    let shop = dir.path().join("shop").to_string_lossy().into_owned();
    let cases: &[&[&str]] = &[
        &["pull", &missing],
        &["pull", &empty],
        &["pull", &log, "--baro", "29.2"],
        &["pull", &log, "--band", "6000-3000"],
        &["pull", &log, "--leave-out", "two"],
        &["pull", &log, "--lag", "lambda=0.15"],
        &["pull", &log, "--role", "Baro (kPa)=weather"],
        &["pull", &log, "--dyno", "north", "--shop", &shop],
        &["pull", &log, "--svg", "/nonexistent/a.svg"],
        &["keep", &log, "--shop", &other],
        &["keep", &log, "--shop", &shop, "--dyno", "north"],
        &["keep", &empty, "--shop", &shop],
        &["keep", &log, "--shop", &shop, "--against", "7"],
        &["runs", "--shop", &missing],
        &["serve", "--shop", &shop, "--listen", "0.0.0.0:7340"],
        &["watch", &missing, "--shop", &shop],
        &["dyno", "show", "north", "--shop", &shop],
        &["runs"],
    ];
    let mut text = String::new();
    for arguments in cases {
        let (_, errors, code) = out(plateau().args(*arguments));
        assert_eq!(code, 1, "{arguments:?}: {errors}");
        text += &format!("$ plateau {}\n{errors}\n", arguments.join(" "));
    }
    let text = without(&dir, &text).replace(&other, "OTHER");
    insta::assert_snapshot!(text);
    assert!(
        !dir.path().join("shop/files").exists()
            || std::fs::read_dir(dir.path().join("shop/files")).unwrap().count() == 0
    );
}

#[test]
fn flags_that_are_not_understood_end_with_two() {
    let (_, errors, code) = out(plateau().args(["pull", "a.csv", "--bnad", "1-2"]));
    assert_eq!(code, 2);
    assert!(errors.contains("--band"), "{errors}");
}
