//! The runs of the shop, what each one says first, and the place where logs are brought in.

use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::marks;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::units::Units;
use crate::words::{count, day, fixed, thousands};
use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};
use quantity::{Dimension, digits_with_uncertainty};
use store::{Dyno, Run, RunState};
use takein::Headline;

pub(crate) use super::bring::bring;

/// The page.
pub(crate) async fn list(State(state): State<AppState>, prefs: Prefs) -> Result<Response, Fault> {
    let page = list_page(&state, &prefs, None)?;
    Ok(frame::respond(&state, &prefs, page))
}

/// The page, with a banner over the list when something was not taken.
pub(crate) fn list_page(state: &AppState, prefs: &Prefs, banner: Option<Markup>) -> Result<Page, Fault> {
    let runs = state.store().runs()?;
    let dynos = state.store().dynos()?;
    let body = html! {
        div.head {
            h1 { "Runs" }
            p.finding { (finding(&runs)) }
        }
        (drop_zone(&dynos, banner))
        @if runs.is_empty() { (nothing_yet()) } @else { (table(&runs, prefs)) }
    };
    Ok(Page { title: "Runs".to_owned(), place: Place::Runs, trail: None, body })
}

/// What the list says first.
fn finding(runs: &[Run]) -> Markup {
    let asking = runs.iter().filter(|r| r.state == RunState::Asking).count();
    let open = runs.iter().filter(|r| r.state == RunState::Ready && r.accepted.is_none()).count();
    let verb = |n: usize, one: &'static str, more: &'static str| if n == 1 { one } else { more };
    html! {
        @match runs.len() {
            0 => "A run begins with its logs, as the dyno wrote them.",
            n => {
                @if asking > 0 {
                    b { (capital(&count(asking))) " " (verb(asking, "run asks", "runs ask")) } " something before a curve can be drawn. "
                }
                @if open > 0 {
                    (capital(&count(open))) " " (verb(open, "is", "are")) " read and not accepted yet. "
                }
                @if asking == 0 && open == 0 { "All " (count(n)) " accepted." }
            }
        }
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// The place where logs are brought in. Works as a plain form.
fn drop_zone(dynos: &[Dyno], banner: Option<Markup>) -> Markup {
    html! {
        bring-log {
            form #bring method="post" action="/runs" enctype="multipart/form-data" aria-labelledby="bring-title" {
                div {
                    h2 #bring-title { "Bring in a log" }
                    p.quiet { "Drop the files of one run anywhere on this page, or choose them. Each is kept byte for byte." }
                    div.more {
                        input type="file" name="logs" multiple required aria-label="Logs of one run" accept=".csv,.txt,.tsv,.log,.dat,.mf4,.mdf,text/csv,text/plain";
                        @if !dynos.is_empty() {
                            label for="bring-dyno" { "Dyno" }
                            select.field #bring-dyno name="dyno" {
                                @if dynos.len() > 1 { option value="" { "not said" } }
                                @for dyno in dynos { option value=(dyno.key) { (dyno_name(dyno)) } }
                                @if dynos.len() == 1 { option value="" { "not said" } }
                            }
                        }
                    }
                }
                button.btn.main type="submit" { "Bring in" }
                div.going hidden role="status" { progress aria-label="How far the logs have come" {} span.words {} }
            }
            @if let Some(banner) = banner { (banner) }
        }
    }
}

/// The name in its file, or else its key.
fn dyno_name(dyno: &Dyno) -> String {
    crate::cell_text::read(&dyno.cell_toml)
        .map(|cell| cell.name)
        .ok()
        .filter(|n| !n.is_empty())
        .unwrap_or_else(|| dyno.key.clone())
}

fn nothing_yet() -> Markup {
    html! { div.empty.hone { p { "No runs yet" } } }
}

fn table(runs: &[Run], prefs: &Prefs) -> Markup {
    let units = Units(prefs.units);
    let lines: Vec<(&Run, Headline)> = runs.iter().map(|run| (run, Headline::from_json(&run.headline_json))).collect();
    let scale = Scale::over(&lines);
    html! {
        div.box tabindex="0" role="region" aria-label="Runs, newest first" {
            table.runs {
                thead { tr {
                    th.no scope="col" { "No." }
                    th scope="col" { "Run" }
                    th.r scope="col" { "Average torque" br; (units.torque_unit()) }
                    th.r scope="col" { "Average power" br; (units.power_unit()) }
                    th.plat scope="col" { (scale.words()) }
                    th scope="col" { "State" }
                } }
                tbody {
                    @for (run, headline) in &lines {
                        tr {
                            td.no { (run.number) }
                            th.name scope="row" {
                                a href=(address(run)) { (run.title) }
                                p { (says(run, headline)) }
                                small { (day(&run.received_at)) @if let Some(dyno) = &run.dyno { ", " (dyno) } }
                            }
                            (figures(headline, units))
                            td.plat { (scale.curve(headline)) }
                            td.state { (state_mark(run, headline)) }
                        }
                    }
                }
            }
        }
    }
}

fn address(run: &Run) -> String {
    match run.state {
        RunState::Asking => format!("/runs/{}/questions", run.number),
        RunState::Ready => format!("/runs/{}", run.number),
    }
}

/// Mean torque with its ±, and mean power, with the digits that the ± supports. The power's own ± is not
/// kept for lists; its digits follow the torque's share.
fn figures(headline: &Headline, units: Units) -> Markup {
    let none = || html! { td.r { span.faint { "\u{2013}" } } };
    let Some(torque) = headline.mean_torque_nm else { return html! { (none()) (none()) } };
    let expanded = headline.mean_torque_expanded_nm.unwrap_or(0.0);
    let with = |dimension, value: f64, u: f64| {
        let unit = units.0.unit(dimension);
        let (value, u) = digits_with_uncertainty(unit.from_si(value), u / unit.scale);
        (value, u)
    };
    let (value, spread) = with(Dimension::Torque, torque, expanded);
    html! {
        td.r { span.big { (value) } span.pm { @if expanded > 0.0 { "\u{b1}" (spread) } @else { "spread not known" } } }
        @match headline.mean_power_w {
            Some(w) => td.r { span.big { (with(Dimension::Power, w, w * expanded / torque).0) } },
            None => (none()),
        }
    }
}

/// The finding of a run in one line.
fn says(run: &Run, headline: &Headline) -> String {
    if run.state == RunState::Asking {
        return match headline.questions {
            1 => "One question stands before the curve.".to_owned(),
            n => format!("{} questions stand before the curve.", capital(&count(n))),
        };
    }
    let mut parts = Vec::new();
    if let (Some(from), Some(to)) = (headline.band_from_rpm, headline.band_to_rpm) {
        let pulls = if headline.pulls == 1 {
            "One pull".to_owned()
        } else {
            format!("{} pulls", capital(&count(headline.pulls)))
        };
        parts.push(format!("{pulls} over {} to {} rpm", thousands(from), thousands(to)));
    }
    if let Some(spread) = headline.mean_spread {
        parts.push(format!("they differ by {} % on average", fixed(spread * 100.0, 1)));
    }
    if !headline.correction.is_empty() {
        parts.push(headline.correction.clone());
    }
    let mut text = parts.join(", ");
    if !text.is_empty() {
        text.push('.');
    }
    match headline.flags {
        0 => {}
        1 => text.push_str(" One flag."),
        n => text.push_str(&format!(" {} flags.", capital(&count(n)))),
    }
    if headline.still_climbing {
        text.push_str(" Power still climbed at the end.");
    }
    text
}

fn state_mark(run: &Run, headline: &Headline) -> Markup {
    match (&run.accepted, run.state) {
        (_, RunState::Asking) => {
            html! { span.state-mark { (marks::asks()) @if headline.questions == 1 { "asks once" } @else { "asks" } } }
        }
        (Some(accepted), _) => {
            html! { span.state-mark { (marks::accepted()) "accepted" } br; small.faint { (crate::words::short_day(&accepted.when)) } }
        }
        (None, RunState::Ready) => html! { span.state-mark { (marks::ready()) "ready" } },
    }
}

/// One scale of speed for the small curves of all runs. The height is the share of the run's own best
/// torque, from 60 %, so that a plateau looks the same in every engine.
struct Scale {
    rpm: (f64, f64),
}

const WIDE: f64 = 190.0;
const HIGH: f64 = 44.0;
/// Foot of the small curves, as a share of best torque.
const FOOT: f64 = 0.6;

impl Scale {
    fn over(lines: &[(&Run, Headline)]) -> Self {
        let points = || lines.iter().flat_map(|(_, headline)| headline.curve.iter());
        let low = points().map(|p| p.0).fold(f64::INFINITY, f64::min);
        let high = points().map(|p| p.0).fold(f64::NEG_INFINITY, f64::max);
        let rpm = if high > low { ((low / 500.0).floor() * 500.0, (high / 500.0).ceil() * 500.0) } else { (0.0, 0.0) };
        Self { rpm }
    }

    fn words(&self) -> Markup {
        html! {
            "Torque, " (fixed(FOOT * 100.0, 0)) " to 100 % of best,"
            @if self.rpm.1 > self.rpm.0 { br; "over " (thousands(self.rpm.0)) " to " (thousands(self.rpm.1)) " rpm" }
        }
    }

    fn curve(&self, headline: &Headline) -> Markup {
        let span = self.rpm.1 - self.rpm.0;
        let best = headline.curve.iter().map(|p| p.1).fold(0.0, f64::max);
        let foot = || html! { line x1="0" x2=(WIDE) y1=(HIGH - 0.5) y2=(HIGH - 0.5) stroke="var(--edge)" {} };
        let view = format!("0 0 {WIDE} {HIGH}");
        if headline.curve.len() < 2 || span <= 0.0 || best <= 0.0 {
            return html! { svg.mini width=(WIDE) height=(HIGH) viewBox=(view) aria-hidden="true" { (foot()) } };
        }
        let x = |rpm: f64| (rpm - self.rpm.0) / span * WIDE;
        let y = |torque: f64| HIGH - 1.0 - (torque / best - FOOT) / (1.0 - FOOT) * (HIGH - 6.0);
        let mut path = String::new();
        for (i, (rpm, torque)) in headline.curve.iter().enumerate() {
            path.push_str(&format!("{}{:.1} {:.1}", if i == 0 { "M" } else { "L" }, x(*rpm), y(*torque)));
        }
        let band = headline.band_from_rpm.zip(headline.band_to_rpm);
        html! { svg.mini width=(WIDE) height=(HIGH) viewBox=(view) aria-hidden="true" {
            @if let Some((from, to)) = band {
                @let (from, to) = (x(from).max(0.0), x(to).min(WIDE));
                rect x=(fixed_point(from)) y="0" width=(fixed_point((to - from).max(0.0))) height=(HIGH) fill="var(--raised)" {}
                line x1=(fixed_point(from)) x2=(fixed_point(to)) y1="0.5" y2="0.5" stroke="var(--ink)" {}
            }
            (foot())
            path d=(path) fill="none" stroke="var(--blue)" stroke-width="1.7" stroke-linejoin="round" {}
        } }
    }
}

/// A coordinate to a tenth of a pixel.
fn fixed_point(v: f64) -> String {
    format!("{v:.1}")
}
