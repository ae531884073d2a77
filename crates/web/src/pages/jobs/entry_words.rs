//! An entry in words: what its kind is called, everything it says, and the page that shows it at work.

use maud::{Markup, html};
use notebook::JobView;
use record::{Body, Entry, Id};
use serde_json::Value as Json;

/// A kind in words of the trade.
pub(crate) fn kind(kind: &str) -> &'static str {
    match kind {
        "job_opened" => "opening of the job",
        "claim" => "claim",
        "promise" => "promise",
        "test_before" => "test before teardown",
        "finding" => "finding",
        "verdict_given" => "verdict",
        "evidence_file" => "photo or file",
        "drawing" => "drawing on a photo",
        "reading" => "reading",
        "sheet_begun" => "sheet begun",
        "sheet_finished" => "sheet signed",
        "limit_waived" => "kept outside its limit",
        "question" => "question",
        "answer" => "answer",
        "decision" => "decision",
        "fitted_part" => "part fitted",
        "run_attached" => "run",
        "build_stated" => "description of the engine",
        "correction" => "correction",
        "struck" => "strike",
        "stage_passed" => "stage passed",
        "handed_over" => "hand-over",
        "note_written" => "note",
        _ => "entry",
    }
}

/// Everything that an entry says, key by key. Names of other entries become links; long files stay on their own pages.
pub(crate) fn said(body: &Body, view: &JobView) -> Markup {
    let json = match body {
        Body::Correction(it) => return html! { p { "Reason: " (it.because) } (said(&it.now, view)) },
        other => Entry::body_json(other),
    };
    let Some(map) = json.as_object() else { return html! {} };
    html! {
        dl.hangs.said-list {
            @for (key, value) in map {
                @if !matches!(key.as_str(), "template_text" | "toml" | "sha256") {
                    @let shown = shown(value, view);
                    @if let Some(shown) = shown { dt { (label(key)) } dd { (shown) } }
                }
            }
        }
    }
}

/// "how far it may lie off" for a key; other keys with spaces for underlines.
fn label(key: &str) -> String {
    let words = match key {
        "allowance_si" => "may lie off by (SI)",
        "by" => "said by",
        "rests_on" => "rests on",
        "touches" => "touches",
        "in_spite_of" => "in spite of",
        "to" => "to",
        "of" => "entry",
        "on" => "about",
        "step_si" => "step (SI)",
        "u_si" => "standard uncertainty (SI)",
        "si" => "value (SI)",
        "size" => "size, bytes",
        other => return super::job::capital(&other.replace('_', " ")),
    };
    super::job::capital(words)
}

/// A value in words; nothing for what is empty.
fn shown(value: &Json, view: &JobView) -> Option<Markup> {
    match value {
        Json::Null => None,
        Json::Bool(yes) => Some(html! { (if *yes { "yes" } else { "no" }) }),
        Json::Number(n) => Some(html! { (n.to_string()) }),
        Json::String(text) if text.is_empty() => None,
        Json::String(text) => Some(match text.parse::<Id>() {
            Ok(id) => link(id, view),
            Err(_) => html! { span.lines-kept { (text.replace('_', if text.contains(' ') { "_" } else { " " })) } },
        }),
        Json::Array(list) if !list.is_empty() && list.iter().all(Json::is_number) => {
            let numbers: Vec<String> = list.iter().map(Json::to_string).collect();
            Some(html! { (numbers.join(" \u{d7} ")) })
        }
        Json::Array(list) => {
            let all: Vec<Markup> = list.iter().filter_map(|v| shown(v, view)).collect();
            (!all.is_empty()).then(|| html! { @for one in all { p { (one) } } })
        }
        Json::Object(map) => {
            // A quantity as it was typed says all; its SI value stands in the export.
            if let Some(text) = map.get("text").and_then(Json::as_str) {
                return Some(html! { (text) });
            }
            if let Some(stated) = map.get("quantity") {
                return shown(stated, view);
            }
            if let (1, Some(word)) = (map.len(), map.get("word").and_then(Json::as_str)) {
                return Some(html! { (word) });
            }
            let all: Vec<(String, Markup)> =
                map.iter().filter_map(|(k, v)| Some((label(k), shown(v, view)?))).collect();
            (!all.is_empty()).then(|| html! { @for (i, (key, one)) in all.iter().enumerate() { @if i > 0 { "; " } span.faint { (key.to_lowercase()) " " } (one) } })
        }
    }
}

/// A link to another entry of the job, by its words.
fn link(id: Id, view: &JobView) -> Markup {
    match view.job.lines.iter().find(|l| l.id == id) {
        Some(line) => {
            html! { a href={"/jobs/" (view.row.number) "/notebook/" (id)} { (super::forms::shorten(&line.words, 90)) } }
        }
        None => html! { span.faint { (id) } },
    }
}

/// The page that shows an entry at work.
pub(crate) fn page_of(view: &JobView, entry: &Entry) -> Markup {
    let base = format!("/jobs/{}", view.row.number);
    let (address, words) = match &entry.body {
        Body::Claim(_) | Body::Promise(_) => (format!("{base}/claims/{}", entry.id), "To the claim"),
        Body::VerdictGiven(it) => (format!("{base}/claims/{}", it.on), "To the claim"),
        Body::Finding(it) => match it.claim {
            Some(claim) => (format!("{base}/claims/{claim}"), "To the claim"),
            None => (format!("{base}/claims"), "To the findings"),
        },
        Body::EvidenceFile(_) => (format!("{base}/photos/{}", entry.id), "To the photo"),
        Body::Drawing(it) => (format!("{base}/photos/{}", it.on), "To the photo"),
        Body::Question(_) => (format!("{base}/questions#q-{}", entry.id), "To the question"),
        Body::Answer(it) => (format!("{base}/questions#q-{}", it.to), "To the question"),
        Body::Decision(_) => (format!("{base}/decisions"), "To the decisions"),
        Body::FittedPart(_) => (format!("{base}/parts"), "To the parts"),
        Body::RunAttached(it) => (format!("/runs/{}", it.number), "To the run"),
        Body::SheetBegun(_) => (format!("{base}/sheets/{}", entry.id), "To the sheet"),
        Body::Reading(it) => (format!("{base}/sheets/{}", it.sheet), "To the sheet"),
        Body::SheetFinished(it) => (format!("{base}/sheets/{}", it.sheet), "To the sheet"),
        Body::LimitWaived(it) => (format!("{base}/sheets/{}", it.sheet), "To the sheet"),
        Body::TestBefore(_) => (format!("{base}/before"), "To the tests"),
        Body::BuildStated(_) => (format!("{base}/build"), "To the build"),
        Body::JobOpened(_) => (format!("{base}/intake"), "To what came in"),
        Body::StagePassed(_) => (format!("{base}/stage"), "To the gate"),
        Body::HandedOver(_) => (format!("{base}/hand-over"), "To the hand-over"),
        Body::Correction(it) => (format!("{base}/notebook/{}", it.of), "To the entry it corrects"),
        Body::Struck(it) => (format!("{base}/notebook/{}", it.of), "To the entry it strikes"),
        _ => return html! {},
    };
    html! { a.btn href=(address) { (words) } }
}
