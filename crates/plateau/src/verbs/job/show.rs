//! A job as text and as JSON.

use notebook::{JobLine, JobView};
use record::{ClaimState, Facts, Job, Standing, Value, Weight, gate};
use serde_json::{Value as Json, json};
use std::fmt::Write as _;

/// A job in one line of the list.
pub(super) fn line(line: &JobLine) -> String {
    let mut open = Vec::new();
    for (count, one, many) in [
        (line.open_claims, "claim to judge", "claims to judge"),
        (line.open_questions, "question open", "questions open"),
        (line.conflicts, "thing to settle", "things to settle"),
    ] {
        match count {
            0 => {}
            1 => open.push(format!("1 {one}")),
            n => open.push(format!("{n} {many}")),
        }
    }
    let purpose = if line.purpose.is_empty() { String::new() } else { format!(", {}", line.purpose) };
    let open = if open.is_empty() { String::new() } else { format!("  {}", open.join(", ")) };
    format!("{:>5}  {}  {:<15} {}{purpose}{open}", line.number, day(&line.opened), line.stage.name(), line.title)
}

/// A job as it stands.
pub(super) fn text(view: &JobView, facts: &Facts, entries: bool) -> String {
    let job = &view.job;
    let mut text = String::new();
    let opened = job.opened.as_ref();
    let title = opened.map_or("", |o| &o.value.title);
    let _ = writeln!(text, "Job {}: {title}", view.row.number);
    let _ =
        writeln!(text, "  {}, opened {}, {} entries", job.stage().name(), day(&view.row.opened_at), view.row.entries);
    if let Some(opened) = opened {
        for (label, words) in
            [("for", &opened.value.purpose), ("owner says", &opened.value.complaint), ("fuel", &opened.value.fuel)]
        {
            if !words.is_empty() {
                let _ = writeln!(text, "  {label:<11}{words}");
            }
        }
    }
    claims(&mut text, job, false);
    claims(&mut text, job, true);
    if !job.tests.is_empty() {
        let _ = writeln!(text, "\nTests before teardown");
        for test in &job.tests {
            let _ = writeln!(text, "  {}", test.value.words());
        }
    }
    if !job.sheets.is_empty() {
        let _ = writeln!(text, "\nSheets");
        for sheet in &job.sheets {
            let state = if sheet.is_finished() { "signed" } else { "open" };
            let _ = writeln!(text, "  {}, {} places read, {state}", sheet.begun.value.title, sheet.readings.len());
        }
    }
    let open: Vec<_> = job.questions.iter().filter(|q| q.answers.is_empty()).collect();
    if !open.is_empty() {
        let _ = writeln!(text, "\nOpen questions");
        for question in open {
            let it = &question.question.value;
            let stops = if it.stops_hand_over { " (stops the hand-over)" } else { "" };
            let _ = writeln!(text, "  to the {}: {}{stops}", it.to, it.words);
        }
    }
    if !job.conflicts.is_empty() {
        let _ = writeln!(text, "\nTo be settled");
        for conflict in &job.conflicts {
            let _ = writeln!(text, "  {}", conflict.what);
        }
    }
    if let Some(next) = job.stage().next() {
        let missing = gate(job, next, facts);
        if missing.is_empty() {
            let _ = writeln!(text, "\nNothing is missing for \"{}\".", next.name());
        } else {
            let _ = writeln!(text, "\nMissing for \"{}\"", next.name());
            for it in missing {
                let _ = writeln!(text, "  {}", it.words);
            }
        }
    }
    if entries {
        let _ = writeln!(text, "\nNotebook");
        for line in &job.lines {
            let gone = if line.superseded { " (struck or corrected)" } else { "" };
            let _ = writeln!(text, "  {}  {}  {}{gone}", line.at.strftime("%Y-%m-%d %H:%M"), line.author, line.words);
        }
    }
    text
}

fn claims(text: &mut String, job: &Job, ours: bool) {
    let all: Vec<&ClaimState> = job.claims.iter().filter(|c| c.ours == ours).collect();
    if all.is_empty() {
        return;
    }
    let _ = writeln!(text, "\n{}", if ours { "Promised by us" } else { "Told and found" });
    for claim in all {
        let told = claim.said.as_ref().map(said).unwrap_or_default();
        let found: Vec<String> =
            claim.findings.iter().filter_map(|id| job.finding(*id)?.value.found.as_ref().map(said)).collect();
        let standing = match claim.standing() {
            Standing::Open if ours && claim.is_proved(&job.proofs(claim)) => "proved",
            Standing::Open if ours => "not proved",
            Standing::Open => "not judged",
            Standing::Judged(verdict) => verdict.name(),
            Standing::Disputed => "two verdicts disagree",
        };
        let mark = match claim.weight {
            Weight::DecidesTheBuild => "***",
            Weight::ChangesTheTune => "** ",
            Weight::ForTheRecord => "*  ",
        };
        let _ = write!(text, "  {mark} {:<12} \u{201c}{}\u{201d}  {standing}", claim.component, claim.words);
        if !told.is_empty() {
            let _ = write!(text, ", {} {told}", if ours { "promised" } else { "told" });
        }
        if !found.is_empty() {
            let _ = write!(text, ", found {}", found.join(", "));
        }
        text.push('\n');
    }
}

fn said(value: &Value) -> String {
    match value {
        Value::Quantity(stated) => stated.text.clone(),
        Value::Word(word) => word.clone(),
        Value::NotRead(why) => format!("not read: {why}"),
    }
}

fn day(at: &str) -> &str {
    at.get(..10).unwrap_or(at)
}

/// A job as one JSON object.
pub(super) fn as_json(view: &JobView, facts: &Facts, entries: bool) -> Json {
    let job = &view.job;
    let claim = |c: &ClaimState| {
        json!({
            "id": c.id,
            "ours": c.ours,
            "component": c.component,
            "words": c.words,
            "said": c.said,
            "by": c.by,
            "weight": c.weight,
            "verdicts": c.verdicts.iter().map(|v| json!({ "verdict": v.value.verdict, "because": v.value.because, "by": v.author })).collect::<Vec<_>>(),
            "findings": c.findings,
            "parts": c.parts,
            "photos": c.files,
            "proved": c.ours.then(|| c.is_proved(&job.proofs(c))),
        })
    };
    let next = job.stage().next();
    let mut whole = json!({
        "line": JobLine::of(view),
        "opened": job.opened.as_ref().map(|o| &o.value),
        "claims": job.claims.iter().map(claim).collect::<Vec<_>>(),
        "sheets": job.sheets.iter().map(|s| json!({
            "id": s.begun.id,
            "title": s.begun.value.title,
            "template": s.begun.value.template,
            "places_read": s.readings.len(),
            "signed": s.is_finished(),
        })).collect::<Vec<_>>(),
        "parts": job.parts.iter().map(|p| &p.value).collect::<Vec<_>>(),
        "runs": job.runs.iter().map(|r| &r.value).collect::<Vec<_>>(),
        "conflicts": job.conflicts.iter().map(|c| json!({ "what": c.what, "entries": c.entries })).collect::<Vec<_>>(),
        "next_stage": next,
        "missing": next.map(|to| gate(job, to, facts)).unwrap_or_default().iter().map(|m| json!({ "key": m.key, "words": m.words, "about": m.about, "stops": m.stops })).collect::<Vec<_>>(),
        "hash": view.hash,
    });
    if entries && let Some(map) = whole.as_object_mut() {
        let lines: Vec<Json> = job
            .lines
            .iter()
            .map(|l| json!({ "id": l.id, "at": l.at.to_string(), "author": l.author, "kind": l.kind, "words": l.words, "superseded": l.superseded }))
            .collect();
        map.insert("entries".to_owned(), lines.into());
    }
    whole
}
