//! Forms of findings, and of what is said about a photo or file.

use super::super::draw::Draw;
use super::super::sent::{Errors, Sent};
use super::super::value::{read as read_value, words};
use super::{Ctx, choices_of, components, files};
use maud::{Markup, html};
use notebook::JobView;
use record::{EvidenceFile, Finding, Id, InstrumentUsed, Severity, Value};

/// Severities with their keys, words and meaning.
pub(crate) const SEVERITIES: [(&str, Severity, &str, &str); 4] = [
    ("note", Severity::Note, "Note", "A fact, no action"),
    ("minor", Severity::Minor, "Minor", "The goal is not touched; the owner is told"),
    ("major", Severity::Major, "Major", "Goal, life or price are touched; the owner decides in writing"),
    ("stop", Severity::Stop, "Stop", "Running it risks the engine or people"),
];

/// The fields of a finding. Photos can be sent along with it.
pub(crate) fn fields(draw: Draw<'_>, ctx: Ctx<'_>) -> Markup {
    let job = &ctx.view.job;
    let mut claims = vec![(String::new(), "no claim or promise".to_owned())];
    claims.extend(choices_of(job.claims.iter().map(|c| {
        let kind = if c.ours { "Promise" } else { "Claim" };
        (c.id, format!("{kind}, {}: {}", c.component, c.words))
    })));
    let mut instruments = vec![(String::new(), "none of the register".to_owned())];
    instruments.extend(ctx.instruments.iter().map(|i| (i.key.clone(), i.name.clone())));
    let severities = SEVERITIES.map(|(key, _, words, meaning)| (key, words, meaning));
    html! {
        (draw.trouble())
        (components())
        div.formcols {
            (draw.area("words", "What was seen or measured", "A number with its unit says more than \u{201c}OK\u{201d}.", 3))
            div.fields {
                (draw.line_of("component", "Part of the engine", "Pistons, Cylinder bores", "components"))
                (draw.line("position", "Where on it", "Cylinder 3, main 2, crown"))
                (draw.pick("claim", "It speaks about", "", &claims))
                (draw.line("found", "Found value", "With its unit and, where known, its spread: 9.77 : 1 \u{b1} 0.04. Or a word: cast"))
                (draw.pick("instrument", "Instrument", "From the register, with its calibration as it stands today", &instruments))
                (draw.line("how", "How, where no instrument of the register was used", "Loupe \u{d7}10, counted twice"))
            }
            (draw.one_of("severity", "How grave it is", "", &severities))
            (draw.ticks("shown_by", "Shown by photos that are there", "", &files(job)))
        }
    }
}

/// A finding as fields.
pub(crate) fn fill(it: &Finding) -> Sent {
    let mut sent = Sent::default();
    sent.put("words", it.words.clone());
    sent.put("component", it.component.clone());
    sent.put("position", it.position.clone());
    sent.put("claim", it.claim.map(|c| c.to_string()).unwrap_or_default());
    sent.put("found", it.found.as_ref().map(words).unwrap_or_default());
    sent.put("instrument", it.instrument.as_ref().map(|i| i.key.clone()).unwrap_or_default());
    sent.put("how", it.how.clone());
    sent.put("severity", severity_key(it.severity));
    for id in &it.shown_by {
        sent.put("shown_by", id.to_string());
    }
    sent
}

fn severity_key(severity: Severity) -> &'static str {
    SEVERITIES.iter().find(|(_, s, _, _)| *s == severity).map_or("", |(key, _, _, _)| key)
}

/// The fields as a finding. `was` is the instrument of the entry that is corrected: it stays as it stood then.
pub(crate) fn read(sent: &Sent, errors: &mut Errors, ctx: Ctx<'_>, was: Option<&InstrumentUsed>) -> Option<Finding> {
    errors.need(sent, "words", "Write what was seen or measured.");
    errors.need(sent, "component", "Name the part of the engine.");
    let found = read_value(sent.get("found")).unwrap_or_else(|words| {
        errors.on("found", words);
        None
    });
    let severity = SEVERITIES.iter().find(|(key, ..)| *key == sent.get("severity")).map(|(_, s, _, _)| *s);
    if severity.is_none() {
        errors.on("severity", "Choose how grave it is.");
    }
    let key = sent.get("instrument");
    let instrument = was.filter(|w| w.key == key).or_else(|| ctx.instruments.iter().find(|i| i.key == key)).cloned();
    if !key.is_empty() && instrument.is_none() {
        errors.on("instrument", format!("The register has no instrument \u{201c}{key}\u{201d} any more; choose another, or none and write how it was measured."));
    }
    if matches!(found, Some(Value::Quantity(_))) && instrument.is_none() && sent.get("how").is_empty() {
        errors.on(
            "how",
            "A reading without its instrument is only another claim; choose one, or write how it was measured.",
        );
    }
    if !errors.none() {
        return None;
    }
    Some(Finding {
        component: sent.text("component"),
        position: sent.text("position"),
        words: sent.text("words"),
        claim: sent.id("claim"),
        found,
        instrument,
        how: sent.text("how"),
        severity: severity?,
        shown_by: sent.ids("shown_by"),
    })
}

/// What can be said about a photo or file: caption and what it shows.
pub(crate) fn file_fields(draw: Draw<'_>, view: &JobView) -> Markup {
    html! {
        (draw.trouble())
        (draw.area("caption", "What is to be seen", "", 2))
        (draw.ticks("about", "It shows", "", &subjects(view)))
    }
}

/// Claims, findings and parts that a photo can show.
pub(crate) fn subjects(view: &JobView) -> Vec<(String, String)> {
    let job = &view.job;
    let claims =
        job.claims.iter().map(|c| (c.id, format!("{}: {}", if c.ours { "Promise" } else { "Claim" }, c.words)));
    let findings = job.findings.iter().map(|f| (f.id, format!("Finding, {}: {}", f.value.component, f.value.words)));
    let parts = job.parts.iter().map(|p| (p.id, format!("Part, {}: {}", p.value.component, p.value.words)));
    choices_of(claims.chain(findings).chain(parts))
}

/// A file as fields.
pub(crate) fn fill_file(it: &EvidenceFile) -> Sent {
    let mut sent = Sent::default();
    sent.put("caption", it.caption.clone());
    for id in &it.about {
        sent.put("about", id.to_string());
    }
    sent
}

/// The fields as the same file with another caption. What it shows beyond the choices stays.
pub(crate) fn read_file(sent: &Sent, was: &EvidenceFile, view: &JobView) -> EvidenceFile {
    let offered: Vec<Id> = subjects(view).iter().filter_map(|(key, _)| key.parse().ok()).collect();
    let kept = was.about.iter().copied().filter(|id| !offered.contains(id));
    let about = sent.ids("about").into_iter().chain(kept).collect();
    EvidenceFile { caption: sent.text("caption"), about, ..was.clone() }
}
