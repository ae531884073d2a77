//! The few drawn marks: the house mark, nodes of a run's way, states and the flag.

use crate::frame::StepState;
use maud::{Markup, PreEscaped, html};

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
