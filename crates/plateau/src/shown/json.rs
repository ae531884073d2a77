//! A run as one JSON object: SI in every value, the unit in every key. `docs/json.md` describes it.
//!
//! Numbers that are not there are `null`: JSON knows no NaN, and a gap must not look like a zero.

use pull::analysis::{Analysis, Comparison, Curve, Figure, Figures, Peak};
use serde_json::{Value, json};
use std::f64::consts::PI;
use takein::Question;

/// Name and version of the form. The number rises when a key changes its meaning or goes.
const FORM: &str = "plateau run 1";

/// A run that was worked out.
pub(crate) fn run(analysis: &Analysis, comparison: Option<&Comparison>, open: &[Question], finding: &str) -> Value {
    json!({
        "form": FORM,
        "state": "ready",
        "finding": finding,
        "dyno": text(&analysis.dyno),
        "logs": analysis.logs.iter().map(|log| json!({
            "name": log.name,
            "dialect": log.dialect,
            "rows_found": log.rows_found,
            "rows_kept": log.rows_kept,
            "duration_s": log.duration_s,
            "channels": log.channels.iter().map(|(name, unit, role)| json!({
                "name": name, "unit": unit, "role": role,
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "setup": setup(analysis),
        "band": { "from_rpm": analysis.band.from_rpm, "to_rpm": analysis.band.to_rpm, "stated": analysis.band_stated },
        "figures": figures(&analysis.figures),
        "correction": correction(analysis),
        "weather": weather(analysis),
        "repeatability": repeatability(analysis),
        "uncertainty_budget": analysis.budget.iter().map(|line| json!({
            "name": line.name, "standard_uncertainty_nm": line.u_nm, "input": line.input, "kind": line.kind,
        })).collect::<Vec<_>>(),
        "inertia": {
            "inertia_kg_m2": analysis.inertia.inertia_kg_m2,
            "mean_added_nm": analysis.inertia.mean_added_nm,
            "label": analysis.inertia.label,
        },
        "load_cell": analysis.load_cell.as_ref().map(|cell| json!({
            "when": cell.when,
            "gain": cell.gain,
            "offset_nm": cell.offset_nm,
            "linearity_nm": cell.linearity_nm,
            "hysteresis_nm": cell.hysteresis_nm,
            "as_found_relative": cell.as_found_rel,
            "applied": cell.applied,
            "readings": cell.readings,
        })),
        "lags": analysis.lags.iter().map(|lag| json!({
            "role": lag.role, "lag_s": lag.lag_s, "how": lag.how,
        })).collect::<Vec<_>>(),
        "pulls": pulls(analysis),
        "not_pulls": analysis.not_pulls.iter().map(|rest| json!({
            "log": rest.log + 1,
            "from_s": rest.from_s,
            "to_s": rest.to_s,
            "from_rpm": rest.from_rpm,
            "to_rpm": rest.to_rpm,
            "kind": rest.kind,
            "reason": rest.reason,
        })).collect::<Vec<_>>(),
        "curve": curve(&analysis.curve),
        "observed_curve": curve(&analysis.observed),
        "channels": analysis.channels.iter().map(|channel| json!({
            "role": channel.role,
            "label": channel.label,
            "si_unit": si_unit(&channel.role),
            "mean_si": channel.mean,
            "low_si": channel.low,
            "high_si": channel.high,
        })).collect::<Vec<_>>(),
        "flags": analysis.flags.iter().map(|flag| json!({
            "number": flag.number,
            "rule": flag.rule,
            "level": flag.level,
            "pull": (flag.pull > 0).then_some(flag.pull),
            "role": flag.role,
            "from_rpm": flag.from_rpm,
            "to_rpm": flag.to_rpm,
            "from_s": flag.from_s,
            "to_s": flag.to_s,
            "words": flag.words,
            "sentence": flag.sentence,
            "source": flag.source,
        })).collect::<Vec<_>>(),
        "not_judged": analysis.unjudged,
        "comparison": comparison.map(compared),
        "problems": analysis.problems,
        "remarks": analysis.remarks.iter().chain(&analysis.figure_remarks).collect::<Vec<_>>(),
        "questions": open.iter().map(question).collect::<Vec<_>>(),
    })
}

/// Logs that leave questions open.
pub(crate) fn asking(questions: &[Question]) -> Value {
    json!({ "form": FORM, "state": "asking", "questions": questions.iter().map(question).collect::<Vec<_>>() })
}

fn question(question: &Question) -> Value {
    json!({
        "log": question.log,
        "column": question.column,
        "about": question.about,
        "sentence": question.sentence,
        "choices": question.choices,
        "flag": question.flag,
    })
}

fn setup(analysis: &Analysis) -> Value {
    let setup = &analysis.setup;
    let known = |known: &Option<pull::cell::Known>| {
        known.as_ref().map(|k| json!({ "value": k.value, "typed": k.text, "origin": k.origin.to_string() }))
    };
    json!({
        "standard": setup.standard,
        "induction": setup.induction,
        "barometer_pa": known(&setup.barometer_pa),
        "air_temperature_k": known(&setup.air_temperature_k),
        "humidity": known(&setup.humidity),
        "vapour_pressure_pa": known(&setup.vapour_pressure_pa),
        "displacement_m3": known(&setup.displacement_m3),
        "stroke_m": known(&setup.stroke_m),
        "friction_fmep_pa": known(&setup.friction_fmep_pa),
        "cylinders": setup.cylinders,
        "four_stroke": setup.four_stroke,
        "fuel": setup.fuel,
        "stoichiometric_ratio": known(&setup.fuel_stoich),
        "fuel_density_kg_m3": known(&setup.fuel_density_kg_m3),
        "blower_ratio": known(&setup.blower_ratio),
        "use_profile": setup.use_profile,
        "marine_or_aircraft": setup.marine_or_aircraft,
        "smoothing_half_width_rpm": setup.half_width_rpm,
        "grid_rpm": setup.grid_rpm,
        "left_out": setup.left_out,
    })
}

fn figure(figure: Option<Figure>) -> Value {
    figure.map_or(Value::Null, |f| json!({ "value": f.value, "expanded_k2": f.expanded }))
}

fn peak(peak: Option<Peak>) -> Value {
    peak.map_or(Value::Null, |p| {
        json!({
            "value": p.value,
            "expanded_k2": p.expanded,
            "at_rpm": p.rpm,
            "from_rpm": p.rpm_from,
            "to_rpm": p.rpm_to,
            "at_least": p.at_least,
        })
    })
}

fn figures(f: &Figures) -> Value {
    json!({
        "mean_torque_nm": figure(f.mean_torque_nm),
        "mean_power_w": figure(f.mean_power_w),
        "least_torque_nm": peak(f.least_torque_nm),
        "plateau": f.plateau.map(|p| json!({
            "share": p.share,
            "from_rpm": p.from_rpm,
            "to_rpm": p.to_rpm,
            "open_below": p.open_below,
            "open_above": p.open_above,
        })),
        "flatness": f.flatness,
        "use_weighted_mean_torque_nm": f.use_weighted.as_ref().map(|(profile, value)| json!({
            "profile": profile, "value": value.value, "expanded_k2": value.expanded,
        })),
        "accelerate_s": figure(f.accelerate_s),
        "observed_mean_torque_nm": figure(f.observed_mean_torque_nm),
        "brake_specific_fuel_kg_j": f.bsfc_kg_j,
        "volumetric_efficiency": f.volumetric_efficiency,
        "air_flow_kg_s": f.air_flow_kg_s,
        "mean_piston_speed_m_s": f.piston_speed_m_s,
        "bmep_at_torque_peak_pa": f.peak_bmep_pa,
        "peak_torque_nm": peak(f.peak_torque),
        "peak_power_w": peak(f.peak_power),
        "observed_peak_power_w": peak(f.observed_peak_power),
        "torque_peak_to_power_peak_rpm": f.peak_to_peak_rpm,
        "still_climbing": f.still_climbing,
        "last_power_slope_w_per_rpm": f.last_slope_w_per_rpm.map(|(slope, u)| json!({
            "value": slope, "standard_uncertainty": u,
        })),
        "extrapolated": f.extrapolated.map(|e| json!({
            "power_w": e.power_w,
            "low_w": e.low_w,
            "high_w": e.high_w,
            "at_rpm": e.rpm,
            "at_limit": e.at_limit,
        })),
    })
}

fn correction(analysis: &Analysis) -> Value {
    let c = &analysis.correction;
    json!({
        "asked": c.asked,
        "applied": c.applied,
        "words": c.words,
        "reference": c.reference,
        "factor": c.factor,
        "factor_standard_uncertainty": c.u_factor,
        "range": c.range.map(|(low, high)| json!({ "low": low, "high": high, "verdict": c.range_verdict })),
        "notes": c.notes,
        "all": c.all.iter().map(|(standard, label, factor)| json!({
            "standard": standard, "label": label, "factor": factor,
        })).collect::<Vec<_>>(),
    })
}

fn weather(analysis: &Analysis) -> Value {
    let w = &analysis.weather;
    json!({
        "barometer_pa": w.barometer_pa,
        "air_temperature_k": w.air_temperature_k,
        "vapour_pressure_pa": w.vapour_pressure_pa,
        "humidity": w.humidity,
        "dry_pressure_pa": w.dry_pressure_pa,
        "origins": w.origins,
        "doubts": w.doubts,
    })
}

fn repeatability(analysis: &Analysis) -> Value {
    let r = &analysis.repeat;
    json!({
        "pulls": r.pulls,
        "mean_spread": r.mean_spread,
        "worst_spread": r.worst_spread.map(|(spread, rpm)| json!({ "value": spread, "at_rpm": rpm })),
        "band_mean_standard_deviation_nm": r.sd_band_mean_nm,
        "standard_deviation_nm": r.sd_nm,
        "drift_per_pull_nm": r.drift_per_pull_nm.map(|(drift, u)| json!({ "value": drift, "standard_uncertainty": u })),
        "drift_per_oil_nm_per_k": r.drift_per_oil_k,
        "drift_per_intake_air_nm_per_k": r.drift_per_air_k,
        "limit": r.limit,
        "verdict": r.verdict,
    })
}

fn pulls(analysis: &Analysis) -> Vec<Value> {
    let all = analysis.pulls.iter();
    all.map(|pull| {
        json!({
            "number": pull.number,
            "log": pull.log + 1,
            "kind": pull.kind,
            "from_s": pull.from_s,
            "to_s": pull.to_s,
            "from_rpm": pull.from_rpm,
            "to_rpm": pull.to_rpm,
            "rate_rpm_s": pull.rate_rpm_s,
            "factor": pull.factor,
            "air_temperature_k": pull.air_temperature_k,
            "oil_temperature_k": pull.oil_temperature_k,
            "band_mean_torque_nm": pull.band_mean_torque_nm,
            "band_mean_power_w": pull.band_mean_power_w,
            "noise_nm": pull.noise_nm,
            "left_out": pull.left_out,
            "torque_nm": pull.torque_nm,
        })
    })
    .collect()
}

fn curve(c: &Curve) -> Value {
    json!({
        "rpm": c.rpm,
        "torque_nm": c.torque_nm,
        "power_w": power_w(c),
        "low_nm": c.low_nm,
        "high_nm": c.high_nm,
        "standard_uncertainty_within_pulls_nm": c.u_within_nm,
        "standard_uncertainty_between_pulls_nm": c.u_between_nm,
        "standard_uncertainty_instruments_nm": c.u_system_nm,
        "standard_uncertainty_nm": c.u_nm,
        "pulls": c.pulls,
        "smoothing_half_width_rpm": c.half_width_rpm,
    })
}

fn compared(c: &Comparison) -> Value {
    json!({
        "before": c.before,
        "band": c.band.map(|b| json!({ "from_rpm": b.from_rpm, "to_rpm": b.to_rpm })),
        "verdict": c.verdict,
        "difference_mean_torque_nm": c.difference_nm,
        "difference_mean_torque_interval95_nm": c.interval_nm,
        "difference_mean_power_w": c.difference_w,
        "difference_mean_power_interval95_w": c.interval_w,
        "difference_curve_nm": c.curve_nm,
        "difference_curve_simultaneous95_nm": c.curve_half_nm,
        "drift_of_the_earlier_build_nm": c.aba_drift_nm.map(|(drift, half)| json!({
            "value": drift, "interval95": half,
        })),
        "before_figures": figures(&c.before_figures),
        "before_curve": curve(&c.before_curve),
        "warnings": c.warnings,
    })
}

/// Power from torque and speed: P = T ω, ω = rpm · 2π/60.
pub(crate) fn power_w(c: &Curve) -> Vec<f64> {
    c.rpm.iter().zip(&c.torque_nm).map(|(rpm, torque)| torque * rpm * PI / 30.0).collect()
}

/// SI unit of a role's values, as text: "Pa", "K", "1".
fn si_unit(role: &str) -> &'static str {
    use pull::role::Kind;
    match pull::role::Role::from_key(role).map(|r| r.kind()) {
        Some(Kind::Time) => "s",
        Some(Kind::RotationalSpeed) => "rad/s",
        Some(Kind::Torque) => "N·m",
        Some(Kind::Force) => "N",
        Some(Kind::Power) => "W",
        Some(Kind::AbsolutePressure | Kind::GaugePressure) => "Pa",
        Some(Kind::MassFlow) => "kg/s",
        Some(Kind::VolumeFlow) => "m³/s",
        Some(Kind::Temperature) => "K",
        Some(Kind::Angle) => "rad",
        Some(Kind::Voltage) => "V",
        Some(Kind::Lambda | Kind::AirFuelRatio | Kind::Fraction | Kind::Count) | None => "1",
    }
}

fn text(text: &str) -> Option<&str> {
    (!text.is_empty()).then_some(text)
}
