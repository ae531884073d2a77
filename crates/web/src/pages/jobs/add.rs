//! Writing a new entry by a form: claim, promise, finding, decision, part, question, note.
//!
//! Photos and files can be sent along; each becomes an entry of its own that says what it shows.

use super::draw::Draw;
use super::forms::{self, Ctx};
use super::photos;
use super::sent::{Errors, Sent};
use super::shared::{ENTRY, OfJob, again, entry_name, instruments, page, sent_before, to, write};
use super::writer::barred;
use crate::accounts::Who;
use crate::fault::Fault;
use crate::prefs::Prefs;
use crate::state::AppState;
use axum::extract::{Query, State};
use axum::response::Response;
use maud::{Markup, html};
use notebook::{Draft, JobView, Notebook};
use record::{Body, Claim, Decision, Finding, FittedPart, Id, NoteWritten, Promise, Question, Severity, Weight};

/// What is added.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Adding {
    /// Something that was said.
    Claim,
    /// Something that we will do.
    Promise,
    /// Something seen or measured.
    Finding,
    /// Something decided.
    Decision,
    /// A part fitted.
    Part,
    /// A question.
    Question,
    /// A note.
    Note,
}

impl Adding {
    /// All of them.
    pub(crate) const ALL: [Self; 7] =
        [Self::Claim, Self::Promise, Self::Finding, Self::Decision, Self::Part, Self::Question, Self::Note];

    /// Its word in addresses.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Claim => "claims",
            Self::Promise => "promises",
            Self::Finding => "findings",
            Self::Decision => "decisions",
            Self::Part => "parts",
            Self::Question => "questions",
            Self::Note => "notebook",
        }
    }

    /// Title, what the page says first, and the words on the button.
    fn words(self) -> (&'static str, &'static str, &'static str) {
        match self {
            Self::Claim => (
                "A claim",
                "What somebody was told about this engine. It is not put into other words, and it is judged by what is found.",
                "Write the claim down",
            ),
            Self::Promise => (
                "A promise",
                "What we agreed to do. The engine is not handed over with a promise that nothing proves, unless somebody says why.",
                "Write the promise down",
            ),
            Self::Finding => (
                "A finding",
                "What was seen or measured. With instrument, place, person and day it is a finding; without, it is another claim.",
                "Write the finding down",
            ),
            Self::Decision => {
                ("A decision", "What is done and why, and whether the owner said yes.", "Write the decision down")
            }
            Self::Part => (
                "A part fitted",
                "Number, serial or lot as stamped, or a photo, prove a promise.",
                "Write the part down",
            ),
            Self::Question => ("A question", "Whoever it is for answers it on the page of open questions.", "Ask"),
            Self::Note => ("A note", "For the notebook of this job.", "Write the note down"),
        }
    }

    /// An empty entry of the kind; what a link brought along is taken over.
    fn empty(self, sent: &Sent) -> Body {
        match self {
            Self::Claim => Body::Claim(Claim {
                component: String::new(),
                words: String::new(),
                claimed: None,
                allowance_si: None,
                by: String::new(),
                rests_on: Vec::new(),
                weight: Weight::ForTheRecord,
                touches: String::new(),
            }),
            Self::Promise => Body::Promise(Promise {
                component: String::new(),
                words: String::new(),
                promised: None,
                allowance_si: None,
                decision: None,
                weight: Weight::ForTheRecord,
            }),
            Self::Finding => Body::Finding(Finding {
                component: String::new(),
                position: String::new(),
                words: String::new(),
                claim: None,
                found: None,
                instrument: None,
                how: String::new(),
                severity: Severity::Note,
                shown_by: Vec::new(),
            }),
            Self::Decision => Body::Decision(Decision {
                words: String::new(),
                because: String::new(),
                owners_yes: None,
                settles: Vec::new(),
                agrees: None,
            }),
            Self::Part => Body::FittedPart(FittedPart {
                component: String::new(),
                position: String::new(),
                words: String::new(),
                maker: String::new(),
                part_number: String::new(),
                serial: String::new(),
                lot: String::new(),
                promise: None,
                shown_by: Vec::new(),
            }),
            Self::Question => Body::Question(Question {
                words: String::new(),
                to: String::new(),
                stops_hand_over: false,
                about: sent.ids("about"),
                place: sent.text("place"),
            }),
            Self::Note => Body::NoteWritten(NoteWritten { words: String::new(), about: sent.ids("about") }),
        }
    }

    /// Where to go after it is written.
    fn after(self, number: i64, sent: &Sent) -> String {
        let base = format!("/jobs/{number}");
        match self {
            Self::Finding => match sent.id("claim") {
                Some(claim) => format!("{base}/claims/{claim}"),
                None => format!("{base}/claims"),
            },
            Self::Question | Self::Decision | Self::Part | Self::Promise | Self::Claim | Self::Note => {
                format!("{base}/{}", self.word())
            }
        }
    }
}

/// The form, filled with what a link brought along.
pub(crate) async fn form(
    adding: Adding,
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    OfJob(view): OfJob,
    Query(asked): Query<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let mut sent = Sent::default();
    for (name, value) in asked.into_iter().filter(|(name, _)| name != ENTRY) {
        sent.put(&name, value);
    }
    prefill(&view, adding, &mut sent);
    shown(&state, &prefs, &who, &view, adding, &sent, &Errors::default())
}

/// What follows from the claim or promise that a link names.
fn prefill(view: &JobView, adding: Adding, sent: &mut Sent) {
    let about = match adding {
        Adding::Finding => sent.id("claim"),
        Adding::Part => sent.id("promise"),
        _ => None,
    };
    if let Some(claim) = about.and_then(|id| view.job.claim(id))
        && sent.get("component").is_empty()
    {
        sent.put("component", claim.component.clone());
    }
    if adding == Adding::Claim && sent.get("by").is_empty() {
        sent.put("by", "Owner");
    }
}

/// Writes the entry and what was sent along.
pub(crate) async fn write_down(
    adding: Adding,
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    OfJob(view): OfJob,
    sent: Sent,
) -> Result<Response, Fault> {
    let mut errors = Errors::default();
    let shop = instruments(&state)?;
    let ctx = Ctx { view: &view, instruments: &shop };
    let id = entry_name(&sent);
    if let Some(body) = forms::read(&adding.empty(&sent), &sent, &mut errors, ctx) {
        match sent_before(&view, id, &body) {
            Ok(true) => return Ok(to(&adding.after(view.row.number, &sent))),
            Err(words) => errors.whole(words),
            Ok(false) => {
                let files = photos::keep(&state, &sent, vec![id], &mut errors).await?;
                if errors.none() {
                    let mut drafts = vec![Draft { id, ..Draft::now(body) }];
                    drafts.extend(files.into_iter().map(|file| Draft::now(Body::EvidenceFile(file))));
                    if write(&state, view.id, drafts, &who, &mut errors).await? {
                        return Ok(to(&adding.after(view.row.number, &sent)));
                    }
                }
            }
        }
    }
    Ok(again(shown(&state, &prefs, &who, &view, adding, &sent, &errors)?))
}

fn shown(
    state: &AppState,
    prefs: &Prefs,
    who: &Who,
    view: &JobView,
    adding: Adding,
    sent: &Sent,
    errors: &Errors,
) -> Result<Response, Fault> {
    let shop = instruments(state)?;
    let ctx = Ctx { view, instruments: &shop };
    let empty = adding.empty(sent);
    let (title, finding, act) = adding.words();
    let id = entry_name(sent);
    let address = format!("/jobs/{}/{}", view.row.number, adding.word());
    let takes_files =
        matches!(adding, Adding::Finding | Adding::Part | Adding::Claim | Adding::Decision | Adding::Note);
    let body = html! {
        div.head { h1 { (title) } p.finding { (finding) } }
        form.entry #entry-form method="post" action={(address) "/new"} enctype=[takes_files.then_some("multipart/form-data")] {
            input type="hidden" name=(ENTRY) value=(id);
            (carried(&empty))
            (forms::fields(&empty, Draw { sent, errors }, ctx))
            @if takes_files { (photos::chooser(Draw { sent, errors }, "Photos or files of it")) }
            (send(act, barred(who, &empty), &address))
        }
    };
    Ok(page(state, prefs, view, title, &address, body))
}

/// What a question or a note is about, brought along by a link and sent back by the form.
fn carried(body: &Body) -> Markup {
    let (about, place): (&[Id], &str) = match body {
        Body::Question(it) => (&it.about, &it.place),
        Body::NoteWritten(it) => (&it.about, ""),
        _ => (&[], ""),
    };
    html! {
        @for id in about { input type="hidden" name="about" value=(id); }
        @if !place.is_empty() { input type="hidden" name="place" value=(place); }
    }
}

/// The main button of a form; off, with the reason beside it, where the person may not write this.
pub(crate) fn send(words: &str, barred: Option<String>, leave: &str) -> Markup {
    html! {
        p.row.send {
            button.btn.main type="submit" disabled[barred.is_some()] { (words) }
            a.btn.soft href=(leave) { "Leave it" }
            @if let Some(why) = barred { span.quiet { (why) } }
        }
    }
}

/// A new name for the entry of a form.
pub(crate) fn fresh() -> Id {
    Notebook::new_id()
}
