//! The dynos of the shop: what is known of each, and how its logs are written.
//!
//! What is known of a dyno is a small text that a person can read and edit. A text that cannot be
//! read is not saved; the page shows it again with the line and column of the fault.

use crate::accounts::InCell;
use crate::cell_text::{self, TextFault};
use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::marks;
use crate::pages::run::take_in_fault;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::units::Units;
use crate::words::{clock_or_day, fixed};
use axum::Form;
use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use maud::{Markup, html};
use pull::cell::{Answers, CellFile};
use pull::setup::Setup;
use serde::Deserialize;
use store::{Dyno, Run};

/// Addresses under `/dynos`.
pub(crate) fn routes() -> Router<AppState> {
    Router::new()
        .route("/dynos", get(list).post(add))
        .route("/dynos/{key}", get(page).post(save))
        .route("/dynos/{key}/text", post(save))
}

async fn list(State(state): State<AppState>, prefs: Prefs) -> Result<Response, Fault> {
    let page = list_page(&state, None)?;
    Ok(frame::respond(&state, &prefs, page))
}

fn list_page(state: &AppState, fault: Option<(&str, &str)>) -> Result<Page, Fault> {
    let dynos = state.store().dynos()?;
    let body = html! {
        div.head {
            h1 { "Dynos" }
            p.finding { "What is known of each dyno, so that a question about its logs is asked once." }
        }
        @if dynos.is_empty() {
            div.empty.hone { p { "No dyno yet" } }
        } @else {
            div.box tabindex="0" role="region" aria-label="Dynos" { table {
                thead { tr { th scope="col" { "Dyno" } th scope="col" { "Load cell checked" } th scope="col" { "Inertia" } th.r scope="col" { "Channels known" } th scope="col" { "Changed" } } }
                tbody { @for dyno in &dynos { (list_row(dyno)) } }
            } }
        }
        form.sec.newdyno #new-dyno method="post" action="/dynos" {
            h2 { "Another dyno" }
            div.row {
                label for="dyno-key" { "Short name" }
                input.field.short #dyno-key name="key" required maxlength="40" autocomplete="off"
                    value=[fault.map(|f| f.1)] aria-invalid=[fault.map(|_| "true")] aria-describedby="dyno-key-hint";
                button.btn type="submit" { "Write its file" }
            }
            @if let Some((words, _)) = fault { div.ask { p.fault #dyno-key-hint { (words) } } } @else { p.quiet #dyno-key-hint { "Letters, digits and dashes, such as north-cell." } }
        }
    };
    Ok(Page { title: "Dynos".to_owned(), place: Place::Dynos, trail: None, body })
}

fn list_row(dyno: &Dyno) -> Markup {
    let cell = cell_text::read(&dyno.cell_toml);
    html! {
        tr {
            th scope="row" { a href={"/dynos/" (dyno.key)} { b { (dyno.key) } } @if let Ok(cell) = &cell { @if !cell.name.is_empty() && cell.name != dyno.key { " " span.quiet { (cell.name) } } } }
            @match &cell {
                Ok(cell) => {
                    td { @match &cell.load_cell { Some(check) => { (check.when) ", " (check.points.len()) " points" }, None => span.faint { "not known" } } }
                    td { @match &cell.inertia { Some(known) => span.said { (known.text) }, None => span.faint { "not known" } } }
                    td.r { (cell.channels.len()) }
                },
                Err(fault) => td.beyond colspan="3" { "cannot be read: " (fault.what) },
            }
            td { (clock_or_day(&dyno.at)) }
        }
    }
}

async fn page(State(state): State<AppState>, prefs: Prefs, Path(key): Path<String>) -> Result<Response, Fault> {
    let dyno = find(&state, &key)?;
    Ok(frame::respond(&state, &prefs, dyno_page(&state, &prefs, &dyno, None)?))
}

fn find(state: &AppState, key: &str) -> Result<Dyno, Fault> {
    state.store().dyno(key)?.ok_or_else(|| Fault::NotThere { address: format!("/dynos/{key}") })
}

fn dyno_page(state: &AppState, prefs: &Prefs, dyno: &Dyno, edited: Option<(&str, &TextFault)>) -> Result<Page, Fault> {
    let cell = cell_text::read(&dyno.cell_toml);
    let text = edited.map_or(dyno.cell_toml.as_str(), |(text, _)| text);
    let history = state.store().dyno_history(&dyno.key)?;
    let body = html! {
        div.head {
            h1 { "Dyno " (dyno.key) }
            p.finding { @match &cell { Ok(cell) => (finding(cell)), Err(fault) => { b { "Its file cannot be read. " } (fault.what) } } }
        }
        div.twocol {
            div {
                @if let Ok(cell) = &cell { (load_cell(cell, Units(prefs.units))) (facts(cell)) (channels(cell)) }
                (changes(&history))
            }
            form.sec.heavy.cellfile #cell-file method="post" action={"/dynos/" (dyno.key) "/text"} {
                h2 { label for="cell-text" { "Its file" } }
                p.quiet { "Runs that are read keep the text they were read with; a new text counts for new runs." }
                input type="hidden" name="revision" value=(dyno.revision);
                @if let Some((_, fault)) = edited {
                    div.banner #cell-fault role="alert" { (marks::flag()) div {
                        p.what { (fault.what) }
                        p { "Line " (fault.line) ", column " (fault.column) ". Nothing was saved; the text below is as you typed it." }
                    } }
                }
                textarea.field #cell-text name="text" spellcheck="false" rows="24"
                    aria-invalid=[edited.map(|_| "true")] aria-describedby=[edited.map(|_| "cell-fault")]
                    data-line=[edited.map(|(_, f)| f.line)] { "\n" (text) }
                div.row { button.btn.main type="submit" { "Keep this text" } }
            }
        }
    };
    Ok(Page { title: format!("Dyno {}", dyno.key), place: Place::Dynos, trail: None, body })
}

fn finding(cell: &CellFile) -> String {
    let check = match &cell.load_cell {
        Some(check) => format!("Load cell checked {}.", check.when),
        None => "No check of the load cell against dead weights is known.".to_owned(),
    };
    let inertia = if cell.inertia.is_some() {
        ""
    } else {
        " The moment of inertia is not known, so sweeps stay without inertia torque."
    };
    format!("{check}{inertia}")
}

fn load_cell(cell: &CellFile, units: Units) -> Markup {
    html! {
        section.sec.heavy {
            h2 { "Load cell" }
            @match &cell.load_cell {
                None => p.quiet { "No check is written down. Hang known weights on the arm, up and down, and write the points into the file." },
                Some(check) => {
                    p { "Checked " b { (check.when) } "; the line found is " @if check.apply { "applied to every run." } @else { "reported and not applied." } }
                    div.box tabindex="0" role="region" aria-label="Points of the check" { table {
                        thead { tr { th.r scope="col" { "Applied" br; (units.torque_unit()) } th.r scope="col" { "Shown going up" } th.r scope="col" { "Off by" } th.r scope="col" { "Shown coming down" } th.r scope="col" { "Off by" } } }
                        tbody { @for point in &check.points { tr {
                            th.r.said scope="row" { (units.0.torque(point.applied_nm, Some(2)).number) }
                            @for shown in [point.up_nm, point.down_nm] {
                                @match shown {
                                    Some(nm) => { td.r.measured { (units.0.torque(nm, Some(2)).number) } td.r { (signed(units.torque_value(nm) - units.torque_value(point.applied_nm))) } },
                                    None => { td.r.faint { "\u{2013}" } td.r.faint { "\u{2013}" } },
                                }
                            }
                        } } }
                    } }
                },
            }
        }
    }
}

fn signed(value: f64) -> String {
    let text = fixed(value, 2);
    if value > 0.0 && text != "0.00" { format!("+{text}") } else { text }
}

fn facts(cell: &CellFile) -> Markup {
    let known = |k: &Option<pull::cell::Known>| k.as_ref().map(|k| format!("{} ({})", k.text, k.origin));
    let rows = [
        ("Name", Some(cell.name.clone()).filter(|n| !n.is_empty())),
        ("Height above the sea", cell.altitude_m.map(|m| format!("{} m", fixed(m, 0)))),
        ("Moment of inertia", known(&cell.inertia)),
        ("Torque arm", known(&cell.arm)),
        ("Decimal mark", cell.decimal.map(|c| if c == ',' { "comma".to_owned() } else { "point".to_owned() })),
        ("Rows per second", cell.rate_hz.map(|r| fixed(r, 1))),
        ("Order of dates", cell.date_order.clone()),
    ];
    html! {
        section.sec.apart { h2 { "The cell" }
            dl.hangs { @for (name, value) in rows { dt { (name) } dd { @match value { Some(value) => (value), None => span.faint { "not known" } } } } }
        }
    }
}

fn channels(cell: &CellFile) -> Markup {
    html! {
        section.sec.apart { h2 { "How it writes" }
            @if cell.channels.is_empty() { p.quiet { "Nothing is remembered yet. Answers on a run\u{2019}s questions page are kept here." } } @else {
                div.box tabindex="0" role="region" aria-label="Channels" { table {
                    thead { tr { th scope="col" { "Column" } th scope="col" { "Stands for" } th scope="col" { "Unit" } th.r scope="col" { "Delay" } } }
                    tbody { @for (name, note) in &cell.channels { tr {
                        th scope="row" { (name) }
                        td { @match (&note.role, note.ignored) { (_, true) => span.faint { "of no interest" }, (Some(role), _) => (role.label()), (None, _) => span.faint { "not settled" } } }
                        td { (note.unit.as_deref().unwrap_or("as the log says")) }
                        td.r { @if let Some(lag) = note.lag_s { (fixed(lag * 1000.0, 0)) " ms" } }
                    } } }
                } }
            }
        }
    }
}

fn changes(history: &[Dyno]) -> Markup {
    html! {
        @if history.len() > 1 {
            section.sec.apart { h2 { "Changes" }
                ol.plainlist { @for old in history.iter().rev() { li { "Change " (old.revision) ", " (clock_or_day(&old.at)) } } }
            }
        }
    }
}

/// A dyno to be made known.
#[derive(Debug, Deserialize)]
struct NewDyno {
    key: String,
}

async fn add(
    State(state): State<AppState>,
    _cell: InCell,
    prefs: Prefs,
    Form(new): Form<NewDyno>,
) -> Result<Response, Fault> {
    let key = new.key.trim().to_lowercase().replace(' ', "-");
    let fits = !key.is_empty() && key.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_'));
    if !fits {
        let words = format!(
            "\u{201c}{}\u{201d} was not taken: letters, digits and dashes are expected, such as north-cell.",
            new.key.trim()
        );
        let mut response = frame::respond(&state, &prefs, list_page(&state, Some((&words, &new.key)))?);
        *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
        return Ok(response);
    }
    if state.store().dyno(&key)?.is_none() {
        let cell = CellFile { name: new.key.trim().to_owned(), ..CellFile::default() };
        state.store().put_dyno(&key, &pull::cell_file::write(&cell, None))?;
    }
    Ok(Redirect::to(&format!("/dynos/{key}")).into_response())
}

/// An edited text.
#[derive(Debug, Deserialize)]
struct EditedText {
    text: String,
    revision: i64,
}

async fn save(
    State(state): State<AppState>,
    _cell: InCell,
    prefs: Prefs,
    Path(key): Path<String>,
    Form(edited): Form<EditedText>,
) -> Result<Response, Fault> {
    let dyno = find(&state, &key)?;
    if dyno.revision != edited.revision {
        return Err(Fault::Overtaken {
            what: format!("The file of dyno {key} was changed elsewhere while this page was open."),
            next: "Your text was not saved, theirs was. Look at it as it is now, then make your change again."
                .to_owned(),
            back: format!("/dynos/{key}"),
        });
    }
    // A form sends line ends as CR LF.
    let text = edited.text.replace("\r\n", "\n");
    if let Err(fault) = cell_text::read(&text) {
        let mut response = frame::respond(&state, &prefs, dyno_page(&state, &prefs, &dyno, Some((&text, &fault)))?);
        *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
        return Ok(response);
    }
    if text != dyno.cell_toml {
        state.store().put_dyno(&key, &text)?;
    }
    Ok(Redirect::to(&format!("/dynos/{key}")).into_response())
}

/// Keeps what was answered and settled for a run's logs with the dyno, so that it is asked once.
pub(crate) async fn remember(
    state: &AppState,
    key: &str,
    run: &Run,
    answers: Answers,
    setup: Setup,
) -> Result<(), Fault> {
    let dyno = find(state, key)?;
    let cell = cell_text::read(&dyno.cell_toml).map_err(|fault| Fault::NotUsable {
        what: format!("The file of dyno {key} cannot be read: {}", fault.what),
        next: "Nothing was changed. Correct the file first.".to_owned(),
        back: format!("/dynos/{key}"),
    })?;
    let (store, run) = (state.store().clone(), run.clone());
    tokio::task::spawn_blocking(move || {
        let mut files = Vec::with_capacity(run.files.len());
        for file in &run.files {
            files.push((file.name.clone(), store.read_file(&file.sha256)?));
        }
        let raw = takein::read_all(&files, &cell, &answers, &|_, _| {}).map_err(|e| take_in_fault(run.number, e))?;
        let learned = takein::learn(&raw, &cell, &answers, &setup);
        let text = pull::cell_file::write(&learned, Some(&dyno.cell_toml));
        if text != dyno.cell_toml {
            store.put_dyno(&dyno.key, &text)?;
        }
        Ok(())
    })
    .await?
}
