//! The run page: the finding, the conditions, the whole curve, the figures, and what they hang on.

use super::acts::band_of;
use super::paper::{self, Plan, Said};
use super::stated::{self, Refused};
use super::trail::{Shown, trail};
use super::{side, under};
use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::marks;
use crate::pages::bring::{details, first_line};
use crate::prefs::Prefs;
use crate::readings::{self, Found, OfRun, Reading, reading};
use crate::state::AppState;
use crate::units::Units;
use crate::words::{short_day, thousands};
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use chart::{RunPicture, Size, Theme};
use maud::{Markup, PreEscaped, html};
use pull::analysis::{Analysis, Comparison};
use pull::setup::Band;
use quantity::UnitSystem;
use report::{PictureOptions, RunNames};
use serde::Deserialize;
use std::borrow::Cow;
use std::sync::Arc;
use store::{Dyno, Run};

/// A band to be judged without keeping it.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Judge {
    from: Option<String>,
    to: Option<String>,
}

/// A run judged over a band, and what it is held against.
pub(crate) struct Judged<'a> {
    /// The run, worked out.
    pub(crate) reading: &'a Reading,
    /// Judged over the band asked for.
    pub(crate) analysis: Cow<'a, Analysis>,
    /// Against the run before.
    pub(crate) comparison: Option<Arc<Comparison>>,
    /// Number of the run before.
    pub(crate) before: Option<i64>,
    /// The band asked for is not the one kept.
    pub(crate) trial: bool,
    /// What was wrong with the band asked for.
    pub(crate) refused_band: Option<String>,
}

impl Judged<'_> {
    /// What the run is called.
    pub(crate) fn names(&self) -> RunNames {
        let run = &self.reading.run;
        RunNames { title: run.title.clone(), run: format!("Run {}", run.number) }
    }

    /// What is drawn.
    pub(crate) fn picture(&self, units: UnitSystem) -> RunPicture {
        let options = PictureOptions {
            names: self.names(),
            single_pulls: false,
            band_note: "drag an end to judge another".to_owned(),
        };
        report::run_picture(&self.analysis, self.comparison.as_deref(), units, &options)
    }
}

/// "Run 14: blower 1.62, 8 April".
pub(crate) fn title(run: &Run) -> String {
    format!("Run {}: {}", run.number, run.title)
}

/// Judges a reading over a band, and holds it against the run chosen.
pub(crate) async fn judge<'a>(
    state: &AppState,
    reading: &'a Reading,
    analysis: &'a Analysis,
    asked: &Judge,
) -> Result<Judged<'a>, Fault> {
    let mut refused_band = None;
    let mut analysis = Cow::Borrowed(analysis);
    let mut trial = false;
    if let (Some(from), Some(to)) = (&asked.from, &asked.to) {
        match band_of(from, to) {
            Ok(band) => {
                trial = !same(band, analysis.band);
                if trial {
                    analysis = Cow::Owned(pull::run::rejudge(&analysis, band));
                }
            }
            Err(words) => refused_band = Some(words),
        }
    }
    let mut comparison = None;
    let mut before = None;
    if let Some(other) = before_of(state, &reading.run).await?
        && let Found::Ready(earlier, _) = &other.found
    {
        before = Some(other.run.number);
        comparison = if trial {
            let name = format!("Run {}", other.run.number);
            Some(Arc::new(pull::compare::compare(&analysis, earlier, &name, None)))
        } else {
            readings::comparison(state, reading, &other)
        };
    }
    Ok(Judged { reading, analysis, comparison, before, trial, refused_band })
}

fn same(a: Band, b: Band) -> bool {
    (a.from_rpm - b.from_rpm).abs() < 0.5 && (a.to_rpm - b.to_rpm).abs() < 0.5
}

/// The reading of the run that this one is held against.
async fn before_of(state: &AppState, run: &Run) -> Result<Option<Arc<Reading>>, Fault> {
    let Some(id) = run.against else { return Ok(None) };
    match state.store().run(id)? {
        Some(other) => Ok(Some(reading(state, other).await?)),
        None => Ok(None),
    }
}

/// The page.
pub(crate) async fn page(
    State(state): State<AppState>,
    prefs: Prefs,
    OfRun(run): OfRun,
    Query(asked): Query<Judge>,
) -> Result<Response, Fault> {
    let reading = reading(&state, run).await?;
    answer(&state, &prefs, &reading, &asked, &Refused::new()).await
}

/// The page again, with the statements that could not be used.
pub(crate) async fn refused(
    state: &AppState,
    prefs: &Prefs,
    reading: &Reading,
    refused: &Refused,
) -> Result<Response, Fault> {
    let mut response = answer(state, prefs, reading, &Judge::default(), refused).await?;
    *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    Ok(response)
}

async fn answer(
    state: &AppState,
    prefs: &Prefs,
    reading: &Reading,
    asked: &Judge,
    refused: &Refused,
) -> Result<Response, Fault> {
    let number = reading.run.number;
    let dynos = state.store().dynos()?;
    let body = match &reading.found {
        Found::Asking(_) => return Ok(Redirect::to(&format!("/runs/{number}/questions")).into_response()),
        Found::Trouble(text) => html! {
            div.head { h1 { (side::heading(&reading.run)) } p.finding { "No curve can be drawn of these logs as things stand." } }
            (trouble(text))
            div.under { (stated::form(reading, &dynos, refused)) (under::logs(reading, None)) }
        },
        Found::Ready(analysis, _) => {
            let judged = judge(state, reading, analysis, asked).await?;
            let others: Vec<Run> = state.store().runs()?.into_iter().filter(|r| r.id != reading.run.id).collect();
            let jobs = crate::pages::jobs::on_run_page(state, &reading.run)?;
            body(&judged, prefs, &others, &dynos, refused, &jobs)
        }
    };
    let page =
        Page { title: title(&reading.run), place: Place::Run, trail: Some(trail(&reading.run, Shown::Curve)), body };
    Ok(frame::respond(state, prefs, page))
}

fn body(
    judged: &Judged<'_>,
    prefs: &Prefs,
    others: &[Run],
    dynos: &[Dyno],
    refused: &Refused,
    jobs: &Markup,
) -> Markup {
    let (reading, analysis) = (judged.reading, judged.analysis.as_ref());
    let units = Units(prefs.units);
    let names = judged.names();
    let comparison = judged.comparison.as_deref();
    let picture = judged.picture(prefs.units);
    let before = judged.before.map(|n| format!("Run {n}"));
    let finding = report::finding(analysis, comparison, prefs.units);
    let conditions = report::conditions(analysis, prefs.units);
    let figures = report::figure_rows(analysis, comparison, prefs.units);
    let repeat = report::repeat_sentence(analysis);
    let flags = report::flag_list(analysis, prefs.units);
    let remarks = side::remarks(analysis, comparison);
    let peaks = report::peak_rows(analysis, comparison, prefs.units);
    let said = Said {
        title: &names.title,
        finding: &finding,
        conditions: &conditions,
        figures: &figures,
        repeat: &repeat,
        plateaus: 1 + usize::from(comparison.is_some()),
        peaks: peaks.len(),
        flags: &flags,
        remarks: &remarks,
    };
    let paper = Plan::new(&picture, &said);
    html! {
        div.head {
            h1 { (side::heading(&judged.reading.run)) }
            (side::finding(&finding))
            (acts(judged))
        }
        (side::conditions(&conditions))
        @if let Some(words) = &judged.refused_band { div.banner role="alert" { (marks::flag()) div { p.what { (words) } p { "The band below is the one that is kept." } } } }
        div.runlay {
            div.plot {
                (plot(judged, prefs, &picture, &paper))
                (band_form(judged, others))
            }
            aside.side aria-label="Figures" {
                (side::figures(judged, &names.run, before.as_deref(), &figures))
                (side::plateau(analysis, comparison, &names.run))
                (side::repeat(&repeat))
                (side::flags(&flags, &paper))
                (side::beside(&remarks, &paper))
                (side::peaks(&peaks))
                (jobs)
            }
        }
        div.under {
            (table_view(&picture))
            (under::pulls(reading, analysis, units))
            (stated::form(reading, dynos, refused))
            (under::hangs_on(reading, analysis, comparison, prefs.units))
            (under::problems(&analysis.problems))
            (under::logs(reading, Some(analysis)))
        }
    }
}

/// Print and accept; or when it was accepted, with a way to open it again.
fn acts(judged: &Judged<'_>) -> Markup {
    let run = &judged.reading.run;
    let number = run.number;
    html! {
        div.acts {
            a.btn href={"/runs/" (number) "/run.pdf"} data-print { "Print" }
            @match &run.accepted {
                None => form method="post" action={"/runs/" (number) "/accept"} {
                    input type="hidden" name="revision" value=(run.revision);
                    button.btn.main type="submit" { "Accept run" }
                },
                Some(accepted) => details.reopen #reopen {
                    summary.btn { (marks::accepted()) "Accepted " (short_day(&accepted.when)) }
                    form method="post" action={"/runs/" (number) "/unaccept"} {
                        input type="hidden" name="revision" value=(run.revision);
                        label for="why-open" { "Why it is opened again" }
                        input.field #why-open name="reason" required maxlength="200" autocomplete="off";
                        button.btn type="submit" { "Open again" }
                    }
                },
            }
        }
    }
}

/// The picture, drawn to the room that the page's script has found for it.
fn plot(judged: &Judged<'_>, prefs: &Prefs, picture: &RunPicture, paper: &Plan) -> Markup {
    let (width, height) = prefs.plot.unwrap_or((798.0, 726.0));
    let svg = chart::draw(picture, Theme::Variables, &Size::page(width, height, "run"));
    let band = judged.analysis.band;
    let query = format!("?from={}&to={}", band.from_rpm, band.to_rpm);
    html! {
        run-chart data-curve={"/runs/" (judged.reading.run.number) "/curve.json" (query)} data-high=(height) data-size=[prefs.plot.map(|(w, h)| format!("{w}x{h}"))] {
            (PreEscaped(svg))
        }
        // Paper has its own width; the drawing is made for it, so that its letters keep their size.
        div.on-paper.print-only { (PreEscaped(chart::draw(picture, Theme::Variables, &Size { interactive: false, ..Size::page(paper::WIDTH / paper.scale, paper.height / paper.scale, "paper") }))) }
    }
}

/// Judging another band without the handles, keeping it, and choosing the run before.
fn band_form(judged: &Judged<'_>, others: &[Run]) -> Markup {
    let run = &judged.reading.run;
    let number = run.number;
    let band = judged.analysis.band;
    html! {
        div.bandform {
            form.row #judge method="get" action={"/runs/" (number)} {
                label for="band-from" { "Band from" } input.field #band-from name="from" inputmode="numeric" value=(thousands(band.from_rpm)) autocomplete="off";
                label for="band-to" { "to" } input.field #band-to name="to" inputmode="numeric" value=(thousands(band.to_rpm)) autocomplete="off";
                span.quiet { "rpm" }
                button.btn type="submit" { "Judge it" }
            }
            @if !others.is_empty() {
                form.row #against data-at-once method="post" action={"/runs/" (number) "/against"} {
                    input type="hidden" name="revision" value=(run.revision);
                    label for="against-run" { "Held against" }
                    select.field #against-run name="against" {
                        option value="" { "no other run" }
                        @for other in others { option value=(other.number) selected[Some(other.number) == judged.before] { "Run " (other.number) ": " (other.title) } }
                    }
                    button.btn type="submit" { "Hold" }
                }
            }
        }
    }
}

/// The numbers of the picture as a table.
fn table_view(picture: &RunPicture) -> Markup {
    let table = chart::table(picture, 250.0);
    html! {
        details.fold #numbers {
            summary { "The curve in numbers " span { "every 250 rpm" } }
            div { p.quiet { (picture.summary) }
                div.box.scroll #numbers-box tabindex="0" role="region" aria-label="The curve in numbers" { table {
                    thead { tr { th.r scope="col" { "rpm" } @for column in &table.columns { th.r scope="col" { (column.quantity) br; (column.unit_and_basis) br; (column.name) } } } }
                    tbody { @for row in &table.rows { tr {
                        th.r scope="row" { (row.rpm_text) }
                        @for (value, spread) in row.values.iter().zip(&row.spreads) {
                            td.r { @match value { Some(value) => { (value) @if let Some(spread) = spread { span.faint { " \u{b1}" (spread) } } }, None => span.faint { "\u{2013}" } } }
                        }
                    } } }
                } }
            }
        }
    }
}

/// A run whose logs can no longer be read.
pub(crate) fn trouble(text: &str) -> Markup {
    html! {
        div.banner role="alert" { (marks::flag()) div { p.what { (first_line(text)) } (details(text)) } }
    }
}
