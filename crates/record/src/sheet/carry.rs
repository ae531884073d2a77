//! What a new sheet can be given without typing: from the build and from other sheets of the job.

use super::into_build::text_with_u;
use super::layout::{Column, LayoutError};
use super::result::SheetResult;
use super::template::{GivenSpec, Template};
use crate::{SheetBegun, Stated};
use engine::build::{Build, each};
use std::collections::BTreeMap;

/// Another sheet of the job.
#[derive(Debug, Clone, Copy)]
pub struct Finished<'a> {
    /// Its template.
    pub template: &'a Template,
    /// How it was begun.
    pub begun: &'a SheetBegun,
    /// What it says.
    pub result: &'a SheetResult,
}

/// A value that a sheet can be given.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggested {
    /// Key of the given value: "piston", "bore/cylinder 3".
    pub key: String,
    /// The value.
    pub stated: Stated,
    /// Where it comes from: "from the sheet Cylinder bores, after honing", "from the build".
    pub from: String,
}

/// Counts that the build knows.
pub fn suggest_counts(template: &Template, build: &Build) -> BTreeMap<String, u32> {
    let known = |key: &str| match key {
        "block.cylinders" => build.block.cylinders,
        "rod.bolts" => build.rod.bolts,
        "rod.rods_per_pin" => build.rod.rods_per_pin,
        "head.intake_valves" => build.head.intake_valves,
        "head.exhaust_valves" => build.head.exhaust_valves,
        _ => None,
    };
    let found = |c: &super::CountSpec| Some((c.key.clone(), known(c.build.as_deref()?)?));
    let possible = |key: &str, n: u32| template.counts.iter().any(|c| c.key == key && (c.least..=c.most).contains(&n));
    template.counts.iter().filter_map(found).filter(|(key, n)| possible(key, *n)).collect()
}

/// Given values that other sheets or the build know; a sheet counts before the build, the later sheet before
/// the earlier.
///
/// # Errors
/// [`LayoutError`] as [`Template::layout`].
pub fn suggest_given(
    template: &Template,
    counts: &BTreeMap<String, u32>,
    unit: &str,
    build: Option<&Build>,
    sheets: &[Finished<'_>],
) -> Result<Vec<Suggested>, LayoutError> {
    let layout = template.layout(counts)?;
    let mut found = Vec::new();
    for spec in &template.given {
        let unit = template.unit_beside(unit, &spec.units);
        let from_sheet = |column: Option<&Column>| of_sheet(spec, unit, column, sheets);
        let from_build = |column: Option<&Column>| of_build(spec, unit, column, build?);
        if spec.each {
            for column in &layout.columns {
                let one = from_sheet(Some(column)).or_else(|| from_build(Some(column)));
                found.extend(one.map(|(stated, from)| Suggested {
                    key: format!("{}/{}", spec.key, column.key),
                    stated,
                    from,
                }));
            }
        }
        if !found.iter().any(|s: &Suggested| s.key.starts_with(&format!("{}/", spec.key))) {
            let one = from_sheet(None).or_else(|| from_build(None));
            found.extend(one.map(|(stated, from)| Suggested { key: spec.key.clone(), stated, from }));
        }
    }
    Ok(found)
}

fn of_sheet(
    spec: &GivenSpec,
    unit: &str,
    column: Option<&Column>,
    sheets: &[Finished<'_>],
) -> Option<(Stated, String)> {
    let (key, reference) = spec.sheet.as_ref()?;
    let sheet = sheets.iter().rev().find(|s| s.template.key == *key)?;
    let (si, u_si, step_si) = match reference.strip_prefix("derived.") {
        Some(figure) => {
            let place = column.map_or_else(|| figure.to_owned(), |c| format!("{}/{figure}", c.key));
            let figure = sheet.result.figure(&place).filter(|f| f.complete && f.kind == spec.kind)?;
            (figure.value_si?, figure.u_si?, 1e-12)
        }
        None => {
            let place = column.map_or_else(|| reference.clone(), |c| format!("{}/{reference}", c.key));
            let cell = sheet.result.cells.get(&place)?;
            (cell.value_si?, cell.u_si?, cell.step_si)
        }
    };
    let stated = Stated::read(&text_with_u(si, u_si, step_si, spec.kind, unit), spec.kind, None).ok()?;
    Some((stated, format!("from the sheet {}", sheet.begun.title)))
}

fn of_build(spec: &GivenSpec, unit: &str, column: Option<&Column>, build: &Build) -> Option<(Stated, String)> {
    let key = spec.build.as_ref()?;
    let input = match column {
        Some(column) => each::readings(build, key).get(column.number as usize - 1)?,
        None => build.value(key)?,
    };
    let stated = Stated::read(&text_with_u(input.si, input.u, 1e-9, spec.kind, unit), spec.kind, None).ok()?;
    Some((stated, "from the build".to_owned()))
}
