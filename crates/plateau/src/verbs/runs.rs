//! `plateau runs`: the list of runs.

use crate::Done;
use crate::cli::{RunsArgs, UnitSystem};
use crate::failure::Failure;
use crate::files::shop_folder;
use crate::shown::units::Shown;
use serde_json::json;
use std::io::Write;
use store::{Run, RunState, Store};
use takein::Headline;

/// Lists the runs, newest first.
pub(crate) fn run(args: &RunsArgs) -> Result<Done, Failure> {
    let store = Store::open_existing(&shop_folder(&args.shop)?)?;
    let runs = store.runs()?;
    let units = match (args.units, store.setting("units")?.as_deref()) {
        (Some(units), _) => units,
        (None, Some("us" | "inch")) => UnitSystem::Us,
        (None, _) => UnitSystem::Metric,
    };
    let mut out = anstream::stdout().lock();
    if args.json {
        let list: Vec<_> = runs.iter().map(as_json).collect();
        writeln!(out, "{:#}", json!({ "runs": list })).map_err(Failure::output)?;
        return Ok(Done::Well);
    }
    if runs.is_empty() {
        writeln!(out, "No runs yet. Take logs in with `plateau keep`, or drop them on the page.")
            .map_err(Failure::output)?;
    }
    for run in &runs {
        writeln!(out, "{}", line(run, Shown::new(units))).map_err(Failure::output)?;
    }
    Ok(Done::Well)
}

/// One run in one line.
pub(crate) fn line(run: &Run, units: Shown) -> String {
    let day = run.received_at.get(..16).unwrap_or(&run.received_at).replace('T', " ");
    let head = Headline::from_json(&run.headline_json);
    let what = match (run.state, head.mean_torque_nm, head.band_from_rpm, head.band_to_rpm) {
        (RunState::Asking, ..) => match head.questions {
            1 => "1 question is open".to_owned(),
            n => format!("{n} questions are open"),
        },
        (RunState::Ready, Some(torque), Some(from), Some(to)) => format!(
            "{} {} mean over {from:.0}–{to:.0} rpm, {} {}",
            units.torque(torque),
            units.torque_unit(),
            head.pulls,
            if head.pulls == 1 { "pull" } else { "pulls" },
        ),
        (RunState::Ready, ..) => "no mean over the band".to_owned(),
    };
    format!("{:>4}  {day}  {}  {what}", run.number, run.title)
}

fn as_json(run: &Run) -> serde_json::Value {
    let head: serde_json::Value = serde_json::from_str(&run.headline_json).unwrap_or_default();
    json!({
        "number": run.number,
        "id": run.id,
        "title": run.title,
        "received_at": run.received_at,
        "author": run.author,
        "dyno": run.dyno,
        "state": run.state,
        "revision": run.revision,
        "logs": run.files,
        "headline": head,
    })
}
