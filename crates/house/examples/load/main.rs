//! Load: a shop of thousands of invented jobs, and thirty clients at once on the real server.
//!
//! ```text
//! load fill FOLDER [--jobs 5000]                           40 readings and 4 photos a job
//! load drive FOLDER [--seconds 600] [--clients 30] [--pause-ms 1000]
//! ```
//!
//! `drive` serves the folder with the program named in `PLATEAU_BIN` (else the one built beside this one) and prints how
//! long pages and writes took, as the clients saw it. A client does one thing after the other and pauses between half and
//! one and a half times `--pause-ms`; without a pause (0) it is a stress test of the machine and no picture of a shop.

mod client;
mod drive;
mod fill;
mod random;

use std::path::PathBuf;
use std::time::Duration;

/// The number after a flag.
fn number(arguments: &[String], flag: &str, usual: u64) -> u64 {
    match arguments.iter().position(|a| a == flag) {
        Some(at) => arguments
            .get(at + 1)
            .and_then(|text| text.parse().ok())
            .unwrap_or_else(|| panic!("{flag} needs a whole number")),
        None => usual,
    }
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let folder = arguments.get(1).map(PathBuf::from);
    match (arguments.first().map(String::as_str), folder) {
        (Some("fill"), Some(folder)) => fill::fill(&folder, number(&arguments, "--jobs", 5000)),
        (Some("drive"), Some(folder)) => drive::drive(
            &folder,
            Duration::from_secs(number(&arguments, "--seconds", 600)),
            number(&arguments, "--clients", 30),
            Duration::from_millis(number(&arguments, "--pause-ms", 1000)),
        ),
        _ => {
            eprintln!(
                "usage: load fill FOLDER [--jobs N]\n       load drive FOLDER [--seconds N] [--clients N] [--pause-ms N]"
            );
            std::process::exit(2);
        }
    }
}
