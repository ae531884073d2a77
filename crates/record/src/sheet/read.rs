//! Templates from TOML.

use super::fault::TemplateError;
use super::fields::{self, Fault, Fields, Parsed, nearest};
use super::formula;
use super::number;
use super::pick::{Reference, Source};
use super::template::{
    BuildForm, BuildSpec, ColumnSet, CountSpec, DerivedSpec, GivenSpec, Group, Hint, HintWhen, LimitSpec, Near,
    PartSpec, RowSpec, Scope, ShapeSpec, Template,
};
use crate::Stated;
use quantity::Dimension;

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

impl Template {
    /// Reads a template.
    ///
    /// # Errors
    /// [`TemplateError`] at the first fault: unknown keys, names that point to nothing, units of another
    /// kind, formulas that need what is not given.
    pub fn parse(text: &str) -> Result<Self, TemplateError> {
        fields::read(text, |root| template(root, text)).map_err(|f| TemplateError {
            line: f.line,
            column: f.column,
            what: f.what,
            suggestion: f.suggestion,
        })
    }
}

fn template(root: &Fields<'_>, text: &str) -> Parsed<Template> {
    root.only(&[
        "version", "key", "title", "about", "how", "kind", "units", "instrument", "part", "count", "given", "columns",
        "row", "group", "derived", "hint", "shape", "into_build",
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
        return Err(fields.fault("key", format!("`{key}` is there already"), Some("give it a key of its own".to_owned())));
    }
    Ok(())
}

fn known_name<'a>(
    fields: &Fields<'_>,
    at: &str,
    found: &str,
    known: impl Iterator<Item = &'a str> + Clone,
    what: &str,
) -> Parsed<()> {
    if known.clone().any(|k| k == found) {
        return Ok(());
    }
    Err(fields.fault(at, format!("no {what} is called `{found}`"), nearest(found, known)))
}

fn kind_of(fields: &Fields<'_>, name: &str, without: Option<Dimension>) -> Parsed<Dimension> {
    let words: Vec<(&str, Dimension)> = KINDS.iter().map(|k| (k.name(), *k)).collect();
    fields.one_of(name, &words, without)
}

/// Units of a kind; without any, those of the sheet where the kind is the same.
fn units_of(fields: &Fields<'_>, kind: Dimension, sheet: Option<&Template>) -> Parsed<Vec<String>> {
    let units = fields.texts("units")?;
    if let Some(wrong) = units.iter().find(|u| !(u.is_empty() && kind == Dimension::Count) && number::unit(kind, u).is_none()) {
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

fn part(fields: &Fields<'_>) -> Parsed<PartSpec> {
    fields.only(&["material", "named", "when"])?;
    let material = fields.text("material")?;
    let check = |at: &str, found: &str| {
        known_name(fields, at, found, crate::instrument::expansions().iter().flat_map(|e| e.names.iter().map(String::as_str)), "material")
    };
    check("material", &material)?;
    let when = fields.named_texts("when")?;
    for (_, material) in &when {
        check("when", material)?;
    }
    Ok(PartSpec { material, named: fields.flag("named")?, when: when.into_iter().collect() })
}

fn count(fields: &Fields<'_>) -> Parsed<CountSpec> {
    fields.only(&["key", "name", "usual", "least", "most", "build"])?;
    let whole = |name: &str| {
        fields.maybe_whole(name)?.ok_or_else(|| fields.fault(name, format!("`{name}` is missing"), None))
    };
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

fn given(fields: &Fields<'_>, sheet: &Template) -> Parsed<GivenSpec> {
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

fn columns(fields: &Fields<'_>, sheet: &Template) -> Parsed<ColumnSet> {
    fields.only(&["key", "head", "count"])?;
    let count = fields.maybe_text("count")?;
    if let Some(count) = &count {
        known_name(fields, "count", count, sheet.counts.iter().map(|c| c.key.as_str()), "count")?;
    }
    Ok(ColumnSet { key: fields.key("key")?, head: fields.text("head")?, count })
}

fn within(fields: &Fields<'_>, sheet: &Template) -> Parsed<Vec<String>> {
    let within = fields.texts("in")?;
    for set in &within {
        known_name(fields, "in", set, sheet.columns.iter().map(|c| c.key.as_str()), "set of columns")?;
    }
    Ok(within)
}

fn known_given(fields: &Fields<'_>, at: &str, key: &str, sheet: &Template) -> Parsed<()> {
    known_name(fields, at, key, sheet.given.iter().map(|g| g.key.as_str()), "given value")
}

fn row(fields: &Fields<'_>, sheet: &Template) -> Parsed<RowSpec> {
    fields.only(&[
        "key", "name", "kind", "units", "instrument", "count", "from", "step", "in", "optional", "limit", "near",
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

fn group(fields: &Fields<'_>, sheet: &Template) -> Parsed<Group> {
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

fn limit(fields: &Fields<'_>) -> Parsed<Option<LimitSpec>> {
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

fn limit_points_somewhere(fields: &Fields<'_>, limit: &LimitSpec, sheet: &Template) -> Parsed<()> {
    for (name, key) in [("min", &limit.min), ("aim", &limit.aim), ("max", &limit.max), ("within", &limit.within)] {
        if let Some(key) = key {
            // An aim may be worked out on the sheet itself.
            match key.strip_prefix("derived.") {
                Some(_) if name == "aim" => reference(fields, "limit", key, sheet)?,
                _ => known_given(fields, "limit", key, sheet)?,
            }
        }
    }
    if let Some(size) = &limit.size {
        reference(fields, "limit", size, sheet)?;
    }
    Ok(())
}

/// Checks that a reference points to something that is there by now.
fn reference(fields: &Fields<'_>, at: &str, text: &str, sheet: &Template) -> Parsed<()> {
    let fault = |what: String, suggestion| Fault { span: fields.fault(at, String::new(), None).span, what, suggestion };
    let found = Reference::parse(text).map_err(|why| fault(why, None))?;
    match &found.source {
        Source::Given(key) => known_given(fields, at, key, sheet)?,
        Source::Derived(key) => {
            known_name(fields, at, key, sheet.derived.iter().map(|d| d.key.as_str()), "worked-out row above")?;
        }
        Source::Row | Source::At => {}
        Source::Places(pattern) => {
            if !sheet.groups.iter().any(|g| g.rows.iter().any(|r| sheet.row(r).is_some_and(|r| pattern.may_fit(&g.key, r)))) {
                let keys: Vec<String> = sheet
                    .groups
                    .iter()
                    .flat_map(|g| g.rows.iter().map(move |r| if g.key.is_empty() { r.clone() } else { format!("{}/{r}", g.key) }))
                    .collect();
                return Err(fault(
                    format!("no row fits \"{text}\""),
                    nearest(text.split('@').next().unwrap_or(text), keys.iter().map(String::as_str)),
                ));
            }
        }
    }
    if let Some(set) = found.set() {
        known_name(fields, at, set, sheet.columns.iter().map(|c| c.key.as_str()), "set of columns")?;
    }
    Ok(())
}

fn derived(fields: &Fields<'_>, sheet: &Template) -> Parsed<DerivedSpec> {
    fields.only(&["key", "name", "formula", "scope", "in", "from", "kind", "units", "limit", "hidden", "note"])?;
    let kind = kind_of(fields, "kind", Some(sheet.kind))?;
    let scope = [("column", Scope::Column), ("row", Scope::Row), ("sheet", Scope::Sheet)];
    let name = fields.text("formula")?;
    let Some(formula) = formula::find(&name) else {
        let known = formula::formulas().iter().map(|f| f.name);
        return Err(fields.fault("formula", format!("no formula is called `{name}`"), nearest(&name, known)));
    };
    let from = fields.named_texts("from")?;
    for (parameter, text) in &from {
        if !formula.parameters.iter().any(|p| p.name == parameter) {
            let what = format!("the formula `{name}` has no parameter `{parameter}`");
            return Err(fields.fault("from", what, nearest(parameter, formula.parameters.iter().map(|p| p.name))));
        }
        reference(fields, "from", text, sheet)?;
    }
    if let Some(missing) = formula.parameters.iter().find(|p| !p.optional && !from.iter().any(|(n, _)| n == p.name)) {
        let what = format!("the formula `{name}` needs `{}`: {}", missing.name, missing.about);
        return Err(fields.fault("from", what, None));
    }
    let spec = DerivedSpec {
        key: fields.key("key")?,
        name: fields.text("name")?,
        formula: name,
        scope: fields.one_of("scope", &scope, Some(Scope::Column))?,
        within: within(fields, sheet)?,
        from: from.into_iter().collect(),
        kind,
        units: units_of(fields, kind, Some(sheet))?,
        limit: limit(fields)?,
        hidden: fields.flag("hidden")?,
        note: fields.maybe_text("note")?.unwrap_or_default(),
    };
    if let Some(limit) = &spec.limit {
        limit_points_somewhere(fields, limit, sheet)?;
    }
    Ok(spec)
}

fn hint(fields: &Fields<'_>, sheet: &Template) -> Parsed<Hint> {
    fields.only(&["on", "when", "slip", "next"])?;
    let when = [
        ("over", HintWhen::Over),
        ("under", HintWhen::Under),
        ("out", HintWhen::Out),
        ("cannot tell", HintWhen::CannotTell),
    ];
    let on = fields.text("on")?;
    if on != "*" {
        let known = sheet.rows.iter().map(|r| r.key.as_str()).chain(sheet.derived.iter().map(|d| d.key.as_str()));
        known_name(fields, "on", &on, known, "row")?;
    }
    Ok(Hint {
        on,
        when: fields.one_of("when", &when, Some(HintWhen::Out))?,
        slip: fields.maybe_text("slip")?.unwrap_or_default(),
        next: fields.maybe_text("next")?.unwrap_or_default(),
    })
}

fn build(fields: &Fields<'_>, sheet: &Template) -> Parsed<BuildSpec> {
    fields.only(&["key", "value", "form", "unit", "in", "check", "with"])?;
    let form = [
        ("one", BuildForm::One),
        ("each", BuildForm::Each),
        ("rows", BuildForm::Rows),
        ("at", BuildForm::At),
        ("checked", BuildForm::Checked),
        ("ports", BuildForm::Ports),
    ];
    let form = fields.one_of("form", &form, Some(BuildForm::One))?;
    let Some(key) = build_key(fields, "key")? else {
        return Err(fields.fault("key", "`key` is missing".to_owned(), Some("write key = \"block.bore\"".to_owned())));
    };
    let value = fields.text("value")?;
    reference(fields, "value", &value, sheet)?;
    let check = fields.maybe_text("check")?;
    if let Some(check) = &check {
        known_given(fields, "check", check, sheet)?;
    }
    if form == BuildForm::Checked && check.is_none() {
        let what = "an angle of a cam needs its check lift".to_owned();
        return Err(fields.fault("form", what, Some("write check = \"…\", the key of a given value".to_owned())));
    }
    let with = fields.named_texts("with")?;
    for (_, given) in &with {
        known_given(fields, "with", given, sheet)?;
    }
    Ok(BuildSpec {
        key,
        value,
        form,
        unit: fields.maybe_text("unit")?,
        within: within(fields, sheet)?,
        check,
        with: with.into_iter().collect(),
    })
}

/// A key of the build file that exists.
fn build_key(fields: &Fields<'_>, name: &str) -> Parsed<Option<String>> {
    let Some(key) = fields.maybe_text(name)? else { return Ok(None) };
    let asked = key.clone();
    let mut known = Vec::new();
    for (section, keys, _) in engine::build::sections() {
        known.push(section.to_owned());
        known.extend(keys.iter().map(|field| format!("{section}.{}", field.key)));
    }
    if known.contains(&asked) {
        return Ok(Some(key));
    }
    let suggestion = nearest(&asked, known.iter().map(String::as_str)).filter(|s| s.starts_with("did"));
    Err(fields.fault(name, format!("the build file has no key `{key}`"), suggestion))
}
