//! What an entry says, in one line.

use crate::{Body, Entry, Id, Value};
use std::collections::BTreeMap;

/// One line for the notebook.
pub(super) fn of(body: &Body, all: &BTreeMap<Id, &Entry>) -> String {
    let said = |id: Id| match all.get(&id).map(|e| &e.body) {
        Some(Body::Claim(c)) => format!("\u{201c}{}\u{201d}", c.words),
        Some(Body::Promise(p)) => format!("\u{201c}{}\u{201d}", p.words),
        Some(Body::SheetBegun(s)) => s.title.clone(),
        Some(Body::Question(q)) => format!("\u{201c}{}\u{201d}", q.words),
        Some(Body::EvidenceFile(f)) => {
            if f.caption.is_empty() {
                f.name.clone()
            } else {
                f.caption.clone()
            }
        }
        Some(other) => kind(other).to_owned(),
        None => "an entry that is not here".to_owned(),
    };
    match body {
        Body::JobOpened(it) => format!("Job opened: {}.", it.title),
        Body::Claim(it) => format!("{} said of the {}: \u{201c}{}\u{201d}", it.by, lower(&it.component), it.words),
        Body::Promise(it) => format!("Promised, {}: {}", lower(&it.component), it.words),
        Body::TestBefore(it) => it.words(),
        Body::Finding(it) => {
            let place = if it.position.is_empty() { String::new() } else { format!(", {}", it.position) };
            format!("{}{place}: {}", it.component, it.words)
        }
        Body::VerdictGiven(it) => {
            format!("{}: {}. {}", said(it.on), it.verdict.name(), it.because)
        }
        Body::EvidenceFile(it) if it.caption.is_empty() => format!("Kept: {}", it.name),
        Body::EvidenceFile(it) => it.caption.clone(),
        Body::Drawing(it) => format!("Drawn on: {}", said(it.on)),
        Body::Reading(it) => format!("{}, {}: {}", said(it.sheet), it.place, value(&it.value)),
        Body::SheetBegun(it) => format!("Sheet begun: {}", it.title),
        Body::SheetFinished(it) => format!("Sheet finished: {}", said(it.sheet)),
        Body::LimitWaived(it) => format!("Kept outside its limit, {}: {}", it.place, it.because),
        Body::Question(it) => format!("Asked the {}: {}", it.to, it.words),
        Body::Answer(it) => format!("{} Answer: {}", said(it.to), it.words),
        Body::Decision(it) => {
            let yes = if it.owners_yes.is_some() { " The owner said yes." } else { "" };
            format!("Decided: {}{yes}", it.words)
        }
        Body::FittedPart(it) => {
            let number = if it.part_number.is_empty() { String::new() } else { format!(", number {}", it.part_number) };
            format!("Fitted: {}, {}{number}", lower(&it.component), it.words)
        }
        Body::RunAttached(it) => format!("Run {}: {}", it.number, it.shows),
        Body::BuildStated(it) => format!("Engine described {}.", it.which.name()),
        Body::Correction(it) => format!("Corrected: {} Reason: {}", of(&it.now, all), it.because),
        Body::Struck(it) => format!("Struck: {}. Reason: {}", said(it.of), it.because),
        Body::StagePassed(it) => format!("Stage passed: {}.", it.to.name()),
        Body::HandedOver(it) => format!("Handed over to {}.", it.to),
        Body::NoteWritten(it) => it.words.clone(),
    }
}

/// The kind in words of the trade.
pub(super) fn kind(body: &Body) -> &'static str {
    match body {
        Body::JobOpened(_) => "opening of the job",
        Body::Claim(_) => "claim",
        Body::Promise(_) => "promise",
        Body::TestBefore(_) => "test before teardown",
        Body::Finding(_) => "finding",
        Body::VerdictGiven(_) => "verdict",
        Body::EvidenceFile(_) => "photo or file",
        Body::Drawing(_) => "drawing",
        Body::Reading(_) => "reading",
        Body::SheetBegun(_) => "sheet",
        Body::SheetFinished(_) => "signature under a sheet",
        Body::LimitWaived(_) => "value kept outside its limit",
        Body::Question(_) => "question",
        Body::Answer(_) => "answer",
        Body::Decision(_) => "decision",
        Body::FittedPart(_) => "part fitted",
        Body::RunAttached(_) => "run",
        Body::BuildStated(_) => "description of the engine",
        Body::Correction(_) => "correction",
        Body::Struck(_) => "strike",
        Body::StagePassed(_) => "stage",
        Body::HandedOver(_) => "hand-over",
        Body::NoteWritten(_) => "note",
    }
}

fn value(value: &Value) -> &str {
    match value {
        Value::Quantity(stated) => &stated.text,
        Value::Word(word) => word,
        Value::NotRead(why) => why,
    }
}

fn lower(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|c| c.to_lowercase().chain(chars).collect()).unwrap_or_default()
}
