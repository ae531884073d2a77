//! The form of a decision, with the owner's yes.

use super::super::draw::Draw;
use super::super::sent::{Errors, Sent};
use super::{choices_of, files};
use maud::{Markup, html};
use notebook::JobView;
use record::{Decision, OwnersYes, Severity, Stage};

/// The fields.
pub(crate) fn fields(draw: Draw<'_>, view: &JobView) -> Markup {
    let mut shown = vec![(String::new(), "no photo or file of it".to_owned())];
    shown.extend(files(&view.job));
    html! {
        (draw.trouble())
        div.formcols {
            (draw.area("words", "What is done", "", 2))
            (draw.area("because", "Why, and what else was weighed", "", 3))
            (draw.one_of("agrees", "Whose scope it agrees", "Two gates ask for the owner\u{2019}s yes", &[
                ("", "No gate", "Any other decision"),
                (Stage::OpenedUp.key(), "Taking it apart", "Before it is opened up"),
                (Stage::AgreedBuild.key(), "The build", "Parts, work and money"),
            ]))
            (draw.ticks("settles", "It settles", "Findings, claims and questions that this answers", &open_matters(view)))
            fieldset.ask {
                legend { "The owner\u{2019}s yes" }
                p.hint { "Empty as long as it is not there; it can be added by a correction of this decision." }
                div.fields {
                    (draw.line("yes_how", "How the owner said yes", "Signed on the sheet, by message"))
                    (draw.line("yes_on", "On which day", "As 2026-03-13"))
                    (draw.pick("yes_file", "Photo or file of it", "", &shown))
                }
            }
        }
    }
}

/// What a decision can settle: grave findings first.
fn open_matters(view: &JobView) -> Vec<(String, String)> {
    let job = &view.job;
    let mut findings: Vec<_> = job.findings.iter().collect();
    findings.sort_by_key(|f| std::cmp::Reverse(f.value.severity));
    let findings = findings.into_iter().filter(|f| f.value.severity > Severity::Note).map(|f| {
        let grave = match f.value.severity {
            Severity::Stop => "Finding that stops",
            Severity::Major => "Major finding",
            _ => "Finding",
        };
        (f.id, format!("{grave}, {}: {}", f.value.component, f.value.words))
    });
    let claims =
        job.claims.iter().map(|c| (c.id, format!("{}: {}", if c.ours { "Promise" } else { "Claim" }, c.words)));
    let questions = job.questions.iter().map(|q| (q.question.id, format!("Question: {}", q.question.value.words)));
    choices_of(findings.chain(claims).chain(questions))
}

/// A decision as fields.
pub(crate) fn fill(it: &Decision) -> Sent {
    let mut sent = Sent::default();
    sent.put("words", it.words.clone());
    sent.put("because", it.because.clone());
    sent.put("agrees", it.agrees.map_or("", Stage::key));
    for id in &it.settles {
        sent.put("settles", id.to_string());
    }
    if let Some(yes) = &it.owners_yes {
        sent.put("yes_how", yes.how.clone());
        sent.put("yes_on", yes.on.clone());
        sent.put("yes_file", yes.file.map(|f| f.to_string()).unwrap_or_default());
    }
    sent
}

/// The fields as a decision.
pub(crate) fn read(sent: &Sent, errors: &mut Errors) -> Option<Decision> {
    errors.need(sent, "words", "Write what is done.");
    let (how, on) = (sent.get("yes_how"), sent.get("yes_on"));
    if how.is_empty() && (!on.is_empty() || sent.id("yes_file").is_some()) {
        errors.on("yes_how", "A day or a file is named; write how the owner said yes, or leave all three empty.");
    }
    if !how.is_empty() && on.parse::<jiff::civil::Date>().is_err() {
        let found =
            if on.is_empty() { "The day is missing".to_owned() } else { format!("\u{201c}{on}\u{201d} is no day") };
        errors.on("yes_on", format!("{found}; write it as 2026-03-13."));
    }
    if !errors.none() {
        return None;
    }
    let owners_yes =
        (!how.is_empty()).then(|| OwnersYes { how: how.to_owned(), on: on.to_owned(), file: sent.id("yes_file") });
    Some(Decision {
        words: sent.text("words"),
        because: sent.text("because"),
        owners_yes,
        settles: sent.ids("settles"),
        agrees: Stage::from_key(sent.get("agrees")),
    })
}
