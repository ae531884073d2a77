//! The way of a run in the spine: brought in, asked, read, accepted.

use crate::frame::{Step, StepPage, StepState, Trail};
use crate::words::{day, short_day};
use store::{Run, RunState};
use takein::Headline;

/// Which page of the run is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Shown {
    /// Its questions.
    Questions,
    /// Its curve.
    Curve,
}

/// The way of a run, with the page shown marked.
pub(crate) fn trail(run: &Run, shown: Shown) -> Trail {
    let asking = run.state == RunState::Asking;
    let headline = Headline::from_json(&run.headline_json);
    let mut about = Vec::new();
    if let Some(dyno) = &run.dyno {
        about.push(dyno.clone());
    }
    about.push(day(&run.received_at));
    let page =
        |address: String, words: String, here: bool| vec![StepPage { address, words, aside: String::new(), here }];
    let steps = vec![
        Step {
            name: "Brought in".to_owned(),
            aside: short_day(&run.received_at),
            state: StepState::Done,
            pages: Vec::new(),
        },
        Step {
            name: "Asked".to_owned(),
            aside: if asking { format!("{} open", headline.questions) } else { "all answered".to_owned() },
            state: if asking { StepState::Now } else { StepState::Done },
            pages: page(format!("/runs/{}/questions", run.number), "Questions".to_owned(), shown == Shown::Questions),
        },
        Step {
            name: "On the dyno".to_owned(),
            aside: match headline.pulls {
                0 => String::new(),
                1 => "1 pull".to_owned(),
                n => format!("{n} pulls"),
            },
            state: match (asking, &run.accepted) {
                (true, _) => StepState::ToDo,
                (false, None) => StepState::Now,
                (false, Some(_)) => StepState::Done,
            },
            pages: page(format!("/runs/{}", run.number), format!("Run {}", run.number), shown == Shown::Curve),
        },
        Step {
            name: "Accepted".to_owned(),
            aside: run.accepted.as_ref().map_or_else(String::new, |a| short_day(&a.when)),
            state: if run.accepted.is_some() { StepState::Done } else { StepState::ToDo },
            pages: Vec::new(),
        },
    ];
    Trail {
        name: format!("Run {}", run.number),
        address: format!("/runs/{}", run.number),
        here: false,
        bar: String::new(),
        about,
        steps,
        short: Vec::new(),
        also: Vec::new(),
    }
}
