//! Finding, conditions and the column of figures, set from the report's words.

use super::view::Judged;
use crate::words::{fixed, thousands};
use chart::Theme;
use maud::{Markup, PreEscaped, html};
use pull::analysis::{Analysis, Comparison};
use report::{Condition, FigureRow, Finding, FlagItem, PeakRow, Piece};

/// The finding under the title.
pub(crate) fn finding(finding: &Finding) -> Markup {
    html! { p.finding { b { (finding.strong) } (finding.rest) } }
}

/// The line of conditions: observed, corrected to, factor, load cell.
pub(crate) fn conditions(conditions: &[Condition]) -> Markup {
    html! {
        dl.cond { @for condition in conditions { div { dt { (condition.name) } dd { @for piece in &condition.pieces { (set(piece)) } } } } }
    }
}

fn set(piece: &Piece) -> Markup {
    html! { @if piece.strong { b { (piece.text) } } @else { span.quiet { (piece.text) } } }
}

/// The figures over the band: this run, the run before, and the same observed.
pub(crate) fn figures(judged: &Judged<'_>, run: &str, before: Option<&str>, rows: &[FigureRow]) -> Markup {
    let band = judged.analysis.band;
    html! {
        section.heavy.s-figures { h2 { "Over " (thousands(band.from_rpm)) " to " (thousands(band.to_rpm)) " rpm" }
            (kept(judged))
            table.fig {
                thead { tr { td {} th.r.measured scope="col" { (run) } @if let Some(before) = before { th.r.was scope="col" { (before) } } } }
                tbody { @for row in rows {
                    tr.held[row.observed.is_some()] {
                        th scope="row" { (row.name) " " small { (row.note) } }
                        td.r.measured.big { (row.now) }
                        @if before.is_some() { td.r.was { (row.before.as_deref().unwrap_or("\u{2013}")) } }
                    }
                    @if let Some(observed) = &row.observed {
                        tr.obs { th scope="row" { "observed" } td.r { (observed) } @if before.is_some() { td {} } }
                    }
                } }
            }
        }
    }
}

/// Whether the band judged is the one that is kept, and a way to keep it.
fn kept(judged: &Judged<'_>) -> Markup {
    let run = &judged.reading.run;
    let band = judged.analysis.band;
    html! {
        @if judged.trial {
            form.row.keep.screen #keep method="post" action={"/runs/" (run.number) "/band"} {
                input type="hidden" name="revision" value=(run.revision);
                input type="hidden" name="from" value=(band.from_rpm);
                input type="hidden" name="to" value=(band.to_rpm);
                button.btn type="submit" { "Keep this band" }
                a.btn.soft href={"/runs/" (run.number)} { "Back to the one kept" }
            }
        } @else if !judged.analysis.band_stated {
            p.quiet { "No band was stated: this is all that every pull covers." }
        }
    }
}

/// Plateau bars on one scale.
pub(crate) fn plateau(analysis: &Analysis, comparison: Option<&Comparison>, run: &str) -> Markup {
    let rows = report::plateau_rows(analysis, comparison, run);
    let share = analysis.figures.plateau.map_or(analysis.setup.plateau_share, |p| p.share);
    html! {
        @if !rows.is_empty() {
            section.s-plateau {
                h3 { "Plateau " span.quiet.plain { "within " (fixed((1.0 - share) * 100.0, 0)) " % of best torque, rpm" } }
                div.bars { (PreEscaped(chart::plateau_bars(&rows, Theme::Variables, 318.0))) }
            }
        }
    }
}

/// How well the pulls repeat.
pub(crate) fn repeat(sentence: &[Piece]) -> Markup {
    html! { section.sec.s-repeat { h3 { "How well it repeats" } p { @for piece in sentence { @if piece.strong { b.num { (piece.text) } } @else { (piece.text) } } } } }
}

/// The flags, by the numbers in the picture.
pub(crate) fn flags(items: &[FlagItem]) -> Markup {
    html! {
        section.sec.s-flags { h3 { "Flags" }
            @if items.is_empty() { p.quiet { "None: no guard\u{2019}s limit was passed." } } @else {
                ol.flags { @for item in items {
                    li { span.disc aria-hidden="true" { (item.number) } p { span.away { "Flag " (item.number) ": " } (item.sentence) " "
                        @if item.pull > 0 { a.screen href={"#leave-" (item.pull)} data-open={"leave-" (item.pull)} { "Leave pull " (item.pull) " out?" } }
                    } }
                } }
            }
        }
    }
}

/// What must be said beside the figures: figures that could not be given, doubts about the weather,
/// what makes the comparison doubtful.
pub(crate) fn beside(analysis: &Analysis, comparison: Option<&Comparison>) -> Markup {
    let warnings = comparison.map_or(&[][..], |c| c.warnings.as_slice());
    let mut said: Vec<&String> =
        warnings.iter().chain(&analysis.weather.doubts).chain(&analysis.figure_remarks).collect();
    said.dedup();
    html! {
        @if !said.is_empty() {
            section.sec.s-beside { h3 { "To be said beside it" } ul { @for words in said { li { (sentence(words)) } } } }
        }
    }
}

/// With a capital and a full stop.
pub(crate) fn sentence(words: &str) -> String {
    let words = words.trim();
    let mut chars = words.chars();
    let first: String = chars.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    let stop = if words.ends_with(['.', '?']) { "" } else { "." };
    format!("{first}{}{stop}", chars.as_str())
}

/// Peaks, last and small.
pub(crate) fn peaks(rows: &[PeakRow]) -> Markup {
    let any_before = rows.iter().any(|row| row.before.is_some());
    html! {
        section.sec.s-peaks { h3 { "Peaks, for the record" }
            table.fig { tbody { @for row in rows { tr {
                th scope="row" { (row.name) " " span.unit { (row.unit) } }
                td.r.measured { b { (row.now.value) } " " span.unit { (row.now.at) } }
                @match &row.before {
                    Some(before) => td.r.was { (before.value) " " span.unit { (before.at) } },
                    None => { @if any_before { td {} } },
                }
            } } } }
        }
    }
}
