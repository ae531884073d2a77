//! What was stated about a run, to be read and changed. The texts are read by [`takein::statement`],
//! the same way as the command's flags; a text that cannot be used is shown again with the reason.

use super::acts::restate_with_cell;
use crate::accounts::InCell;
use crate::fault::Fault;
use crate::readings::OfRun;
use crate::readings::Reading;
use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};
use pull::cell::Known;
use pull::setup::Setup;
use std::collections::BTreeMap;
use store::Dyno;
use takein::{CellSaid, statement};

/// A group of statements on the page: title and keys.
const GROUPS: &[(&str, &[&str])] = &[
    ("How it is judged", &["standard", "induction", "smooth", "plateau", "use", "extrapolate"]),
    ("Weather, where the log has none or is overruled", &["baro", "air", "humidity", "vapour", "altitude"]),
    (
        "Engine",
        &["displacement", "stroke", "cylinders", "two_stroke", "friction", "blower_ratio", "accelerate", "marine"],
    ),
    ("Fuel", &["fuel", "stoich", "density"]),
    ("Cell, for this run alone", &["inertia", "arm"]),
];

const STANDARDS: &[(&str, &str)] = &[
    ("observed", "observed, no correction"),
    ("sae_j1349", "SAE J1349"),
    ("sae_j1349_unrounded", "SAE J1349, 85 % unrounded"),
    ("sae_j1349_known_friction", "SAE J1349, friction known"),
    ("sae_j607", "SAE J607"),
    ("sae_j607_with_friction", "SAE J607, with friction"),
    ("iso1585", "ISO 1585"),
    ("din70020", "DIN 70020"),
    ("jis_d1001", "JIS D 1001"),
];

const INDUCTIONS: &[(&str, &str)] =
    &[("unknown", "not known"), ("follows", "follows the barometer"), ("held", "held to an absolute pressure")];

/// Texts that could not be used: text as typed and reason, by key.
pub(crate) type Refused = BTreeMap<String, (String, String)>;

/// The form, folded in; open when something was refused.
pub(crate) fn form(reading: &Reading, dynos: &[Dyno], refused: &Refused) -> Markup {
    let setup = &reading.stated.setup;
    html! {
        details.fold #stated open[!refused.is_empty()] {
            summary { "What was stated " span { "standard, weather, engine, smoothing" } }
            div {
                (about(reading, dynos))
                form #stated-form method="post" action={"/runs/" (reading.run.number) "/stated"} {
                    input type="hidden" name="revision" value=(reading.run.revision);
                    @for (title, keys) in GROUPS {
                        fieldset.group {
                            legend { (title) }
                            div.fields { @for key in *keys { (ask(setup, &reading.stated.cell, key, refused.get(*key))) } }
                        }
                    }
                    div.row { button.btn type="submit" { "Work it out again" } span.quiet { "Every number needs its unit; an empty field takes a statement back." } }
                }
            }
        }
    }
}

/// What the run is called, its dyno, and a newer text of the dyno if there is one.
fn about(reading: &Reading, dynos: &[Dyno]) -> Markup {
    let run = &reading.run;
    let newer = dynos
        .iter()
        .find(|d| Some(&d.key) == run.dyno.as_ref())
        .is_some_and(|d| reading.stated.dyno_revision.is_some_and(|r| r < d.revision));
    html! {
        form.group #about-form method="post" action={"/runs/" (run.number) "/about"} {
            input type="hidden" name="revision" value=(run.revision);
            div.fields {
                div.ask { label for="about-title" { "Name of the run" } input.field #about-title name="title" value=(run.title) required maxlength="120" autocomplete="off"; }
                @if !dynos.is_empty() {
                    div.ask { label for="about-dyno" { "Dyno" }
                        select.field #about-dyno name="dyno" {
                            option value="" selected[run.dyno.is_none()] { "not said" }
                            @for dyno in dynos { option value=(dyno.key) selected[Some(&dyno.key) == run.dyno.as_ref()] { (dyno.key) } }
                        }
                        @if newer { p.hint { "The dyno\u{2019}s file has changed since; keeping this reads the run with it as it is now." } }
                    }
                }
            }
            div.row.apart { button.btn type="submit" { "Keep name and dyno" } a.btn.soft href={"/runs/" (run.number) "/questions"} { "Questions and answers about its logs" } }
        }
    }
}

fn ask(setup: &Setup, cell: &CellSaid, key: &str, refused: Option<&(String, String)>) -> Markup {
    let Some((_, label, example)) = statement::STATEMENTS.iter().find(|row| row.0 == key) else { return html! {} };
    let now = refused.map_or_else(|| typed(setup, cell, key), |(text, _)| text.clone());
    let id = format!("s-{key}");
    let fault_id = format!("{id}-fault");
    html! {
        div.ask {
            @match key {
                "two_stroke" | "marine" | "extrapolate" => {
                    label.tickbox for=(id) { input #(id) type="checkbox" name=(key) value="yes" checked[now == "yes"]; (capital(label)) }
                },
                "standard" => (select(&id, key, label, STANDARDS, &now)),
                "use" => (select(&id, key, label, &profiles(&now), &now)),
                "induction" => (select(&id, key, "manifold pressure", INDUCTIONS, &now)),
                _ => {
                    label for=(id) { (capital(label)) }
                    input.field #(id) type="text" name=(key) value=(now) autocomplete="off" maxlength="120"
                        aria-invalid=[refused.map(|_| "true")] aria-describedby=(if refused.is_some() { fault_id.clone() } else { format!("{id}-hint") });
                    @if refused.is_none() { p.hint #{(id) "-hint"} { "such as " (example) } }
                },
            }
            @if let Some((_, why)) = refused { p.fault #(fault_id) { span { (why) } } }
        }
    }
}

/// None, the use profiles that come with the tool, and the one stated if it is not among them.
fn profiles(now: &str) -> Vec<(String, String)> {
    let shipped = pull::use_profile::shipped().into_iter().map(|p| (p.key, p.name));
    let mut all: Vec<_> = std::iter::once((String::new(), "none".to_owned())).chain(shipped).collect();
    if !all.iter().any(|(key, _)| key == now) {
        all.push((now.to_owned(), now.to_owned()));
    }
    all
}

fn select<T: AsRef<str>>(id: &str, key: &str, label: &str, choices: &[(T, T)], now: &str) -> Markup {
    html! {
        label for=(id) { (capital(label)) }
        select.field #(id) name=(key) { @for (value, words) in choices { option value=(value.as_ref()) selected[value.as_ref() == now] { (words.as_ref()) } } }
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// What stands for a key now, as it would be typed.
fn typed(setup: &Setup, cell: &CellSaid, key: &str) -> String {
    let known = |k: &Option<Known>| k.as_ref().map_or_else(String::new, |k| k.text.clone());
    let yes = |v: bool| if v { "yes".to_owned() } else { String::new() };
    let plain = |v: f64| format!("{v}");
    match key {
        "standard" => word(&setup.standard),
        "induction" => match word(&setup.induction).as_str() {
            "follows_barometer" => "follows".to_owned(),
            "held_absolute" => "held".to_owned(),
            other => other.to_owned(),
        },
        "smooth" => format!("{} rpm", plain(setup.half_width_rpm)),
        "plateau" => format!("{} %", plain((setup.plateau_share * 1e6).round() / 1e4)),
        "use" => setup.use_profile.clone().unwrap_or_default(),
        "extrapolate" => yes(setup.extrapolate),
        "baro" => known(&setup.barometer_pa),
        "air" => known(&setup.air_temperature_k),
        "humidity" => known(&setup.humidity),
        "vapour" => known(&setup.vapour_pressure_pa),
        "altitude" => cell.altitude_m.map_or_else(String::new, |m| format!("{} m", plain(m))),
        "displacement" => known(&setup.displacement_m3),
        "stroke" => known(&setup.stroke_m),
        "cylinders" => setup.cylinders.map_or_else(String::new, |n| n.to_string()),
        "two_stroke" => yes(!setup.four_stroke),
        "friction" => known(&setup.friction_fmep_pa),
        "blower_ratio" => known(&setup.blower_ratio),
        "accelerate" => setup.accelerate.as_ref().map_or_else(String::new, |a| {
            format!("{} {}-{}", a.inertia_kg_m2.text, plain(a.from_rpm), plain(a.to_rpm))
        }),
        "marine" => yes(setup.marine_or_aircraft),
        "fuel" => setup.fuel.clone().unwrap_or_default(),
        "stoich" => known(&setup.fuel_stoich),
        "density" => known(&setup.fuel_density_kg_m3),
        "inertia" => known(&cell.inertia),
        "arm" => known(&cell.arm),
        _ => String::new(),
    }
}

/// The word of a plain enumeration in files.
fn word<T: serde::Serialize>(value: &T) -> String {
    serde_json::to_value(value).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

/// Reads what was typed over what stands. Only texts that differ from what stands are read, so that
/// the origin of the others is kept.
///
/// # Errors
/// The texts that cannot be used.
pub(crate) fn read(
    setup: &mut Setup,
    cell: &mut CellSaid,
    fields: &[(String, String)],
    by: &str,
) -> Result<(), Refused> {
    let mut refused = Refused::new();
    for key in GROUPS.iter().flat_map(|(_, keys)| *keys) {
        let text = fields.iter().find(|(k, _)| k == key).map(|(_, v)| v.trim());
        let ticked = matches!(*key, "two_stroke" | "marine" | "extrapolate");
        let Some(text) = text.or(ticked.then_some("")) else { continue };
        if text == typed(setup, cell, key) {
            continue;
        }
        if let Err(error) = statement::state(setup, cell, key, text, by) {
            let words = error.to_string().replace("\n  go on    ", "; ");
            refused.insert((*key).to_owned(), (text.to_owned(), words));
        }
    }
    if refused.is_empty() { Ok(()) } else { Err(refused) }
}

/// Takes the form.
pub(crate) async fn state_again(
    State(state): State<crate::AppState>,
    InCell(who): InCell,
    prefs: crate::prefs::Prefs,
    OfRun(run): OfRun,
    axum::Form(fields): axum::Form<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let revision: i64 = fields.iter().find(|(k, _)| k == "revision").and_then(|(_, v)| v.parse().ok()).unwrap_or(0);
    if revision != run.revision {
        return Err(Fault::Conflict { number: run.number });
    }
    let reading = crate::readings::reading(&state, run.clone()).await?;
    let (mut setup, mut cell) = (reading.stated.setup.clone(), reading.stated.cell.clone());
    match read(&mut setup, &mut cell, &fields, &who.name) {
        Ok(()) => restate_with_cell(&state, run, &who.name, revision, setup, cell).await,
        Err(refused) => super::view::refused(&state, &prefs, &reading, &refused).await,
    }
}
