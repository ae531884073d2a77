//! Sheet templates: those that come with the program, and the shop's own.

use super::text_page::{TextFault, TextForm, fault, overtaken, refused};
use crate::accounts::Who;
use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::pages::jobs::sent::Sent;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::clock_or_day;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use notebook::ShopTemplate;
use record::sheet::{Template, formulas};

/// Key under which a new template is opened.
const NEW: &str = "new";

/// The list.
pub(super) async fn page(State(state): State<AppState>, prefs: Prefs) -> Result<Response, Fault> {
    let all = state.notebook().templates()?;
    let own = all.iter().filter(|t| t.changed.is_some()).count();
    let body = html! {
        div.head {
            h1 { "Sheets" }
            p.finding { "Templates of measuring sheets. " @if own == 0 { "A shop changes them or adds its own; a sheet that was begun keeps the template it was begun from." } @else { b { (own) " of them the shop\u{2019}s own." } } }
            div.acts { a.btn.main href="/templates/new" { "Write one" } }
        }
        div.box tabindex="0" role="region" aria-label="Templates" { table.runs {
            thead { tr { th scope="col" { "Sheet" } th scope="col" { "What it is for" } th scope="col" { "Whose" } } }
            tbody { @for template in &all { (row(template)) } }
        } }
    };
    Ok(frame::respond(&state, &prefs, Page { title: "Sheets".to_owned(), place: Place::Templates, trail: None, body }))
}

fn row(template: &ShopTemplate) -> Markup {
    let address = format!("/templates/{}", template.key);
    html! {
        tr {
            @match &template.template {
                Ok(it) => { td.name { a href=(address) { (it.title) } } td { (it.about) } },
                Err(error) => { td.name { a href=(address) { (template.key) } } td { p.beyond { "Cannot be read: " (error.to_string()) } } },
            }
            td { @match &template.changed {
                Some((at, author)) => { "the shop\u{2019}s" @if template.replaces_shipped { ", in place of one that comes along" } p.quiet { (author) ", " (clock_or_day(at)) } },
                None => span.quiet { "comes with the program" },
            } }
        }
    }
}

/// One template as text.
pub(super) async fn one(
    State(state): State<AppState>,
    Path(key): Path<String>,
    prefs: Prefs,
) -> Result<Response, Fault> {
    if key == NEW {
        // A whole template is a better start than an empty field.
        let text =
            record::sheet::shipped().iter().find(|t| t.key == "end_play").map_or(String::new(), |t| t.text.clone());
        return Ok(draw(&state, &prefs, NEW, None, &text, None));
    }
    let found =
        state.notebook().template(&key)?.ok_or_else(|| Fault::NotThere { address: format!("/templates/{key}") })?;
    let wrong = found.template.as_ref().err().map(|e| fault(e.line, e.column, &e.what, e.suggestion.as_ref()));
    let text = found.text.clone();
    Ok(draw(&state, &prefs, &key, Some(&found), &text, wrong.as_ref()))
}

/// Keeps a template; the key is the one in the text.
pub(super) async fn save(
    State(state): State<AppState>,
    Path(key): Path<String>,
    prefs: Prefs,
    who: Who,
    sent: Sent,
) -> Result<Response, Fault> {
    let text = sent.text("text");
    let text = if text.is_empty() { text } else { format!("{text}\n") };
    let there = state.notebook().template(&key)?;
    let own = there.as_ref().is_some_and(|t| t.changed.is_some());
    let template = match Template::parse(&text) {
        Ok(template) => Some(template),
        // Only the shop's own can be taken away.
        Err(_) if text.is_empty() && own => None,
        Err(e) => {
            let wrong = fault(e.line, e.column, &e.what, e.suggestion.as_ref());
            return Ok(refused(draw(&state, &prefs, &key, there.as_ref(), &text, Some(&wrong))));
        }
    };
    let under = template.map_or_else(|| key.clone(), |t| t.key);
    let expected = if under == key {
        sent.get("revision").parse().unwrap_or(0)
    } else if state.notebook().template(&under)?.is_some() {
        let wrong = fault(
            1,
            1,
            &format!("there is a template `{under}` already"),
            Some(&"give this one another key, or change that one".to_owned()),
        );
        return Ok(refused(draw(&state, &prefs, &key, there.as_ref(), &text, Some(&wrong))));
    } else {
        0
    };
    let (notebook, author) = (state.notebook().clone(), who.name.clone());
    let kept = tokio::task::spawn_blocking(move || notebook.put_template(&under, expected, &text, &author)).await?;
    kept.map_err(|error| overtaken(error, "This template", &format!("/templates/{key}")))?;
    Ok(Redirect::to("/templates").into_response())
}

fn draw(
    state: &AppState,
    prefs: &Prefs,
    key: &str,
    found: Option<&ShopTemplate>,
    text: &str,
    wrong: Option<&TextFault>,
) -> Response {
    let title = found
        .and_then(|t| t.template.as_ref().ok())
        .map_or_else(|| "A sheet of the shop\u{2019}s own".to_owned(), |t| t.title.clone());
    let action = format!("/templates/{key}");
    let body = html! {
        div.head {
            h1 { (title) }
            p.finding {
                @if key == NEW { "Begin with this one and change it; give it a key of its own." }
                @else if found.is_some_and(|t| t.changed.is_some()) { "The shop\u{2019}s own. Sheets that were begun from it keep the text they were begun with. An empty text takes it away." }
                @else { "Comes with the program. What you keep here takes its place in this shop." }
            }
        }
        (TextForm {
            id: "template-text", action: &action, label: "The template as text", text,
            revision: found.map_or(0, |t| t.revision), fault: wrong, send: "Keep the template",
        }.markup())
        details.fold { summary { "Formulas that a worked-out row can name" }
            ul.formulas { @for formula in formulas() { li { b { (formula.name) } " " (formula.about) } } }
        }
    };
    frame::respond(state, prefs, Page { title, place: Place::Templates, trail: None, body })
}
