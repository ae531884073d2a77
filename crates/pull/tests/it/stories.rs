//! Ten invented job stories: out of noisy logs come the figures that the stories print.
//!
//! Source of the figures: `validation/stories` (worked by hand from the stories' lists, weather and engine sizes) and
//! `validation/statistics` (scipy). The logs are made by the crate `invent`, which shares no formula with this one.

use crate::invented::{cell, logs, setup};
use crate::reference::{Printed, printed};
use invent::stories::by_key;
use invent::story::{NM_PER_LB_FT, Story, W_PER_HP};
use pull::analysis::{Analysis, Figure, Peak};
use pull::compare::compare;
use pull::guard::Level;
use std::collections::HashMap;
use std::sync::LazyLock;

const PSI: f64 = 6_894.757_293_168;

/// Every story analysed once.
static RUNS: LazyLock<HashMap<String, Analysis>> =
    LazyLock::new(|| invent::stories::all().into_iter().map(|s| (s.key.clone(), analysed(&s, 1))).collect());

fn analysed(story: &Story, seed: u64) -> Analysis {
    pull::run::analyse(&logs(story, seed), &cell(story), &setup(story), &pull::guard::Rules::shipped())
        .unwrap_or_else(|e| panic!("{}: {e}", story.key))
}

fn run(key: &str) -> &'static Analysis {
    RUNS.get(key).unwrap_or_else(|| panic!("no run {key}"))
}

/// Sharpest corner of the story's straight lines, N·m per rpm.
fn sharpest_corner(story: &Story) -> f64 {
    let slope = |w: &[(f64, f64)]| (w[1].1 - w[0].1) / (w[1].0 - w[0].0);
    let slopes: Vec<f64> = story.truth.windows(2).map(slope).collect();
    slopes.windows(2).map(|w| (w[1] - w[0]).abs()).fold(0.0, f64::max)
}

/// What a band mean may be off by, relative, apart from the last printed digit.
///
/// White noise of 0.4 % over more than 800 samples a pull and three pulls: 0.01 %. Drift of the zero, 0.1 N·m on
/// average: up to 0.07 % for the smallest engine (150 N·m). Saturation pressure by Magnus here, by ASHRAE there, and
/// kelvin from 273 or 273.15: 0.02 % of the factor. Reversal and filter of the torque: 0.02 %.
const BAND_MEAN_REL: f64 = 0.0012;

/// What a peak may be off by, relative, apart from the corner that the regression rounds off.
///
/// A regression over ±75 rpm at 300 rpm/s and 100 rows/s keeps about a quarter of the noise of 0.4 %, three pulls
/// 0.06 %; the largest of many such values stands about two of these too high: 0.12 %. With the band mean's own parts.
const PEAK_REL: f64 = 0.0025;

fn torque_tolerance(story: &Story, value_nm: f64) -> f64 {
    // A local parabola over ±h misses a corner's tip by less than 0.15·h·(change of slope).
    PEAK_REL * value_nm + 0.15 * 75.0 * sharpest_corner(story)
}

#[derive(Debug)]
struct Got {
    value: f64,
    /// Stated expanded uncertainty, where the figure has one.
    expanded: Option<f64>,
    tolerance: f64,
}

fn figure(f: Option<Figure>, unit: f64, rel: f64) -> Option<Got> {
    f.map(|f| Got { value: f.value / unit, expanded: Some(f.expanded / unit), tolerance: rel * f.value / unit })
}

fn peak(p: Option<Peak>, unit: f64, tolerance: impl Fn(f64) -> f64) -> Option<Got> {
    p.map(|p| Got { value: p.value / unit, expanded: Some(p.expanded / unit), tolerance: tolerance(p.value) / unit })
}

fn got(row: &Printed, story: &Story, a: &Analysis) -> Option<Got> {
    let f = &a.figures;
    let of_power = |w: f64| torque_tolerance(story, w);
    match row.figure.as_str() {
        "factor" => Some(Got { value: a.correction.factor, expanded: None, tolerance: 2e-4 }),
        "factor_j607" => {
            let all = a.correction.all.iter().find(|(s, ..)| *s == gas::correction::Standard::SaeJ607);
            all.map(|c| Got { value: c.2, expanded: None, tolerance: 2e-4 })
        }
        "peak_torque" => peak(f.peak_torque, NM_PER_LB_FT, |t| torque_tolerance(story, t)),
        // The corner's part, in N·m, times the speed of the peak.
        "peak_power" => peak(f.peak_power, W_PER_HP, |w| PEAK_REL * w + corner_power(story, a)),
        "observed_peak_power" => peak(f.observed_peak_power, W_PER_HP, |w| PEAK_REL * w + corner_power(story, a)),
        "peak_bmep" => f.peak_bmep_pa.map(|p| {
            let share = torque_tolerance(story, f.peak_torque.unwrap().value) / f.peak_torque.unwrap().value;
            Got { value: p / PSI, expanded: None, tolerance: share * p / PSI }
        }),
        "mean_torque" => figure(f.mean_torque_nm, NM_PER_LB_FT, BAND_MEAN_REL),
        "mean_power" => figure(f.mean_power_w, W_PER_HP, BAND_MEAN_REL),
        "power_at" | "observed_power_at" => {
            let curve = if row.figure == "power_at" { &a.curve } else { &a.observed };
            let at = curve.rpm.iter().position(|n| *n == row.from_rpm)?;
            let omega = row.from_rpm * std::f64::consts::PI / 30.0;
            Some(Got {
                value: curve.torque_nm[at] * omega / W_PER_HP,
                expanded: Some(2.0 * curve.u_nm[at] * omega / W_PER_HP),
                tolerance: of_power(curve.torque_nm[at]) * omega / W_PER_HP,
            })
        }
        // Read off a curve that falls by 3 to 5 lb-ft in 100 rpm, with 0.06 % of 400 lb-ft and 0.2 % of the peak.
        "plateau_from" => f.plateau.map(|p| Got { value: p.from_rpm, expanded: None, tolerance: 50.0 }),
        "plateau_to" => f.plateau.map(|p| Got { value: p.to_rpm, expanded: None, tolerance: 50.0 }),
        "piston_speed" => None,
        other => panic!("no check for the figure {other}"),
    }
}

fn corner_power(story: &Story, a: &Analysis) -> f64 {
    let rpm = a.figures.peak_power.map_or(0.0, |p| p.rpm);
    0.15 * 75.0 * sharpest_corner(story) * rpm * std::f64::consts::PI / 30.0
}

#[test]
fn stories_come_back_out_of_their_logs() {
    let mut wrong = Vec::new();
    let mut checked = 0;
    for row in printed() {
        let story = by_key(&row.key).unwrap();
        if row.figure == "piston_speed" {
            continue;
        }
        let Some(got) = got(&row, &story, run(&row.key)) else {
            wrong.push(format!("{} {}: no such figure", row.key, row.figure));
            continue;
        };
        checked += 1;
        let off = (got.value - row.value).abs() - row.half_step;
        if off > got.tolerance {
            wrong.push(format!(
                "{} {}: {} against {}, tolerance {}",
                row.key, row.figure, got.value, row.value, got.tolerance
            ));
        }
        if got.expanded.is_some_and(|u| off > u || !u.is_finite()) {
            wrong.push(format!(
                "{} {}: {} against {} leaves ± {:?}",
                row.key, row.figure, got.value, row.value, got.expanded
            ));
        }
    }
    assert!(checked > 75, "{checked} figures checked");
    assert!(wrong.is_empty(), "{} of {checked}:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn as_many_pulls_as_were_run() {
    for story in invent::stories::all().iter().filter(|s| !s.running.only_aborted) {
        let a = run(&story.key);
        let used = a.pulls.iter().filter(|p| p.left_out.is_none() && p.rate_rpm_s > 0.0).count();
        assert_eq!(
            used,
            story.running.pulls,
            "{}: {:?}",
            story.key,
            a.pulls.iter().map(|p| (p.kind, p.from_rpm, p.to_rpm, &p.left_out)).collect::<Vec<_>>()
        );
        for p in a.pulls.iter().filter(|p| p.left_out.is_none() && p.rate_rpm_s > 0.0) {
            assert!(
                (p.rate_rpm_s / story.running.rate_rpm_s - 1.0).abs() < 0.05,
                "{}: {} rpm/s",
                story.key,
                p.rate_rpm_s
            );
        }
    }
    let after = run("cruiser-after");
    let aborted = after.not_pulls.iter().any(|n| n.kind == "aborted")
        || after.pulls.iter().any(|p| p.left_out.as_deref().is_some_and(|r| r.contains("stopped early")));
    assert!(aborted, "the pull stopped at 3,600 rpm is told apart: {:?}", after.not_pulls);
}

#[test]
fn still_climbing_as_the_story_says() {
    // 6 after and 10 before rise by 0.07 and 0.03 hp per rpm at the end; 3 rises by 0.001 hp per rpm at its last point
    // and 0.004 over its last 200 rpm, less than noise of 0.4 % lets be told: there the verdict may stay open, but the
    // peak stands at the end of the data and is an "at least".
    for key in ["belt-after", "tow-before", "hill-climb-14", "ski-boat"] {
        let f = &run(key).figures;
        match key {
            "belt-after" | "tow-before" => assert_eq!(f.still_climbing.as_deref(), Some("climbing"), "{key}"),
            "ski-boat" => {
                assert_ne!(f.still_climbing.as_deref(), Some("not_climbing"), "{key}: {:?}", f.last_slope_w_per_rpm)
            }
            _ => assert_eq!(f.still_climbing.as_deref(), Some("not_climbing"), "{key}: {:?}", f.last_slope_w_per_rpm),
        }
    }
    for key in ["belt-after", "tow-before"] {
        assert!(run(key).figures.peak_power.unwrap().at_least, "{key}");
        assert!(run(key).figures.extrapolated.is_none(), "nothing beyond the data unless asked");
    }
    // These fall by 12 W per rpm or more at the end. (9 after falls by 1.4, which noise hides.)
    for key in ["cruiser-before", "cruiser-after", "drag-after", "tow-after", "six-after", "turbo-four"] {
        let f = &run(key).figures;
        assert_eq!(f.still_climbing.as_deref(), Some("not_climbing"), "{key}: {:?}", f.last_slope_w_per_rpm);
        assert!(!f.peak_power.unwrap().at_least, "{key}");
    }
}

#[test]
fn a_marine_engine_gets_its_note() {
    let a = run("ski-boat");
    let all = [a.remarks.clone(), a.correction.notes.clone()].concat().join("\n");
    assert!(all.contains("marine"), "{all}");
}

#[test]
fn valve_float_is_flagged() {
    let hits = |key: &str| run(key).flags.iter().filter(|f| f.rule.contains("torque_loss")).collect::<Vec<_>>();
    let before = hits("drag-before");
    assert!(!before.is_empty(), "{:?}", run("drag-before").flags);
    // 640 to 582 lb-ft between 6,700 and 6,900 rpm.
    assert!(before.iter().any(|f| f.to_rpm > 6700.0 && f.from_rpm > 6400.0), "{before:?}");
    assert!(hits("drag-after").is_empty(), "{:?}", hits("drag-after"));
}

#[test]
fn the_float_costs_rpm_more_than_power() {
    let c = compare(run("drag-after"), run("drag-before"), "old springs", None);
    let gain = c.difference_w.unwrap() / W_PER_HP;
    // Printed: 776.5 to 785.4 hp, +8.9; each mean within 0.12 % of 785.
    assert!((gain - 8.9).abs() < 2.0 * BAND_MEAN_REL * 785.0, "{gain}");
}

#[test]
fn falling_oil_pressure_is_flagged() {
    let a = run("six-aborted");
    let oil: Vec<_> = a.flags.iter().filter(|f| f.rule.contains("oil_pressure")).collect();
    assert!(oil.iter().any(|f| f.level == Level::Abort), "{:?}", a.flags);
    let after: Vec<_> = run("six-after").flags.iter().filter(|f| f.rule.contains("oil_pressure")).collect();
    assert!(after.is_empty(), "{after:?}");
    // Corrected is lower than observed on a cool day with heavy air: both are given.
    let f = &run("six-after").figures;
    assert!(f.observed_peak_power.unwrap().value > f.peak_power.unwrap().value);
}

#[test]
fn belt_slip_is_flagged() {
    let slip = |key: &str| run(key).flags.iter().filter(|f| f.rule.contains("belt_slip")).collect::<Vec<_>>();
    let before = slip("belt-before");
    assert!(before.iter().any(|f| f.from_rpm > 4800.0 && f.to_rpm > 6200.0), "{:?}", run("belt-before").flags);
    assert!(slip("belt-after").is_empty(), "{:?}", slip("belt-after"));
}

/// A row of `validation/statistics/story_7.csv`.
fn scipy(what: &str, figure: &str) -> f64 {
    let text = include_str!("../../../../validation/statistics/story_7.csv");
    let line = text
        .lines()
        .find(|l| l.starts_with(&format!("{what},{figure},")))
        .unwrap_or_else(|| panic!("no {what} {figure}"));
    line.rsplit(',').next().unwrap().parse().unwrap()
}

#[test]
fn the_spacer_shows_no_gain() {
    let c = compare(run("spacer-b"), run("spacer-a1"), "without", Some(run("spacer-a2")));
    assert_eq!(c.verdict, "no_gain_shown");
    let (d, half) = (c.difference_w.unwrap() / W_PER_HP, c.interval_w.unwrap() / W_PER_HP);
    let (want_d, want_half) = (scipy("b_against_a1_and_a2", "difference"), scipy("b_against_a1_and_a2", "half_width"));
    // Noise of 0.1 % over some 800 samples moves each pull's mean by 0.004 %, 0.02 hp, and the difference by as much;
    // the scatter of 0.9 hp that the interval stands on by less than 2 %.
    assert!((d - want_d).abs() < 0.06, "{d} against {want_d}");
    assert!((half / want_half - 1.0).abs() < 0.02, "{half} against {want_half}");
    let (drift, drift_half) = c.aba_drift_nm.unwrap();
    assert!(drift.abs() < drift_half.unwrap(), "no drift shown either");
    // Pull by pull, the listed means.
    for (key, means) in invent::stories::spacer::MEAN_HP {
        for (p, want) in run(key).pulls.iter().filter(|p| p.left_out.is_none()).zip(means) {
            let hp = p.band_mean_power_w.unwrap() / W_PER_HP;
            // The factors of both ways differ by up to 2e-4: 0.09 hp.
            assert!((hp - want).abs() < 0.16, "{key}: {hp} against {want}");
        }
    }
}

#[test]
fn thin_air_is_outside_the_factor_s_range() {
    let verdict = |key: &str| run(key).correction.range_verdict.clone();
    assert_eq!(verdict("mile-high").as_deref(), Some("outside"), "{:?}", run("mile-high").correction);
    assert_eq!(verdict("sea-level").as_deref(), Some("inside"));
    assert!(!run("mile-high").correction.notes.is_empty() || !run("mile-high").remarks.is_empty());
}

#[test]
fn the_tow_cam_gains_in_the_band_and_loses_the_peak() {
    let c = compare(run("tow-after"), run("tow-before"), "as received", None);
    let share = c.difference_nm.unwrap() / c.before_figures.mean_torque_nm.unwrap().value;
    // Printed: 396 to 474 lb-ft, +20 %.
    assert!((share - 0.20).abs() < 0.005, "{share}");
    assert_eq!(c.verdict, "gain");
    let peak = |key: &str| run(key).figures.peak_power.unwrap().value / W_PER_HP;
    assert!(peak("tow-after") < peak("tow-before") - 100.0);
}

#[test]
fn the_hill_climb_four_gained_over_its_band() {
    let (now, was) = (run("hill-climb-14"), run("hill-climb-3"));
    for (key, a) in [("hill-climb-14", now), ("hill-climb-3", was)] {
        let want = by_key(key).unwrap().band_mean_torque_nm(3000.0, 6200.0);
        let got = a.figures.mean_torque_nm.unwrap();
        assert!(
            (got.value - want).abs() < BAND_MEAN_REL * want && (got.value - want).abs() < got.expanded,
            "{key}: {got:?} against {want}"
        );
    }
    let c = compare(now, was, "run 3", None);
    assert_eq!(c.verdict, "gain");
    let lean: Vec<_> = now.flags.iter().filter(|f| f.rule.contains("lean")).collect();
    assert!(lean.iter().any(|f| f.pull == 2 && f.from_rpm < 5470.0 && f.to_rpm > 5450.0), "{:?}", now.flags);
    // (99 ÷ 96.63)^1.2 · (297.6 ÷ 298)^0.6 by ISO 1585: 97.9 kPa less 1.27 kPa of vapour, 24.6 °C.
    assert!((now.correction.factor - 1.0287).abs() < 2e-4, "{}", now.correction.factor);
    assert_eq!(now.correction.range_verdict.as_deref(), Some("inside"));
}

#[test]
fn an_open_thermocouple_is_a_sensor_fault() {
    let a = run("cruiser-before");
    let egt: Vec<_> = a.flags.iter().filter(|f| f.role.starts_with("exhaust_temperature")).collect();
    assert!(egt.iter().any(|f| f.level == Level::SensorFault && f.role == "exhaust_temperature_3"), "{:?}", a.flags);
    assert!(egt.iter().all(|f| f.level == Level::SensorFault), "2,500 °F is no temperature: {egt:?}");
}

#[test]
fn runs_with_nothing_wrong_raise_no_flag() {
    // Noise, resonance, wobble and a speed that turns back for a moment are no faults.
    let clean = [
        "cruiser-after",
        "turbo-four",
        "ski-boat",
        "drag-after",
        "six-after",
        "belt-after",
        "mile-high",
        "sea-level",
        "two-ports-after",
        "tow-before",
        "tow-after",
        "spacer-a1",
        "spacer-b",
        "spacer-a2",
    ];
    let raised: Vec<String> =
        clean.iter().flat_map(|key| run(key).flags.iter().map(move |f| format!("{key}: {}", f.sentence))).collect();
    assert!(raised.is_empty(), "{}", raised.join("\n"));
}

#[test]
fn the_hill_climb_four_s_faults_are_flagged_where_they_are() {
    let flags = &run("hill-climb-14").flags;
    let spans = |rule: &str, pull: usize| -> Vec<(f64, f64)> {
        let of = |f: &&pull::guard::Flag| f.rule == rule && f.pull == pull;
        flags.iter().filter(of).map(|f| (f.from_rpm, f.to_rpm)).collect()
    };
    // The manifold is more than 1 psi short of its target up to some 2,160 rpm, in every pull: one flag for all.
    let short = spans("boost_short", 0);
    assert!(short.len() == 1 && (2080.0..2260.0).contains(&short[0].1), "{short:?}");
    assert!(flags.iter().any(|f| f.rule == "boost_short" && f.sentence.starts_with("Pulls 1, 2 and 3, worst in")));
    assert!(spans("fuel_pressure_not_following", 2).len() == 1, "{flags:?}");
    assert!(flags.iter().filter(|f| f.rule != "boost_short").all(|f| f.pull == 2), "{flags:?}");
    // Run 3 was stopped for knock.
    assert!(run("hill-climb-3").flags.iter().any(|f| f.rule == "knock" && f.to_rpm > 6200.0));
}
