//! `plateau keep`: logs into the shop. All of them become one run, or nothing is saved.

use crate::Done;
use crate::cli::{KeepArgs, UnitSystem};
use crate::failure::Failure;
use crate::files::{read_logs, shop_folder};
use crate::shown::units::Shown;
use crate::verbs::runs::line;
use std::io::Write;
use store::{RunChange, RunId, RunState, Store};
use takein::{Outcome, TakeIn, TakeInError};

/// Takes the logs in. Ends with 2 if questions are open.
pub(crate) fn run(args: &KeepArgs) -> Result<Done, Failure> {
    let (setup, cell) = args.stated.settle()?;
    let answers = args.about_log.settle()?;
    let files = read_logs(&args.logs)?;
    let store = Store::open(&shop_folder(&args.shop)?)?;
    let also = match args.against {
        None => Vec::new(),
        Some(number) => {
            let before = store.run_by_number(number)?;
            let before = before.ok_or_else(|| {
                Failure::Words(format!(
                    "there is no run {number} in this shop; nothing was saved\n  go on    `plateau runs` lists them"
                ))
            })?;
            vec![RunChange::Against(Some(before.id))]
        }
    };
    let new = TakeIn {
        id: RunId::new(),
        files,
        setup,
        answers,
        dyno: args.dyno.clone(),
        title: args.title.clone(),
        author: args.author.clone().unwrap_or_else(user),
        now: now(),
        again: args.again,
    };
    let mut out = anstream::stdout().lock();
    let run = match takein::take_in_saying(&store, new, cell, &also) {
        Err(TakeInError::TakenInBefore { number, .. }) if args.if_new => {
            writeln!(out, "Taken in before, as run {number}.").map_err(Failure::output)?;
            return Ok(Done::Well);
        }
        other => other?,
    };
    writeln!(out, "{}", line(&run, Shown::new(UnitSystem::Metric)).trim_start()).map_err(Failure::output)?;
    if run.state == RunState::Ready {
        return Ok(Done::Well);
    }
    if let Outcome::Asking(questions) = takein::load(&store, &run)?.outcome {
        write!(out, "{}", crate::shown::questions::text(&questions)).map_err(Failure::output)?;
    }
    writeln!(out, "The logs are kept. Answer on the page of run {}, or say it with the flags and --again.", run.number)
        .map_err(Failure::output)?;
    Ok(Done::Asking)
}

/// The user's name on this machine, or a plain word.
fn user() -> String {
    ["USER", "USERNAME"]
        .iter()
        .find_map(|name| std::env::var(name).ok().filter(|v| !v.trim().is_empty()))
        .unwrap_or_else(|| "operator".to_owned())
}

/// Now, RFC 3339 in UTC.
pub(crate) fn now() -> String {
    format!("{:.0}", jiff::Timestamp::now())
}
