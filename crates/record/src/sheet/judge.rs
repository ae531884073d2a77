//! A value against the limit that counts for it.

use super::layout::{Column, Row};
use super::number;
use super::result::{Judgement, LimitFrom};
use super::template::{LimitSpec, Template};
use crate::{SheetBegun, Stated};
use engine::limits::{self, Layers, Query, Use};
use quantity::{Dimension, Limits, Verdict, verdict};

/// Numbers as they are shown: kind, unit and the step that decides the digits.
#[derive(Debug, Clone, Copy)]
pub(super) struct Show<'a> {
    pub(super) kind: Dimension,
    pub(super) unit: &'a str,
    pub(super) step_si: f64,
}

impl Show<'_> {
    pub(super) fn number(&self, si: f64) -> String {
        number::number(si, self.step_si, self.kind, self.unit)
    }

    /// A limit: with one digit more where the value's own digits would round it away.
    fn limit(&self, si: f64) -> String {
        let unit = number::unit(self.kind, self.unit);
        let scale = unit.map_or(1.0, |u| u.scale.abs());
        let steps = unit.map_or(si, |u| u.from_si(si)) / (self.step_si / scale);
        let fine = if (steps - steps.round()).abs() > 0.02 { 0.1 } else { 1.0 };
        number::number(si, self.step_si * fine, self.kind, self.unit)
    }
}

/// What a limit needs beside itself.
pub(super) struct Sizes<'a> {
    pub(super) begun: &'a SheetBegun,
    pub(super) template: &'a Template,
    pub(super) layers: &'a Layers<'a>,
}

/// Where on the sheet.
#[derive(Clone, Copy)]
pub(super) struct Spot<'a> {
    pub(super) column: Option<&'a Column>,
    pub(super) row: Option<&'a Row>,
}

/// The judgement, or why there is none. `of` finds the value of a reference such as "derived.mean".
pub(super) fn judge(
    sizes: &Sizes<'_>,
    spec: &LimitSpec,
    spot: Spot<'_>,
    (value_si, u_si): (f64, f64),
    show: Show<'_>,
    of: &dyn Fn(&str) -> Option<f64>,
) -> Result<Judgement, String> {
    let given = |key: &Option<String>| -> Option<Stated> {
        let key = key.as_ref()?;
        sizes.template.given_value(&sizes.begun.given, key, spot.column.map(|c| c.key.as_str()))
    };
    let aim = match spec.aim.as_deref() {
        Some(reference) if reference.starts_with("derived.") => of(reference),
        _ => given(&spec.aim).map(|s| s.si),
    };
    let (mut lower, mut upper) = (given(&spec.min).map(|s| s.si), given(&spec.max).map(|s| s.si));
    if let (Some(aim), Some(half)) = (aim, given(&spec.within)) {
        lower = lower.or(Some(aim - half.si));
        upper = upper.or(Some(aim + half.si));
    }
    if lower.is_some() || upper.is_some() {
        let limits = Limits { lower, upper };
        let shown = shown_limits(limits, show);
        let width = lower.zip(upper).map(|(low, high)| high - low);
        let from = LimitFrom {
            written: shown.clone(),
            layer: "this sheet".to_owned(),
            source: String::new(),
            standing: "stated".to_owned(),
            sentence: format!("{shown}, given with this sheet"),
        };
        return Ok(judgement(verdict(value_si, u_si, limits), limits, aim, (value_si, u_si), width, show, from));
    }
    let Some(feature) = &spec.feature else {
        let wanted: Vec<&str> = [&spec.min, &spec.max, &spec.aim, &spec.within]
            .into_iter()
            .flatten()
            .filter_map(|key| sizes.template.given(key))
            .map(|given| given.name.as_str())
            .collect();
        return Err(format!("not given: {}", wanted.join(", ")));
    };
    let Some(built_for) = Use::from_key(&sizes.begun.built_for) else {
        let keys = Use::ALL.map(Use::name).join(", ");
        return Err(format!("the sheet does not say what the engine is built for: {keys}"));
    };
    let conditions: Vec<&str> = sizes.begun.conditions.iter().map(String::as_str).collect();
    let material = sizes.begun.material.as_deref();
    let query = Query { feature, built_for, material, conditions: &conditions };
    let found = sizes.layers.find(&query).map_err(|e| e.to_string())?;
    let size_m = spec.size.as_ref().and_then(|reference| of(reference));
    let judged = limits::judge(value_si, u_si, found.limit, size_m).map_err(|e| e.to_string())?;
    let from = LimitFrom {
        written: found.limit.written(),
        layer: found.layer.name().to_owned(),
        source: found.source.tag.clone(),
        standing: found.source.standing.name().to_owned(),
        sentence: found.to_string(),
    };
    let width = judged.limits.lower.zip(judged.limits.upper).map(|(low, high)| high - low);
    let target = aim.or(judged.target_si);
    Ok(judgement(judged.verdict, judged.limits, target, (value_si, u_si), width, show, from))
}

fn judgement(
    verdict: Verdict,
    limits: Limits,
    target_si: Option<f64>,
    (value_si, u_si): (f64, f64),
    width: Option<f64>,
    show: Show<'_>,
    from: LimitFrom,
) -> Judgement {
    let over = limits.upper.map(|upper| value_si - upper).filter(|d| *d > 0.0);
    let under = limits.lower.map(|lower| value_si - lower).filter(|d| *d < 0.0);
    let beyond_si = over.or(under);
    let words = beyond_si.map_or(String::new(), |beyond| beyond_words(beyond, show));
    Judgement {
        verdict,
        lower_si: limits.lower,
        upper_si: limits.upper,
        target_si,
        beyond_si,
        words,
        limits: shown_limits(limits, show),
        from,
        width_over_uncertainty: width.filter(|_| u_si > 0.0).map(|w| w / (2.0 * u_si)),
        can_be_inside: width.is_none_or(|w| w >= 4.0 * u_si),
    }
}

/// "0.006 over", "0.004 under".
fn beyond_words(beyond_si: f64, show: Show<'_>) -> String {
    // A difference of two temperatures has no offset.
    let unit = number::unit(show.kind, show.unit);
    let scale = unit.map_or(1.0, |u| u.scale.abs());
    let steps = beyond_si.abs() / show.step_si;
    let fine = if (steps - steps.round()).abs() > 0.02 { 0.1 } else { 1.0 };
    let digits = quantity::digits(beyond_si.abs() / scale, number::decimals(show.step_si * fine / scale));
    format!("{digits} {}", if beyond_si > 0.0 { "over" } else { "under" })
}

/// "92.740–92.760", "up to 0.010", "from 0.060".
fn shown_limits(limits: Limits, show: Show<'_>) -> String {
    match (limits.lower, limits.upper) {
        (Some(low), Some(high)) => format!("{}–{}", show.limit(low), show.limit(high)),
        (None, Some(high)) => format!("up to {}", show.limit(high)),
        (Some(low), None) => format!("from {}", show.limit(low)),
        (None, None) => String::new(),
    }
}
