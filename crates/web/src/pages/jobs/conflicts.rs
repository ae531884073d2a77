//! Entries that were written without knowing of each other and do not agree: shown wherever the job is, with a way to settle each.

use super::job::plural;
use crate::marks;
use crate::words::count_capital;
use maud::{Markup, html};
use notebook::JobView;
use record::{Body, Conflict, Id};

/// The banner of a job with conflicts; nothing without any.
pub(crate) fn banner(view: &JobView) -> Markup {
    let conflicts = &view.job.conflicts;
    let n = conflicts.len();
    html! {
        @if n > 0 {
            div.banner role="alert" {
                (marks::flag())
                div {
                    p.what { (count_capital(n)) " " (plural(n, "thing was", "things were")) " written twice and not alike. Both stand until somebody settles it." }
                    ul.plainlist { @for conflict in conflicts { li { (super::job::capital(&conflict.what)) ": " a href=(settle_at(view, conflict)) { "look at both and settle it" } } } }
                }
            }
        }
    }
}

/// Where a conflict is settled.
pub(crate) fn settle_at(view: &JobView, conflict: &Conflict) -> String {
    let base = format!("/jobs/{}", view.row.number);
    let first = conflict.entries.first().and_then(|id| body_of(view, *id));
    match first {
        Some(Body::VerdictGiven(it)) => format!("{base}/claims/{}", it.on),
        Some(Body::Answer(it)) => format!("{base}/questions#q-{}", it.to),
        Some(Body::Drawing(it)) => format!("{base}/photos/{}", it.on),
        Some(Body::Reading(it)) => format!("{base}/sheets/{}", it.sheet),
        Some(Body::BuildStated(_)) => format!("{base}/build"),
        Some(Body::Correction(it)) => format!("{base}/notebook/{}", it.of),
        // Two corrections: the first may stand as the entry itself.
        _ => format!("{base}/notebook/{}", conflict.entries.first().map(Id::to_string).unwrap_or_default()),
    }
}

/// What an entry of the job says, as it was written.
pub(crate) fn body_of(view: &JobView, id: Id) -> Option<&Body> {
    view.entries.iter().find(|e| e.id == id).map(|e| &e.body)
}
