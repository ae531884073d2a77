//! Claims and findings side by side: what was said, what was found, how far it is true. Promises go the same way.

use super::conflicts;
use super::job::{VERDICTS, findings_of, judged, plural, standing_mark};
use super::photos::thumbs;
use super::scale::told_found;
use super::shared::{OfJob, page};
use super::trail::weight_words;
use super::value::found_of;
use crate::fault::Fault;
use crate::marks;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{count, count_capital};
use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};
use notebook::JobView;
use record::{ClaimState, Compared, Finding, Standing, TruthVerdict, Value, Weight, suggest};

const WEIGHTS: [Weight; 3] = [Weight::DecidesTheBuild, Weight::ChangesTheTune, Weight::ForTheRecord];

/// The page of claims.
pub(crate) async fn list(State(state): State<AppState>, prefs: Prefs, OfJob(view): OfJob) -> Result<Response, Fault> {
    let number = view.row.number;
    let claims = numbered(&view, false);
    let body = html! {
        div.head {
            h1 { "Claims and findings" }
            p.finding { (finding(&claims)) }
            div.acts { a.btn.main href={"/jobs/" (number) "/claims/new"} { "Add a claim" } a.btn href={"/jobs/" (number) "/findings/new"} { "Add a finding" } }
        }
        (conflicts::banner(&view))
        @if claims.is_empty() {
            div.empty.hone { p { "No claim written down yet" } a.btn href={"/jobs/" (number) "/claims/new"} { "Add a claim" } }
        } @else {
            (key(&claims))
            (groups(&view, &claims))
        }
        (beside(&view))
    };
    Ok(page(&state, &prefs, &view, "Claims and findings", &format!("/jobs/{number}/claims"), body))
}

/// The page of promises.
pub(crate) async fn promises(
    State(state): State<AppState>,
    prefs: Prefs,
    OfJob(view): OfJob,
) -> Result<Response, Fault> {
    let number = view.row.number;
    let claims = numbered(&view, true);
    let unproved: Vec<&ClaimState> =
        claims.iter().map(|(_, c)| *c).filter(|c| !c.is_proved(&view.job.proofs(c))).collect();
    let body = html! {
        div.head {
            h1 { "Promises" }
            p.finding {
                @if claims.is_empty() { "Nothing is promised yet. What we agree to fit is a promise until a photo, a part number or a reading proves it." }
                @else if unproved.is_empty() { "All " (count(claims.len())) " are proved." }
                @else { b { (count_capital(unproved.len())) " of " (count(claims.len())) " " (plural(unproved.len(), "is", "are")) " not proved." } " The engine is not handed over with one unless somebody says why." }
            }
            div.acts { a.btn.main href={"/jobs/" (number) "/promises/new"} { "Add a promise" } a.btn href={"/jobs/" (number) "/parts/new"} { "Add a part" } }
        }
        (conflicts::banner(&view))
        @if claims.is_empty() {
            div.empty.hone { p { "No promise written down yet" } a.btn href={"/jobs/" (number) "/promises/new"} { "Add a promise" } }
        } @else {
            (groups(&view, &claims))
        }
    };
    Ok(page(&state, &prefs, &view, "Promises", &format!("/jobs/{number}/promises"), body))
}

/// Claims of others or promises of ours with the numbers that they keep, in the order of writing.
pub(crate) fn numbered(view: &JobView, ours: bool) -> Vec<(usize, &ClaimState)> {
    view.job.claims.iter().filter(|c| c.ours == ours).enumerate().map(|(i, c)| (i + 1, c)).collect()
}

/// "Nine things were said about this engine. Four are not true, and three of those decide the build."
fn finding(claims: &[(usize, &ClaimState)]) -> Markup {
    let of = |verdict| claims.iter().filter(move |(_, c)| c.standing() == Standing::Judged(verdict));
    let not_true = of(TruthVerdict::NotTrue).count();
    let decide = of(TruthVerdict::NotTrue).filter(|(_, c)| c.weight == Weight::DecidesTheBuild).count();
    let open = claims.iter().filter(|(_, c)| c.standing() == Standing::Open).count();
    html! {
        @match claims.len() {
            0 => "Nothing that the owner was told is written down yet.",
            n => { (count_capital(n)) " " (plural(n, "thing was", "things were")) " said about this engine." }
        }
        @if not_true > 0 {
            " " b { (count_capital(not_true)) " " (plural(not_true, "is", "are")) " not true" }
            @match (decide, not_true) {
                (0, _) => ".",
                (1, 1) => ", and it decides the build.",
                (d, n) if d == n => ", and all of them decide the build.",
                (d, _) => { ", and " (count(d)) " of those " (plural(d, "decides", "decide")) " the build." }
            }
        }
        @if open > 0 { " " (count_capital(open)) " " (plural(open, "is", "are")) " not judged yet." }
        @else if !claims.is_empty() && not_true == 0 { " None was found untrue." }
    }
}

/// What the two triangles mean, and how many of each verdict.
fn key(claims: &[(usize, &ClaimState)]) -> Markup {
    html! {
        div.key {
            span { (marks::told()) "what was said" }
            span { (marks::found()) "what we measured" }
            span.tally {
                @for verdict in VERDICTS {
                    @let n = judged(claims.iter().map(|(_, c)| *c), verdict);
                    @if n > 0 { span class=(if verdict == TruthVerdict::NotTrue { "vd no" } else { "vd" }) { (marks::truth(verdict)) (n) " " (marks::verdict_words(verdict).to_lowercase().replace(" true", if verdict == TruthVerdict::Partly { "" } else { " true" })) } }
                }
            }
        }
    }
}

fn groups(view: &JobView, claims: &[(usize, &ClaimState)]) -> Markup {
    html! {
        @for weight in WEIGHTS {
            @let of_it: Vec<_> = claims.iter().filter(|(_, c)| c.weight == weight).collect();
            @if !of_it.is_empty() {
                @let (title, meaning) = weight_words(weight);
                section.grp {
                    h2 { (marks::weight(weight)) " " (title) span.quiet { (meaning) } }
                    @for (place, claim) in of_it { (row(view, *place, claim)) }
                }
            }
        }
    }
}

/// A claim or a promise in its row.
fn row(view: &JobView, place: usize, claim: &ClaimState) -> Markup {
    let job = &view.job;
    let findings = findings_of(job, claim);
    let address = format!("/jobs/{}/claims/{}", view.row.number, claim.id);
    html! {
        article.cl {
            div.c1 { span.no { (place) } p.quote { a href=(address) { "\u{201c}" (claim.words.trim_end_matches('.')) "\u{201d}" } } }
            div.c2 {
                @if !(claim.ours && findings.is_empty()) { p { (found_sentences(&findings)) } }
                @let how = instruments_of(&findings);
                @if !how.is_empty() { p.small.faint { (how) } }
                @if claim.ours { (proof(view, claim)) }
            }
            div.c3 { (thumbs(view, &claim.files, 2)) }
            div.c4 { (told_found(if claim.ours { "promised" } else { "told" }, claim.said.as_ref(), claim.allowance_si, &findings)) }
            div.c5 {
                (stands(view, claim))
                @if claim.standing() == Standing::Open { (suggested(claim, &findings)) }
                @if !claim.touches.is_empty() { small.quiet { (claim.touches) } } @else if claim.weight == Weight::ForTheRecord { small.quiet { "For the record" } }
            }
        }
    }
}

/// How a claim stands; a promise that nobody judged stands as far as it is proved.
fn stands(view: &JobView, claim: &ClaimState) -> Markup {
    if !claim.ours || claim.standing() != Standing::Open {
        return standing_mark(claim);
    }
    if claim.is_proved(&view.job.proofs(claim)) {
        html! { span.vd { (marks::accepted()) "Proved" } }
    } else {
        html! { span.vd.open { (marks::ready()) "Not proved" } }
    }
}

/// What a claim's findings say, one after another.
fn found_sentences(findings: &[&Finding]) -> Markup {
    html! {
        @if findings.is_empty() { span.faint { "Nothing found about it yet." } }
        @for (i, finding) in findings.iter().enumerate() {
            @if i > 0 { " " }
            @if !finding.position.is_empty() { (super::job::capital(&finding.position)) ": " }
            (super::value::sentence(&finding.words))
        }
    }
}

/// What they were found with.
fn instruments_of(findings: &[&Finding]) -> String {
    let mut all: Vec<String> = Vec::new();
    for finding in findings {
        let how = match &finding.instrument {
            Some(used) => instrument_words(used),
            None => finding.how.clone(),
        };
        if !how.is_empty() && !all.contains(&how) {
            all.push(how);
        }
    }
    all.join("; ")
}

/// "Bore gauge 2, set on 92.50 ring".
pub(crate) fn instrument_words(used: &record::InstrumentUsed) -> String {
    if used.set_on.is_empty() { used.name.clone() } else { format!("{}, set on {}", used.name, used.set_on) }
}

/// What the numbers suggest about a claim; a person decides.
pub(crate) fn compared(claim: &ClaimState, findings: &[&Finding]) -> Option<Compared> {
    let said = claim.said.as_ref()?;
    Some(suggest(said, claim.allowance_si, &found_of(findings.iter().copied())))
}

fn suggested(claim: &ClaimState, findings: &[&Finding]) -> Markup {
    let suggests = compared(claim, findings).and_then(|c| c.suggests);
    html! {
        @if let Some(verdict) = suggests { small.quiet { "numbers say: " (marks::verdict_words(verdict).to_lowercase()) } }
        @else if matches!(claim.said, Some(Value::Quantity(_))) && findings.is_empty() { small.quiet { "to be measured" } }
    }
}

/// What proves a promise, or that nothing does.
pub(crate) fn proof(view: &JobView, claim: &ClaimState) -> Markup {
    let job = &view.job;
    let proofs = job.proofs(claim);
    let parts: Vec<String> = job
        .parts
        .iter()
        .filter(|p| proofs.contains(&p.id))
        .map(|p| {
            let it = &p.value;
            [("part", &it.part_number), ("serial", &it.serial), ("lot", &it.lot)]
                .into_iter()
                .find(|(_, number)| !number.is_empty())
                .map_or_else(|| "a part with its photo".to_owned(), |(kind, number)| format!("{kind} {number}"))
        })
        .collect();
    let readings = job.findings.iter().filter(|f| proofs.contains(&f.id)).count();
    let photos = job.files.iter().filter(|f| proofs.contains(&f.id)).count();
    let mut words = parts;
    if readings > 0 {
        words.push(format!("{} {}", count(readings), plural(readings, "finding", "findings")));
    }
    if photos > 0 {
        words.push(format!("{} {}", count(photos), plural(photos, "photo or file", "photos or files")));
    }
    html! {
        @if claim.is_proved(&proofs) { p.small.quiet { "Proved by " (words.join(", ")) "." } }
        @else if words.is_empty() { p.small.stops { (marks::flag()) "Not proved: a photo, a part number or a reading is missing." } }
        @else { p.small.stops { (marks::flag()) "Not proved, though there is " (words.join(", ")) ": the verdict is not \u{201c}true\u{201d}." } }
    }
}

/// Findings that speak about no claim.
fn beside(view: &JobView) -> Markup {
    let number = view.row.number;
    let free: Vec<_> = view.job.findings.iter().filter(|f| f.value.claim.is_none()).collect();
    html! {
        @if !free.is_empty() {
            section.grp {
                h2 { "Found beside the claims" span.quiet { "Nobody had said anything about it." } }
                @for finding in free {
                    article.cl.free {
                        div.c1 { span.no {} p { a href={"/jobs/" (number) "/notebook/" (finding.id)} { (finding.value.component) @if !finding.value.position.is_empty() { ", " (finding.value.position) } } } }
                        div.c2 { p { (finding.value.words) } @let how = instruments_of(&[&finding.value]); @if !how.is_empty() { p.small.faint { (how) } } }
                        div.c3 { (thumbs(view, &files_of(view, finding.id, &finding.value), 2)) }
                        div.c4 { @if let Some(found) = &finding.value.found { p.told-words { b.measured { "found " (super::value::words(found)) } } } }
                        div.c5 { (severity(finding.value.severity)) }
                    }
                }
            }
        }
    }
}

/// Photos and files of a finding.
pub(crate) fn files_of(view: &JobView, id: record::Id, finding: &Finding) -> Vec<record::Id> {
    view.job
        .files
        .iter()
        .filter(|f| finding.shown_by.contains(&f.id) || f.value.about.contains(&id))
        .map(|f| f.id)
        .collect()
}

/// How grave a finding is, by mark and word.
pub(crate) fn severity(severity: record::Severity) -> Markup {
    use record::Severity::{Major, Minor, Note, Stop};
    match severity {
        Note => html! { span.vd.open { (marks::square()) "Note" } },
        Minor => html! { span.vd.open { (marks::ready()) "Minor" } },
        Major => html! { span.vd { (marks::flag()) "Major" } },
        Stop => html! { span.vd.no { (marks::diamond()) "Stop: do not run" } },
    }
}
