//! Tests of the command as a person or a script uses it.

#[path = "../common/mod.rs"]
mod common;

mod engine;
mod errors;
mod guards;
mod help;
mod jobs;
mod people;
mod predict;
mod pull;
mod questions;
mod shop;
mod watch;

use assert_cmd::Command;
use common::{sweep, write};

/// The command, without the surroundings of whoever runs the tests.
fn plateau() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_plateau"));
    command.env_clear().env("COLUMNS", "100").env("HOME", "/nonexistent").env("USER", "operator");
    command
}

/// Standard output, standard error and exit code.
fn out(command: &mut Command) -> (String, String, i32) {
    let output = command.output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (text(output.stdout), text(output.stderr), output.status.code().unwrap())
}

/// Hides the folder of a test in a text.
fn without(dir: &tempfile::TempDir, text: &str) -> String {
    text.replace(&dir.path().to_string_lossy().into_owned(), "DIR")
}

/// Three pulls of one engine.
fn three_pulls(dir: &tempfile::TempDir) -> Vec<String> {
    (1..=3)
        .map(|n| write(dir.path(), &format!("pull-{n}.csv"), &sweep(n, 1.0 + 0.001 * n as f64, "Torque (Nm)")))
        .collect()
}
