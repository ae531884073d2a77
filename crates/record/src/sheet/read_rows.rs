//! Counts, given values, columns, rows and groups from TOML.

use super::fields::Texts as _;
use super::read::{kind_of, known_given, known_name, units_of};
use super::read_rest::build_key;
use super::template::{ColumnSet, CountSpec, GivenSpec, Group, LimitSpec, Near, PartSpec, RowSpec, Template};
use crate::Stated;
use quantity::written::{Fields, Parsed};

pub(super) fn part(fields: &Fields<'_>) -> Parsed<PartSpec> {
    fields.only(&["material", "named", "when"])?;
    let material = fields.text("material")?;
    let check = |at: &str, found: &str| {
        known_name(
            fields,
            at,
            found,
            crate::instrument::expansions().iter().flat_map(|e| e.names.iter().map(String::as_str)),
            "material",
        )
    };
    check("material", &material)?;
    let when = fields.named_texts("when")?;
    for (_, material) in &when {
        check("when", material)?;
    }
    Ok(PartSpec { material, named: fields.flag("named")?, when: when.into_iter().collect() })
}

pub(super) fn count(fields: &Fields<'_>) -> Parsed<CountSpec> {
    fields.only(&["key", "name", "usual", "least", "most", "build"])?;
    let whole =
        |name: &str| fields.maybe_whole(name)?.ok_or_else(|| fields.fault(name, format!("`{name}` is missing"), None));
    let (usual, least, most) = (whole("usual")?, whole("least")?, whole("most")?);
    // A sheet with a thousand rows is a slip of the pen.
    if !(1 <= least && least <= usual && usual <= most && most <= 400) {
        let what = format!("least {least}, usual {usual}, most {most}");
        return Err(fields.fault("usual", what, Some("1 ≤ least ≤ usual ≤ most ≤ 400".to_owned())));
    }
    Ok(CountSpec {
        key: fields.key("key")?,
        name: fields.text("name")?,
        usual,
        least,
        most,
        build: build_key(fields, "build")?,
    })
}

pub(super) fn given(fields: &Fields<'_>, sheet: &Template) -> Parsed<GivenSpec> {
    fields.only(&["key", "name", "kind", "units", "each", "usual", "build", "sheet", "note"])?;
    let kind = kind_of(fields, "kind", Some(sheet.kind))?;
    let units = units_of(fields, kind, Some(sheet))?;
    let usual = fields.maybe_text("usual")?;
    if let Some(text) = &usual {
        Stated::read(text, kind, units.first().map(String::as_str))
            .map_err(|e| fields.fault("usual", e.to_string(), None))?;
    }
    let from = fields.maybe_text("sheet")?;
    let from = from.map(|text| match text.split_once(": ") {
        Some((sheet, value)) => Ok((sheet.trim().to_owned(), value.trim().to_owned())),
        None => {
            let hint = Some("write sheet = \"bores: derived.mean\"".to_owned());
            Err(fields.fault("sheet", format!("\"{text}\" names no sheet and value"), hint))
        }
    });
    Ok(GivenSpec {
        key: fields.key("key")?,
        name: fields.text("name")?,
        kind,
        units,
        each: fields.flag("each")?,
        usual,
        build: build_key(fields, "build")?,
        sheet: from.transpose()?,
        note: fields.maybe_text("note")?.unwrap_or_default(),
    })
}

pub(super) fn columns(fields: &Fields<'_>, sheet: &Template) -> Parsed<ColumnSet> {
    fields.only(&["key", "head", "count"])?;
    let count = fields.maybe_text("count")?;
    if let Some(count) = &count {
        known_name(fields, "count", count, sheet.counts.iter().map(|c| c.key.as_str()), "count")?;
    }
    Ok(ColumnSet { key: fields.key("key")?, head: fields.text("head")?, count })
}

pub(super) fn within(fields: &Fields<'_>, sheet: &Template) -> Parsed<Vec<String>> {
    let within = fields.texts("in")?;
    for set in &within {
        known_name(fields, "in", set, sheet.columns.iter().map(|c| c.key.as_str()), "set of columns")?;
    }
    Ok(within)
}

pub(super) fn row(fields: &Fields<'_>, sheet: &Template) -> Parsed<RowSpec> {
    fields.only(&[
        "key",
        "name",
        "kind",
        "units",
        "instrument",
        "count",
        "from",
        "step",
        "in",
        "optional",
        "limit",
        "near",
        "near_words",
    ])?;
    let kind = kind_of(fields, "kind", Some(sheet.kind))?;
    let count = fields.maybe_text("count")?;
    if let Some(count) = &count {
        known_name(fields, "count", count, sheet.counts.iter().map(|c| c.key.as_str()), "count")?;
    }
    let at = match (fields.maybe_text("from")?, fields.maybe_text("step")?) {
        (None, None) => None,
        (Some(from), Some(step)) => {
            known_given(fields, "from", &from, sheet)?;
            known_given(fields, "step", &step, sheet)?;
            Some((from, step))
        }
        _ => {
            let what = "a row that is read at steps needs `from` and `step`".to_owned();
            return Err(fields.fault("from", what, Some("both are keys of given values".to_owned())));
        }
    };
    let near = [("column", Near::Column), ("row", Near::Row), ("none", Near::None)];
    Ok(RowSpec {
        key: fields.key("key")?,
        name: fields.text("name")?,
        kind,
        units: units_of(fields, kind, Some(sheet))?,
        instrument: fields.maybe_text("instrument")?.unwrap_or_else(|| sheet.instrument.clone()),
        count,
        at,
        within: within(fields, sheet)?,
        optional: fields.flag("optional")?,
        limit: limit(fields)?,
        near: fields.one_of("near", &near, Some(Near::None))?,
        near_words: fields.maybe_text("near_words")?.unwrap_or_default(),
    })
}

pub(super) fn group(fields: &Fields<'_>, sheet: &Template) -> Parsed<Group> {
    fields.only(&["key", "name", "under", "rows"])?;
    let key = if fields.table.contains_key("key") { fields.key("key")? } else { String::new() };
    let under = fields.maybe_text("under")?;
    if let Some(under) = &under {
        known_given(fields, "under", under, sheet)?;
    }
    let rows = fields.texts("rows")?;
    if rows.is_empty() {
        return Err(fields.fault("rows", "the group has no rows".to_owned(), None));
    }
    for row in &rows {
        known_name(fields, "rows", row, sheet.rows.iter().map(|r| r.key.as_str()), "row")?;
    }
    Ok(Group { key, name: fields.maybe_text("name")?.unwrap_or_default(), under, rows })
}

pub(super) fn limit(fields: &Fields<'_>) -> Parsed<Option<LimitSpec>> {
    let Some(fields) = fields.maybe_table("limit")? else { return Ok(None) };
    fields.only(&["feature", "size", "min", "aim", "max", "within"])?;
    let spec = LimitSpec {
        feature: fields.maybe_text("feature")?,
        size: fields.maybe_text("size")?,
        min: fields.maybe_text("min")?,
        aim: fields.maybe_text("aim")?,
        max: fields.maybe_text("max")?,
        within: fields.maybe_text("within")?,
    };
    if spec.feature.is_none() && spec.min.is_none() && spec.max.is_none() && spec.within.is_none() {
        let hint = Some("name a feature of the limit tables, or given values as min, max or within".to_owned());
        return Err(fields.fault("feature", "the limit limits nothing".to_owned(), hint));
    }
    if spec.within.is_some() && spec.aim.is_none() {
        return Err(fields.fault("within", "`within` needs `aim`".to_owned(), None));
    }
    Ok(Some(spec))
}
