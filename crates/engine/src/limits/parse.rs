//! Limit tables from TOML, with errors that name line, column and what was meant.

use super::table::{Feature, Limit, LimitTable, Source, Standing, Stated, Use};
use quantity::written::{self, Fields, Parsed, place, suggestion};
use quantity::{Dimension, find_unit_in};
use std::ops::Range;

/// The version of the format that this program reads and writes.
const VERSION: i64 = 1;

/// Kinds of quantity that a limit may have.
const KINDS: [Dimension; 12] = [
    Dimension::Length,
    Dimension::Area,
    Dimension::Volume,
    Dimension::Mass,
    Dimension::Force,
    Dimension::Torque,
    Dimension::Power,
    Dimension::Pressure,
    Dimension::Angle,
    Dimension::Velocity,
    Dimension::Fraction,
    Dimension::Count,
];

/// Why a limit table cannot be read. Nothing of the text is used.
pub type LimitsError = quantity::written::TextError;

/// Reads a limit table.
///
/// `base` is a table whose features and sources may be used without declaring them again: the shipped
/// one for the shop's table, both for a maker's sheet.
///
/// # Errors
/// [`LimitsError`] at the first fault.
pub fn parse(text: &str, base: Option<&LimitTable>) -> Result<LimitTable, LimitsError> {
    written::read(text, |root| read(root, base, &|span| place(text, span.map_or(0, |s| s.start)).0))
}

fn read(
    root: &Fields<'_>,
    base: Option<&LimitTable>,
    line: &dyn Fn(Option<Range<usize>>) -> usize,
) -> Parsed<LimitTable> {
    root.only(&["version", "title", "source", "feature", "limit"])?;
    root.version(VERSION)?;
    let mut table = LimitTable { title: root.text("title")?, ..LimitTable::default() };
    for fields in root.tables("source")? {
        let source = source(&fields)?;
        if table.source(&source.tag).is_some() {
            return Err(fields.fault("tag", format!("a second source `{}`", source.tag), None));
        }
        table.sources.push(source);
    }
    for fields in root.tables("feature")? {
        let feature = feature(&fields)?;
        if table.feature(&feature.key).is_some() {
            return Err(fields.fault("key", format!("a second feature `{}`", feature.key), None));
        }
        // A figure may only lie over another if it measures the same thing.
        if let Some(known) = base.and_then(|b| b.feature(&feature.key))
            && (known.kind, known.per.as_ref()) != (feature.kind, feature.per.as_ref())
        {
            let size = |f: &Feature| f.per.as_ref().map_or("no size".to_owned(), |p| format!("the size \"{p}\""));
            let what = format!(
                "`{}` is {} with {} here and {} with {} in \"{}\"",
                feature.key,
                feature.kind,
                size(&feature),
                known.kind,
                size(known),
                base.map_or("", |b| b.title.as_str()),
            );
            let hint = "leave the feature out, or give it a key of its own";
            return Err(fields.fault("key", what, Some(hint.to_owned())));
        }
        table.features.push(feature);
    }
    for fields in root.tables("limit")? {
        let limit = limit(&fields, &table, base, line)?;
        if let Some(other) = table.limits.iter().find(|other| same(other, &limit)) {
            let what = format!("the row in line {} already limits `{}` for this", other.line, limit.feature);
            let hint =
                "one row per feature, use, material and conditions; mark one as reference = true, or take it away";
            return Err(fields.fault("feature", what, Some(hint.to_owned())));
        }
        table.limits.push(limit);
    }
    Ok(table)
}

/// Two rows that a query could not tell apart.
fn same(a: &Limit, b: &Limit) -> bool {
    let same_uses = (a.uses.is_empty() && b.uses.is_empty()) || a.uses.iter().any(|u| b.uses.contains(u));
    !a.reference && !b.reference && a.feature == b.feature && a.material == b.material && a.when == b.when && same_uses
}

fn source(fields: &Fields<'_>) -> Parsed<Source> {
    fields.only(&["tag", "standing", "what"])?;
    let name = fields.text("standing")?;
    let standing = Standing::ALL.into_iter().find(|s| s.name() == name).ok_or_else(|| {
        let names = Standing::ALL.map(Standing::name);
        fields.fault("standing", format!("no standing is called `{name}`"), suggestion(&name, names))
    })?;
    Ok(Source { tag: fields.text("tag")?, standing, what: fields.text("what")? })
}

fn feature(fields: &Fields<'_>) -> Parsed<Feature> {
    fields.only(&["key", "name", "kind", "per", "how"])?;
    let name = fields.text("kind")?;
    let kind = KINDS.into_iter().find(|k| k.name() == name).ok_or_else(|| {
        let names = KINDS.map(Dimension::name);
        fields.fault("kind", format!("no kind of quantity here is called `{name}`"), suggestion(&name, names))
    })?;
    Ok(Feature {
        key: fields.text("key")?,
        name: fields.text("name")?,
        kind,
        per: fields.maybe_text("per")?,
        how: fields.maybe_text("how")?,
    })
}

fn limit(
    fields: &Fields<'_>,
    table: &LimitTable,
    base: Option<&LimitTable>,
    line: &dyn Fn(Option<Range<usize>>) -> usize,
) -> Parsed<Limit> {
    fields.only(&["feature", "use", "material", "when", "min", "target", "max", "reference", "source", "note"])?;
    let key = fields.text("feature")?;
    let tables = || std::iter::once(table).chain(base);
    let feature = tables().find_map(|t| t.feature(&key)).ok_or_else(|| {
        let keys: Vec<&str> = tables().flat_map(|t| t.features.iter().map(|f| f.key.as_str())).collect();
        fields.fault("feature", format!("no feature is called `{key}`"), suggestion(&key, keys))
    })?;
    let tag = fields.text("source")?;
    if tables().all(|t| t.source(&tag).is_none()) {
        let tags: Vec<&str> = tables().flat_map(|t| t.sources.iter().map(|s| s.tag.as_str())).collect();
        return Err(fields.fault("source", format!("no source has the tag `{tag}`"), suggestion(&tag, tags)));
    }
    let mut uses = Vec::new();
    for name in fields.texts("use")? {
        let found = Use::from_key(&name).ok_or_else(|| {
            let keys = Use::ALL.map(Use::key);
            fields.fault("use", format!("no use is called `{name}`"), suggestion(&name, keys))
        })?;
        uses.push(found);
    }
    let mut when = fields.texts("when")?;
    when.sort();
    let figure = |name: &str| fields.maybe_text(name)?.map(|t| stated(fields, name, t, feature)).transpose();
    let (min, target, max) = (figure("min")?, figure("target")?, figure("max")?);
    let figures: Vec<(&str, &Stated)> = [("min", &min), ("target", &target), ("max", &max)]
        .into_iter()
        .filter_map(|(n, s)| Some((n, s.as_ref()?)))
        .collect();
    if figures.is_empty() {
        let hint = Some("write min, target or max, with its unit".to_owned());
        return Err(fields.fault("feature", format!("the row for `{key}` has no figure"), hint));
    }
    for pair in figures.windows(2) {
        let ((low, a), (high, b)) = (pair[0], pair[1]);
        if a.per_size != b.per_size {
            let what = format!("`{low}` is {} and `{high}` is {}: one is per size and one is not", a.text, b.text);
            return Err(fields.fault(high, what, Some("write both in the same way".to_owned())));
        }
        if a.si > b.si {
            let what = format!("`{low}` is {} and lies above `{high}`, {}", a.text, b.text);
            return Err(fields.fault(low, what, Some("min ≤ target ≤ max".to_owned())));
        }
    }
    Ok(Limit {
        uses,
        material: fields.maybe_text("material")?,
        when,
        min,
        target,
        max,
        reference: fields.flag("reference")?,
        source: tag,
        note: fields.maybe_text("note")?,
        table: table.title.clone(),
        line: line(fields.span.clone()),
        feature: key,
    })
}

/// "0.0020 in", "0.8 thou per in", "5 %".
fn stated(fields: &Fields<'_>, name: &str, text: String, feature: &Feature) -> Parsed<Stated> {
    let trimmed = text.trim().replace('−', "-");
    let end = trimmed.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(trimmed.len());
    let kind = feature.kind;
    let number: f64 = trimmed[..end].parse().map_err(|_| {
        let example = if kind == Dimension::Length { "\"0.0020 in\"" } else { "a number and its unit" };
        let what = format!("\"{text}\" does not begin with a number");
        fields.fault(name, what, Some(format!("write a {kind} such as {example}")))
    })?;
    let unit_fault = |e: quantity::UnitError| fields.fault(name, format!("\"{text}\": {e}"), None);
    let (unit, size) = match trimmed[end..].split_once(" per ") {
        Some((unit, size)) => (unit.trim(), Some(size.trim())),
        None => (trimmed[end..].trim(), None),
    };
    if unit.is_empty() && kind != Dimension::Count {
        let what = format!("\"{text}\" has no unit");
        return Err(fields.fault(
            name,
            what,
            Some(format!("`{}` is a {kind}; write its unit behind the number", feature.key)),
        ));
    }
    let si = if unit.is_empty() { number } else { find_unit_in(unit, kind).map_err(unit_fault)?.to_si(number) };
    let Some(size) = size else { return Ok(Stated { si, per_size: false, text }) };
    if feature.per.is_none() {
        let what = format!("\"{text}\" is per size, and the feature `{}` names no size", feature.key);
        return Err(fields.fault(
            name,
            what,
            Some("write per = \"bore\" in the feature, or the whole figure here".to_owned()),
        ));
    }
    let size = find_unit_in(size, Dimension::Length).map_err(unit_fault)?;
    Ok(Stated { si: si / size.to_si(1.0), per_size: true, text })
}

/// Texts as limit tables have them: as written, blanks and all, but not empty.
trait Texts {
    fn maybe_text(&self, name: &str) -> Parsed<Option<String>>;
    fn text(&self, name: &str) -> Parsed<String>;
}

impl Texts for Fields<'_> {
    fn maybe_text(&self, name: &str) -> Parsed<Option<String>> {
        match self.maybe_string(name, "put it in quotation marks, with its unit")? {
            Some(text) if text.trim().is_empty() => Err(self.fault(name, format!("`{name}` is empty"), None)),
            text => Ok(text.map(str::to_owned)),
        }
    }

    fn text(&self, name: &str) -> Parsed<String> {
        self.maybe_text(name)?.ok_or_else(|| self.fault(name, format!("`{name}` is missing"), None))
    }
}
