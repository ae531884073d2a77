//! Forms of claims, promises and verdicts.

use super::super::draw::Draw;
use super::super::sent::{Errors, Sent};
use super::super::trail::weight_words;
use super::super::value::{read as read_value, read_allowance, words};
use super::{choices_of, components, files, shorten};
use maud::{Markup, html};
use notebook::JobView;
use record::{Claim, Id, Promise, Support, SupportKind, TruthVerdict, Value, VerdictGiven, Weight};

/// Weights with their keys.
pub(crate) const WEIGHTS: [(&str, Weight); 3] = [
    ("decides_the_build", Weight::DecidesTheBuild),
    ("changes_the_tune", Weight::ChangesTheTune),
    ("for_the_record", Weight::ForTheRecord),
];

/// Kinds of support with their keys and words.
const SUPPORTS: [(&str, SupportKind, &str); 3] = [
    ("invoice_line", SupportKind::InvoiceLine, "Invoice line"),
    ("card", SupportKind::Card, "Card"),
    ("story", SupportKind::Story, "Story"),
];

/// Verdicts with their keys.
pub(crate) const VERDICTS: [(&str, TruthVerdict, &str); 4] = [
    ("true", TruthVerdict::True, "As claimed"),
    ("partly", TruthVerdict::Partly, "In part"),
    ("not_true", TruthVerdict::NotTrue, "Not as claimed"),
    ("cannot_tell", TruthVerdict::CannotTell, "Say what would tell"),
];

fn weight_field(draw: Draw<'_>) -> Markup {
    let choices = WEIGHTS.map(|(key, weight)| (key, weight_words(weight).0, weight_words(weight).1));
    draw.one_of("weight", "How much hangs on it", "", &choices)
}

/// The fields of a claim.
pub(crate) fn fields(draw: Draw<'_>, view: &JobView) -> Markup {
    let mut shown = vec![(String::new(), "no photo or file of it".to_owned())];
    shown.extend(files(&view.job));
    // One empty row more than is filled, so that there is always room for the next.
    let rows = draw.sent.all("support_words").filter(|w| !w.is_empty()).count().max(1) + 1;
    html! {
        (draw.trouble())
        (components())
        div.formcols {
            (draw.area("words", "What was said, in its words", "Ask for a number where a word has no fixed meaning: forged, ported, big cam, fresh.", 2))
            div.fields {
                (draw.line_of("component", "Part of the engine", "Pistons, Compression, Camshaft", "components"))
                (draw.line("by", "Who said it", "Owner, last shop, seller"))
                (draw.line("claimed", "Claimed value", "With its unit: 92.5 mm, 8.8 : 1, 278\u{b0}. Or a word: forged. Empty if there is none"))
                (draw.line("allowance", "May lie off by", "In the same unit; empty: half of the last digit said"))
                (draw.line("touches", "What depends on it", "Knock and boost"))
            }
            (weight_field(draw))
            fieldset.ask.supports {
                legend { "What it rests on" }
                p.hint { "Each invoice line, card or story on its own row; an empty row is left out." }
                @for row in 0..rows { (support_row(draw, row, &shown)) }
                (draw.fault("support"))
            }
        }
    }
}

fn support_row(draw: Draw<'_>, row: usize, shown: &[(String, String)]) -> Markup {
    let at = |name: &'static str| draw.sent.all(name).nth(row).unwrap_or("");
    let (kind, file) = (at("support_kind"), at("support_file"));
    html! {
        div.support {
            label { span.away { "Kind, row " (row + 1) } select.field name="support_kind" { @for (key, _, words) in SUPPORTS { option value=(key) selected[key == kind] { (words) } } } }
            label { span.away { "Words, row " (row + 1) } input.field name="support_words" value=(at("support_words")) autocomplete="off" placeholder=(if row == 0 { "Invoice 118, line 3: forged pistons" } else { "" }); }
            @if shown.len() > 1 {
                label { span.away { "Photo or file, row " (row + 1) } select.field name="support_file" { @for (key, words) in shown { option value=(key) selected[key == file] { (words) } } } }
            } @else { input type="hidden" name="support_file" value=""; }
        }
    }
}

/// A claim as fields.
pub(crate) fn fill(it: &Claim) -> Sent {
    let mut sent = Sent::default();
    sent.put("words", it.words.clone());
    sent.put("component", it.component.clone());
    sent.put("by", it.by.clone());
    sent.put("touches", it.touches.clone());
    sent.put("weight", key_of(it.weight));
    put_value(&mut sent, "claimed", it.claimed.as_ref(), it.allowance_si);
    for support in &it.rests_on {
        let kind = SUPPORTS.iter().find(|(_, kind, _)| *kind == support.kind).map_or("story", |(key, _, _)| key);
        // Rows keep their places: empty texts are sent too.
        sent.push("support_kind", kind.to_owned());
        sent.push("support_words", support.words.clone());
        sent.push("support_file", support.file.map(|f| f.to_string()).unwrap_or_default());
    }
    sent
}

fn key_of(weight: Weight) -> &'static str {
    WEIGHTS.iter().find(|(_, w)| *w == weight).map_or("", |(key, _)| key)
}

fn put_value(sent: &mut Sent, name: &str, value: Option<&Value>, allowance_si: Option<f64>) {
    let Some(value) = value else { return };
    sent.put(name, words(value));
    if let (Value::Quantity(stated), Some(si)) = (value, allowance_si) {
        let unit = super::super::value::unit_text(&stated.text);
        let found = quantity::find_unit(unit).ok().filter(|u| u.dimension == stated.dimension);
        let (scale, unit) = match found {
            Some(found) => (found.scale.abs(), unit),
            None if unit.is_empty() || unit.starts_with(':') => (1.0, ""),
            None => (1.0, stated.dimension.si_symbol()),
        };
        let number = si / scale;
        // Twelve digits tell every number that a person types.
        let number = format!("{number:.12}");
        let number = number.trim_end_matches('0').trim_end_matches('.');
        sent.put("allowance", format!("{number} {unit}").trim_end().to_owned());
    }
}

/// Value and allowance, with what is wrong with them at their fields.
fn read_claimed(sent: &Sent, errors: &mut Errors, name: &str) -> (Option<Value>, Option<f64>) {
    let value = read_value(sent.get(name)).unwrap_or_else(|words| {
        errors.on(name, words);
        None
    });
    if !sent.get(name).is_empty() && value.is_none() {
        return (None, None);
    }
    let allowance = read_allowance(sent.get("allowance"), value.as_ref()).unwrap_or_else(|words| {
        errors.on("allowance", words);
        None
    });
    (value, allowance)
}

fn read_weight(sent: &Sent, errors: &mut Errors) -> Option<Weight> {
    let found = WEIGHTS.iter().find(|(key, _)| *key == sent.get("weight")).map(|(_, w)| *w);
    if found.is_none() {
        errors.on("weight", "Choose how much hangs on it.");
    }
    found
}

/// The fields as a claim.
pub(crate) fn read(sent: &Sent, errors: &mut Errors) -> Option<Claim> {
    errors.need(sent, "words", "Write what was said, in its words.");
    errors.need(sent, "component", "Name the part of the engine it is about.");
    errors.need(sent, "by", "Say who said it.");
    let (claimed, allowance_si) = read_claimed(sent, errors, "claimed");
    let weight = read_weight(sent, errors);
    let kinds: Vec<&str> = sent.all("support_kind").collect();
    let shown: Vec<&str> = sent.all("support_file").collect();
    let rests_on: Vec<Support> = sent
        .all("support_words")
        .enumerate()
        .filter(|(row, words)| !words.is_empty() || shown.get(*row).is_some_and(|f| !f.is_empty()))
        .map(|(row, words)| Support {
            kind: kinds
                .get(row)
                .and_then(|kind| SUPPORTS.iter().find(|(key, _, _)| key == kind))
                .map_or(SupportKind::Story, |(_, kind, _)| *kind),
            words: words.to_owned(),
            file: shown.get(row).and_then(|f| f.parse().ok()),
        })
        .collect();
    if !errors.none() {
        return None;
    }
    Some(Claim {
        component: sent.text("component"),
        words: sent.text("words"),
        claimed,
        allowance_si,
        by: sent.text("by"),
        rests_on,
        weight: weight?,
        touches: sent.text("touches"),
    })
}

/// The fields of a promise.
pub(crate) fn promise_fields(draw: Draw<'_>, view: &JobView) -> Markup {
    let mut decisions = vec![(String::new(), "no decision named".to_owned())];
    decisions.extend(choices_of(view.job.decisions.iter().map(|d| (d.id, d.value.words.clone()))));
    html! {
        (draw.trouble())
        (components())
        div.formcols {
            (draw.area("words", "What we promise, in the words of the agreement", "It is judged as a claim is: by a photo, a part number or a reading.", 2))
            div.fields {
                (draw.line_of("component", "Part of the engine", "Pistons, Camshaft", "components"))
                (draw.line("promised", "Promised value", "With its unit: 92.75 mm, 8.6 : 1. Or a word: forged. Empty if there is none"))
                (draw.line("allowance", "May lie off by", "In the same unit; empty: half of the last digit written"))
                (draw.pick("decision", "The decision it comes from", "", &decisions))
            }
            (weight_field(draw))
        }
    }
}

/// A promise as fields.
pub(crate) fn fill_promise(it: &Promise) -> Sent {
    let mut sent = Sent::default();
    sent.put("words", it.words.clone());
    sent.put("component", it.component.clone());
    sent.put("weight", key_of(it.weight));
    sent.put("decision", it.decision.map(|d| d.to_string()).unwrap_or_default());
    put_value(&mut sent, "promised", it.promised.as_ref(), it.allowance_si);
    sent
}

/// The fields as a promise.
pub(crate) fn read_promise(sent: &Sent, errors: &mut Errors) -> Option<Promise> {
    errors.need(sent, "words", "Write what is promised.");
    errors.need(sent, "component", "Name the part of the engine it is about.");
    let (promised, allowance_si) = read_claimed(sent, errors, "promised");
    let weight = read_weight(sent, errors);
    if !errors.none() {
        return None;
    }
    Some(Promise {
        component: sent.text("component"),
        words: sent.text("words"),
        promised,
        allowance_si,
        decision: sent.id("decision"),
        weight: weight?,
    })
}

/// The fields of a verdict on a claim or a promise.
pub(crate) fn verdict_fields(draw: Draw<'_>, view: &JobView, on: Id) -> Markup {
    let choices = VERDICTS.map(|(key, verdict, meaning)| (key, crate::marks::verdict_words(verdict), meaning));
    html! {
        (draw.trouble())
        (draw.one_of("verdict", "Verdict", "", &choices))
        (draw.area("because", "Why", "For \u{201c}can\u{2019}t tell\u{201d}: what would tell", 3))
        (draw.ticks("rests_on", "It rests on", "", &evidence(view, on)))
    }
}

/// Findings, parts and photos about a claim, as choices.
pub(crate) fn evidence(view: &JobView, on: Id) -> Vec<(String, String)> {
    let job = &view.job;
    let Some(claim) = job.claim(on) else { return Vec::new() };
    let findings =
        claim.findings.iter().filter_map(|id| job.finding(*id)).map(|f| (f.id, format!("Finding: {}", f.value.words)));
    let parts =
        job.parts.iter().filter(|p| claim.parts.contains(&p.id)).map(|p| (p.id, format!("Part: {}", p.value.words)));
    let photos = claim.files.iter().filter_map(|id| job.file(*id)).map(|f| {
        let words = if f.value.caption.is_empty() { &f.value.name } else { &f.value.caption };
        (f.id, format!("Photo or file: {}", shorten(words, 60)))
    });
    choices_of(findings.chain(parts).chain(photos))
}

/// A verdict as fields.
pub(crate) fn fill_verdict(it: &VerdictGiven) -> Sent {
    let mut sent = Sent::default();
    sent.put("verdict", VERDICTS.iter().find(|(_, v, _)| *v == it.verdict).map_or("", |(key, _, _)| key));
    sent.put("because", it.because.clone());
    for id in &it.rests_on {
        sent.put("rests_on", id.to_string());
    }
    sent
}

/// The fields as a verdict.
pub(crate) fn read_verdict(sent: &Sent, errors: &mut Errors, on: Id, replaces: Vec<Id>) -> Option<VerdictGiven> {
    let verdict = VERDICTS.iter().find(|(key, _, _)| *key == sent.get("verdict")).map(|(_, v, _)| *v);
    if verdict.is_none() {
        errors.on("verdict", "Choose one of the four. What the numbers suggest is not chosen for you.");
    }
    errors.need(sent, "because", "Say why; for \u{201c}can\u{2019}t tell\u{201d}, what would tell.");
    if !errors.none() {
        return None;
    }
    Some(VerdictGiven {
        on,
        verdict: verdict?,
        because: sent.text("because"),
        rests_on: sent.ids("rests_on"),
        replaces,
    })
}
