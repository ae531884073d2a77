//! The form of each kind of entry: its fields, how they are filled from an entry, and how they are read.
//!
//! The same form writes a new entry and corrects one. A reader says what is wrong at the field and
//! gives nothing then; the page keeps what was typed.

pub(crate) mod claim;
pub(crate) mod decision;
pub(crate) mod finding;
pub(crate) mod intake;
pub(crate) mod part;
pub(crate) mod talk;

use super::draw::Draw;
use super::sent::{Errors, Sent};
use maud::{Markup, html};
use notebook::JobView;
use record::{Body, Id, InstrumentUsed, Job};

/// What a person reads of an entry in a list of choices: kind and words.
pub(crate) fn choices_of(ids: impl Iterator<Item = (Id, String)>) -> Vec<(String, String)> {
    ids.map(|(id, words)| (id.to_string(), shorten(&words, 90))).collect()
}

/// A text cut at a word, with a sign that it goes on.
pub(crate) fn shorten(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let cut: String = text.chars().take(most).collect();
    let end = cut.rfind(' ').unwrap_or(cut.len());
    format!("{}\u{2026}", cut[..end].trim_end_matches(['.', ',', ';', ':', ' ']))
}

/// What a form is drawn and read with.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ctx<'a> {
    /// The job.
    pub(crate) view: &'a JobView,
    /// The shop's instruments as they stand today.
    pub(crate) instruments: &'a [InstrumentUsed],
}

/// Photos and files of a job as choices.
pub(crate) fn files(job: &Job) -> Vec<(String, String)> {
    choices_of(job.files.iter().map(|f| {
        let it = &f.value;
        (f.id, if it.caption.is_empty() { it.name.clone() } else { format!("{} ({})", it.caption, it.name) })
    }))
}

/// Names of parts of an engine that a shop writes again and again.
pub(crate) const COMPONENTS: [&str; 30] = [
    "Balance",
    "Blower",
    "Block",
    "Camshaft",
    "Compression",
    "Connecting rods",
    "Crankshaft",
    "Cylinder bores",
    "Cylinder head",
    "Exhaust",
    "Exhaust valves",
    "Fuel system",
    "Gaskets",
    "Ignition",
    "Inlet valves",
    "Intercooler",
    "Lifters",
    "Main bearings",
    "Oil pump",
    "Pistons",
    "Ports",
    "Pushrods",
    "Ring gaps",
    "Rings",
    "Rocker arms",
    "Rod bearings",
    "Throttle",
    "Timing drive",
    "Valve guides",
    "Valve springs",
];

/// The list that "Part of the engine" proposes.
pub(crate) fn components() -> Markup {
    html! { datalist id="components" { @for name in COMPONENTS { option value=(name) {} } } }
}

/// Whether a kind of entry has a form here.
pub(crate) fn has_form(body: &Body) -> bool {
    matches!(
        body,
        Body::JobOpened(_)
            | Body::Claim(_)
            | Body::Promise(_)
            | Body::Finding(_)
            | Body::Question(_)
            | Body::Answer(_)
            | Body::Decision(_)
            | Body::FittedPart(_)
            | Body::NoteWritten(_)
            | Body::EvidenceFile(_)
            | Body::VerdictGiven(_)
    )
}

/// An entry as the fields of its form.
pub(crate) fn fill(body: &Body) -> Sent {
    match body {
        Body::JobOpened(it) => intake::fill(it),
        Body::Claim(it) => claim::fill(it),
        Body::Promise(it) => claim::fill_promise(it),
        Body::Finding(it) => finding::fill(it),
        Body::Question(it) => talk::fill_question(it),
        Body::Answer(it) => talk::fill_answer(it),
        Body::Decision(it) => decision::fill(it),
        Body::FittedPart(it) => part::fill(it),
        Body::NoteWritten(it) => talk::fill_note(it),
        Body::EvidenceFile(it) => finding::fill_file(it),
        Body::VerdictGiven(it) => claim::fill_verdict(it),
        _ => Sent::default(),
    }
}

/// The fields of a kind of entry.
pub(crate) fn fields(body: &Body, draw: Draw<'_>, ctx: Ctx<'_>) -> Markup {
    let view = ctx.view;
    match body {
        Body::JobOpened(_) => intake::fields(draw),
        Body::Claim(_) => claim::fields(draw, view),
        Body::Promise(_) => claim::promise_fields(draw, view),
        Body::Finding(_) => finding::fields(draw, ctx),
        Body::Question(_) => talk::question_fields(draw),
        Body::Answer(_) => talk::answer_fields(draw),
        Body::Decision(_) => decision::fields(draw, view),
        Body::FittedPart(_) => part::fields(draw, view),
        Body::NoteWritten(_) => talk::note_fields(draw),
        Body::EvidenceFile(_) => finding::file_fields(draw, view),
        Body::VerdictGiven(it) => claim::verdict_fields(draw, view, it.on),
        _ => html! {},
    }
}

/// What the fields say now. Parts of the entry that have no field stay as they were.
pub(crate) fn read(was: &Body, sent: &Sent, errors: &mut Errors, ctx: Ctx<'_>) -> Option<Body> {
    let body = match was {
        Body::JobOpened(_) => Body::JobOpened(intake::read(sent, errors)?),
        Body::Claim(_) => Body::Claim(claim::read(sent, errors)?),
        Body::Promise(_) => Body::Promise(claim::read_promise(sent, errors)?),
        Body::Finding(was) => Body::Finding(finding::read(sent, errors, ctx, was.instrument.as_ref())?),
        Body::Question(was) => {
            let now = talk::read_question(sent, errors)?;
            Body::Question(record::Question { about: was.about.clone(), place: was.place.clone(), ..now })
        }
        Body::Answer(was) => {
            let now = talk::read_answer(sent, errors, was.to, was.replaces.clone())?;
            Body::Answer(now)
        }
        Body::Decision(_) => Body::Decision(decision::read(sent, errors)?),
        Body::FittedPart(_) => Body::FittedPart(part::read(sent, errors)?),
        Body::NoteWritten(was) => {
            let now = talk::read_note(sent, errors)?;
            Body::NoteWritten(record::NoteWritten { about: was.about.clone(), ..now })
        }
        Body::EvidenceFile(was) => Body::EvidenceFile(finding::read_file(sent, was, ctx.view)),
        Body::VerdictGiven(was) => Body::VerdictGiven(claim::read_verdict(sent, errors, was.on, was.replaces.clone())?),
        _ => return None,
    };
    Some(body)
}
