//! The way of a job in the spine: six stages, their pages, and the pages of the whole job.

use crate::frame::{Step, StepPage, StepState, Trail};
use crate::words::short_day;
use notebook::JobView;
use record::{Job, Stage, Standing, Weight};

/// The way of a job. `here` is the address of the page shown; a page is marked for everything under its address.
pub(crate) fn trail(view: &JobView, here: &str) -> Trail {
    let number = view.row.number;
    let job = &view.job;
    let opened = job.opened.as_ref().map(|o| &o.value);
    let title = opened.map(|o| o.title.clone()).unwrap_or_default();
    let purpose = opened.map(|o| o.purpose.clone()).unwrap_or_default();
    let base = format!("/jobs/{number}");
    let now = job.stage();
    let steps = Stage::ALL.into_iter().map(|stage| step(view, stage, now, here)).collect();
    let page = |path: &str, words: &str, aside: String| linked(format!("{base}/{path}"), words, aside, here);
    let open = job.questions.iter().filter(|q| q.answers.is_empty()).count();
    let also = vec![
        page("photos", "Photos and files", count(job.files.len())),
        page("questions", "Questions", if open > 0 { format!("{open} open") } else { String::new() }),
        page("notebook", "Notebook", count(view.entries.len())),
        page("stage", "Gate to the next stage", String::new()),
    ];
    Trail {
        name: format!("Job {number}"),
        here: here == base,
        bar: if title.is_empty() { format!("Job {number}") } else { format!("Job {number}, {title}") },
        address: base,
        about: [title, purpose].into_iter().filter(|t| !t.is_empty()).collect(),
        steps,
        short: Stage::ALL.map(Stage::short).to_vec(),
        also,
    }
}

fn count(n: usize) -> String {
    if n == 0 { String::new() } else { n.to_string() }
}

fn linked(address: String, words: &str, aside: String, here: &str) -> StepPage {
    let within = here.strip_prefix(&address).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'));
    StepPage { words: words.to_owned(), aside, here: within, address }
}

fn step(view: &JobView, stage: Stage, now: Stage, here: &str) -> Step {
    let job = &view.job;
    let base = format!("/jobs/{}", view.row.number);
    let page = |path: &str, words: &str, aside: String| linked(format!("{base}/{path}"), words, aside, here);
    let pages = match stage {
        Stage::Received => vec![
            page("intake", "What came in", String::new()),
            page("before", "Tests before teardown", count(job.tests.len())),
        ],
        Stage::OpenedUp => vec![page("claims", "Claims and findings", open_claims(job, false))],
        Stage::AgreedBuild => vec![
            page("build", "Build", String::new()),
            page("decisions", "Decisions", count(job.decisions.len())),
            page("promises", "Promises", open_claims(job, true)),
        ],
        Stage::MeasuredAssembled => vec![
            page("sheets", "Measuring sheets", count(job.sheets.len())),
            page("parts", "Parts fitted", count(job.parts.len())),
        ],
        Stage::OnDyno => {
            let mut runs: Vec<i64> = job.runs.iter().map(|r| r.value.number).collect();
            runs.sort_unstable();
            vec![page("runs", &runs.last().map_or("Runs".to_owned(), |n| format!("Run {n}")), count(runs.len()))]
        }
        Stage::HandedOver => vec![page("hand-over", "Hand-over", String::new())],
    };
    let handed_over = job.handed_over.is_some();
    let state = if stage < now || handed_over {
        StepState::Done
    } else if stage == now {
        StepState::Now
    } else {
        StepState::ToDo
    };
    Step {
        name: stage.name().to_owned(),
        aside: reached(view, stage).map_or_else(String::new, |at| short_day(&at)),
        state,
        pages,
    }
}

/// When a stage was reached, RFC 3339.
pub(crate) fn reached(view: &JobView, stage: Stage) -> Option<String> {
    let job = &view.job;
    match stage {
        Stage::Received => Some(view.row.opened_at.clone()),
        Stage::HandedOver => {
            let kept = job.handed_over.as_ref().map(|h| h.at);
            kept.or_else(|| job.passed.get(&stage).map(|p| p.at)).map(|at| at.to_string())
        }
        _ => job.passed.get(&stage).map(|p| p.at.to_string()),
    }
}

/// Claims of others, or promises of ours, that wait: not judged, and for promises not proved.
fn open_claims(job: &Job, ours: bool) -> String {
    let open = job
        .claims
        .iter()
        .filter(|c| c.ours == ours)
        .filter(|c| if ours { !c.is_proved(&job.proofs(c)) } else { !matches!(c.standing(), Standing::Judged(_)) });
    match open.count() {
        0 => String::new(),
        n => n.to_string(),
    }
}

/// What a weight is called, and what hangs on it.
pub(crate) fn weight_words(weight: Weight) -> (&'static str, &'static str) {
    match weight {
        Weight::DecidesTheBuild => {
            ("Decides the build", "An answer here changes what we build or whether it is safe to run.")
        }
        Weight::ChangesTheTune => ("Changes the tune", "Sets fuel, spark or clearances."),
        Weight::ForTheRecord => ("For the record", "Good to know; changes nothing now."),
    }
}
