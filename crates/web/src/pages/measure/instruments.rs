//! The shop's instruments: what each can be trusted with, and until when.

use super::text_page::{TextFault, TextForm, fault, overtaken, refused};
use super::units::{decimals_of, shown, span_in_unit, with_unit};
use crate::accounts::Who;
use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::marks;
use crate::pages::jobs::sent::Sent;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{clock_or_day, count, count_capital};
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use jiff::civil::Date;
use maud::{Markup, html};
use notebook::ShopRegister;
use quantity::{Dimension, UnitSystem};
use record::instrument::{Instrument, Register, Standing, standing, used};

/// The page.
pub(super) async fn page(State(state): State<AppState>, prefs: Prefs) -> Result<Response, Fault> {
    let register = state.notebook().register()?;
    let wrong = register.register.as_ref().err().map(|e| fault(e.line, e.column, &e.what, e.suggestion.as_ref()));
    let text = register.text.clone();
    Ok(draw(&state, &prefs, &register, &text, wrong.as_ref()))
}

/// Keeps the text.
pub(super) async fn save(State(state): State<AppState>, prefs: Prefs, who: Who, sent: Sent) -> Result<Response, Fault> {
    let text = sent.text("text");
    let text = if text.is_empty() { text } else { format!("{text}\n") };
    if let Err(e) = Register::parse(&text) {
        let register = state.notebook().register()?;
        let wrong = fault(e.line, e.column, &e.what, e.suggestion.as_ref());
        return Ok(refused(draw(&state, &prefs, &register, &text, Some(&wrong))));
    }
    let revision = sent.get("revision").parse().unwrap_or(0);
    let (notebook, author) = (state.notebook().clone(), who.name.clone());
    let kept = tokio::task::spawn_blocking(move || notebook.put_register(revision, &text, &author)).await?;
    kept.map_err(|error| overtaken(error, "The register", "/instruments"))?;
    Ok(Redirect::to("/instruments").into_response())
}

fn draw(state: &AppState, prefs: &Prefs, own: &ShopRegister, text: &str, wrong: Option<&TextFault>) -> Response {
    let today = crate::words::date_of(jiff::Timestamp::now());
    let body = html! {
        div.head {
            h1 { "Instruments" }
            p.finding { (finding(own, today)) }
        }
        @if let Ok(register) = &own.register { (table(register, today, prefs.units)) }
        (TextForm {
            id: "register", action: "/instruments", label: "The register as text", text, revision: own.revision,
            fault: wrong, send: "Keep the register",
        }.markup())
        p.quiet { "A reading keeps what its instrument was on the day; a change here changes no sheet that is there." }
        @if let Some((at, author)) = &own.changed { p.faint { "Change " (own.revision) ", " (author) ", " (clock_or_day(at)) } }
    };
    frame::respond(state, prefs, Page { title: "Instruments".to_owned(), place: Place::Instruments, trail: None, body })
}

fn stands(instrument: &Instrument, today: Date) -> Standing {
    standing(&used(instrument, today), today)
}

fn finding(own: &ShopRegister, today: Date) -> Markup {
    let Ok(register) = &own.register else {
        return html! { b { "The register that is kept cannot be read. " } "No sheet can be given an instrument until the text is corrected." };
    };
    let all = register.instruments.len();
    let bad = register.instruments.iter().filter(|i| !matches!(stands(i, today), Standing::InDate { .. })).count();
    html! {
        @if own.revision == 0 { b { "A register to start from: nothing in it is calibrated. " } "Write in the shop\u{2019}s own instruments and keep it." }
        @else if bad == 0 { b { (count_capital(all)) " instruments, all in date." } }
        @else if all == 1 { b { "The one instrument is overdue or never calibrated." } " What it reads is kept and marked." }
        @else { b { (count_capital(bad)) " of " (count(all)) " instruments " (if bad == 1 { "is" } else { "are" }) " overdue or never calibrated." } " What they read is kept and marked." }
    }
}

fn table(register: &Register, today: Date, units: UnitSystem) -> Markup {
    html! {
        div.box tabindex="0" role="region" aria-label="Instruments" { table.instruments {
            thead { tr { th scope="col" { "Instrument" } th scope="col" { "Kind" } th.r scope="col" { "Step" } th.r scope="col" { "Reads \u{b1} (95 %)" } th scope="col" { "Calibrated" } th scope="col" { "Stands" } } }
            tbody { @for instrument in &register.instruments { (row(instrument, today, units)) } }
        } }
    }
}

fn row(instrument: &Instrument, today: Date, units: UnitSystem) -> Markup {
    let stands = stands(instrument, today);
    let last = instrument.calibrations.iter().rev().find(|c| c.on <= today);
    let kind = if instrument.measures == Dimension::Temperature {
        Dimension::TemperatureDifference
    } else {
        instrument.measures
    };
    let amount = |si: f64| {
        // Scales read grams in either system; what a stylus reads is too small for the usual unit.
        let unit = match kind {
            Dimension::Mass => "g",
            Dimension::Length if si < 5e-7 => "\u{b5}m",
            _ => units.unit(kind).symbol,
        };
        let value = span_in_unit(si, kind, unit);
        let first = decimals_of(value);
        // A second digit where there is one: 0.012, but 0.002.
        let fine = (value - shown(value, first).parse::<f64>().unwrap_or(value)).abs() > 0.02 * value;
        with_unit(&shown(value, first + i32::from(fine)), unit)
    };
    html! {
        tr {
            th scope="row" { (instrument.name) @if !instrument.note.is_empty() { p.quiet { (instrument.note) } } }
            td { (instrument.kind) p.quiet { (instrument.standing) } }
            td.r { @if let Some(step) = instrument.step_si { (amount(step)) } @else { "\u{2013}" } }
            td.r { @if let Some(u) = instrument.u_si { (amount(2.0 * u)) } @if let Some(share) = instrument.u_share { @if instrument.u_si.is_some() { br; } (shown(200.0 * share, 1)) " %" } }
            td { @match last {
                Some(last) => { (last.on) @if !last.by.is_empty() { p.quiet { (last.by) @if !last.certificate.is_empty() { ", " (last.certificate) } } } @if !last.as_found.is_empty() { p.quiet { "as found: " (last.as_found) } } },
                None => "\u{2013}",
            } }
            td { @match stands {
                Standing::InDate { .. } => (stands.to_string()),
                _ => span.vd.no { (marks::flag()) (stands.to_string()) },
            } }
        }
    }
}
