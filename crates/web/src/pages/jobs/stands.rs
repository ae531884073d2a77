//! How the engine stands: the newest run on the dyno beside the first, and the main figures of the agreed build.

use crate::fault::Fault;
use crate::state::AppState;
use crate::units::Units;
use crate::words::{fixed, thousands};
use maud::{Markup, html};
use notebook::JobView;
use quantity::{Dimension, UnitSystem, digits_with_uncertainty};
use record::{Job, WhichBuild};
use store::Run;
use takein::Headline;

/// A run of the job with what its list line says.
#[derive(Debug, Clone)]
pub(crate) struct Attached {
    /// The run.
    pub(crate) run: Run,
    /// Its small summary.
    pub(crate) headline: Headline,
    /// What it shows: "as received".
    pub(crate) shows: String,
}

/// Runs attached to a job, by number. A run that is not in this shop is left out; the runs page says so.
pub(crate) fn attached(state: &AppState, job: &Job) -> Result<Vec<Attached>, Fault> {
    let mut all: Vec<Attached> = Vec::new();
    for kept in &job.runs {
        let it = &kept.value;
        let known = all.iter().any(|a| a.run.number == it.number);
        if let (false, Some(run)) = (known, state.store().run_by_number(it.number)?) {
            let headline = Headline::from_json(&run.headline_json);
            all.push(Attached { run, headline, shows: it.shows.clone() });
        }
    }
    all.sort_by_key(|a| a.run.number);
    Ok(all)
}

/// The runs that are held beside each other: the newest with a curve, and the first before it.
fn pair(runs: &[Attached]) -> (Option<&Attached>, Option<&Attached>) {
    let mut drawn = runs.iter().filter(|r| r.headline.curve.len() > 1);
    let first = drawn.next();
    match drawn.next_back() {
        Some(last) => (Some(last), first),
        None => (first, None),
    }
}

/// "It pulls 33 N·m better over 3,000 to 6,200 rpm": only where both runs were judged over one band.
pub(crate) fn gain(runs: &[Attached], units: Units) -> Option<Markup> {
    let (Some(now), Some(before)) = pair(runs) else { return None };
    let (now, before) = (&now.headline, &before.headline);
    let band = now.band_from_rpm.zip(now.band_to_rpm)?;
    let other = before.band_from_rpm.zip(before.band_to_rpm)?;
    if (band.0 - other.0).abs() > 1.0 || (band.1 - other.1).abs() > 1.0 || now.correction != before.correction {
        return None;
    }
    let gained = now.mean_torque_nm? - before.mean_torque_nm?;
    let spread = now.mean_torque_expanded_nm.unwrap_or(0.0).hypot(before.mean_torque_expanded_nm.unwrap_or(0.0));
    let over = format!("over {} to {} rpm.", thousands(band.0), thousands(band.1));
    if gained.abs() <= spread {
        return Some(
            html! { "Whether it pulls better than at first cannot be told: the difference is within its uncertainty " (over) },
        );
    }
    let unit = units.0.unit(Dimension::Torque);
    let (digits, _) = digits_with_uncertainty(unit.from_si(gained.abs()), (spread / unit.scale).max(0.5));
    Some(
        html! { "It pulls " b { (digits) " " (unit.symbol) } @if gained > 0.0 { " better " } @else { " worse " } (over) },
    )
}

const WIDE: f64 = 300.0;
const HIGH: f64 = 126.0;
const LEFT: f64 = 32.0;
const RIGHT: f64 = 296.0;
const TOP: f64 = 8.0;
const FOOT: f64 = 106.0;

/// Torque of the newest run, and of the first one in grey.
pub(crate) fn curve(runs: &[Attached], units: Units) -> Markup {
    let (Some(now), before) = pair(runs) else {
        return html! { div.empty.hone.low { p { "No run on the dyno yet" } } };
    };
    let shown: Vec<&Attached> = [Some(now), before].into_iter().flatten().collect();
    let points = || shown.iter().flat_map(|a| &a.headline.curve).map(|(rpm, nm)| (*rpm, units.torque_value(*nm)));
    let ends = |pick: fn(&(f64, f64)) -> f64| {
        points().map(|p| pick(&p)).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
    };
    let ((x0, x1), (low, high)) = (ends(|p| p.0), ends(|p| p.1));
    let step = [10.0, 20.0, 50.0, 100.0, 200.0, 500.0].into_iter().find(|s| (high - low) / s <= 2.6).unwrap_or(1000.0);
    let (y0, y1) = ((low / step).floor() * step, (high / step).ceil() * step);
    let x = |rpm: f64| LEFT + (rpm - x0) / (x1 - x0).max(1.0) * (RIGHT - LEFT);
    let y = |torque: f64| FOOT - (torque - y0) / (y1 - y0).max(f64::MIN_POSITIVE) * (FOOT - TOP - 10.0);
    let path = |a: &Attached| {
        a.headline.curve.iter().enumerate().fold(String::new(), |d, (i, (rpm, nm))| {
            format!("{d}{}{:.1} {:.1}", if i == 0 { "M" } else { "L" }, x(*rpm), y(units.torque_value(*nm)))
        })
    };
    let lines = ((y1 - y0) / step).round() as usize;
    let best = |a: &Attached| a.headline.curve.iter().copied().max_by(|p, q| p.1.total_cmp(&q.1)).unwrap_or((x0, 0.0));
    let label = format!(
        "Torque in {} of run {}{}",
        units.torque_unit(),
        now.run.number,
        before.map_or_else(String::new, |b| format!(" and of run {}", b.run.number))
    );
    html! {
        a.plainlink href={"/runs/" (now.run.number)} {
            svg.stands-curve viewBox=(format!("0 0 {WIDE} {HIGH}")) width=(WIDE) height=(HIGH) role="img" aria-label=(label) {
                @if let Some((from, to)) = now.headline.band_from_rpm.zip(now.headline.band_to_rpm) {
                    @let (from, to) = (x(from.max(x0)), x(to.min(x1)));
                    rect x=(px(from)) y=(px(TOP)) width=(px((to - from).max(0.0))) height=(px(FOOT - TOP)) fill="var(--raised)" {}
                }
                @for i in 0..=lines {
                    @let value = y0 + i as f64 * step;
                    line x1=(LEFT) x2=(RIGHT) y1=(px(y(value))) y2=(px(y(value))) stroke="var(--hair)" {}
                    text x="26" y=(px(y(value) + 4.4)) text-anchor="end" { (fixed(value, 0)) }
                }
                @for rpm in thousands_between(x0, x1) {
                    line x1=(px(x(rpm))) x2=(px(x(rpm))) y1=(FOOT) y2="110" stroke="var(--edge)" {}
                    text x=(px(x(rpm).clamp(LEFT, RIGHT - 14.0))) y="124" text-anchor="middle" { (thousands(rpm)) }
                }
                @if let Some(before) = before {
                    path d=(path(before)) fill="none" stroke="var(--grey)" stroke-width="1.8" stroke-linejoin="round" {}
                    @let at = best(before);
                    text.halo.was x=(px(x(at.0).clamp(90.0, 220.0))) y=(px(y(units.torque_value(at.1)) + 20.0)) text-anchor="middle" { "Run " (before.run.number) @if !before.shows.is_empty() { ", " (before.shows) } }
                }
                path d=(path(now)) fill="none" stroke="var(--blue)" stroke-width="1.7" stroke-linejoin="round" {}
                @let at = best(now);
                text.halo.now x=(px(x(at.0).clamp(70.0, 250.0))) y=(px((y(units.torque_value(at.1)) - 8.0).max(9.0))) text-anchor="middle" { "Run " (now.run.number) }
            }
        }
        p.small.faint { "Torque, " (units.torque_unit()) ", " (now.headline.correction) "; scale starts at " (fixed(y0, 0)) }
    }
}

fn thousands_between(from: f64, to: f64) -> Vec<f64> {
    let step = if to - from > 5500.0 { 2000.0 } else { 1000.0 };
    let first = (from / step).ceil() as i64;
    (first..).map(|n| n as f64 * step).take_while(|rpm| *rpm <= to).collect()
}

fn px(v: f64) -> String {
    format!("{v:.1}")
}

/// Figures of the build that counts now, a few of them.
pub(crate) fn facts(state: &AppState, view: &JobView, units: UnitSystem) -> Markup {
    let which = [WhichBuild::Agreed, WhichBuild::AsFound, WhichBuild::AsTold];
    let Some((which, build)) = which.into_iter().find_map(|w| Some((w, view.job.build(w)?))) else {
        return html! { p.small.faint { "The engine is not described yet. " a href={"/jobs/" (view.row.number) "/build"} { "Describe it" } } };
    };
    let name = which.name();
    let Ok(sheet) = state.notebook().engine_sheet(build) else {
        return html! { p.small.beyond { "The description of the engine " (name) " cannot be read any more; the build page says where." } };
    };
    let rows: Vec<Markup> = FIGURES
        .iter()
        .filter_map(|(key, label, kind)| {
            let figure = sheet.figure(key)?;
            Some(html! { div { dt { (label) } dd { (shown(figure.value, figure.u, *kind, units)) } } })
        })
        .collect();
    html! {
        @if rows.is_empty() { p.small.faint { "The description of the engine " (name) " gives no figure yet." } }
        @else { dl.facts { @for row in &rows { (row) } } p.small.faint { "The engine " (name) } }
    }
}

/// Figures shown: key of the engine's sheet, words, and kind.
const FIGURES: [(&str, &str, Kind); 4] = [
    ("displacement_m3", "Swept volume", Kind::Of(Dimension::Volume)),
    ("static_ratio", "Compression", Kind::Ratio),
    ("quench_m", "Squish gap", Kind::Of(Dimension::Length)),
    ("blower_ratio", "Blower ratio", Kind::Plain),
];

#[derive(Debug, Clone, Copy)]
enum Kind {
    Of(Dimension),
    Ratio,
    Plain,
}

fn shown(value: f64, u: Option<f64>, kind: Kind, units: UnitSystem) -> Markup {
    let (value, u, unit) = match kind {
        Kind::Of(dimension) => {
            let unit = units.unit(dimension);
            (unit.from_si(value), u.map(|u| 2.0 * u / unit.scale), unit.symbol)
        }
        Kind::Ratio => (value, u.map(|u| 2.0 * u), ": 1"),
        Kind::Plain => (value, u.map(|u| 2.0 * u), ""),
    };
    match u.filter(|u| *u > 0.0) {
        Some(u) => {
            let (value, spread) = digits_with_uncertainty(value, u);
            html! { (quantity::thousands(&value)) span.unit { " \u{b1}" (spread) " " (unit) } }
        }
        None => {
            html! { (quantity::thousands(&quantity::digits(value, if value.abs() >= 100.0 { 0 } else { 2 }))) span.unit { " " (unit) } }
        }
    }
}
