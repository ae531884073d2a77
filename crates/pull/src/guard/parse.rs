//! Guard rules from TOML, with errors that name line, column and what was meant.

use super::rules::{Check, Limit, On, Rule, Rules, Sensor, Stated, Target, When, dimension};
use crate::role::Role;
use quantity::written::{self, Fields, Parsed, suggestion};
use quantity::{Dimension, find_unit_in};
use toml_edit::Item;

/// Why a file of guard rules cannot be read. Nothing of the text is used.
pub type RulesError = quantity::written::TextError;

pub(super) fn rules(text: &str) -> Result<Rules, RulesError> {
    parsed(text, None)
}

/// Rules that are to be put over others: only rules that are in either may be switched off.
pub(super) fn rules_over(text: &str, under: &Rules) -> Result<Rules, RulesError> {
    parsed(text, Some(under))
}

fn parsed(text: &str, under: Option<&Rules>) -> Result<Rules, RulesError> {
    written::read(text, |root| read(root, under))
}

fn read(root: &Fields<'_>, under: Option<&Rules>) -> Parsed<Rules> {
    root.only(&["rule", "sensor", "target"])?;
    let mut rules =
        Rules { rules: Vec::new(), sensors: Vec::new(), targets: Vec::new(), off: Vec::new(), name: String::new() };
    let mut off: Vec<(String, Fields<'_>)> = Vec::new();
    for fields in root.tables("rule")? {
        match fields.table.get("off").map(Item::as_bool) {
            None | Some(Some(false)) => {}
            Some(Some(true)) => {
                off.push((fields.text("key")?, fields));
                continue;
            }
            Some(None) => {
                let what = "`off` is neither true nor false".to_owned();
                return Err(fields.fault("off", what, Some("write off = true".into())));
            }
        }
        let rule = rule(&fields)?;
        if rules.rules.iter().any(|r| r.key == rule.key) {
            return Err(fields.fault(
                "key",
                format!("a second rule `{}`", rule.key),
                Some("give each rule a key of its own".into()),
            ));
        }
        rules.rules.push(rule);
    }
    for (key, fields) in off {
        if let Some(under) = under {
            let keys: Vec<&str> = under.rules.iter().chain(&rules.rules).map(|r| r.key.as_str()).collect();
            if !keys.contains(&key.as_str()) {
                return Err(fields.fault("key", format!("no rule is called `{key}`"), suggestion(&key, keys)));
            }
        }
        rules.off.push(key);
    }
    for fields in root.tables("sensor")? {
        rules.sensors.push(sensor(&fields)?);
    }
    for fields in root.tables("target")? {
        rules.targets.push(target(&fields)?);
    }
    Ok(rules)
}

fn rule(fields: &Fields<'_>) -> Parsed<Rule> {
    fields.only(&[
        "key", "role", "check", "within", "words", "what", "look", "when", "settle", "target", "warn", "abort",
        "source", "off",
    ])?;
    let key = fields.text("key")?;
    let on = on(fields)?;
    let name = fields.text("check")?;
    let names: Vec<&str> = Check::NAMES.iter().map(|n| n.0).collect();
    let mut check = Check::NAMES
        .iter()
        .find(|n| n.0 == name)
        .ok_or_else(|| fields.fault("check", format!("no check is called `{name}`"), suggestion(&name, names)))?
        .1;
    if let Some(within) = fields.maybe_text("within")? {
        match &mut check {
            Check::Drop { within_s } | Check::Rise { within_s } => {
                *within_s = fields.seconds("within", &within)?;
            }
            Check::TorqueLoss { within_rpm } => {
                *within_rpm =
                    fields.number("within", &within, Dimension::RotationalSpeed)? * 30.0 / std::f64::consts::PI;
            }
            _ => return Err(fields.fault("within", format!("the check `{name}` has no `within`"), None)),
        }
    }
    let unit = dimension(on.kind(), check);
    let warn = limit(fields, "warn", unit)?;
    let abort = limit(fields, "abort", unit)?;
    if warn.is_none() && abort.is_none() {
        return Err(fields.fault(
            "key",
            format!("the rule `{key}` has neither `warn` nor `abort`"),
            Some("write warn = { limit = \"…\", hold = \"0.3 s\" }".into()),
        ));
    }
    let target = match fields.maybe_text("target")? {
        Some(text) => {
            let unit = dimension(on.kind(), Check::Above);
            Some(Stated { si: fields.number("target", &text, unit)?, text })
        }
        None => None,
    };
    Ok(Rule {
        words: fields.text("words")?,
        what: fields.text("what")?,
        look: fields.text("look")?,
        when: when(fields)?,
        settle_s: match fields.maybe_text("settle")? {
            Some(text) => fields.seconds("settle", &text)?,
            None => 0.0,
        },
        source: fields.text("source")?,
        key,
        on,
        check,
        target,
        warn,
        abort,
    })
}

fn limit(fields: &Fields<'_>, name: &str, unit: Dimension) -> Parsed<Option<Limit>> {
    let Some(inner) = fields.inner(name)? else { return Ok(None) };
    inner.only(&["limit", "plus", "hold", "when"])?;
    let text = inner.text("limit")?;
    let (number, per_1000_rpm) = match text.strip_suffix("per 1000 rpm") {
        Some(number) => (number.trim(), true),
        None => (text.as_str(), false),
    };
    let plus_text = inner.maybe_text("plus")?;
    let plus_si = match &plus_text {
        Some(plus) => inner.number("plus", plus, unit)?,
        None => 0.0,
    };
    let hold_s = match inner.maybe_text("hold")? {
        Some(hold) => inner.seconds("hold", &hold)?,
        None => 0.0,
    };
    Ok(Some(Limit {
        si: inner.number("limit", number, unit)?,
        per_1000_rpm,
        plus_si,
        hold_s,
        when: when(&inner)?,
        text: match plus_text {
            Some(plus) => format!("{text} plus {plus}"),
            None => text,
        },
    }))
}

fn sensor(fields: &Fields<'_>) -> Parsed<Sensor> {
    fields.only(&["role", "lowest", "highest", "lowest_in_pull", "stuck", "dropout", "source"])?;
    let on = on(fields)?;
    let unit = dimension(on.kind(), Check::Above);
    let stated = |name: &str| -> Parsed<Option<Stated>> {
        fields.maybe_text(name)?.map(|text| Ok(Stated { si: fields.number(name, &text, unit)?, text })).transpose()
    };
    let seconds = |name: &str| -> Parsed<Option<f64>> {
        fields.maybe_text(name)?.map(|text| fields.seconds(name, &text)).transpose()
    };
    Ok(Sensor {
        on,
        lowest: stated("lowest")?,
        highest: stated("highest")?,
        lowest_in_pull: stated("lowest_in_pull")?,
        stuck_s: seconds("stuck")?,
        dropout_s: seconds("dropout")?,
        source: fields.text("source")?,
    })
}

fn target(fields: &Fields<'_>) -> Parsed<Target> {
    fields.only(&["fuels", "boosted", "points", "source"])?;
    let fault = |what: &str| {
        fields.fault("points", what.to_owned(), Some("write points = [[load, lambda], …], load rising".into()))
    };
    let points =
        fields.table.get("points").and_then(Item::as_array).ok_or_else(|| fault("no `points` of load and lambda"))?;
    let number =
        |v: Option<&toml_edit::Value>| v.and_then(|v| v.as_float().or_else(|| v.as_integer().map(|i| i as f64)));
    let points: Vec<(f64, f64)> = points
        .iter()
        .map(|pair| {
            let pair = pair.as_array().filter(|p| p.len() == 2);
            Some((number(pair?.get(0))?, number(pair?.get(1))?))
        })
        .collect::<Option<_>>()
        .ok_or_else(|| fault("a point that is no pair of numbers"))?;
    if points.is_empty() || points.windows(2).any(|w| w[0].0 >= w[1].0) {
        return Err(fault("points whose load does not rise"));
    }
    Ok(Target {
        fuels: fields.texts("fuels")?,
        boosted: fields.table.get("boosted").and_then(Item::as_bool).unwrap_or(false),
        points,
        source: fields.text("source")?,
    })
}

fn on(fields: &Fields<'_>) -> Parsed<On> {
    let key = fields.text("role")?;
    On::from_key(&key).ok_or_else(|| {
        let keys: Vec<String> = Role::plain()
            .map(|r| r.key())
            .chain(["lambda", "exhaust_temperature", "knock"].map(String::from))
            .collect();
        let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
        fields.fault("role", format!("no channel role is called `{key}`"), suggestion(&key, keys))
    })
}

fn when(fields: &Fields<'_>) -> Parsed<Vec<When>> {
    fields
        .texts("when")?
        .iter()
        .map(|text| {
            let above = |stem: &str, unit| text.strip_prefix(stem).map(|number| fields.number("when", number.trim(), unit));
            match text.as_str() {
                "in a pull" => return Ok(When::InPull),
                "boosted" => return Ok(When::Boosted),
                "not boosted" => return Ok(When::NotBoosted),
                _ => {}
            }
            if let Some(n) = above("load above", Dimension::Fraction) {
                return n.map(When::LoadAbove);
            }
            if let Some(n) = above("speed above", Dimension::RotationalSpeed) {
                return n.map(When::SpeedAbove);
            }
            if let Some(n) = above("throttle above", Dimension::Fraction) {
                return n.map(When::ThrottleAbove);
            }
            Err(fields.fault(
                "when",
                format!("the condition \"{text}\" is not known"),
                Some("write \"in a pull\", \"load above 70 %\", \"speed above 3000 rpm\", \"throttle above 90 %\", \"boosted\" or \"not boosted\"".into()),
            ))
        })
        .collect()
}

/// What guard rules have beside the fields of every file: limits, and figures with their units.
trait Figures<'a> {
    fn inner(&self, name: &str) -> Parsed<Option<Fields<'a>>>;
    fn maybe_text(&self, name: &str) -> Parsed<Option<String>>;
    fn text(&self, name: &str) -> Parsed<String>;
    fn seconds(&self, name: &str, text: &str) -> Parsed<f64>;
    fn number(&self, name: &str, text: &str, wanted: Dimension) -> Parsed<f64>;
}

impl<'a> Figures<'a> for Fields<'a> {
    fn inner(&self, name: &str) -> Parsed<Option<Fields<'a>>> {
        let Some(item) = self.table.get(name) else { return Ok(None) };
        item.as_table_like().map(|table| Some(Fields { table, span: item.span() })).ok_or_else(|| {
            let hint = format!("write {name} = {{ limit = \"…\", hold = \"…\" }}");
            self.fault(name, format!("`{name}` is no table"), Some(hint))
        })
    }

    fn maybe_text(&self, name: &str) -> Parsed<Option<String>> {
        let text = self.maybe_string(name, "put it in quotation marks, with its unit")?;
        Ok(text.map(str::to_owned))
    }

    fn text(&self, name: &str) -> Parsed<String> {
        match self.maybe_text(name)? {
            Some(text) if !text.trim().is_empty() => Ok(text),
            _ => Err(self.fault(name, format!("`{name}` is missing or empty"), None)),
        }
    }

    /// A length of time, not below nothing.
    fn seconds(&self, name: &str, text: &str) -> Parsed<f64> {
        match self.number(name, text, Dimension::Time)? {
            s if s >= 0.0 => Ok(s),
            _ => Err(self.fault(
                name,
                format!("\"{text}\" is less than no time"),
                Some("write it like \"0.3 s\"".into()),
            )),
        }
    }

    /// A number with its unit; none is needed for lambda and for counts.
    fn number(&self, name: &str, text: &str, wanted: Dimension) -> Parsed<f64> {
        let text = text.trim();
        let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(text.len());
        let number: f64 = text[..end].parse().map_err(|_| {
            self.fault(
                name,
                format!("\"{text}\" does not begin with a number"),
                Some(format!("write a {wanted} such as \"12.5 …\"")),
            )
        })?;
        let unit = text[end..].trim();
        if unit.is_empty() && matches!(wanted, Dimension::Lambda | Dimension::Count) {
            return Ok(number);
        }
        match find_unit_in(unit, wanted) {
            Ok(unit) => Ok(unit.to_si(number)),
            Err(e) => Err(self.fault(name, format!("\"{text}\": {e}"), None)),
        }
    }
}
