//! The few drawn marks: the house mark, nodes of a run's way, states and the flag.

use crate::frame::StepState;
use maud::{Markup, PreEscaped, html};
use record::{TruthVerdict, Weight};

/// The house mark as an icon for the window.
pub(crate) const ICON: &str = "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 26 26'%3E%3Crect width='26' height='26' fill='%23FAFCF6'/%3E%3Cpath d='M2 21C5 11 7 7 10 7H18C20.5 7 22 11 24 17' fill='none' stroke='%2315232B' stroke-width='2.2' stroke-linecap='round'/%3E%3Cpath d='M8.5 19.500l5-7M12.5 19.500l5-7M9 12.500l5 7M13 12.500l5 7' stroke='%231B3F94' fill='none'/%3E%3C/svg%3E";

/// A torque curve with its plateau, and the honing mark under it.
pub(crate) fn plateau() -> Markup {
    html! { svg viewBox="0 0 26 22" width="26" height="22" aria-hidden="true" {
        path d="M2 19C5 9 7 5 10 5H18C20.5 5 22 9 24 15" fill="none" stroke="var(--ink)" stroke-width="2.2" stroke-linecap="round" {}
        path d="M8.5 17.5l5-7M12.5 17.5l5-7M16.5 17.500l4-5.600M9 10.5l5 7M13 10.5l5 7" stroke="var(--blue)" stroke-width="1" fill="none" {}
    } }
}

/// A node of a run's way: filled when done, ringed when here, hollow when to come.
pub(crate) fn node(state: StepState) -> Markup {
    let inner = match state {
        StepState::Done => r#"<circle cx="7" cy="7" r="5.5" fill="var(--ink)"/>"#,
        StepState::Now => {
            r#"<circle cx="7" cy="7" r="5.8" fill="var(--sheet)" stroke="var(--blue)" stroke-width="2"/><circle cx="7" cy="7" r="2.6" fill="var(--blue)"/>"#
        }
        StepState::ToDo => {
            r#"<circle cx="7" cy="7" r="5" fill="var(--sheet)" stroke="var(--edge)" stroke-width="1.5"/>"#
        }
    };
    html! { svg viewBox="0 0 14 14" width="14" height="14" aria-hidden="true" { (PreEscaped(inner)) } }
}

/// A flag: something here asks for a decision.
pub(crate) fn flag() -> Markup {
    html! { svg viewBox="0 0 16 18" width="16" height="18" aria-hidden="true" {
        path d="M3 17V2H13L10.5 5.500L13 9H3" fill="none" stroke="var(--flag)" stroke-width="1.8" stroke-linejoin="round" {}
    } }
}

/// A ring broken into dashes: cannot tell, or waits for an answer.
pub(crate) fn asks() -> Markup {
    html! { svg viewBox="0 0 14 14" width="14" height="14" aria-hidden="true" {
        circle cx="7" cy="7" r="5.5" fill="none" stroke="currentColor" stroke-width="1.8" stroke-dasharray="3 2" {}
    } }
}

/// An open ring: ready to be looked at.
pub(crate) fn ready() -> Markup {
    html! { svg viewBox="0 0 14 14" width="14" height="14" aria-hidden="true" {
        circle cx="7" cy="7" r="5.3" fill="none" stroke="currentColor" stroke-width="1.6" {}
    } }
}

/// A filled disc with a tick: accepted.
pub(crate) fn accepted() -> Markup {
    html! { svg viewBox="0 0 14 14" width="14" height="14" aria-hidden="true" {
        circle cx="7" cy="7" r="6.5" fill="currentColor" {}
        path d="M4 7.2l2.2 2.3L10 4.8" fill="none" stroke="var(--sheet)" stroke-width="1.7" stroke-linecap="round" stroke-linejoin="round" {}
    } }
}

/// A small diamond: beyond a limit.
pub(crate) fn diamond() -> Markup {
    html! { svg viewBox="0 0 14 14" width="14" height="14" aria-hidden="true" {
        path d="M7 1L13 7L7 13L1 7Z" fill="var(--flag)" {}
    } }
}

/// A small open square: worth knowing, nothing is affected.
pub(crate) fn square() -> Markup {
    html! { svg viewBox="0 0 14 14" width="14" height="14" aria-hidden="true" {
        rect x="2.5" y="2.5" width="9" height="9" fill="none" stroke="var(--edge)" stroke-width="1.5" {}
    } }
}

/// A verdict by its shape: a tick in a disc, half a disc, a cross, a broken ring with a question mark.
pub(crate) fn truth(verdict: TruthVerdict) -> Markup {
    let inner = match verdict {
        TruthVerdict::True => {
            r#"<circle cx="8" cy="8" r="6.5" fill="currentColor"/><path d="M4.8 8.2l2.3 2.4 4.2-4.8" fill="none" stroke="var(--sheet)" stroke-width="1.8"/>"#
        }
        TruthVerdict::Partly => {
            r#"<circle cx="8" cy="8" r="6.2" fill="none" stroke="currentColor" stroke-width="1.6"/><path d="M8 1.8a6.2 6.2 0 0 0 0 12.4z" fill="currentColor"/>"#
        }
        TruthVerdict::NotTrue => {
            r#"<path d="M2.5 2.5l11 11M13.5 2.5l-11 11" stroke="currentColor" stroke-width="2.6" stroke-linecap="round"/>"#
        }
        TruthVerdict::CannotTell => {
            r#"<circle cx="8" cy="8" r="6.2" fill="none" stroke="currentColor" stroke-width="1.5" stroke-dasharray="2.6 2.2"/><path d="M6.4 6.3c.1-1 .8-1.6 1.7-1.6 1 0 1.7.6 1.7 1.5 0 1.4-1.8 1.4-1.8 2.9M8 11.3v.2" fill="none" stroke="currentColor" stroke-width="1.4" stroke-linecap="round"/>"#
        }
    };
    html! { svg viewBox="0 0 16 16" width="15" height="15" aria-hidden="true" { (PreEscaped(inner)) } }
}

/// A verdict by shape and word.
pub(crate) fn verdict(verdict: TruthVerdict) -> Markup {
    let class = if verdict == TruthVerdict::NotTrue { "vd no" } else { "vd" };
    html! { span class=(class) { (truth(verdict)) (verdict_words(verdict)) } }
}

/// "Partly true".
pub(crate) fn verdict_words(verdict: TruthVerdict) -> &'static str {
    match verdict {
        TruthVerdict::True => "True",
        TruthVerdict::Partly => "Partly true",
        TruthVerdict::NotTrue => "Not true",
        TruthVerdict::CannotTell => "Can\u{2019}t tell",
    }
}

/// How much hangs on a claim: three, two or one bar filled.
pub(crate) fn weight(weight: Weight) -> Markup {
    let (filled, words) = match weight {
        Weight::DecidesTheBuild => (3, "decides the build"),
        Weight::ChangesTheTune => (2, "changes the tune"),
        Weight::ForTheRecord => (1, "for the record"),
    };
    html! { span.matters role="img" aria-label=(words) { @for n in 1..=3 { i.on[n <= filled] {} } } }
}

/// What was said: an open triangle, point down.
pub(crate) fn told() -> Markup {
    html! { svg viewBox="0 0 14 12" width="14" height="12" aria-hidden="true" { path d="M7 10.5L1.5 1.5h11z" fill="var(--sheet)" stroke="var(--brass)" stroke-width="1.6" {} } }
}

/// What was found: a filled triangle, point up.
pub(crate) fn found() -> Markup {
    html! { svg viewBox="0 0 14 12" width="14" height="12" aria-hidden="true" { path d="M7 1l6 10H1z" fill="var(--blue)" {} } }
}

/// Patterns that drawings of a page fill with: `hx-flag` beyond a limit, `hx-none` nothing there, `hx-out` not allowed.
pub(crate) fn patterns() -> Markup {
    html! { svg.patterns width="0" height="0" aria-hidden="true" { defs {
        pattern #hx-flag width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" { rect width="6" height="6" fill="var(--flag)" opacity=".06" {} line x1="0" y1="0" x2="0" y2="6" stroke="var(--flag)" opacity=".45" {} }
        pattern #hx-none width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(30)" { path d="M0 0H7M0 0V7" stroke="var(--rule)" {} }
        pattern #hx-out width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" { line x1="0" y1="0" x2="0" y2="5" stroke="var(--edge)" opacity=".75" {} }
    } } }
}

/// Where a value lies between its limits on a rail 150 wide; outside it is a diamond. `share` is 0 at the
/// lower and 1 at the upper limit; none: not read. The hatched sides are the ones not allowed.
pub(crate) fn limit_bar(share: Option<f64>, words: &str) -> Markup {
    let (left, right) = (21.0, 129.0);
    let at = share.filter(|s| s.is_finite()).map(|s| (left + s * (right - left)).clamp(6.0, 144.0));
    let outside = share.is_some_and(|s| !(0.0..=1.0).contains(&s));
    html! { svg.limit-bar viewBox="0 0 150 16" width="150" height="16" role="img" aria-label=(words) {
        rect x="2" y="5.5" width="19" height="5" fill="url(#hx-out)" {}
        rect x="129" y="5.5" width="19" height="5" fill="url(#hx-out)" {}
        line x1=(left) x2=(right) y1="8" y2="8" stroke="var(--edge)" {}
        line x1="75" x2="75" y1="6" y2="10" stroke="var(--edge)" {}
        line x1=(left) x2=(left) y1="3" y2="13" stroke="var(--ink)" stroke-width="1.4" {}
        line x1=(right) x2=(right) y1="3" y2="13" stroke="var(--ink)" stroke-width="1.4" {}
        @match (at, outside) {
            (Some(x), false) => circle cx=(format!("{x:.1}")) cy="8" r="4.5" fill="var(--blue)" {},
            (Some(x), true) => path d=(format!("M{x:.1} 2.5l5.5 5.5-5.5 5.5-5.5-5.5z")) fill="var(--flag)" {},
            (None, _) => {}
        }
    } }
}
