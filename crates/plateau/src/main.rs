//! The command. Each verb has a file of its own in `verbs`; here stands only what they share.
//!
//! Exit codes: 0 done, 1 an error, 2 questions about a log are open (or the flags were not understood).

mod cli;
mod failure;
mod files;
mod person;
mod shown;
mod verbs;

use clap::Parser;
use cli::{Cli, Verb};
use failure::Failure;
use std::process::ExitCode;

/// What a verb ends with when nothing went wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Done {
    /// All is settled.
    Well,
    /// Questions are open.
    Asking,
    /// Done, and something was found that is not well.
    NotWell,
}

fn main() -> ExitCode {
    let cli = Cli::parse();
    match run(cli.verb) {
        Ok(Done::Well) => ExitCode::SUCCESS,
        Ok(Done::Asking) => ExitCode::from(2),
        Ok(Done::NotWell) => ExitCode::from(1),
        // The reader at the other end of a pipe has had enough: nothing to complain about.
        Err(Failure::ReaderGone) => ExitCode::SUCCESS,
        Err(failure) => {
            anstream::eprintln!("{}", failure.for_terminal());
            ExitCode::from(1)
        }
    }
}

fn run(verb: Verb) -> Result<Done, Failure> {
    match verb {
        Verb::Pull(args) => verbs::pull::run(&args),
        Verb::Keep(args) => verbs::keep::run(&args),
        Verb::Runs(args) => verbs::runs::run(&args),
        Verb::Check(args) => verbs::check::run(&args),
        Verb::Backup(args) => verbs::backup::run(&args),
        Verb::Restore(args) => verbs::restore::run(&args),
        Verb::Instruments(args) => verbs::instruments::run(&args),
        Verb::Job(args) => verbs::job::run(&args),
        Verb::Engine(args) => verbs::engine::run(&args),
        Verb::Predict(args) => verbs::predict::run(&args),
        Verb::Serve(args) => verbs::serve::run(&args),
        Verb::People(args) => verbs::people::run(&args),
        Verb::Watch(args) => verbs::watch::run(&args),
        Verb::Dyno(args) => verbs::dyno::run(&args),
        Verb::Guards(args) => verbs::guards::run(&args),
    }
}
