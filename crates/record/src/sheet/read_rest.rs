//! Worked-out rows, hints and entries of the build from TOML.

use super::fields::Texts as _;
use super::formula;
use super::pick::{Reference, Source};
use super::read::{kind_of, known_given, known_name, units_of};
use super::read_rows::{limit, within};
use super::template::{BuildForm, BuildSpec, DerivedSpec, Hint, HintWhen, LimitSpec, Scope, Template};
use quantity::written::{Fault, Fields, Parsed, suggestion};

pub(super) fn limit_points_somewhere(fields: &Fields<'_>, limit: &LimitSpec, sheet: &Template) -> Parsed<()> {
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
            if !sheet
                .groups
                .iter()
                .any(|g| g.rows.iter().any(|r| sheet.row(r).is_some_and(|r| pattern.may_fit(&g.key, r))))
            {
                let keys: Vec<String> = sheet
                    .groups
                    .iter()
                    .flat_map(|g| {
                        g.rows.iter().map(move |r| if g.key.is_empty() { r.clone() } else { format!("{}/{r}", g.key) })
                    })
                    .collect();
                return Err(fault(
                    format!("no row fits \"{text}\""),
                    suggestion(text.split('@').next().unwrap_or(text), keys.iter().map(String::as_str)),
                ));
            }
        }
    }
    if let Some(set) = found.set() {
        known_name(fields, at, set, sheet.columns.iter().map(|c| c.key.as_str()), "set of columns")?;
    }
    Ok(())
}

pub(super) fn derived(fields: &Fields<'_>, sheet: &Template) -> Parsed<DerivedSpec> {
    fields.only(&["key", "name", "formula", "scope", "in", "from", "kind", "units", "limit", "hidden", "note"])?;
    let kind = kind_of(fields, "kind", Some(sheet.kind))?;
    let scope = [("column", Scope::Column), ("row", Scope::Row), ("sheet", Scope::Sheet)];
    let name = fields.text("formula")?;
    let Some(formula) = formula::find(&name) else {
        let known = formula::formulas().iter().map(|f| f.name);
        return Err(fields.fault("formula", format!("no formula is called `{name}`"), suggestion(&name, known)));
    };
    let from = fields.named_texts("from")?;
    for (parameter, text) in &from {
        if !formula.parameters.iter().any(|p| p.name == parameter) {
            let what = format!("the formula `{name}` has no parameter `{parameter}`");
            return Err(fields.fault("from", what, suggestion(parameter, formula.parameters.iter().map(|p| p.name))));
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

pub(super) fn hint(fields: &Fields<'_>, sheet: &Template) -> Parsed<Hint> {
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

pub(super) fn build(fields: &Fields<'_>, sheet: &Template) -> Parsed<BuildSpec> {
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
pub(super) fn build_key(fields: &Fields<'_>, name: &str) -> Parsed<Option<String>> {
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
    let suggestion = suggestion(&asked, known.iter().map(String::as_str)).filter(|s| s.starts_with("did"));
    Err(fields.fault(name, format!("the build file has no key `{key}`"), suggestion))
}
