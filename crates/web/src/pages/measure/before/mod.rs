//! Tests before teardown: what was read, what follows, what it points to.

mod read;
mod specs;

use self::read::{Reader, head_name, row_name};
use self::specs::{ALL, Field, Kind, Rows, Spec};
use crate::accounts::Who;
use crate::fault::Fault;
use crate::marks;
use crate::pages::jobs::draw::Draw;
use crate::pages::jobs::sent::{Errors, Sent};
use crate::pages::jobs::shared::{ENTRY, OfJob, again, entry_name, job_of, page as job_page, to, write_one};
use crate::pages::jobs::value::sentence;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::{clock_or_day, count_capital};
use axum::extract::{Path, Query, State};
use axum::response::Response;
use engine::build_file::BuildFile;
use maud::{Markup, html};
use notebook::{JobView, Notebook};
use quantity::{Dimension, UnitSystem, Verdict};
use record::before::{ExpectedFromBuild, Judged, SourceTag, Suggestion, Sure, TestBefore, agree, judge, shipped};
use record::instrument::Register;
use record::{Body, Kept, WhichBuild};
use serde::Deserialize;

/// Most rows that a form draws.
const MOST_ROWS: usize = 32;

/// What the description of the engine leads one to expect: as told first, since that is what is tested.
fn expected(view: &JobView) -> Option<ExpectedFromBuild> {
    let stated =
        [WhichBuild::AsTold, WhichBuild::AsFound, WhichBuild::Agreed].into_iter().find_map(|w| view.job.build(w))?;
    BuildFile::parse(&stated.value.toml).ok().map(|file| ExpectedFromBuild::of(file.build()))
}

/// The page.
pub(super) async fn page(State(state): State<AppState>, OfJob(view): OfJob, prefs: Prefs) -> Result<Response, Fault> {
    let here = format!("/jobs/{}/before", view.row.number);
    let expected = expected(&view);
    let judged: Vec<(&Kept<TestBefore>, Judged)> =
        view.job.tests.iter().rev().map(|t| (t, judge(&t.value, expected.as_ref()))).collect();
    let tests: Vec<TestBefore> = view.job.tests.iter().map(|t| t.value.clone()).collect();
    let together = agree(&tests, expected.as_ref(), shipped());
    let stops: Vec<String> = judged.iter().flat_map(|(_, j)| j.do_not_run()).map(str::to_owned).collect();
    let body = html! {
        div.head {
            h1 { "Tests before teardown" }
            p.finding { (finding(&judged, &together)) }
        }
        @if !stops.is_empty() {
            div.banner role="alert" { (marks::flag()) div { p.what { "Not to be run on the dyno until this is cleared up" } @for stop in &stops { p { (sentence(stop)) } } } }
        }
        @if !together.is_empty() { section.sec.heavy { h2 { "Two tests agree" } ul.points { @for s in &together { (suggestion(s)) } } } }
        @if judged.is_empty() { div.empty.hone { p { "No test yet" } a.btn.main href=(format!("{here}/cranking")) { "Cranking compression" } } }
        section.sec.tests { h2 { @if judged.is_empty() { "Which test" } @else { "Another test" } }
            ul.pick { @for spec in ALL { li { a.btn href=(format!("{here}/{}", spec.key)) { (spec.name) } } } }
        }
        @for (test, judged) in &judged { (shown(test, judged)) }
        @if let Some(expected) = &expected {
            @if !expected.cranking_lacks.is_empty() && view.job.tests.iter().any(|t| t.value.key() == "cranking") {
                p.faint { "No cranking pressure to expect from the build: " (expected.cranking_lacks) }
            }
        } @else { p.faint { "No build is stated, so nothing is said of how high the cranking pressure should be." } }
    };
    Ok(job_page(&state, &prefs, &view, "Tests before teardown", &here, body))
}

fn finding(judged: &[(&Kept<TestBefore>, Judged)], together: &[Suggestion]) -> Markup {
    let wrong: Vec<&Suggestion> =
        judged.iter().flat_map(|(_, j)| &j.suggestions).filter(|s| !s.nothing_wrong).collect();
    let best = together.first().or_else(|| wrong.iter().copied().max_by_key(|s| s.sure));
    html! {
        @match (judged.len(), best) {
            (0, _) => "Compression, leak-down, oil, vacuum, noise, a look inside: what they say before anything is taken apart decides how far it is.",
            (_, Some(best)) => { b { (sentence(&best.words)) } " " (sentence(&best.because)) " The parts decide." },
            (1, None) => "One test, nothing that points to a fault.",
            (n, None) => { (count_capital(n)) " tests, nothing that points to a fault." },
        }
    }
}

fn shown(test: &Kept<TestBefore>, judged: &Judged) -> Markup {
    let labels: Vec<&str> =
        judged.rows.first().map(|r| r.cells.iter().map(|c| c.label.as_str()).collect()).unwrap_or_default();
    let even = judged.rows.iter().all(|r| r.cells.iter().map(|c| c.label.as_str()).eq(labels.iter().copied()));
    html! {
        section.sec.heavy.test id=(format!("t-{}", test.id)) {
            h2 { (judged.name) }
            p.quiet { (test.author) ", " (clock_or_day(&test.at.to_string())) }
            @if !judged.rows.is_empty() {
                div.box tabindex="0" role="region" aria-label=(format!("{}, readings", judged.name)) { table.readings {
                    @if even { thead { tr { td {} @for label in &labels { th scope="col" { (label) } } } } }
                    tbody { @for row in &judged.rows { tr { th scope="row" { (row.place) }
                        @for cell in &row.cells { td.out[cell.stands_out] { @if !even { span.quiet { (cell.label) ": " } } (cell.text) @if cell.stands_out { " " (marks::diamond()) span.away { "stands out" } } } } } } }
                } }
            }
            @if !judged.figures.is_empty() {
                dl.figures { @for figure in &judged.figures { div { dt { (figure.label) } dd { (figure.text) @if !figure.note.is_empty() { span.quiet { " " (figure.note) } } } } } }
            }
            @if !judged.verdicts.is_empty() {
                ul.verdicts { @for v in &judged.verdicts { li {
                    @match v.verdict { Verdict::Inside => span.vd { (marks::accepted()) "inside" }, Verdict::Outside => span.vd.no { (marks::diamond()) "outside" }, Verdict::CannotTell => span.vd { (marks::asks()) "can\u{2019}t tell" } }
                    div { p { (v.words) } p.quiet { (v.limit) " " (source(&v.source)) } }
                } } }
            }
            @if !judged.suggestions.is_empty() { ul.points { @for s in &judged.suggestions { (suggestion(s)) } } }
            @if !judged.warnings.is_empty() { ul.warnings { @for w in &judged.warnings { li { (marks::square()) (w.words) } } } }
        }
    }
}

fn suggestion(s: &Suggestion) -> Markup {
    html! {
        li.calm[s.nothing_wrong] {
            p.what { @if s.do_not_run { (marks::flag()) " " } (sentence(&s.words)) " " span.sure { (s.sure.name()) } }
            p { (sentence(&s.because)) }
            @if !s.look.is_empty() { p.quiet { "What would tell: " (sentence(&s.look)) } }
            p.faint { (source(&s.source)) @if s.sure == Sure::TwoTestsAgree { " Two tests that do not hang on each other say the same." } }
        }
    }
}

fn source(tag: &SourceTag) -> Markup {
    html! { span.source title=(tag.what) { "[" (tag.tag) ", " (tag.standing.name()) ": " (tag.what) "]" } }
}

/// What is asked of a form.
#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    rows: Option<usize>,
}

/// The form of one test.
pub(super) async fn form(
    State(state): State<AppState>,
    Path((number, test)): Path<(String, String)>,
    Query(asked): Query<Asked>,
    prefs: Prefs,
) -> Result<Response, Fault> {
    let view = job_of(&state, &number)?;
    let spec =
        specs::find(&test).ok_or_else(|| Fault::NotThere { address: format!("/jobs/{number}/before/{test}") })?;
    let rows = rows_of(spec, asked.rows, &view);
    draw_form(&state, &prefs, &view, spec, rows, &Sent::default(), &Errors::default())
}

/// Rows of a form: as asked for, else the engine's cylinders, else as usual.
fn rows_of(spec: &Spec, asked: Option<usize>, view: &JobView) -> usize {
    let Some(rows) = spec.rows else { return 0 };
    let known = || expected(view).and_then(|e| e.cylinders).map(|n| n as usize).filter(|_| rows.cylinders);
    asked.or_else(known).unwrap_or(rows.usual).clamp(1, MOST_ROWS)
}

/// Keeps a test.
pub(super) async fn write(
    State(state): State<AppState>,
    Path((number, test)): Path<(String, String)>,
    prefs: Prefs,
    who: Who,
    sent: Sent,
) -> Result<Response, Fault> {
    let view = job_of(&state, &number)?;
    let spec =
        specs::find(&test).ok_or_else(|| Fault::NotThere { address: format!("/jobs/{number}/before/{test}") })?;
    let asked = sent.get("rows").parse().ok();
    let rows = rows_of(spec, asked, &view);
    let mut errors = Errors::default();
    let register = state.notebook().register()?.register.unwrap_or_default();
    if sent.get("more").is_empty() {
        let reader = Reader { sent: &sent, register: &register, units: prefs.units, rows };
        if let Some(body) = reader.read(spec, &mut errors) {
            let id = entry_name(&sent);
            if write_one(&state, &view, id, Body::TestBefore(body), &who, &mut errors).await? {
                return Ok(to(&format!("/jobs/{}/before#t-{id}", view.row.number)));
            }
        }
    }
    let rows = if sent.get("more").is_empty() { rows } else { (rows + if rows >= 6 { 2 } else { 1 }).min(MOST_ROWS) };
    draw_form(&state, &prefs, &view, spec, rows, &sent, &errors).map(again)
}

fn draw_form(
    state: &AppState,
    prefs: &Prefs,
    view: &JobView,
    spec: &Spec,
    rows: usize,
    sent: &Sent,
    errors: &Errors,
) -> Result<Response, Fault> {
    let register = state.notebook().register()?.register.unwrap_or_default();
    let list = format!("/jobs/{}/before", view.row.number);
    let drawn = Drawn { draw: Draw { sent, errors }, register: &register, units: prefs.units };
    let body = html! {
        div.head { h1 { (spec.name) } p.finding { (spec.about) } }
        form method="post" action=(format!("{list}/{}", spec.key)) {
            input type="hidden" name=(ENTRY) value=(sent.id(ENTRY).unwrap_or_else(Notebook::new_id));
            input type="hidden" name="rows" value=(rows);
            (drawn.draw.trouble())
            @if let Some(spec_rows) = &spec.rows { (drawn.rows(spec_rows, rows)) }
            section.sec { h2 { "How it was done" } p.quiet { "What is left open is named as not noted; nothing is taken for granted." }
                div.fields { @for field in spec.fields { (drawn.field(field, &head_name(field.key))) } } }
            div.row.apart { button.btn.main type="submit" { "Keep the test" } a.btn href=(list) { "Leave it" } }
        }
    };
    Ok(job_page(state, prefs, view, spec.name, &list, body))
}

struct Drawn<'a> {
    draw: Draw<'a>,
    register: &'a Register,
    units: UnitSystem,
}

impl Drawn<'_> {
    fn unit(&self, kind: Kind) -> &'static str {
        let metric = self.units == UnitSystem::Metric;
        match kind {
            Kind::Quantity(_, m, us) => {
                if metric {
                    m
                } else {
                    us
                }
            }
            Kind::Barometer => {
                if metric {
                    "kPa"
                } else {
                    "inHg"
                }
            }
            Kind::Height => {
                if metric {
                    "m"
                } else {
                    "ft"
                }
            }
            _ => "",
        }
    }

    fn field(&self, field: &Field, name: &str) -> Markup {
        let unit = self.unit(field.kind);
        let hint = match (field.hint.is_empty(), unit.is_empty()) {
            (true, true) => String::new(),
            (true, false) => format!("Bare numbers count in {unit}"),
            (false, true) => field.hint.to_owned(),
            (false, false) => format!("{}; bare numbers count in {unit}", field.hint),
        };
        match field.kind {
            Kind::YesNo => {
                self.draw.pick(name, field.label, &hint, &choices(&[("", "not noted"), ("yes", "yes"), ("no", "no")]))
            }
            Kind::One(list) => {
                self.draw.pick(name, field.label, &hint, &choices(&[&[("", "not noted")], list].concat()))
            }
            Kind::Many(list) => self.draw.ticks(name, field.label, &hint, &choices(list)),
            Kind::Instrument(kind, measures) => {
                self.draw.pick(name, field.label, &hint, &self.instruments(kind, measures))
            }
            _ => self.draw.line(name, field.label, &hint),
        }
    }

    fn instruments(&self, kind: &str, measures: Dimension) -> Vec<(String, String)> {
        let mut list = vec![(String::new(), "none named".to_owned())];
        list.extend(self.register.for_kind(kind, measures).into_iter().map(|i| (i.key.clone(), i.name.clone())));
        list
    }

    /// Rows as a table: one line a cylinder, speed or look.
    fn rows(&self, rows: &Rows, n: usize) -> Markup {
        html! {
            section.sec.heavy {
                div.box tabindex="0" role="region" aria-label="Readings" { table.entryrows {
                    thead { tr { th scope="col" { (rows.head) } @for field in rows.fields {
                        th scope="col" { (field.label) @let unit = self.unit(field.kind); @if !unit.is_empty() { " " span.unit { (unit) } } @if !field.hint.is_empty() { small { (field.hint) } } }
                    } } }
                    tbody { @for row in 0..n { tr { th scope="row" { (row + 1) }
                        @for field in rows.fields { td { (self.small(field, &row_name(row, field.key), &format!("{} {}, {}", rows.head, row + 1, field.label))) } } } } }
                } }
                div.row.apart { button.btn type="submit" name="more" value="yes" formnovalidate { "More rows" } }
            }
        }
    }

    /// A field without its label over it: the column's head says it, and a name for those who do not see the table.
    fn small(&self, field: &Field, name: &str, label: &str) -> Markup {
        let value = self.draw.sent.get(name);
        let wrong = self.draw.errors.of(name);
        html! {
            div.ask {
                @match field.kind {
                    Kind::YesNo => (select(name, label, &choices(&[("", "\u{2013}"), ("yes", "yes"), ("no", "no")]), value)),
                    Kind::One(list) => (select(name, label, &choices(&[&[("", "\u{2013}")], list].concat()), value)),
                    Kind::Many(list) => { div.ticks role="group" aria-label=(label) { @for (key, words) in list.iter() {
                        label.tickbox { input type="checkbox" name=(name) value=(key) checked[self.draw.sent.has(name, key)]; (words) } } } },
                    Kind::Words => input.field name=(name) value=(value) aria-label=(label) aria-invalid=[wrong.map(|_| "true")] autocomplete="off";,
                    _ => input.field.short name=(name) value=(value) aria-label=(label) aria-invalid=[wrong.map(|_| "true")] inputmode="decimal" autocomplete="off";,
                }
                @if let Some(words) = wrong { p.fault { (words) } }
            }
        }
    }
}

fn choices(list: &[(&str, &str)]) -> Vec<(String, String)> {
    list.iter().map(|(key, words)| ((*key).to_owned(), (*words).to_owned())).collect()
}

fn select(name: &str, label: &str, list: &[(String, String)], value: &str) -> Markup {
    html! { select.field name=(name) aria-label=(label) { @for (key, words) in list { option value=(key) selected[key == value] { (words) } } } }
}
