//! A job on a scale of days: how much was written each day, when each stage was reached, and where it is now.
//!
//! Places are shares of the width, so that the drawing takes any width without changing its letters.

use super::trail::reached;
use crate::words::date_of;
use jiff::Timestamp;
use jiff::civil::Date;
use maud::{Markup, html};
use notebook::JobView;
use record::Stage;
use std::collections::BTreeMap;

/// Height of the tallest day, px.
const TALLEST: f64 = 34.0;
/// Where the bars stand, the axis runs, ticks end and leaders end, px from above.
const FOOT: f64 = 57.0;
const AXIS: f64 = 66.0;
const END: f64 = 112.0;

/// What the drawing is made from, in days.
#[derive(Debug)]
struct Span {
    from: Date,
    days: f64,
    today: Date,
}

impl Span {
    /// Where a day stands, percent of the width. A little room is left at both ends.
    fn at(&self, day: Date) -> f64 {
        0.6 + f64::from(self.day(day)) / self.days * 94.0
    }

    /// Width of a day's bar, px: days of a long job stand close together on a usual screen.
    fn bar(&self) -> f64 {
        (700.0 / self.days).clamp(1.5, 7.0)
    }

    fn day(&self, day: Date) -> i32 {
        self.from.until(day).map_or(0, |span| span.get_days())
    }
}

/// The drawing. `columns` of the stages stand under it, each a sixth of the width.
pub(crate) fn time_line(view: &JobView, now: Timestamp) -> Markup {
    let per_day = per_day(view);
    let from = per_day.keys().next().copied().unwrap_or_else(|| date_of(now));
    let written = per_day.keys().next_back().copied().unwrap_or(from);
    let over = view.job.handed_over.is_some();
    let today = if over { written } else { date_of(now).max(written) };
    let planned = planned(view).filter(|day| !over && *day >= from);
    let last = planned.map_or(today, |day| day.max(today));
    let mut span = Span { from, days: 1.0, today };
    // A short job still has two weeks of scale, so that its days do not stand far apart.
    // Without a day for the hand-over there is room behind today for what is still to come.
    let ahead = if over || planned.is_some_and(|day| day > today) { 1.0 } else { 1.12 };
    span.days = (f64::from(span.day(last)) * ahead).max(14.0);
    let most = per_day.values().copied().max().unwrap_or(1).max(1) as f64;
    let reached: Vec<(Stage, Option<Date>)> = Stage::ALL
        .into_iter()
        .map(|stage| (stage, reached(view, stage).and_then(|at| at.parse().ok()).map(date_of)))
        .collect();
    let here = view.job.stage();
    html! {
        p.small.quiet { "Notebook entries each day" }
        svg.time-line height=(END) role="img" aria-label=(summary(&per_day, &reached, planned)) {
            @for (day, count) in &per_day {
                @let high = (*count as f64 / most).sqrt() * TALLEST;
                line x1=(share(span.at(*day))) x2=(share(span.at(*day))) y1=(px(FOOT)) y2=(px(FOOT - high.max(3.0))) stroke="var(--edge)" stroke-width=(px(span.bar())) opacity=".55" {}
            }
            line x1=(share(span.at(from))) x2=(share(span.at(today))) y1=(px(AXIS)) y2=(px(AXIS)) stroke="var(--ink)" stroke-width="2.5" {}
            @if last > today || !over {
                line x1=(share(span.at(today))) x2=(share(span.at(last).max(span.at(from) + 94.0))) y1=(px(AXIS)) y2=(px(AXIS)) stroke="var(--edge)" stroke-width="2" stroke-dasharray="2 4" {}
            }
            (ticks(&span))
            @for (column, (stage, day)) in reached.iter().enumerate() {
                (stage_mark(&span, column, *stage, *day, here, planned))
            }
            @if !over {
                line x1=(share(span.at(today))) x2=(share(span.at(today))) y1="36" y2="64" stroke="var(--blue)" {}
                @let (anchor, shift) = if span.at(today) > 80.0 { ("end", "-8") } else { ("start", "8") };
                text.today x=(share(span.at(today))) y="54" dx=(shift) text-anchor=(anchor) { "today, " (today.strftime("%-d %B").to_string()) }
            }
        }
    }
}

/// Entries by day, in this machine's time zone.
fn per_day(view: &JobView) -> BTreeMap<Date, usize> {
    let mut all = BTreeMap::new();
    for entry in &view.entries {
        *all.entry(date_of(entry.at)).or_insert(0) += 1;
    }
    all
}

/// The day on which the hand-over is planned.
pub(crate) fn planned(view: &JobView) -> Option<Date> {
    view.job.opened.as_ref()?.value.planned.parse().ok()
}

/// A tick a day and a longer one a week; in long jobs weeks alone, in very long ones months of four weeks.
fn ticks(span: &Span) -> Markup {
    let days = span.days as usize;
    let step = if days <= 120 {
        1
    } else if days <= 800 {
        7
    } else {
        28
    };
    let long = step * if step == 1 { 7 } else { 4 };
    html! {
        @for day in (0..=days).step_by(step) {
            @let x = share(0.6 + day as f64 / span.days * 94.0);
            line x1=(x) x2=(x) y1="70" y2=(if day > 0 && day % long == 0 { "78" } else { "73" }) stroke="var(--edge)" {}
        }
    }
}

/// The node of a stage and the line that leads to its column. Two stages of one day stand on one node.
fn stage_mark(
    span: &Span,
    column: usize,
    stage: Stage,
    day: Option<Date>,
    here: Stage,
    planned: Option<Date>,
) -> Markup {
    let ahead = day.is_none();
    let last = stage == Stage::HandedOver;
    let at = match (day, last) {
        (Some(day), _) => span.at(day),
        (None, true) => planned.map_or(95.0, |day| span.at(day.max(span.today))),
        (None, false) => return html! {},
    };
    let to = column as f64 / 6.0 * 100.0;
    let now = stage == here && !last;
    let colour = if now { "var(--blue)" } else { "var(--edge)" };
    html! {
        line x1=(share(at)) x2=(share(at)) y1="73" y2="82" stroke=(colour) stroke-width="1.1" {}
        line x1=(share(at)) x2=(share(to)) y1="82" y2="98" stroke=(colour) stroke-width="1.1" {}
        line x1=(share(to)) x2=(share(to)) y1="98" y2="112" stroke=(colour) stroke-width="1.1" {}
        @if now {
            circle cx=(share(at)) cy="66" r="8" fill="var(--sheet)" stroke="var(--blue)" stroke-width="2.4" {}
            circle cx=(share(at)) cy="66" r="3.6" fill="var(--blue)" {}
        } @else if ahead {
            circle cx=(share(at)) cy="66" r="6" fill="var(--sheet)" stroke="var(--edge)" stroke-width="1.8" {}
        } @else {
            circle cx=(share(at)) cy="66" r="6.5" fill="var(--ink)" stroke="var(--sheet)" stroke-width="2" {}
        }
    }
}

/// The drawing in words.
fn summary(per_day: &BTreeMap<Date, usize>, reached: &[(Stage, Option<Date>)], planned: Option<Date>) -> String {
    let mut words: Vec<String> = reached
        .iter()
        .filter_map(|(stage, day)| day.map(|day| format!("{} {}", stage.name(), day.strftime("%-d %B %Y"))))
        .collect();
    if let Some(day) = planned {
        words.push(format!("hand-over planned {}", day.strftime("%-d %B %Y")));
    }
    let entries: usize = per_day.values().sum();
    format!("{}. {entries} entries on {} days.", words.join(", "), per_day.len())
}

fn share(percent: f64) -> String {
    format!("{percent:.2}%")
}

fn px(v: f64) -> String {
    format!("{v:.1}")
}
