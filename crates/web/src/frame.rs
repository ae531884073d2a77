//! The frame around every page: spine with pages and saved state, ruled margin, sheet.

use crate::accounts::Who;
use crate::marks;
use crate::prefs::{Paper, Prefs};
use crate::state::AppState;
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Response};
use maud::{DOCTYPE, Markup, html};
use quantity::UnitSystem;

/// Which page of the spine a page belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Place {
    /// The list of runs itself.
    Runs,
    /// A page of one run.
    Run,
    /// The dynos.
    Dynos,
    /// What runs are judged by.
    Guards,
    /// Who works here.
    People,
    /// Neither.
    None,
}

/// How far a step of a run has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum StepState {
    /// Behind us.
    Done,
    /// Here.
    Now,
    /// To come.
    ToDo,
}

/// A step of a run in the spine.
#[derive(Debug, Clone)]
pub(crate) struct Step {
    /// Name of the step.
    pub(crate) name: String,
    /// Date or count at the right.
    pub(crate) aside: String,
    /// How far it has come.
    pub(crate) state: StepState,
    /// Page of the step: address, words, and whether it is the page shown.
    pub(crate) page: Option<(String, String, bool)>,
}

/// The way of one run, shown in the spine.
#[derive(Debug, Clone)]
pub(crate) struct Trail {
    /// "Run 14".
    pub(crate) name: String,
    /// Dyno and date.
    pub(crate) about: Vec<String>,
    /// The steps.
    pub(crate) steps: Vec<Step>,
}

/// A page to be framed.
#[derive(Debug)]
pub(crate) struct Page {
    /// Title of the window.
    pub(crate) title: String,
    /// Place in the spine.
    pub(crate) place: Place,
    /// Way of the run, on a page of a run.
    pub(crate) trail: Option<Trail>,
    /// What stands on the sheet.
    pub(crate) body: Markup,
}

/// Frames a page and makes an answer of it.
pub(crate) fn respond(state: &AppState, prefs: &Prefs, page: Page) -> Response {
    let markup = whole(state, prefs, page);
    (StatusCode::OK, [(header::VARY, "Cookie")], Html(markup.into_string())).into_response()
}

fn whole(state: &AppState, prefs: &Prefs, page: Page) -> Markup {
    let theme = match prefs.paper {
        Paper::Machine => None,
        Paper::Light => Some("light"),
        Paper::Dark => Some("dark"),
    };
    let shop = state.shop_name();
    html! {
        (DOCTYPE)
        html lang="en" data-theme=[theme] {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width,initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (page.title) " \u{b7} " (shop) }
                link rel="icon" href=(marks::ICON);
                link rel="stylesheet" href=(state.assets().address("style.css"));
                script type="module" src=(state.assets().address("page.js")) {}
            }
            body {
                a.skip href="#main" { "To the page" }
                div.frame {
                    header.spine {
                        a.mark href="/" { (marks::plateau()) "Plateau" }
                        p.shop { (shop) }
                        @if prefs.who.is_some() { nav.pages aria-label="Pages" {
                            ul {
                                li { (page_link("/", "Runs", page.place == Place::Runs, page.place == Place::Run)) }
                                li { (page_link("/dynos", "Dynos", page.place == Place::Dynos, false)) }
                                li { (page_link("/guards", "Guards", page.place == Place::Guards, false)) }
                            }
                        } }
                        @if let Some(trail) = &page.trail { (trail_markup(trail)) }
                        @if let Some(who) = &prefs.who { (foot(state, prefs, who, page.place == Place::People)) }
                    }
                    main.sheet #main tabindex="-1" { (page.body) }
                }
            }
        }
    }
}

fn page_link(address: &str, words: &str, here: bool, within: bool) -> Markup {
    let current = if here {
        Some("page")
    } else if within {
        Some("true")
    } else {
        None
    };
    html! { a.here href=(address) aria-current=[current] { (words) } }
}

fn trail_markup(trail: &Trail) -> Markup {
    html! {
        nav.trail aria-label=(format!("{}, its way", trail.name)) {
            p { b { (trail.name) } @for line in &trail.about { span { (line) } } }
            ol {
                @for step in &trail.steps {
                    li class=(match step.state { StepState::Done => "done", StepState::Now => "now", StepState::ToDo => "todo" }) {
                        (marks::node(step.state))
                        div.step { (step.name) span { (step.aside) } }
                        @if let Some((address, words, here)) = &step.page {
                            a.here href=(address) aria-current=[here.then_some("page")] { (words) }
                        }
                    }
                }
            }
        }
    }
}

fn foot(state: &AppState, prefs: &Prefs, who: &Who, among_people: bool) -> Markup {
    let pressed = |yes: bool| if yes { "true" } else { "false" };
    html! {
        div.foot {
            p #saved role="status" data-state="kept" { span.dot {} span.words { (state.saved_words()) } }
            div.person {
                a href="/people" aria-current=[among_people.then_some("page")] { (who.shown()) }
                @if who.account.is_some() {
                    form method="post" action="/sign-out" { button type="submit" { "Sign out" } }
                }
            }
            form method="post" action="/prefs" aria-label="Units" {
                input type="hidden" name="back" value=(prefs.here);
                button name="units" value="metric" aria-pressed=(pressed(prefs.units == UnitSystem::Metric)) { "N\u{b7}m, kW, \u{b0}C" }
                button name="units" value="us" aria-pressed=(pressed(prefs.units == UnitSystem::UsCustomary)) { "lb-ft, hp, \u{b0}F" }
            }
            form method="post" action="/prefs" aria-label="Light or dark" {
                input type="hidden" name="back" value=(prefs.here);
                button name="paper" value="light" aria-pressed=(pressed(prefs.paper == Paper::Light)) { "Light" }
                button name="paper" value="dark" aria-pressed=(pressed(prefs.paper == Paper::Dark)) { "Dark" }
                button name="paper" value="machine" aria-pressed=(pressed(prefs.paper == Paper::Machine)) { "As the machine" }
            }
        }
    }
}
