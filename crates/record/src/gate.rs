//! Gates between the stages: what is missing before a job may go on.
//!
//! The order of records and gates is common practice, no source. A gate does not bar the way: whoever goes
//! on in spite of something missing says why, and the reason is part of the record.

use crate::claim::Standing;
use crate::fold::Job;
use crate::{Id, Severity, Stage, TruthVerdict, Weight, WhichBuild};

/// Something that a gate finds missing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// Stable key, by which a reason is given for it: "promise:0198…", "owners_yes:opened_up".
    pub key: String,
    /// What is missing, in words.
    pub words: String,
    /// The entry it is about.
    pub about: Option<Id>,
    /// Going on risks the engine or people.
    pub stops: bool,
}

/// What the gates need to know and the entries alone do not say; worked out by the caller.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Facts {
    /// What the arithmetic of the agreed build finds outside its limits, in words.
    pub build_outside: Vec<String>,
    /// Sheets: places outside a limit and not kept with a reason; (sheet, place, words).
    pub sheet_outside: Vec<(Id, String, String)>,
    /// Sheets: places that the measuring uncertainty leaves undecided and nobody has spoken for; (sheet, place, words).
    pub sheet_undecided: Vec<(Id, String, String)>,
    /// Sheets: places without a reading and not left with a reason; (sheet, how many).
    pub sheet_unread: Vec<(Id, usize)>,
    /// Readings made with an instrument whose calibration is overdue, in words; (sheet, words).
    pub tainted: Vec<(Id, String)>,
    /// Runs of the job.
    pub runs: Vec<RunFacts>,
}

/// What the last gate asks of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct RunFacts {
    /// Its number.
    pub number: i64,
    /// Pulls that count.
    pub pulls: usize,
    /// Whether they repeat within their limit; none: cannot be told.
    pub repeats: Option<bool>,
    /// Whether the factor to standard air is in its range; none: not worked out.
    pub factor_in_range: Option<bool>,
    /// Guard flags that nobody has explained.
    pub open_flags: usize,
}

/// What is missing for a job to pass from the stage it is in to `to`; the gates between are all asked.
pub fn gate(job: &Job, to: Stage, facts: &Facts) -> Vec<Missing> {
    let from = job.stage();
    let mut missing = Vec::new();
    for stage in Stage::ALL.into_iter().filter(|stage| *stage > from && *stage <= to) {
        match stage {
            Stage::Received => {}
            Stage::OpenedUp => received(job, &mut missing),
            Stage::AgreedBuild => opened_up(job, &mut missing),
            Stage::MeasuredAssembled => agreed(job, facts, &mut missing),
            Stage::OnDyno => assembled(job, facts, &mut missing),
            Stage::HandedOver => dyno(job, facts, &mut missing),
        }
    }
    missing
}

fn say(missing: &mut Vec<Missing>, key: String, about: Option<Id>, words: String) {
    missing.push(Missing { key, words, about, stops: false });
}

fn owners_yes(job: &Job, to: Stage, words: &str, missing: &mut Vec<Missing>) {
    let said = job.decisions.iter().any(|d| d.value.agrees == Some(to) && d.value.owners_yes.is_some());
    if !said {
        say(missing, format!("owners_yes:{}", to.key()), None, words.to_owned());
    }
}

/// Before it is opened: what was said is written down, it was tested, the owner agreed.
fn received(job: &Job, missing: &mut Vec<Missing>) {
    if let Some(opened) = &job.opened {
        let it = &opened.value;
        for (key, text, words) in [
            ("complaint", &it.complaint, "The owner's complaint, in his words."),
            ("fuel", &it.fuel, "The fuel that the owner can really buy."),
            ("permission", &it.permission, "How far it may be taken apart and what may be spent."),
        ] {
            if text.trim().is_empty() {
                say(missing, format!("opened:{key}"), Some(opened.id), words.to_owned());
            }
        }
    }
    if !job.claims.iter().any(|c| !c.ours) {
        say(missing, "claims".to_owned(), None, "What the owner was told: no claim is written down.".to_owned());
    }
    if job.tests.is_empty() {
        say(missing, "tests_before".to_owned(), None, "No test before teardown is written down.".to_owned());
    }
    owners_yes(job, Stage::OpenedUp, "The owner's written yes to taking it apart.", missing);
}

/// Before a build is agreed: what decides it is judged, grave findings are answered, the owner chose.
fn opened_up(job: &Job, missing: &mut Vec<Missing>) {
    for claim in job.claims.iter().filter(|c| !c.ours && c.weight == Weight::DecidesTheBuild) {
        match claim.standing() {
            Standing::Judged(_) => {}
            Standing::Open => {
                let words = format!("A verdict on \u{201c}{}\u{201d}, which decides the build.", claim.words);
                say(missing, format!("verdict:{}", claim.id), Some(claim.id), words);
            }
            Standing::Disputed => {
                let words = format!("Two verdicts on \u{201c}{}\u{201d} disagree.", claim.words);
                say(missing, format!("verdict:{}", claim.id), Some(claim.id), words);
            }
        }
    }
    for finding in job.findings.iter().filter(|f| f.value.severity >= Severity::Major) {
        let settled =
            job.decisions.iter().any(|d| d.value.settles.contains(&finding.id) && d.value.owners_yes.is_some());
        if !settled {
            let words = format!("The owner's decision on: {}, {}", finding.value.component, finding.value.words);
            say(missing, format!("finding:{}", finding.id), Some(finding.id), words);
        }
    }
    if job.build(WhichBuild::Agreed).is_none() {
        say(missing, "build".to_owned(), None, "The agreed build is not described.".to_owned());
    }
    owners_yes(job, Stage::AgreedBuild, "The owner's written yes to the build.", missing);
}

/// Before it is machined and put together: the parts agree with each other, and what we promise is written down.
fn agreed(job: &Job, facts: &Facts, missing: &mut Vec<Missing>) {
    for words in &facts.build_outside {
        // The label alone: a reason given for it holds although the limit's own words change.
        let label = words.split(": ").next().unwrap_or(words);
        say(missing, format!("build:{label}"), None, format!("The agreed parts do not agree: {words}"));
    }
    if !job.claims.iter().any(|c| c.ours) {
        say(missing, "promises".to_owned(), None, "What we promise to fit: no promise is written down.".to_owned());
    }
}

/// Before it runs: nothing grave is open, every sheet is signed, every reading stands.
fn assembled(job: &Job, facts: &Facts, missing: &mut Vec<Missing>) {
    for finding in job.findings.iter().filter(|f| f.value.severity == Severity::Stop) {
        let settled = job.decisions.iter().any(|d| d.value.settles.contains(&finding.id));
        if !settled {
            missing.push(Missing {
                key: format!("stop:{}", finding.id),
                words: format!("Do not run: {}, {}", finding.value.component, finding.value.words),
                about: Some(finding.id),
                stops: true,
            });
        }
    }
    if job.sheets.is_empty() {
        say(missing, "sheets".to_owned(), None, "No measuring sheet is begun.".to_owned());
    }
    for sheet in job.sheets.iter().filter(|s| !s.is_finished()) {
        let words = if sheet.finished.is_empty() {
            format!("\u{201c}{}\u{201d} is not signed as finished.", sheet.begun.value.title)
        } else {
            format!("\u{201c}{}\u{201d} was read again after it was signed.", sheet.begun.value.title)
        };
        say(missing, format!("sheet:{}", sheet.begun.id), Some(sheet.begun.id), words);
    }
    for (sheet, place, words) in &facts.sheet_outside {
        say(
            missing,
            format!("outside:{sheet}:{place}"),
            Some(*sheet),
            format!("Outside its limit and not settled: {words}"),
        );
    }
    for (sheet, place, words) in &facts.sheet_undecided {
        say(
            missing,
            format!("undecided:{sheet}:{place}"),
            Some(*sheet),
            format!("The gauge cannot tell, and nobody has spoken for it: {words}"),
        );
    }
    for (sheet, count) in &facts.sheet_unread {
        say(missing, format!("unread:{sheet}"), Some(*sheet), format!("{count} places without a reading."));
    }
    for (sheet, words) in &facts.tainted {
        say(missing, format!("tainted:{sheet}:{words}"), Some(*sheet), words.clone());
    }
    for conflict in &job.conflicts {
        let first = conflict.entries.first().copied();
        let key = format!("conflict:{}", first.map(|id| id.to_string()).unwrap_or_default());
        say(missing, key, first, format!("Not settled: {}.", conflict.what));
    }
}

/// Before it leaves: numbers that repeat, promises that are proved, questions that are answered, doubts that are named.
fn dyno(job: &Job, facts: &Facts, missing: &mut Vec<Missing>) {
    match facts.runs.iter().max_by_key(|run| run.number) {
        None => say(missing, "runs".to_owned(), None, "No run on the dyno is attached.".to_owned()),
        Some(run) => {
            let number = run.number;
            if run.pulls < 3 {
                let words = format!(
                    "Run {number} has {} pulls; three are the least for a number that is handed over.",
                    run.pulls
                );
                say(missing, format!("pulls:{number}"), None, words);
            }
            match run.repeats {
                Some(true) => {}
                Some(false) => say(
                    missing,
                    format!("repeats:{number}"),
                    None,
                    format!("The pulls of run {number} do not repeat within their limit."),
                ),
                None => say(
                    missing,
                    format!("repeats:{number}"),
                    None,
                    format!("Whether the pulls of run {number} repeat cannot be told."),
                ),
            }
            match run.factor_in_range {
                Some(true) => {}
                Some(false) => say(
                    missing,
                    format!("factor:{number}"),
                    None,
                    format!("The factor to standard air of run {number} is outside its range."),
                ),
                None => say(
                    missing,
                    format!("factor:{number}"),
                    None,
                    format!("Run {number} has no factor to standard air."),
                ),
            }
            if run.open_flags > 0 {
                let words = format!("{} flags of run {number} are not explained.", run.open_flags);
                say(missing, format!("flags:{number}"), None, words);
            }
        }
    }
    for claim in &job.claims {
        if claim.ours {
            if !claim.is_proved(&job.proofs(claim)) {
                let words = match claim.standing() {
                    Standing::Judged(TruthVerdict::NotTrue | TruthVerdict::Partly) => {
                        format!("Our promise \u{201c}{}\u{201d} was not kept.", claim.words)
                    }
                    _ => format!(
                        "Our promise \u{201c}{}\u{201d} is not proved: a photo, a part number or a reading is missing.",
                        claim.words
                    ),
                };
                say(missing, format!("promise:{}", claim.id), Some(claim.id), words);
            }
        } else if matches!(claim.standing(), Standing::Open | Standing::Disputed) {
            let words = format!("No verdict on \u{201c}{}\u{201d}.", claim.words);
            say(missing, format!("claim:{}", claim.id), Some(claim.id), words);
        }
    }
    for question in job.questions.iter().filter(|q| q.answers.is_empty() && q.question.value.stops_hand_over) {
        let words = format!("The {} has not answered: {}", question.question.value.to, question.question.value.words);
        say(missing, format!("question:{}", question.question.id), Some(question.question.id), words);
    }
}
