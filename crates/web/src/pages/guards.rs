//! What runs are judged by: the guard rules in force, the shop's own text over them, and how far pulls
//! may differ. A text that cannot be read is not kept; the page shows it again with the place of the fault.

use crate::accounts::InCell;
use crate::cell_text::TextFault;
use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::marks;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{clock_or_day, fixed};
use axum::Form;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use maud::{Markup, html};
use pull::guard::{self, Limit, Rule, Rules, RulesError};
use pull::setup::Setup;
use serde::Deserialize;
use store::Setting;
use takein::TakeInError;

/// Addresses under `/guards`.
pub(crate) fn routes() -> Router<AppState> {
    Router::new()
        .route("/guards", get(page))
        .route("/guards/text", post(save))
        .route("/guards/repeat", post(save_repeat))
}

/// What could not be taken, to be shown again in its place.
#[derive(Default)]
struct Refused<'a> {
    text: Option<(&'a str, &'a TextFault)>,
    repeat: Option<(&'a str, String)>,
}

/// What the shop has of its own.
struct Own {
    text: Option<Setting>,
    history: Vec<Setting>,
    /// All rules in force, and those of the shop's text alone; the fault when it cannot be read.
    rules: Result<(Rules, Rules), TextFault>,
    repeat: f64,
}

impl Own {
    fn of(state: &AppState) -> Result<Self, Fault> {
        let store = state.store();
        let text = takein::guard_text(store)?;
        let kept = text.as_ref().map_or("", |s| s.value.as_str());
        let rules = Rules::parse(kept).and_then(|own| Ok((Rules::over_shipped(kept, "")?, own)));
        let limit = match takein::repeat_limit(store) {
            Ok(limit) => limit,
            Err(TakeInError::Store(error)) => return Err(error.into()),
            // Written by another hand; keeping a limit here puts it right.
            Err(_) => None,
        };
        Ok(Self {
            rules: rules.map_err(text_fault),
            history: takein::guard_history(store)?,
            repeat: limit.unwrap_or_else(|| Setup::default().repeat_limit),
            text,
        })
    }

    fn revision(&self) -> i64 {
        self.text.as_ref().map_or(0, |s| s.revision)
    }
}

fn text_fault(error: RulesError) -> TextFault {
    let suggestion = error.suggestion.as_ref().map_or_else(String::new, |s| format!("; {s}"));
    let what = format!("{}{suggestion}", error.what);
    let end = if what.ends_with(['.', '?']) { "" } else { "." };
    TextFault { what: format!("{what}{end}"), line: error.line, column: error.column }
}

async fn page(State(state): State<AppState>, prefs: Prefs) -> Result<Response, Fault> {
    let own = Own::of(&state)?;
    Ok(frame::respond(&state, &prefs, whole(&own, &Refused::default())))
}

fn whole(own: &Own, refused: &Refused<'_>) -> Page {
    let body = html! {
        div.head {
            h1 { "Guards" }
            p.finding { (finding(own)) }
            p.quiet { "On this page: " a href="#guards-file" { "the shop\u{2019}s own rules" } ", " a href="#repeat" { "how far pulls may differ" } "." }
        }
        div.twocol {
            div {
                @match &own.rules {
                    Ok((rules, theirs)) => (in_force(rules, theirs)),
                    Err(fault) => div.banner role="alert" { (marks::flag()) div {
                        p.what { "The rules that are kept cannot be read: " (fault.what) }
                        p { "Line " (fault.line) ", column " (fault.column) ". No run can be judged until the text is corrected." }
                    } },
                }
                (repeat_form(own, refused.repeat.as_ref()))
                (changes(&own.history))
            }
            (text_form(own, refused.text))
        }
    };
    Page { title: "Guards".to_owned(), place: Place::Guards, trail: None, body }
}

fn finding(own: &Own) -> Markup {
    let count = own.rules.as_ref().map(|(rules, theirs)| {
        let ours = rules.in_force().filter(|r| is_own(theirs, r)).count();
        (rules.in_force().count(), ours, rules.off.len())
    });
    html! {
        @if let Ok((all, ours, off)) = count {
            b { (all) " rules are in force, " (ours) " of them the shop\u{2019}s own" @if off > 0 { "; " (off) " switched off" } "." } " "
        }
        "They look at a log after the event. They never replace the hard-wired stop."
    }
}

fn is_own(theirs: &Rules, rule: &Rule) -> bool {
    theirs.rules.iter().any(|own| own.key == rule.key)
}

fn in_force(rules: &Rules, theirs: &Rules) -> Markup {
    html! {
        section.sec.heavy {
            h2 { "Rules in force" }
            div.box tabindex="0" role="region" aria-label="Rules in force" { table.rules {
                thead { tr { th scope="col" { "Rule" } th scope="col" { "Warn" } th scope="col" { "Abort" } th scope="col" { "Source" } } }
                tbody { @for rule in &rules.rules { (row(rules, theirs, rule)) } }
            } }
            p.quiet { "Besides these, " (rules.sensors.len()) " sensors are checked for values that cannot be, and lambda is held against a table where the log has no target. Both can be replaced in the text, too." }
        }
    }
}

fn row(rules: &Rules, theirs: &Rules, rule: &Rule) -> Markup {
    let off = rules.off.contains(&rule.key);
    html! {
        tr #{"rule-" (rule.key)} {
            th scope="row" {
                code { (rule.key) }
                @if is_own(theirs, rule) { " " span.said { "the shop\u{2019}s own" } }
                @if off { " " span.beyond { "switched off" } }
                br; span.quiet.plain { (guard::words(rule)) }
            }
            td { (level(rule.warn.as_ref())) }
            td { (level(rule.abort.as_ref())) }
            td { span.quiet { (rule.source) } }
        }
    }
}

fn level(limit: Option<&Limit>) -> Markup {
    html! {
        @match limit {
            Some(limit) => { (together(&limit.words())) @if limit.hold_s > 0.0 { br; span.unit { "for\u{a0}" (limit.hold_s) "\u{a0}s" } } },
            None => span.faint { "\u{2013}" },
        }
    }
}

/// A number stays on one line with its percent sign.
fn together(text: &str) -> String {
    text.replace(" %", "\u{a0}%")
}

fn repeat_form(own: &Own, refused: Option<&(&str, String)>) -> Markup {
    let percent = (own.repeat * 1e6).round() / 1e4;
    html! {
        form.sec.apart #repeat method="post" action="/guards/repeat" {
            h2 { "How far pulls may differ" }
            div.row {
                label for="repeat-limit" { "Pulls may differ by" }
                input.field.short #repeat-limit name="percent" inputmode="decimal" maxlength="12" autocomplete="off" required
                    value=(refused.map_or_else(|| percent.to_string(), |(text, _)| (*text).to_owned()))
                    aria-invalid=[refused.map(|_| "true")] aria-describedby="repeat-hint";
                span { "%" }
                button.btn type="submit" { "Keep this limit" }
            }
            @if let Some((_, why)) = refused { div.ask { p.fault #repeat-hint { (why) } } } @else {
                p.quiet #repeat-hint { "The mean over the band of the spread between pulls of one run. A run with more is said not to repeat." }
            }
        }
    }
}

fn changes(history: &[Setting]) -> Markup {
    html! {
        @if !history.is_empty() {
            section.sec.apart { h2 { "Changes" }
                ol.plainlist { @for old in history.iter().rev() { li { "Change " (old.revision) ", " (clock_or_day(&old.at)) } } }
            }
        }
    }
}

fn text_form(own: &Own, refused: Option<(&str, &TextFault)>) -> Markup {
    let kept = own.text.as_ref().map_or("", |s| s.value.as_str());
    let text = refused.map_or(kept, |(text, _)| text);
    html! {
        div {
            form.sec.heavy.cellfile #guards-file method="post" action="/guards/text" {
                h2 { label for="guards-text" { "The shop\u{2019}s own rules" } }
                p.quiet { "A rule with the key of one of the tool\u{2019}s takes its place; others are added; " code { "off = true" } " switches one off. What is kept counts for every run, older ones too." }
                input type="hidden" name="revision" value=(own.revision());
                @if let Some((_, fault)) = refused {
                    div.banner #guards-fault role="alert" { (marks::flag()) div {
                        p.what { (fault.what) }
                        p { "Line " (fault.line) ", column " (fault.column) ". Nothing was saved; the text below is as you typed it." }
                    } }
                }
                textarea.field #guards-text name="text" spellcheck="false" rows="24"
                    aria-invalid=[refused.map(|_| "true")] aria-describedby=[refused.map(|_| "guards-fault")]
                    data-line=[refused.map(|(_, f)| f.line)] { "\n" (text) }
                div.row.apart { button.btn.main type="submit" { "Keep these rules" } }
            }
            @if let Ok(list) = guard::list(kept) {
                details.fold #guards-list {
                    summary { "All rules as text " span { "to copy from" } }
                    div.box.scroll tabindex="0" role="region" aria-label="All rules as text" { pre { (list) } }
                }
            }
        }
    }
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
    Form(edited): Form<EditedText>,
) -> Result<Response, Fault> {
    let own = Own::of(&state)?;
    if own.revision() != edited.revision {
        return Err(Fault::Overtaken {
            what: "The shop\u{2019}s guard rules were changed elsewhere while this page was open.".to_owned(),
            next: "Your text was not saved, theirs was. Look at it as it is now, then make your change again."
                .to_owned(),
            back: "/guards".to_owned(),
        });
    }
    // A form sends line ends as CR LF.
    let text = edited.text.replace("\r\n", "\n");
    match takein::set_guards(state.store(), "the text", &text) {
        Ok(_) => Ok(Redirect::to("/guards").into_response()),
        Err(TakeInError::BadGuards { error, .. }) => {
            let fault = text_fault(error);
            Ok(refuse(&state, &prefs, &own, &Refused { text: Some((&text, &fault)), ..Refused::default() }))
        }
        Err(TakeInError::Store(error)) => Err(error.into()),
        Err(other) => Err(Fault::Ours { what: other.to_string() }),
    }
}

/// How far pulls may differ, as typed.
#[derive(Debug, Deserialize)]
struct RepeatForm {
    percent: String,
}

async fn save_repeat(
    State(state): State<AppState>,
    _cell: InCell,
    prefs: Prefs,
    Form(form): Form<RepeatForm>,
) -> Result<Response, Fault> {
    let typed = form.percent.trim();
    let number = typed.trim_end_matches('%').trim().replace(',', ".").parse::<f64>();
    match number.map(|percent| takein::set_repeat_limit(state.store(), percent / 100.0)) {
        Ok(Ok(_)) => Ok(Redirect::to("/guards").into_response()),
        Ok(Err(TakeInError::Store(error))) => Err(error.into()),
        Ok(Err(_)) | Err(_) => {
            let why = format!(
                "\u{201c}{typed}\u{201d} was not taken: a number above 0 and at most {} is expected, such as 1.",
                fixed(takein::MOST_SPREAD * 100.0, 0)
            );
            let own = Own::of(&state)?;
            Ok(refuse(&state, &prefs, &own, &Refused { repeat: Some((typed, why)), ..Refused::default() }))
        }
    }
}

fn refuse(state: &AppState, prefs: &Prefs, own: &Own, refused: &Refused<'_>) -> Response {
    let mut response = frame::respond(state, prefs, whole(own, refused));
    *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    response
}
