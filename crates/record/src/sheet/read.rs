//! Templates from TOML.

use super::fields::Texts as _;
use super::number;
use super::read_rest::{build, derived, hint, limit_points_somewhere};
use super::read_rows::{columns, count, given, group, part, row};
use super::template::{ShapeSpec, Template};
use quantity::Dimension;
use quantity::written::{self, Fields, Parsed, suggestion};

/// The version of the format that this program reads and writes.
const VERSION: i64 = 1;

/// Kinds of quantity that a sheet may hold.
const KINDS: [Dimension; 20] = [
    Dimension::Length,
    Dimension::Area,
    Dimension::Volume,
    Dimension::Mass,
    Dimension::Force,
    Dimension::Torque,
    Dimension::Power,
    Dimension::Pressure,
    Dimension::Temperature,
    Dimension::Time,
    Dimension::RotationalSpeed,
    Dimension::Velocity,
    Dimension::Angle,
    Dimension::Inertia,
    Dimension::MassFlow,
    Dimension::VolumeFlow,
    Dimension::Density,
    Dimension::SpringRate,
    Dimension::Fraction,
    Dimension::Count,
];

/// Why a template cannot be read. Nothing of the text is used.
pub type TemplateError = quantity::written::TextError;

impl Template {
    /// Reads a template.
    ///
    /// # Errors
    /// [`TemplateError`] at the first fault: unknown keys, names that point to nothing, units of another
    /// kind, formulas that need what is not given.
    pub fn parse(text: &str) -> Result<Self, TemplateError> {
        written::read(text, |root| template(root, text))
    }
}

fn template(root: &Fields<'_>, text: &str) -> Parsed<Template> {
    root.only(&[
        "version",
        "key",
        "title",
        "about",
        "how",
        "kind",
        "units",
        "instrument",
        "part",
        "count",
        "given",
        "columns",
        "row",
        "group",
        "derived",
        "hint",
        "shape",
        "into_build",
    ])?;
    root.version(VERSION)?;
    let kind = kind_of(root, "kind", None)?;
    let units = units_of(root, kind, None)?;
    let mut read = Template {
        key: root.key("key")?,
        title: root.text("title")?,
        about: root.text("about")?,
        how: root.texts("how")?,
        kind,
        units,
        instrument: root.text("instrument")?,
        part: root.maybe_table("part")?.map(|fields| part(&fields)).transpose()?,
        counts: Vec::new(),
        given: Vec::new(),
        columns: Vec::new(),
        rows: Vec::new(),
        groups: Vec::new(),
        derived: Vec::new(),
        hints: Vec::new(),
        shape: None,
        build: Vec::new(),
        text: text.to_owned(),
    };
    for fields in root.tables("count")? {
        let count = count(&fields)?;
        once(&fields, read.counts.iter().map(|c| c.key.as_str()), &count.key)?;
        read.counts.push(count);
    }
    for fields in root.tables("given")? {
        let given = given(&fields, &read)?;
        once(&fields, read.given.iter().map(|g| g.key.as_str()), &given.key)?;
        read.given.push(given);
    }
    for fields in root.tables("columns")? {
        let set = columns(&fields, &read)?;
        once(&fields, read.columns.iter().map(|c| c.key.as_str()), &set.key)?;
        read.columns.push(set);
    }
    if read.columns.is_empty() {
        return Err(root.fault("columns", "the sheet has no columns".to_owned(), Some("write [[columns]]".to_owned())));
    }
    for fields in root.tables("row")? {
        let row = row(&fields, &read)?;
        once(&fields, read.rows.iter().map(|r| r.key.as_str()), &row.key)?;
        read.rows.push(row);
    }
    for fields in root.tables("group")? {
        let group = group(&fields, &read)?;
        // Two groups without a key must not share rows: their places would be the same.
        for key in &group.rows {
            if read.groups.iter().any(|g| g.key == group.key && g.rows.contains(key)) {
                return Err(fields.fault("rows", format!("the row `{key}` stands twice in one group"), None));
            }
        }
        read.groups.push(group);
    }
    if read.groups.is_empty() {
        let hint = Some("write [[group]] with rows = [\"…\"]".to_owned());
        return Err(root.fault("group", "the sheet has no rows to read".to_owned(), hint));
    }
    for (fields, row) in root.tables("row")?.iter().zip(&read.rows) {
        if !read.groups.iter().any(|g| g.rows.contains(&row.key)) {
            return Err(fields.fault("key", format!("the row `{}` stands in no group", row.key), None));
        }
    }
    for fields in root.tables("derived")? {
        let derived = derived(&fields, &read)?;
        once(&fields, read.derived.iter().map(|d| d.key.as_str()), &derived.key)?;
        once(&fields, read.rows.iter().map(|r| r.key.as_str()), &derived.key)?;
        read.derived.push(derived);
    }
    // Limits of rows may use worked-out sizes, so they are checked when those are known.
    for (fields, row) in root.tables("row")?.iter().zip(&read.rows) {
        if let Some(limit) = &row.limit {
            limit_points_somewhere(fields, limit, &read)?;
        }
    }
    for fields in root.tables("hint")? {
        let hint = hint(&fields, &read)?;
        read.hints.push(hint);
    }
    if let Some(fields) = root.maybe_table("shape")? {
        fields.only(&["lines"])?;
        let lines = fields.texts("lines")?;
        for line in &lines {
            known_name(&fields, "lines", line, read.rows.iter().map(|r| r.key.as_str()), "row")?;
        }
        read.shape = Some(ShapeSpec { lines });
    }
    for fields in root.tables("into_build")? {
        let build = build(&fields, &read)?;
        read.build.push(build);
    }
    Ok(read)
}

fn once<'a>(fields: &Fields<'_>, mut known: impl Iterator<Item = &'a str>, key: &str) -> Parsed<()> {
    if known.any(|k| k == key) {
        return Err(fields.fault(
            "key",
            format!("`{key}` is there already"),
            Some("give it a key of its own".to_owned()),
        ));
    }
    Ok(())
}

pub(super) fn known_name<'a>(
    fields: &Fields<'_>,
    at: &str,
    found: &str,
    known: impl Iterator<Item = &'a str> + Clone,
    what: &str,
) -> Parsed<()> {
    if known.clone().any(|k| k == found) {
        return Ok(());
    }
    Err(fields.fault(at, format!("no {what} is called `{found}`"), suggestion(found, known)))
}

pub(super) fn kind_of(fields: &Fields<'_>, name: &str, without: Option<Dimension>) -> Parsed<Dimension> {
    let words: Vec<(&str, Dimension)> = KINDS.iter().map(|k| (k.name(), *k)).collect();
    fields.one_of(name, &words, without)
}

/// Units of a kind; without any, those of the sheet where the kind is the same.
pub(super) fn units_of(fields: &Fields<'_>, kind: Dimension, sheet: Option<&Template>) -> Parsed<Vec<String>> {
    let units = fields.texts("units")?;
    if let Some(wrong) =
        units.iter().find(|u| !(u.is_empty() && kind == Dimension::Count) && number::unit(kind, u).is_none())
    {
        let what = format!("\"{wrong}\" is no unit of a {kind}");
        let known: Vec<&str> = quantity::units_of(kind).map(|u| u.symbol).collect();
        return Err(fields.fault("units", what, Some(format!("known are {}", known.join(", ")))));
    }
    match (units.is_empty(), sheet) {
        (false, _) => Ok(units),
        (true, _) if kind == Dimension::Count => Ok(vec![String::new()]),
        (true, Some(sheet)) if sheet.kind == kind => Ok(sheet.units.clone()),
        (true, _) => {
            let hint = Some("write units = [\"mm\", \"in\"], the usual one first".to_owned());
            Err(fields.fault("units", format!("`units` is missing for a {kind}"), hint))
        }
    }
}

pub(super) fn known_given(fields: &Fields<'_>, at: &str, key: &str, sheet: &Template) -> Parsed<()> {
    known_name(fields, at, key, sheet.given.iter().map(|g| g.key.as_str()), "given value")
}
