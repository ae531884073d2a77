//! Beginning a sheet: template, counts, what it is given, instruments.

use crate::accounts::Who;
use crate::fault::Fault;
use crate::pages::jobs::draw::Draw;
use crate::pages::jobs::sent::{Errors, Sent};
use crate::pages::jobs::shared::{ENTRY, OfJob, again, entry_name, page as job_page, to, write_one};
use crate::pages::jobs::value::sentence;
use crate::prefs::Prefs;
use crate::state::AppState;
use axum::extract::{Query, State};
use axum::response::Response;
use engine::build::Build;
use engine::build_file::BuildFile;
use engine::limits::Use;
use maud::{Markup, html};
use notebook::{JobView, Notebook, ShopTemplate};
use quantity::UnitSystem;
use record::instrument::{Register, standing, used};
use record::sheet::{Finished, GivenSpec, Suggested, Template, suggest_counts, suggest_given};
use record::{Body, InstrumentUsed, SheetBegun, Stated, WhichBuild};
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};

/// What is asked of the page.
#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    template: Option<String>,
}

/// The list of templates, or the form of one.
pub(super) async fn choose(
    State(state): State<AppState>,
    OfJob(view): OfJob,
    Query(asked): Query<Asked>,
    prefs: Prefs,
) -> Result<Response, Fault> {
    let here = format!("/jobs/{}/sheets/new", view.row.number);
    match asked.template {
        None => {
            let templates = state.notebook().templates()?;
            let body = html! {
                div.head { h1 { "Begin a sheet" } p.finding { "Choose what is measured. A shop adds sheets of its own under " a href="/templates" { "Sheets" } "." } }
                ul.templates { @for template in &templates { (template_line(template, &here)) } }
            };
            Ok(job_page(&state, &prefs, &view, "Begin a sheet", &here, body))
        }
        Some(key) => {
            let form = Form::of(&state, &view, &key)?;
            let sent = form.proposed(&prefs);
            Ok(form.page(&state, &prefs, &view, &sent, &Errors::default()))
        }
    }
}

fn template_line(template: &ShopTemplate, here: &str) -> Markup {
    html! {
        li {
            @match &template.template {
                Ok(it) => {
                    a.btn href=(format!("{here}?template={}", template.key)) { (it.title) }
                    p { (it.about) @if template.revision > 0 { " " span.quiet { "The shop\u{2019}s own." } } }
                },
                Err(error) => { span.btn aria-disabled="true" { (template.key) } p.fault { "Cannot be read: " (error.to_string()) ". " a href=(format!("/templates/{}", template.key)) { "Correct it" } } },
            }
        }
    }
}

/// Begins the sheet.
pub(super) async fn begin(
    State(state): State<AppState>,
    OfJob(view): OfJob,
    prefs: Prefs,
    who: Who,
    sent: Sent,
) -> Result<Response, Fault> {
    let form = Form::of(&state, &view, sent.get("template"))?;
    let mut errors = Errors::default();
    if sent.get("again").is_empty()
        && let Some(begun) = form.read(&sent, &mut errors)
    {
        let id = entry_name(&sent);
        if write_one(&state, &view, id, Body::SheetBegun(begun), &who, &mut errors).await? {
            return Ok(to(&format!("/jobs/{}/sheets/{id}", view.row.number)));
        }
    }
    Ok(again(form.page(&state, &prefs, &view, &sent, &errors)))
}

/// The form of one template for one job.
struct Form {
    template: Template,
    register: Register,
    build: Option<Build>,
    /// Sheets of the job that can give values to this one.
    others: Vec<(SheetBegun, notebook::SheetState)>,
    built_for: String,
}

impl Form {
    fn of(state: &AppState, view: &JobView, key: &str) -> Result<Self, Fault> {
        let found = state.notebook().template(key)?;
        let Some(Ok(template)) = found.map(|t| t.template) else {
            return Err(Fault::NotThere { address: format!("/templates/{key}") });
        };
        let register = state.notebook().register()?.register.unwrap_or_default();
        let stated =
            [WhichBuild::Agreed, WhichBuild::AsFound, WhichBuild::AsTold].into_iter().find_map(|w| view.job.build(w));
        let build = stated.and_then(|b| BuildFile::parse(&b.value.toml).ok()).map(|file| file.build().clone());
        let mut others = Vec::new();
        for sheet in &view.job.sheets {
            if let Ok(worked) = state.notebook().sheet(sheet)? {
                others.push((sheet.begun.value.clone(), worked));
            }
        }
        let opened = view.job.opened.as_ref().map(|o| o.value.built_for.clone()).unwrap_or_default();
        let of_build = || build.as_ref().and_then(|b| engine::sheet::use_of(b).ok()).map(|u| u.key().to_owned());
        let built_for = if Use::from_key(&opened).is_some() { opened } else { of_build().unwrap_or_default() };
        Ok(Self { template, register, build, others, built_for })
    }

    /// Counts as sent, or as the build knows them, or as usual.
    fn counts(&self, sent: &Sent) -> BTreeMap<String, u32> {
        let known = self.build.as_ref().map(|b| suggest_counts(&self.template, b)).unwrap_or_default();
        let counts = self.template.counts.iter().map(|spec| {
            let typed = sent.get(&format!("count_{}", spec.key)).parse().ok();
            let number =
                typed.filter(|n| (spec.least..=spec.most).contains(n)).or_else(|| known.get(&spec.key).copied());
            (spec.key.clone(), number.unwrap_or(spec.usual))
        });
        counts.collect()
    }

    fn suggested(&self, counts: &BTreeMap<String, u32>, unit: &str) -> Vec<Suggested> {
        let others: Vec<Finished<'_>> =
            self.others.iter().map(|(begun, s)| Finished { template: &s.template, begun, result: &s.result }).collect();
        suggest_given(&self.template, counts, unit, self.build.as_ref(), &others).unwrap_or_default()
    }

    /// Kinds of instruments that the sheet asks for, the usual one first.
    fn kinds(&self) -> Vec<(String, quantity::Dimension)> {
        let mut kinds = vec![(self.template.instrument.clone(), self.template.kind)];
        for row in &self.template.rows {
            if !kinds.iter().any(|(kind, _)| *kind == row.instrument) {
                kinds.push((row.instrument.clone(), row.kind));
            }
        }
        kinds.retain(|(kind, _)| !kind.is_empty());
        kinds
    }

    /// What the form holds before anybody has typed.
    fn proposed(&self, prefs: &Prefs) -> Sent {
        let mut sent = Sent::default();
        let unit = match (prefs.units, self.template.units.as_slice()) {
            (UnitSystem::UsCustomary, [_, second, ..]) => second.clone(),
            (_, [first, ..]) => first.clone(),
            _ => String::new(),
        };
        sent.put("title", self.template.title.clone());
        sent.put("unit", unit.clone());
        sent.put("built_for", self.built_for.clone());
        let counts = self.counts(&Sent::default());
        for (key, n) in &counts {
            sent.put(&format!("count_{key}"), n.to_string());
        }
        for suggested in self.suggested(&counts, &unit) {
            sent.put(&format!("given_{}", suggested.key), suggested.stated.text);
        }
        for (at, (kind, measures)) in self.kinds().iter().enumerate() {
            // Only an instrument of the very kind is laid out unasked.
            if let Some(first) = self.register.for_kind(kind, *measures).first().filter(|i| i.kind == *kind) {
                sent.put(&format!("instrument_{at}"), first.key.clone());
            }
        }
        if let Some(material) = self.build.as_ref().and_then(|b| b.piston.material.clone()) {
            sent.put("material", material);
        }
        sent
    }

    fn page(&self, state: &AppState, prefs: &Prefs, view: &JobView, sent: &Sent, errors: &Errors) -> Response {
        let here = format!("/jobs/{}/sheets/new", view.row.number);
        let title = format!("Begin: {}", self.template.title);
        job_page(state, prefs, view, &title, &here, self.markup(&here, sent, errors))
    }

    fn markup(&self, here: &str, sent: &Sent, errors: &Errors) -> Markup {
        let draw = Draw { sent, errors };
        let counts = self.counts(sent);
        let suggested = self.suggested(&counts, sent.get("unit"));
        let units: Vec<(&str, &str, &str)> = self.template.units.iter().map(|u| (u.as_str(), u.as_str(), "")).collect();
        let uses: Vec<(&str, &str, &str)> = Use::ALL.iter().map(|u| (u.key(), u.name(), "")).collect();
        let (materials, conditions) = self.what_limits_hang_on();
        html! {
            div.head { h1 { "Begin: " (self.template.title) } p.finding { (self.template.about) } }
            form.begin method="post" action=(here) {
                input type="hidden" name=(ENTRY) value=(sent.id(ENTRY).unwrap_or_else(Notebook::new_id));
                input type="hidden" name="template" value=(self.template.key);
                (draw.trouble())
                section.sec.heavy {
                    h2 { "What is measured" }
                    div.fields {
                        (draw.line("title", "Title of this sheet", "With the moment in the work: Cylinder bores, after honing"))
                        @if units.len() > 1 { (draw.one_of("unit", "Unit of bare numbers", "", &units)) } @else { input type="hidden" name="unit" value=(sent.get("unit")); }
                        @for spec in &self.template.counts {
                            (draw.line(&format!("count_{}", spec.key), sentence(&spec.name).trim_end_matches('.'), &format!("{} to {}", spec.least, spec.most)))
                        }
                    }
                }
                section.sec {
                    h2 { "What the limits hang on" }
                    (draw.one_of("built_for", "Built for", "", &uses))
                    @if !materials.is_empty() {
                        div.fields {
                            (draw.line_of("material", "Material or kind of part", "As the limit tables name it; empty where it does not matter", "materials"))
                            datalist #materials { @for material in &materials { option value=(material) {} } }
                        }
                    }
                    @let ticks: Vec<(String, String)> = conditions.iter().map(|c| (c.clone(), c.clone())).collect();
                    (draw.ticks("condition", "Conditions", "", &ticks))
                }
                @if !self.template.given.is_empty() {
                    section.sec {
                        h2 { "What the sheet is given" }
                        p.quiet { "What is not known stays empty; figures that need it then say so." }
                        div.fields { @for spec in &self.template.given { (self.given_field(draw, spec, &counts, &suggested)) } }
                    }
                }
                section.sec {
                    h2 { "Instruments and part" }
                    div.fields {
                        @for (at, (kind, measures)) in self.kinds().iter().enumerate() {
                            (draw.pick(&format!("instrument_{at}"), sentence(kind).trim_end_matches('.'), "", &self.instruments(kind, *measures)))
                            @if at == 0 { (draw.line("set_on", "Set on", "92.750 ring at 09:12")) }
                        }
                        (draw.line("temperature", "Temperature of the part", "20.1 \u{b0}C"))
                        (draw.line("state", "State of the part", "Torque plate on, caps torqued, clean and dry"))
                    }
                }
                div.row.apart {
                    button.btn.main type="submit" { "Begin the sheet" }
                    @if self.template.given.iter().any(|g| g.each) { button.btn type="submit" name="again" value="yes" formnovalidate { "Lay out for these counts" } }
                }
            }
        }
    }

    fn given_field(
        &self,
        draw: Draw<'_>,
        spec: &GivenSpec,
        counts: &BTreeMap<String, u32>,
        suggested: &[Suggested],
    ) -> Markup {
        let name = format!("given_{}", spec.key);
        let from = |key: &str| suggested.iter().find(|s| s.key == key).map(|s| s.from.clone());
        let usual = spec.usual.as_ref().map(|u| format!("{u} where nothing is written"));
        let hint = [Some(spec.note.clone()).filter(|n| !n.is_empty()), from(&spec.key), usual];
        let hint = hint.into_iter().flatten().collect::<Vec<_>>().join("; ");
        let columns =
            if spec.each { self.template.layout(counts).map(|l| l.columns).unwrap_or_default() } else { Vec::new() };
        let any = columns.iter().any(|c| {
            !draw.sent.get(&format!("{name}/{}", c.key)).is_empty()
                || draw.errors.of(&format!("{name}/{}", c.key)).is_some()
        });
        html! {
            (draw.line(&name, &spec.name, &hint))
            @if !columns.is_empty() {
                details.fold open[any] { summary { (spec.name) ", each" }
                    div.fields { @for column in &columns { @let key = format!("{}/{}", spec.key, column.key);
                        (draw.line(&format!("{name}/{}", column.key), &column.head, &from(&key).unwrap_or_default())) } }
                }
            }
        }
    }

    fn instruments(&self, kind: &str, measures: quantity::Dimension) -> Vec<(String, String)> {
        let today = crate::words::date_of(jiff::Timestamp::now());
        let mut list = vec![(String::new(), "none named".to_owned())];
        list.extend(self.register.for_kind(kind, measures).into_iter().map(|instrument| {
            let stands = standing(&used(instrument, today), today);
            (instrument.key.clone(), format!("{} ({stands})", instrument.name))
        }));
        list
    }

    /// Materials and conditions that rows of the limit tables name for features of this sheet.
    fn what_limits_hang_on(&self) -> (Vec<String>, Vec<String>) {
        let features: BTreeSet<&str> = self
            .template
            .rows
            .iter()
            .filter_map(|r| r.limit.as_ref())
            .chain(self.template.derived.iter().filter_map(|d| d.limit.as_ref()))
            .filter_map(|l| l.feature.as_deref())
            .collect();
        let rows = || engine::limits::shipped().limits.iter().filter(|l| features.contains(l.feature.as_str()));
        let mut materials: Vec<String> = rows().filter_map(|l| l.material.clone()).collect();
        materials.sort();
        materials.dedup();
        let mut conditions: Vec<String> = rows().flat_map(|l| l.when.clone()).collect();
        conditions.extend(self.template.part.iter().flat_map(|p| p.when.keys().cloned()));
        conditions.sort();
        conditions.dedup();
        (materials, conditions)
    }

    fn read(&self, sent: &Sent, errors: &mut Errors) -> Option<SheetBegun> {
        errors.need(sent, "title", "Write what is measured, and when in the work.");
        let unit = self.template.units.iter().find(|u| *u == sent.get("unit")).cloned();
        if unit.is_none() && !self.template.units.is_empty() {
            errors.on("unit", "Choose the unit in which bare numbers are typed.");
        }
        let unit = unit.unwrap_or_default();
        if Use::from_key(sent.get("built_for")).is_none() {
            errors.on("built_for", "Choose what the engine is built for: limits hang on it.");
        }
        let mut counts = BTreeMap::new();
        for spec in &self.template.counts {
            let field = format!("count_{}", spec.key);
            match sent.get(&field).parse::<u32>() {
                Ok(n) if (spec.least..=spec.most).contains(&n) => {
                    counts.insert(spec.key.clone(), n);
                }
                _ => errors.on(&field, format!("A whole number from {} to {} is expected.", spec.least, spec.most)),
            }
        }
        let given = self.read_given(sent, &counts, &unit, errors);
        let temperature = sent.get("temperature");
        let part_temperature = (!temperature.is_empty())
            .then(|| Stated::read(temperature, quantity::Dimension::Temperature, Some("\u{b0}C")))
            .and_then(|read| read.map_err(|e| errors.on("temperature", sentence(&e.to_string()))).ok());
        let instruments = self.read_instruments(sent, errors);
        if !errors.none() {
            return None;
        }
        Some(SheetBegun {
            template: self.template.key.clone(),
            template_text: self.template.text.clone(),
            title: sent.text("title"),
            counts,
            given,
            built_for: sent.text("built_for"),
            material: Some(sent.text("material")).filter(|m| !m.is_empty()),
            conditions: sent.all("condition").map(str::to_owned).collect(),
            unit,
            instruments,
            part_temperature,
            state: sent.text("state"),
        })
    }

    fn read_given(
        &self,
        sent: &Sent,
        counts: &BTreeMap<String, u32>,
        unit: &str,
        errors: &mut Errors,
    ) -> BTreeMap<String, Stated> {
        let mut given = BTreeMap::new();
        let columns = self.template.layout(counts).map(|l| l.columns).unwrap_or_default();
        let at = self.template.units.iter().position(|u| u == unit).unwrap_or(0);
        for spec in &self.template.given {
            let own = spec.units.get(at).or(spec.units.last()).map(String::as_str);
            let mut keys = vec![spec.key.clone()];
            if spec.each {
                keys.extend(columns.iter().map(|c| format!("{}/{}", spec.key, c.key)));
            }
            for key in keys {
                let field = format!("given_{key}");
                let typed = sent.get(&field);
                if typed.is_empty() {
                    continue;
                }
                match Stated::read(typed, spec.kind, own) {
                    Ok(stated) => {
                        given.insert(key, stated);
                    }
                    Err(error) => errors.on(&field, sentence(&error.to_string())),
                }
            }
        }
        given
    }

    fn read_instruments(&self, sent: &Sent, errors: &mut Errors) -> Vec<InstrumentUsed> {
        let today = crate::words::date_of(jiff::Timestamp::now());
        let mut list: Vec<InstrumentUsed> = Vec::new();
        for (at, _) in self.kinds().iter().enumerate() {
            let key = sent.get(&format!("instrument_{at}"));
            if key.is_empty() {
                continue;
            }
            let Some(instrument) = self.register.find(key) else {
                errors.on(&format!("instrument_{at}"), "The register has no such instrument any more.");
                continue;
            };
            let mut it = used(instrument, today);
            if at == 0 {
                it.set_on = sent.text("set_on");
            }
            if !list.iter().any(|there| there.key == it.key) {
                list.push(it);
            }
        }
        list
    }
}
