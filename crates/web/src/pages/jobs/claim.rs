//! One claim or promise: what was said and what it rests on, what was found, and the verdict that a person gives.

use super::claims::{compared, files_of, instrument_words, numbered, proof, severity};
use super::draw::Draw;
use super::forms::claim::{read_verdict, verdict_fields};
use super::job::{findings_of, standing_mark};
use super::photos::thumbs;
use super::scale::told_found;
use super::sent::{Errors, Sent};
use super::shared::{ENTRY, again, entry_name, id_of, job_of, missing, page, to, write_one};
use super::value::{also, words};
use super::{add, conflicts};
use crate::accounts::Who;
use crate::fault::Fault;
use crate::marks;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{count_capital, day_and_clock};
use axum::extract::{Path, State};
use axum::response::Response;
use maud::{Markup, html};
use notebook::JobView;
use quantity::UnitSystem;
use record::{Body, ClaimState, Standing, SupportKind};

/// The page.
pub(crate) async fn show(
    State(state): State<AppState>,
    prefs: Prefs,
    Path((number, claim)): Path<(String, String)>,
) -> Result<Response, Fault> {
    let view = job_of(&state, &number)?;
    let id = id_of(&claim, &view)?;
    let claim = view.job.claim(id).ok_or_else(|| missing(&view, "that claim"))?;
    let mut sent = Sent::default();
    for (key, _) in super::forms::claim::evidence(&view, id) {
        sent.put("rests_on", key);
    }
    Ok(shown(&state, &prefs, &view, claim, &sent, &Errors::default()))
}

/// Writes a verdict.
pub(crate) async fn judge(
    State(state): State<AppState>,
    prefs: Prefs,
    who: Who,
    Path((number, claim)): Path<(String, String)>,
    sent: Sent,
) -> Result<Response, Fault> {
    let view = job_of(&state, &number)?;
    let id = id_of(&claim, &view)?;
    let claim = view.job.claim(id).ok_or_else(|| missing(&view, "that claim"))?;
    let mut errors = Errors::default();
    if let Some(verdict) = read_verdict(&sent, &mut errors, id, sent.ids("replaces"))
        && write_one(&state, &view, entry_name(&sent), Body::VerdictGiven(verdict), &who, &mut errors).await?
    {
        return Ok(to(&format!("/jobs/{}/claims/{id}", view.row.number)));
    }
    Ok(again(shown(&state, &prefs, &view, claim, &sent, &errors)))
}

fn shown(
    state: &AppState,
    prefs: &Prefs,
    view: &JobView,
    claim: &ClaimState,
    sent: &Sent,
    errors: &Errors,
) -> Response {
    let number = view.row.number;
    let place = numbered(view, claim.ours).into_iter().find(|(_, c)| c.id == claim.id).map_or(0, |(n, _)| n);
    let kind = if claim.ours { "Promise" } else { "Claim" };
    let findings = findings_of(&view.job, claim);
    let base = format!("/jobs/{number}");
    let title = format!("{kind} {place}");
    let body = html! {
        div.head {
            h1 { span.run-no { (kind) " " (place) } (claim.component) }
            p.finding { (finding(claim, &findings)) }
            div.acts {
                a.btn href={(base) "/findings/new?claim=" (claim.id)} { "Add a finding" }
                @if claim.ours { a.btn href={(base) "/parts/new?promise=" (claim.id)} { "Add a part" } }
                a.btn href={(base) "/photos?about=" (claim.id)} { "Add a photo" }
                a.btn href={(base) "/questions/new?about=" (claim.id)} { "Ask" }
            }
        }
        (conflicts::banner(view))
        div.twocol {
            div {
                section.sec.heavy { (said(view, claim, prefs.units)) }
                section.sec { h2 { "Found" } (found(view, claim, prefs.units)) }
                @if !claim.parts.is_empty() { section.sec { h2 { "Parts fitted for it" } (parts(view, claim)) } }
                @let beside = beside(view, claim);
                @if !beside.is_empty() { section.sec { h2 { "Photos and files" } div.thumbs { (thumbs(view, &beside, usize::MAX)) } } }
            }
            aside aria-label="Verdict" {
                section.sec.heavy {
                    h2 { "Side by side" }
                    div.big-scale { (told_found(if claim.ours { "promised" } else { "told" }, claim.said.as_ref(), claim.allowance_si, &findings)) }
                    @if claim.ours { (proof(view, claim)) }
                }
                section.sec { (verdict(view, claim, &findings, Draw { sent, errors })) }
            }
        }
    };
    // The spine marks the page of promises for a promise.
    let here = if claim.ours { format!("{base}/promises/{}", claim.id) } else { format!("{base}/claims/{}", claim.id) };
    page(state, prefs, view, &title, &here, body)
}

/// "Told 8.80, found 9.77 : 1. Not true."
fn finding(claim: &ClaimState, findings: &[&record::Finding]) -> Markup {
    let said = claim.said.as_ref().map(words);
    let found = super::scale::found_words(findings);
    let told = if claim.ours { "Promised" } else { "Told" };
    html! {
        @match (&said, &found) {
            (Some(said), Some(found)) => { (told) " " (said) ", found " (found) ". " }
            (Some(said), None) => { (told) " " (said) ", nothing measured yet. " }
            (None, Some(found)) => { "Found " (found) ". " }
            (None, None) => {}
        }
        @match claim.standing() {
            Standing::Judged(verdict) => b { (marks::verdict_words(verdict)) "." },
            Standing::Open => "Nobody has judged it.",
            Standing::Disputed => b { "Two verdicts disagree." },
        }
    }
}

fn said(view: &JobView, claim: &ClaimState, units: UnitSystem) -> Markup {
    let number = view.row.number;
    html! {
        p.quote.large { "\u{201c}" (claim.words.trim_end_matches('.')) "\u{201d}" }
        p.small.quiet { (super::job::capital(&claim.by)) @if !claim.ours { ", written down " } @else { " promised, " } (day_and_clock(&claim.at.to_string())) }
        dl.hangs {
            @if let Some(value) = &claim.said {
                dt { @if claim.ours { "Promised" } @else { "Claimed" } }
                dd { span.said { (words(value)) } @if let Some(also) = also(value, units) { span.faint { " (" (also) ")" } } @if let Some(si) = claim.allowance_si { span.quiet { ", may lie off by " (allowance(value, si)) } } }
            }
            dt { "Weight" } dd { (marks::weight(claim.weight)) " " (super::trail::weight_words(claim.weight).0.to_lowercase()) }
            @if !claim.touches.is_empty() { dt { "Touches" } dd { (claim.touches) } }
            @if !claim.ours {
                dt { "Rests on" }
                dd {
                    @if claim.rests_on.is_empty() { span.faint { "nothing written down" } }
                    @for support in &claim.rests_on {
                        p { (match support.kind { SupportKind::InvoiceLine => "Invoice line: ", SupportKind::Card => "Card: ", SupportKind::Story => "Story: " }) (support.words)
                            @if let Some(file) = support.file { " " a href={"/jobs/" (number) "/photos/" (file)} { "look at it" } } }
                    }
                }
            }
        }
        p.small { a href={"/jobs/" (number) "/notebook/" (claim.id)} { "Correct or strike it" } }
    }
}

/// Photos and files about the claim that no finding on the page shows already.
fn beside(view: &JobView, claim: &ClaimState) -> Vec<record::Id> {
    let findings = claim.findings.iter().filter_map(|id| view.job.finding(*id));
    let shown: Vec<record::Id> = findings.flat_map(|f| files_of(view, f.id, &f.value)).collect();
    claim.files.iter().copied().filter(|id| !shown.contains(id)).collect()
}

/// An allowance in the unit of its value.
fn allowance(value: &record::Value, si: f64) -> String {
    let record::Value::Quantity(stated) = value else { return String::new() };
    let unit = super::value::unit_text(&stated.text);
    match quantity::find_unit(unit).ok().filter(|u| u.dimension == stated.dimension) {
        Some(found) => format!("{} {}", super::value::tidy(si / found.scale.abs()), unit),
        None if stated.dimension == quantity::Dimension::Count => super::value::tidy(si),
        None => format!("{} {}", super::value::tidy(si), stated.dimension.si_symbol()),
    }
}

fn found(view: &JobView, claim: &ClaimState, units: UnitSystem) -> Markup {
    let number = view.row.number;
    let findings: Vec<_> = claim.findings.iter().filter_map(|id| view.job.finding(*id)).collect();
    html! {
        @if findings.is_empty() {
            div.empty.hone.low { p { "Nothing found about it yet" } a.btn href={"/jobs/" (number) "/findings/new?claim=" (claim.id)} { "Add a finding" } }
        }
        ul.findings {
            @for kept in findings {
                @let it = &kept.value;
                li {
                    div.row.apart-ends { (severity(it.severity)) a.small href={"/jobs/" (number) "/notebook/" (kept.id)} { "Correct" } }
                    p { @if !it.position.is_empty() { b { (it.position) ": " } } (it.words) }
                    @if let Some(value) = &it.found { p { b.measured { (words(value)) } @if let Some(also) = also(value, units) { span.faint { " (" (also) ")" } } (spread(value, it)) } }
                    p.small.faint {
                        @match &it.instrument { Some(used) => { (instrument_words(used)) (calibration(used, kept.at)) "; " }, None => @if !it.how.is_empty() { (it.how) "; " } }
                        (kept.author) ", " (day_and_clock(&kept.at.to_string()))
                        @if !kept.corrected.is_empty() { "; corrected" }
                    }
                    @let files = files_of(view, kept.id, it);
                    @if !files.is_empty() { div.thumbs { (thumbs(view, &files, 6)) } }
                }
            }
        }
    }
}

/// "± 0.04" of a reading, or that its spread is only that of the last digit.
fn spread(value: &record::Value, finding: &record::Finding) -> Markup {
    let record::Value::Quantity(stated) = value else { return html! {} };
    let has =
        stated.u_si.is_some() || finding.instrument.as_ref().is_some_and(|i| i.u_si.is_some() || i.u_share.is_some());
    if !has {
        return html! { span.faint { " spread not known" } };
    }
    let u = super::value::u_of(value, finding.instrument.as_ref());
    html! { span.quiet { " \u{b1}" (allowance(value, 2.0 * u)) } }
}

/// Whether an instrument was within its calibration on that day.
fn calibration(used: &record::InstrumentUsed, at: jiff::Timestamp) -> Markup {
    let day = crate::words::date_of(at);
    match record::instrument::standing(used, day) {
        record::instrument::Standing::InDate { .. } => html! { ", calibrated" },
        overdue => html! { ", " span.beyond { (overdue) } },
    }
}

fn parts(view: &JobView, claim: &ClaimState) -> Markup {
    html! { ul.plainlist { @for part in view.job.parts.iter().filter(|p| claim.parts.contains(&p.id)) {
        li { a href={"/jobs/" (view.row.number) "/notebook/" (part.id)} { (part.value.words) } (super::parts::numbers(&part.value)) }
    } } }
}

/// The verdicts that stand, what the numbers suggest, and the form.
fn verdict(view: &JobView, claim: &ClaimState, findings: &[&record::Finding], draw: Draw<'_>) -> Markup {
    let number = view.row.number;
    let compared = compared(claim, findings);
    let judged = !claim.verdicts.is_empty();
    let open = !judged || !draw.errors.none() || claim.verdicts.len() > 1;
    html! {
        h2 { "Verdict" }
        @if judged {
            ul.given { @for kept in &claim.verdicts {
                li {
                    p.verdict-line { (marks::verdict(kept.value.verdict)) }
                    p { (kept.value.because) }
                    p.small.faint { (kept.author) ", " (day_and_clock(&kept.at.to_string())) " " a href={"/jobs/" (number) "/notebook/" (kept.id)} { "in the notebook" } }
                }
            } }
        } @else { p { (standing_mark(claim)) } }
        @if claim.verdicts.len() > 1 { p.small.beyond { (count_capital(claim.verdicts.len())) " verdicts were given without knowing of each other. One that takes the place of all settles it." } }
        @if let Some(compared) = &compared {
            div.suggestion {
                p { @match compared.suggests { Some(verdict) => { "The numbers suggest: " b { (marks::verdict_words(verdict).to_lowercase()) } }, None => "The numbers suggest nothing." } }
                p.small.quiet { (compared.because) }
                p.small.faint { "A suggestion; a person decides." }
            }
        }
        details.fold #judge open[open] {
            summary { @match claim.verdicts.len() { 0 => "Judge it", 1 => "Judge it anew", _ => "Settle it" } }
            div {
                form.entry method="post" action={"/jobs/" (number) "/claims/" (claim.id)} {
                    input type="hidden" name=(ENTRY) value=(if draw.errors.none() { add::fresh() } else { entry_name(draw.sent) });
                    @for kept in &claim.verdicts { input type="hidden" name="replaces" value=(kept.id); }
                    (verdict_fields(draw, view, claim.id))
                    p.row.send { button.btn.main type="submit" { "Give the verdict" } }
                }
            }
        }
    }
}
