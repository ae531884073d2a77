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
    /// The list of jobs itself.
    Jobs,
    /// A page of one job.
    Job,
    /// The list of runs itself.
    Runs,
    /// A page of one run.
    Run,
    /// The dynos.
    Dynos,
    /// What runs are judged by.
    Guards,
    /// The register of instruments.
    Instruments,
    /// Templates of measuring sheets.
    Templates,
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
    /// Pages of the step.
    pub(crate) pages: Vec<StepPage>,
}

/// A page of a step, or of the whole way.
#[derive(Debug, Clone)]
pub(crate) struct StepPage {
    /// Address.
    pub(crate) address: String,
    /// What a person reads.
    pub(crate) words: String,
    /// A count or a state at the right; may be empty.
    pub(crate) aside: String,
    /// It is the page shown.
    pub(crate) here: bool,
}

/// The way of one run or one job, shown in the spine.
#[derive(Debug, Clone)]
pub(crate) struct Trail {
    /// "Run 14", "Job 31".
    pub(crate) name: String,
    /// Its own page.
    pub(crate) address: String,
    /// It is the page shown.
    pub(crate) here: bool,
    /// Name for the narrow bar: "Job 31, 2.4-litre four, blown".
    pub(crate) bar: String,
    /// Dyno and date; engine and purpose.
    pub(crate) about: Vec<String>,
    /// The steps.
    pub(crate) steps: Vec<Step>,
    /// Names of the steps in the narrow bar, where it shows them: short words, one a step.
    pub(crate) short: Vec<&'static str>,
    /// Pages that belong to no single step.
    pub(crate) also: Vec<StepPage>,
}

/// A page to be framed.
#[derive(Debug)]
pub(crate) struct Page {
    /// Title of the window.
    pub(crate) title: String,
    /// Place in the spine.
    pub(crate) place: Place,
    /// Way of the run or the job, on a page of one.
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
        html lang="en" data-theme=[theme] data-who=[prefs.who.as_ref().and_then(|w| w.account.as_deref())] {
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
                        @match &page.trail {
                            Some(trail) if !trail.bar.is_empty() => p.shop.of-job { a href=(trail.address) { (trail.bar) } },
                            _ => p.shop { (shop) },
                        }
                        @if let Some(trail) = page.trail.as_ref().filter(|t| !t.short.is_empty()) { (stage_bar(trail)) }
                        @if let Some(who) = &prefs.who {
                            button.btn.menu type="button" popovertarget="drawer" { "Pages" }
                            // On a wide screen it simply stands there; on a narrow one the button opens it.
                            div.drawer #drawer popover="auto" {
                                nav.pages aria-label="Pages" { (pages(page.place)) }
                                @if let Some(trail) = &page.trail { (trail_markup(trail)) }
                                (foot(prefs, who, page.place == Place::People))
                            }
                            p #saved role="status" data-state="kept" { span.dot {} span.words { (state.saved_words()) } }
                        }
                    }
                    main.sheet #main tabindex="-1" { (page.body) }
                }
            }
        }
    }
}

/// The pages of the shop.
fn pages(place: Place) -> Markup {
    let link = |address: &str, words: &str, here: bool, within: bool| {
        let current = match (here, within) {
            (true, _) => Some("page"),
            (false, true) => Some("true"),
            _ => None,
        };
        html! { li { a.here href=(address) aria-current=[current] { (words) } } }
    };
    html! {
        ul {
            (link("/", "Jobs", place == Place::Jobs, place == Place::Job))
            (link("/runs", "Runs", place == Place::Runs, place == Place::Run))
            (link("/dynos", "Dynos", place == Place::Dynos, false))
            (link("/guards", "Guards", place == Place::Guards, false))
            (link("/instruments", "Instruments", place == Place::Instruments, false))
            (link("/templates", "Sheets", place == Place::Templates, false))
        }
    }
}

fn trail_markup(trail: &Trail) -> Markup {
    html! {
        nav.trail aria-label=(format!("{}, its way", trail.name)) {
            p { a href=(trail.address) aria-current=[trail.here.then_some("page")] { (trail.name) } @for line in &trail.about { span { (line) } } }
            ol {
                @for step in &trail.steps {
                    li class=(class_of(step.state)) {
                        (marks::node(step.state))
                        div.step { (step.name) span { (step.aside) } }
                        @for page in &step.pages { (step_page(page)) }
                    }
                }
            }
            @if !trail.also.is_empty() { ul.also { @for page in &trail.also { li { (step_page(page)) } } } }
        }
    }
}

fn class_of(state: StepState) -> &'static str {
    match state {
        StepState::Done => "done",
        StepState::Now => "now",
        StepState::ToDo => "todo",
    }
}

fn step_page(page: &StepPage) -> Markup {
    html! {
        a.here href=(page.address) aria-current=[page.here.then_some("page")] {
            (page.words)
            @if !page.aside.is_empty() { span { (page.aside) } }
        }
    }
}

/// The steps in one line for the narrow bar; each leads to its first page.
fn stage_bar(trail: &Trail) -> Markup {
    html! {
        nav.stages aria-label=(format!("Stages of {}", trail.name)) {
            ol {
                @for (step, short) in trail.steps.iter().zip(&trail.short) {
                    @let within = step.pages.iter().any(|p| p.here);
                    li class=(class_of(step.state)) {
                        a href=(step.pages.first().map_or(trail.address.as_str(), |p| p.address.as_str())) aria-current=[within.then_some("true")] {
                            (marks::node(step.state)) (short)
                            @match step.state { StepState::Done => span.away { ", done" }, StepState::Now => span.away { ", now" }, StepState::ToDo => {} }
                        }
                    }
                }
            }
        }
    }
}

fn foot(prefs: &Prefs, who: &Who, among_people: bool) -> Markup {
    let pressed = |yes: bool| if yes { "true" } else { "false" };
    html! {
        div.foot {
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
            a.of-marks href="/marks" { "What the marks mean" }
            form method="post" action="/prefs" aria-label="Light or dark" {
                input type="hidden" name="back" value=(prefs.here);
                button name="paper" value="light" aria-pressed=(pressed(prefs.paper == Paper::Light)) { "Light" }
                button name="paper" value="dark" aria-pressed=(pressed(prefs.paper == Paper::Dark)) { "Dark" }
                button name="paper" value="machine" aria-pressed=(pressed(prefs.paper == Paper::Machine)) { "As the machine" }
            }
        }
    }
}
