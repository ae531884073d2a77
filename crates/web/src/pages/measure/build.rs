//! The engine as told, as found and as agreed: its text, what follows from it, and measured values taken over.

use super::text_page::TextFault;
use crate::accounts::Who;
use crate::fault::Fault;
use crate::marks;
use crate::pages::jobs::sent::{Errors, Sent};
use crate::pages::jobs::shared::{ENTRY, OfJob, again, entry_name, page as job_page, to, write_one};
use crate::pages::jobs::value::sentence;
use crate::prefs::Prefs;
use crate::state::AppState;
use crate::words::clock_or_day;
use axum::extract::{Query, State};
use axum::response::Response;
use engine::build_file::{BuildFile, new_file_text};
use engine::limits::{Layer, Layers};
use engine::sheet::{Sheet, figure_text, sheet_with};
use maud::{Markup, html};
use notebook::{JobView, Notebook};
use quantity::{UnitSystem, Verdict};
use record::sheet::{BuildValue, Written, into_build, write_into_build};
use record::{Body, BuildStated, Id, Kept, WhichBuild};
use serde::Deserialize;

/// Descriptions with their keys and names.
const ALL: [(&str, WhichBuild, &str); 3] = [
    ("agreed", WhichBuild::Agreed, "As agreed"),
    ("as_found", WhichBuild::AsFound, "As found"),
    ("as_told", WhichBuild::AsTold, "As told"),
];

/// What is asked of the page.
#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    which: Option<String>,
}

/// One description of a job.
struct One<'a> {
    view: &'a JobView,
    key: &'static str,
    which: WhichBuild,
    name: &'static str,
    /// Those that stand; more than one disagree.
    standing: &'a [Kept<BuildStated>],
}

impl<'a> One<'a> {
    /// The one asked for, else the agreed one, else what is there.
    fn of(view: &'a JobView, asked: Option<&str>) -> Self {
        let there = |which: &WhichBuild| view.job.builds.contains_key(which);
        let named = ALL.iter().find(|(key, _, _)| Some(*key) == asked);
        let found = named.or_else(|| ALL.iter().find(|(_, which, _)| there(which))).unwrap_or(&ALL[0]);
        let standing = view.job.builds.get(&found.1).map_or(&[][..], Vec::as_slice);
        Self { view, key: found.0, which: found.1, name: found.2, standing }
    }

    fn newest(&self) -> Option<&'a Kept<BuildStated>> {
        self.standing.last()
    }

    fn text(&self) -> String {
        let title = self.view.job.opened.as_ref().map_or(String::new(), |o| o.value.title.clone());
        self.newest().map_or_else(|| new_file_text(&title), |b| b.value.toml.clone())
    }

    fn known(&self) -> Vec<Id> {
        self.standing.iter().map(|b| b.id).collect()
    }

    fn address(&self) -> String {
        format!("/jobs/{}/build", self.view.row.number)
    }
}

/// The page.
pub(super) async fn page(
    State(state): State<AppState>,
    OfJob(view): OfJob,
    Query(asked): Query<Asked>,
    prefs: Prefs,
) -> Result<Response, Fault> {
    let one = One::of(&view, asked.which.as_deref());
    let text = one.text();
    draw(&state, &prefs, &one, &text, &Sent::default(), &Errors::default())
}

/// Keeps a description.
pub(super) async fn write(
    State(state): State<AppState>,
    OfJob(view): OfJob,
    prefs: Prefs,
    who: Who,
    sent: Sent,
) -> Result<Response, Fault> {
    let one = One::of(&view, Some(sent.get("which")));
    let text = format!("{}\n", sent.text("text"));
    let mut errors = Errors::default();
    if BuildFile::parse(&text).is_ok() {
        let body = Body::BuildStated(BuildStated { which: one.which, toml: text.clone(), replaces: sent.ids("known") });
        if write_one(&state, &view, entry_name(&sent), body, &who, &mut errors).await? {
            return Ok(to(&format!("{}?which={}", one.address(), one.key)));
        }
    }
    draw(&state, &prefs, &one, &text, &sent, &errors).map(again)
}

fn draw(
    state: &AppState,
    prefs: &Prefs,
    one: &One<'_>,
    text: &str,
    sent: &Sent,
    errors: &Errors,
) -> Result<Response, Fault> {
    let (own, note) = state.notebook().limits()?;
    let layers = Layers::over(engine::limits::shipped());
    let layers = match &own {
        Some(own) => layers.with(Layer::Shop, own),
        None => layers,
    };
    let read = BuildFile::parse(text);
    let fault = read.as_ref().err().and_then(|e| e.faults.first()).map(|f| TextFault {
        line: f.line,
        column: f.column,
        what: sentence(&fault_words(f)),
    });
    let sheet = read.as_ref().ok().map(|file| sheet_with(file.build(), &layers));
    let more = read.as_ref().err().map_or(0, |e| e.faults.len().saturating_sub(1));
    let known = if sent.ids("known").is_empty() { one.known() } else { sent.ids("known") };
    let body = html! {
        div.head {
            h1 { "Build" }
            p.finding { (finding(one, sheet.as_ref())) }
            @if !one.view.job.sheets.is_empty() { div.acts { a.btn.main href=(format!("{}/measured?which={}", one.address(), one.key)) { "Take over measured values" } } }
        }
        nav.which aria-label="Which description" { @for (key, which, name) in ALL {
            a.btn href=(format!("{}?which={key}", one.address())) aria-current=[(which == one.which).then_some("page")] { (name) @if !one.view.job.builds.contains_key(&which) { span.quiet { "not stated" } } }
        } }
        @for words in errors.of_whole() { div.banner role="alert" { (marks::flag()) p.what { (words) } } }
        @if let Some(note) = note { div.banner role="alert" { (marks::flag()) p.what { (sentence(&note)) } } }
        @if one.standing.len() > 1 { (two(one)) }
        div.buildlay {
            div {
                @if let Some(sheet) = &sheet { (figures(sheet, prefs.units)) }
                @else { div.empty.hone { p { "Nothing can be worked out until the text is corrected" } } }
            }
            div {
                @if more > 0 { p.fault { (more) " more faults follow below this one." } }
                form.sec.heavy.cellfile method="post" action=(one.address()) {
                    h2 { label for="build-text" { (one.name) ", as text" } }
                    input type="hidden" name=(ENTRY) value=(sent.id(ENTRY).unwrap_or_else(Notebook::new_id));
                    input type="hidden" name="which" value=(one.key);
                    @for id in &known { input type="hidden" name="known" value=(id); }
                    @if let Some(fault) = &fault { div.banner #build-fault role="alert" { (marks::flag()) div { p.what { (fault.what) } p { "Line " (fault.line) ", column " (fault.column) ". Nothing was saved; the text below is as you typed it." } } } }
                    textarea.field #build-text name="text" spellcheck="false" rows="30" aria-invalid=[fault.as_ref().map(|_| "true")] aria-describedby=[fault.as_ref().map(|_| "build-fault")] data-line=[fault.as_ref().map(|f| f.line)] { "\n" (text) }
                    div.row.apart { button.btn.main type="submit" { "Keep this description" } }
                    @if let Some(newest) = one.newest() { p.faint { (newest.author) ", " (clock_or_day(&newest.at.to_string())) ". Earlier ones stay in the notebook." } }
                }
            }
        }
    };
    Ok(job_page(state, prefs, one.view, "Build", &one.address(), body))
}

fn fault_words(fault: &engine::build_file::Fault) -> String {
    let mut words = if fault.key.is_empty() { fault.found.clone() } else { format!("{}: {}", fault.key, fault.found) };
    if !fault.expected.is_empty() {
        words.push_str(&format!("; expected {}", fault.expected));
    }
    if let Some(suggestion) = &fault.suggestion {
        words.push_str(&format!("; {suggestion}"));
    }
    words
}

fn two(one: &One<'_>) -> Markup {
    html! {
        div.banner role="alert" { (marks::asks()) div {
            p.what { "Two descriptions were kept without knowing of each other." }
            p { "The text below is the newer one, by " (one.newest().map_or("", |b| b.author.as_str())) ". What is kept from here takes the place of both; the other one stays in the notebook." }
        } }
    }
}

fn finding(one: &One<'_>, sheet: Option<&Sheet>) -> Markup {
    let Some(newest) = one.newest() else {
        return html! { b { "Nothing is stated yet " (one.name.to_lowercase()) ". " } "Write what is known of the engine; what is not stated is assumed and listed." };
    };
    let out = sheet.map_or(0, |s| s.limits.iter().filter(|l| l.verdict == Some(Verdict::Outside)).count());
    html! {
        b { (one.name) ", by " (newest.author) ". " }
        @match out { 0 => "Nothing worked out from it is outside a limit.", 1 => "One figure is outside its limit.", n => (format!("{} figures are outside their limits.", crate::words::count_capital(n))) }
    }
}

/// What follows from a description.
fn figures(sheet: &Sheet, units: UnitSystem) -> Markup {
    let judged: Vec<_> = sheet.limits.iter().filter(|l| l.verdict.is_some()).collect();
    html! {
        @if !judged.is_empty() {
            section.sec.heavy { h2 { "Against limits" }
                div.box tabindex="0" role="region" aria-label="Against limits" { table.judged {
                    tbody { @for line in judged { tr {
                        td.stands { (verdict_mark(line.verdict)) }
                        th scope="row" { (sentence(&line.label).trim_end_matches('.')) p.faint { (line.limit) } }
                        td.r { (sheet.figure(&line.of).map_or(String::new(), |f| figure_text(f, units))) }
                    } } }
                } }
            }
        }
        @for section in &sheet.sections {
            section.sec { h2 { (section.title) }
                table.figures { tbody { @for figure in &section.figures { tr {
                    th scope="row" { (figure.label) @if let Some(note) = &figure.note { p.quiet { (note) } } }
                    td.r { (figure_text(figure, units)) }
                } } } }
            }
        }
        @if !sheet.notices.is_empty() { section.sec { h2 { "To be known" } ul { @for notice in &sheet.notices { li { (sentence(notice)) } } } } }
        @if !sheet.assumptions.is_empty() {
            details.fold { summary { "Assumed, because the text does not say" }
                ul { @for line in &sheet.assumptions { li { (line.key) ": " (line.text) "; " (line.why) " " span.faint { "[" (line.source) "]" } } } } }
        }
        @if !sheet.not_worked_out.is_empty() {
            details.fold { summary { "Not worked out" } ul { @for line in &sheet.not_worked_out { li { (line.label) ": " (line.why) } } } }
        }
    }
}

fn verdict_mark(verdict: Option<Verdict>) -> Markup {
    html! {
        @match verdict {
            Some(Verdict::Inside) => span.vd { (marks::accepted()) "inside" },
            Some(Verdict::Outside) => span.vd.no { (marks::diamond()) "outside" },
            _ => span.vd { (marks::asks()) "can\u{2019}t tell" },
        }
    }
}

/// A value that a sheet can put into the description.
struct Offer {
    /// Sheet and key, as the form sends it.
    name: String,
    title: String,
    value: BuildValue,
}

fn offers(state: &AppState, view: &JobView) -> Result<Vec<Offer>, Fault> {
    let mut all: Vec<Offer> = Vec::new();
    for sheet in &view.job.sheets {
        let Ok(worked) = state.notebook().sheet(sheet)? else { continue };
        let begun = &sheet.begun.value;
        for value in into_build(begun, &worked.template, &worked.result) {
            all.push(Offer { name: format!("{} {}", sheet.begun.id, value.key), title: begun.title.clone(), value });
        }
    }
    Ok(all)
}

/// What would change, before anything is written.
pub(super) async fn measured(
    State(state): State<AppState>,
    OfJob(view): OfJob,
    Query(asked): Query<Asked>,
    prefs: Prefs,
) -> Result<Response, Fault> {
    let one = One::of(&view, asked.which.as_deref());
    draw_measured(&state, &prefs, &one, None, &Errors::default())
}

/// Writes what was ticked.
pub(super) async fn take_over(
    State(state): State<AppState>,
    OfJob(view): OfJob,
    prefs: Prefs,
    who: Who,
    sent: Sent,
) -> Result<Response, Fault> {
    let one = One::of(&view, Some(sent.get("which")));
    let mut errors = Errors::default();
    let taken: Vec<BuildValue> =
        offers(&state, &view)?.into_iter().filter(|o| sent.has("take", &o.name)).map(|o| o.value).collect();
    if taken.is_empty() {
        errors.whole("Nothing was ticked, so nothing was written.");
    } else if sent.ids("known") != one.known() {
        errors.whole("The description was changed elsewhere while this page was open. Nothing was written; the list below is worked out anew.");
    } else {
        match write_into_build(&one.text(), &taken) {
            Err(error) => errors.whole(sentence(&error.to_string())),
            Ok(written) if written.changes.is_empty() => {
                errors.whole("Everything that was ticked stands there already, so nothing was written.")
            }
            Ok(written) => {
                let body =
                    Body::BuildStated(BuildStated { which: one.which, toml: written.text, replaces: one.known() });
                if write_one(&state, &view, entry_name(&sent), body, &who, &mut errors).await? {
                    return Ok(to(&format!("{}?which={}", one.address(), one.key)));
                }
            }
        }
    }
    draw_measured(&state, &prefs, &one, Some(&sent), &errors).map(again)
}

fn draw_measured(
    state: &AppState,
    prefs: &Prefs,
    one: &One<'_>,
    sent: Option<&Sent>,
    errors: &Errors,
) -> Result<Response, Fault> {
    let offers = offers(state, one.view)?;
    let text = one.text();
    let rows: Vec<(&Offer, Option<Result<Written, String>>)> = offers
        .iter()
        .map(|offer| {
            let nothing = offer.value.texts.is_empty() && offer.value.ports.is_empty();
            let outcome = (!nothing)
                .then(|| write_into_build(&text, std::slice::from_ref(&offer.value)).map_err(|e| e.to_string()));
            (offer, outcome)
        })
        .collect();
    let changes = rows.iter().filter(|(_, w)| matches!(w, Some(Ok(w)) if !w.changes.is_empty())).count();
    let body = html! {
        div.head {
            h1 { "Take over measured values" }
            p.finding { b { (one.name) ". " } @if changes == 0 { "The sheets hold nothing that is not in it already." } @else { "What is ticked is written into the description, with its uncertainty and where it was measured. Nothing else is touched." } }
        }
        @for words in errors.of_whole() { div.banner role="alert" { (marks::flag()) p.what { (words) } } }
        @if rows.is_empty() { div.empty.hone { p { "No sheet of this job gives values to a description" } } }
        @else {
            form method="post" action=(format!("{}/measured", one.address())) {
                input type="hidden" name=(ENTRY) value=(Notebook::new_id());
                input type="hidden" name="which" value=(one.key);
                @for id in one.known() { input type="hidden" name="known" value=(id); }
                div.box tabindex="0" role="region" aria-label="Values" { table.takeover {
                    thead { tr { th scope="col" { "Take" } th scope="col" { "Value" } th scope="col" { "Was" } th scope="col" { "Becomes" } th scope="col" { "From" } } }
                    tbody { @for (offer, outcome) in &rows { (offer_row(offer, outcome.as_ref(), sent)) } }
                } }
                div.row.apart { button.btn.main type="submit" disabled[changes == 0] { "Write what is ticked" } a.btn href=(format!("{}?which={}", one.address(), one.key)) { "Back to the build" } }
            }
        }
    };
    Ok(job_page(state, prefs, one.view, "Take over measured values", &one.address(), body))
}

fn offer_row(offer: &Offer, outcome: Option<&Result<Written, String>>, sent: Option<&Sent>) -> Markup {
    let changes = match outcome {
        Some(Ok(written)) => written.changes.as_slice(),
        _ => &[],
    };
    let can = !changes.is_empty();
    let ticked = sent.map_or(can && offer.value.tainted.is_empty(), |s| s.has("take", &offer.name));
    html! {
        tr {
            td { @if can { label.tickbox { input type="checkbox" name="take" value=(offer.name) checked[ticked]; span.away { "take " (offer.value.key) " from " (offer.title) } } } }
            th scope="row" { (offer.value.key) }
            @if can {
                td { @for change in changes { p { (change.was.as_deref().unwrap_or("not stated")) } } }
                td.measured { @for change in changes { p { @if changes.len() > 1 || change.key != offer.value.key { span.quiet { (change.key) ": " } } (change.now) } } }
            } @else {
                td colspan="2" { @match outcome {
                    None => { span.quiet { (sentence(offer.value.missing.as_deref().unwrap_or("nothing is read yet"))) } },
                    Some(Err(why)) => p.fault { (why) },
                    Some(Ok(written)) => @if written.left.is_empty() { span.quiet { "Stands there already." } } @else { @for (_, why) in &written.left { p.quiet { (sentence(why)) } } },
                } }
            }
            td { (offer.title) @for taint in &offer.value.tainted { p.beyond { (marks::flag()) " " (taint) } } }
        }
    }
}
