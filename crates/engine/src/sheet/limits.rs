//! Figures and readings against the limits for the use, ring gaps wanted, and a speed limit by rule.
//!
//! Model: a limit is looked up in the tables given ([`Layers`]): the maker's sheet before the shop's table
//! before what is shipped. Inside and outside need the whole expanded uncertainty on one side. A figure
//! whose uncertainty is not known is not judged. Left out: limits of features that a build does not hold.

use super::{Figure, Work};
use crate::build::{Build, Facts, Lack};
use crate::limits::{Found, Layers, Query, Use, judge, shipped};
use crate::loads::{Band, LimitedBy, PullingMasses, speed_limit};
use quantity::Verdict;
use serde::Serialize;

/// A figure or reading held against a limit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LimitLine {
    /// Key of the limited feature, as the tables of limits write it.
    pub feature: String,
    /// Key of the figure on the sheet.
    pub of: String,
    /// What a person reads.
    pub label: String,
    /// Inside, outside or cannot tell; `None` when no limit could be applied.
    pub verdict: Option<Verdict>,
    /// The limit with its table, line and source, or why there is none.
    pub limit: String,
}

/// Feature of the tables, figure of the sheet, part whose material or kind chooses the row.
const FIGURES: [(&str, &str, Part); 19] = [
    ("quench", "quench_m", Part::None),
    ("compression_spread", "ratio_spread", Part::None),
    ("chamber_spread", "clearance_spread_m3", Part::None),
    ("mean_piston_speed", "mean_piston_speed_m_s", Part::Piston),
    ("piston_to_valve_intake", "intake_piston_gap_cold_m", Part::None),
    ("piston_to_valve_exhaust", "exhaust_piston_gap_cold_m", Part::None),
    ("coil_bind_gap", "intake_bind_gap_m", Part::None),
    ("coil_bind_gap", "exhaust_bind_gap_m", Part::None),
    ("retainer_to_guide", "intake_retainer_gap_m", Part::None),
    ("retainer_to_guide", "exhaust_retainer_gap_m", Part::None),
    ("seat_load", "intake_seat_force_n", Part::Follower),
    ("seat_load", "exhaust_seat_force_n", Part::Follower),
    ("open_load", "intake_open_force_n", Part::Follower),
    ("open_load", "exhaust_open_force_n", Part::Follower),
    ("exhaust_over_intake", "exhaust_over_intake_share", Part::None),
    ("throat_intake", "intake_throat_over_valve_share", Part::None),
    ("throat_exhaust", "exhaust_throat_over_valve_share", Part::None),
    ("inlet_mach_index", "inlet_mach_index", Part::None),
    ("injector_duty", "injector_duty_share", Part::None),
];

/// Feature of the tables, key of the reading, input that "per in" is multiplied by, part as above.
const READINGS: [(&str, &str, Option<&str>, Part); 20] = [
    ("piston_to_wall", "readings.piston_to_wall", Some("block.bore"), Part::Piston),
    ("pin_in_piston", "readings.pin_in_piston", None, Part::None),
    ("pin_in_rod", "readings.pin_in_rod", None, Part::None),
    ("ring_gap_top", "readings.ring_gap_top", Some("block.bore"), Part::None),
    ("ring_gap_second", "readings.ring_gap_second", Some("block.bore"), Part::None),
    ("ring_gap_oil_rail", "readings.ring_gap_oil_rail", None, Part::None),
    ("ring_side_clearance", "readings.ring_side_clearance", None, Part::None),
    ("ring_back_clearance", "readings.ring_back_clearance", None, Part::None),
    ("main_clearance", "readings.main_clearance", Some("readings.main_journal"), Part::None),
    ("rod_clearance", "readings.rod_clearance", Some("readings.rod_journal"), Part::None),
    ("crank_end_play", "readings.crank_end_play", None, Part::None),
    ("rod_side_clearance", "readings.rod_side_clearance", None, Part::None),
    ("deck_corner_spread", "readings.deck_corner_spread", None, Part::None),
    ("guide_clearance_intake", "readings.guide_clearance_intake", None, Part::None),
    ("guide_clearance_exhaust", "readings.guide_clearance_exhaust", None, Part::None),
    ("valve_pocket_radial", "readings.valve_pocket_radial", None, Part::None),
    ("cam_end_play", "readings.cam_end_play", None, Part::None),
    ("hydraulic_preload", "readings.hydraulic_preload", None, Part::None),
    ("seat_width_intake", "head.intake_seat_width", None, Part::None),
    ("seat_width_exhaust", "head.exhaust_seat_width", None, Part::None),
];

/// The part whose material or kind chooses the row.
#[derive(Clone, Copy)]
enum Part {
    None,
    Piston,
    Follower,
}

/// What limits are looked up by.
pub(super) struct Asked<'a> {
    layers: &'a Layers<'a>,
    built_for: Use,
    conditions: Vec<String>,
    piston: Option<String>,
    follower: Option<String>,
}

/// The use whose limits count for a build: `engine.limits_for`, else `engine.built_for`; street with a blower
/// or a turbocharger counts as boosted.
///
/// # Errors
/// A sentence that says why no limit can be chosen: no use is stated, or the tables do not know it.
pub fn use_of(build: &Build) -> Result<Use, String> {
    let boosted = build.blower.is_some() || build.turbo.is_some();
    let words = build.engine.limits_for.as_ref().or(build.engine.built_for.as_ref());
    let known = "street, street boosted, drag, endurance or marine";
    let Some(words) = words else {
        return Err(format!("limits were not applied: the build states no use; state engine.built_for as {known}"));
    };
    let key = words.trim().to_lowercase().replace([' ', '-'], "_").replace(',', "");
    let Some(stated) = Use::from_key(&key) else {
        return Err(format!(
            "limits were not applied: the tables have no use \"{words}\"; state engine.limits_for as {known}"
        ));
    };
    Ok(if stated == Use::Street && boosted { Use::StreetBoosted } else { stated })
}

impl<'a> Asked<'a> {
    /// What a build says of itself; otherwise why no limit can be chosen.
    pub(super) fn of(build: &Build, layers: &'a Layers<'a>) -> Result<Self, String> {
        let built_for = use_of(build)?;
        let boosted = build.blower.is_some() || build.turbo.is_some();
        let mut conditions: Vec<String> = build
            .engine
            .conditions
            .iter()
            .flat_map(|c| c.split(','))
            .map(|c| c.trim().to_owned())
            .filter(|c| !c.is_empty())
            .collect();
        let mut add = |on: bool, word: &str| {
            if on && !conditions.iter().any(|c| c.eq_ignore_ascii_case(word)) {
                conditions.push(word.to_owned());
            }
        };
        add(build.blower.is_some(), "blower");
        add(build.turbo.is_some(), "turbo");
        add(boosted, "boosted");
        let alcohol: f64 = [&build.fuel.ethanol, &build.fuel.methanol].into_iter().flatten().map(|i| i.si).sum();
        add(alcohol > 0.5, "alcohol");
        // "2618 forging" and "2618 forged" say the same.
        let piston = build.piston.material.as_ref().map(|m| m.to_lowercase().replace("forging", "forged"));
        Ok(Self { layers, built_for, conditions, piston, follower: build.cam.follower.clone() })
    }

    fn find(&self, feature: &str, part: Part) -> Result<Found<'a>, String> {
        let conditions: Vec<&str> = self.conditions.iter().map(String::as_str).collect();
        let material = match part {
            Part::None => None,
            Part::Piston => self.piston.as_deref(),
            Part::Follower => self.follower.as_deref(),
        };
        let query = Query { feature, built_for: self.built_for, material, conditions: &conditions };
        self.layers.find(&query).map_err(|error| error.to_string())
    }
}

/// Clearances and gaps as they were read.
pub(super) fn readings(work: &mut Work<'_>) {
    work.section("readings", "Clearances and gaps as read");
    for (feature, key, _, _) in READINGS {
        if let Some(input) = work.facts.build().value(key) {
            let name = shipped().feature(feature).map_or_else(|| feature.to_owned(), |f| f.name.clone());
            work.add_with(&figure_of(feature), &name, Some(input.origin.to_string()), |f| f.get(key));
        }
    }
}

fn figure_of(feature: &str) -> String {
    format!("{feature}_m")
}

/// Every figure and reading that the tables know.
pub(super) fn verdicts(work: &mut Work<'_>, asked: &Asked<'_>) -> Vec<LimitLine> {
    let rows = FIGURES.iter().map(|(feature, key, part)| (*feature, (*key).to_owned(), None, *part));
    let readings = READINGS.iter().map(|(feature, _, per, part)| (*feature, figure_of(feature), *per, *part));
    let mut lines = Vec::new();
    for (feature, key, per, part) in rows.chain(readings) {
        let size_m = per.and_then(|per| work.facts.stated(per));
        if let Some(figure) = work.sections.iter().flat_map(|s| &s.figures).find(|f| f.key == key) {
            lines.push(line(asked, (feature, part), figure, size_m));
        }
    }
    lines
}

fn line(asked: &Asked<'_>, (feature, part): (&str, Part), figure: &Figure, size_m: Option<f64>) -> LimitLine {
    let (verdict, limit) = match (asked.find(feature, part), figure.u) {
        (Err(why), _) => (None, why),
        (Ok(found), None) => {
            (Some(Verdict::CannotTell), format!("{}; the figure's own uncertainty is not known", said(&found)))
        }
        (Ok(found), Some(u)) => match judge(figure.value, u, found.limit, size_m) {
            Ok(judged) => (Some(judged.verdict), said(&found)),
            Err(error) => (None, error.to_string()),
        },
    };
    LimitLine { feature: feature.to_owned(), of: figure.key.clone(), label: figure.label.clone(), verdict, limit }
}

/// The limit and where it comes from; what is limited stands beside it.
fn said(found: &Found<'_>) -> String {
    let whole = found.to_string();
    whole.strip_prefix(&format!("{}: ", found.feature.name)).map_or(whole.clone(), str::to_owned)
}

/// Ring gaps that the tables want for bore and use, and the speed limit by rule.
pub(super) fn wanted(work: &mut Work<'_>, asked: &Asked<'_>) {
    work.section("wanted", "Wanted for the use");
    for (feature, name) in [("ring_gap_top", "top ring"), ("ring_gap_second", "second ring")] {
        let Some(bore_m) = work.facts.stated("block.bore") else { continue };
        let Ok(found) = asked.find(feature, Part::None) else { continue };
        let note = format!("{}; the ring maker's sheet comes first", said(&found));
        for (edge, word, stated) in [("low", "from", &found.limit.min), ("high", "to", &found.limit.max)] {
            let Some(stated) = stated else { continue };
            let gap_m = if stated.per_size { stated.si * bore_m } else { stated.si };
            let label = format!("end gap of the {name}, {word}");
            work.edge(&format!("{feature}_wanted_{edge}_m"), &label, &note, gap_m, &["block.bore".to_owned()]);
        }
    }
    if let Ok(found) = asked.find("mean_piston_speed", Part::Piston)
        && let Some(max) = &found.limit.max
    {
        let low = found.limit.target.as_ref().unwrap_or(max);
        let speeds = Band { low: low.si, high: max.si };
        rule(work, speeds, &said(&found));
    }
}

fn rule(work: &mut Work<'_>, speeds_m_s: Band, source: &str) {
    let build = work.facts.build();
    let pulled = |f: &Facts<'_>| -> Result<Option<(PullingMasses, Band)>, Lack> {
        let (Some(limit_n), Some(bolts)) = (f.stated("rod.bolt_limit"), build.rod.bolts) else { return Ok(None) };
        let reciprocating_kg = super::bottom::reciprocating_kg(f)?;
        let masses = PullingMasses { reciprocating_kg, rotating_kg: f.get("rod.above_bolts_mass")? };
        let whole_n = limit_n * f64::from(bolts);
        Ok(Some((masses, Band { low: whole_n, high: whole_n })))
    };
    let of = |f: &Facts<'_>| Ok::<_, Lack>(speed_limit(f.crank()?, speeds_m_s, pulled(f)?)?);
    let by = match of(work.facts) {
        Ok(limit) if limit.limited_by == LimitedBy::Tension => "set by the tension that is allowed a rod bolt",
        _ => "set by mean piston speed",
    };
    let bolts =
        if build.rod.bolt_limit.is_some() { "" } else { "; rod.bolt_limit is not stated, so the bolts are not in it" };
    let note = Some(format!("{by}; {source}{bolts}; no release for running, the part makers' figures come first"));
    work.add_with("rule_speed_low_rpm", "speed limit by rule, from", note.clone(), |f| Ok(of(f)?.limit_rpm.low));
    work.add_with("rule_speed_high_rpm", "speed limit by rule, to", note, |f| Ok(of(f)?.limit_rpm.high));
}
