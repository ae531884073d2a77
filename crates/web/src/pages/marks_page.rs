//! Every mark of the notebook with its one meaning.

use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::marks;
use crate::prefs::Prefs;
use crate::state::AppState;
use axum::extract::State;
use axum::response::Response;
use maud::{Markup, PreEscaped, html};
use record::{TruthVerdict, Weight};

/// The page.
pub(crate) async fn show(State(state): State<AppState>, prefs: Prefs) -> Result<Response, Fault> {
    let body = html! { div.marks-page {
        (marks::patterns())
        div.head { h1 { "Parts of the notebook" } p.finding { "Every mark has one meaning, on every page, in every light." } }
        section.sec.heavy { h2 { "Marks" } (lines()) }
        section.sec {
            h2 { "Verdicts and weight" }
            div.row.wide-gap {
                @for verdict in [TruthVerdict::True, TruthVerdict::Partly, TruthVerdict::NotTrue, TruthVerdict::CannotTell] { (marks::verdict(verdict)) }
                span { (marks::weight(Weight::DecidesTheBuild)) " decides the build" }
                span { (marks::weight(Weight::ChangesTheTune)) " changes the tune" }
                span { (marks::weight(Weight::ForTheRecord)) " for the record" }
            }
        }
        section.sec {
            h2 { "Told and found" }
            div.row.wide-gap { span.key-mark { (marks::told()) " what was said" } span.key-mark { (marks::found()) " what we measured" } }
            p.quiet { "Colour says where a number came from: " b.measured { "blue" } " was measured here, " b.said { "brass" } " was said or calculated, " b.was { "grey" } " was so before, " b.beyond { "madder" } " lies outside a limit." }
        }
        section.sec {
            h2 { "Limit bars" }
            div.row.wide-gap {
                @for (share, words) in [(Some(0.5), "in the middle"), (Some(0.96), "in, near the limit"), (Some(1.14), "over the limit"), (Some(-0.13), "under the limit"), (None, "not measured")] {
                    figure.limit-sample { (marks::limit_bar(share, words)) figcaption.small.quiet { (words) } }
                }
            }
        }
        section.sec {
            h2 { "Stages, findings, states" }
            div.row.wide-gap {
                span.key-mark { (marks::node(frame::StepState::Done)) " done" }
                span.key-mark { (marks::node(frame::StepState::Now)) " now" }
                span.key-mark { (marks::node(frame::StepState::ToDo)) " to come" }
                span.key-mark { (marks::flag()) " asks for a decision" }
                span.key-mark.beyond { (marks::diamond()) " beyond a limit, or stops" }
                span.key-mark { (marks::asks()) " waits for an answer" }
                span.key-mark { (marks::ready()) " nobody has judged it" }
                span.key-mark { (marks::accepted()) " accepted, proved" }
                span.key-mark { (marks::square()) " worth knowing" }
            }
        }
        section.sec.heavy {
            h2 { "States of a page" }
            div.fields {
                div { h3 { "Empty" } div.empty.hone.low { p { "No runs yet" } } p.quiet { "Cross-hatch, one line, one act." } }
                div { h3 { "Something is amiss" } div.banner { (marks::flag()) div { p.what { "Load cell silent from 4,400 to 4,900 rpm." } p { "What, where, what it spoils, one act. A gap stays a gap." } } } }
                div { h3 { "No link to the shop" } div.banner.calm { (marks::asks()) div { p.what { "No link to the shop. Kept on this tablet." } p { "Entry goes on; what was written goes across when the link is back." } } } }
            }
        }
    } };
    let page = Page { title: "Parts of the notebook".to_owned(), place: Place::None, trail: None, body };
    Ok(frame::respond(&state, &prefs, page))
}

/// Kinds of lines and areas in pictures.
fn lines() -> Markup {
    let samples: [(&str, &str); 6] = [
        (
            "measured",
            r#"<path fill="var(--blueband)" d="M0 34C30 14 60 10 88 16L88 26C60 20 30 24 0 44z"/><path fill="none" stroke="var(--blue)" stroke-width="1.7" d="M0 39C30 19 60 15 88 21"/>"#,
        ),
        (
            "said or predicted",
            r#"<path fill="var(--brassband)" d="M0 30C30 10 60 4 88 10L88 34C60 28 30 34 0 48z"/><path fill="none" stroke="var(--brass)" stroke-width="1.8" stroke-dasharray="7 4" d="M0 39C30 21 60 16 88 22"/>"#,
        ),
        ("before", r#"<path fill="none" stroke="var(--grey)" stroke-width="1.8" d="M0 42C30 26 60 22 88 34"/>"#),
        (
            "target",
            r#"<path fill="var(--target)" d="M0 18H88V42H0z"/><path fill="none" stroke="var(--blue)" stroke-width="1.7" d="M0 32C30 28 60 34 88 30"/>"#,
        ),
        (
            "flagged",
            r#"<rect width="88" height="48" fill="url(#hx-flag)"/><path fill="none" stroke="var(--flag)" stroke-width="2.2" d="M0 40C24 40 30 14 44 14S64 40 88 40"/>"#,
        ),
        ("no data", r#"<rect width="88" height="48" fill="url(#hx-none)"/>"#),
    ];
    html! {
        div.row.wide-gap {
            @for (words, drawn) in samples {
                figure.limit-sample { svg viewBox="0 0 88 48" width="88" height="48" role="img" aria-label=(words) { (PreEscaped(drawn)) } figcaption.small.quiet { (words) } }
            }
        }
    }
}
