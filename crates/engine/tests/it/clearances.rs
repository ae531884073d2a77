//! Clearances from two readings, ring gaps, half shells, bore sheets.

use engine::clearances::bore_sheet::{Axis, BoreSheet, Height};
use engine::clearances::ring_gap::{Heat, factor_of_gap, gap_taken_by_heat_m, ring_gap_m, stays_open};
use engine::clearances::shells::{HalfShells, choices, with_shells};
use engine::clearances::{DiametralClearance, REFERENCE_K, Reading, axial_clearance, difference, end_play};
use engine::propagate::Estimate;
use engine::refused::Refused;
use proptest::prelude::*;
use quantity::{Limits, Verdict};
use table::close;

const THOU: f64 = 0.0254e-3;
const IN: f64 = 0.0254;
const STEEL: f64 = 11.5e-6;
const ALUMINIUM: f64 = 22e-6;

fn inches(value: f64, u_thou: f64) -> Estimate {
    Estimate::new(value * IN, u_thou * THOU).unwrap()
}

fn reading(value_in: f64, u_thou: f64) -> Reading {
    Reading::at_reference(inches(value_in, u_thou))
}

/// Handbook: a window of 0.0005 in read to ±0.0003 (k = 2) is narrower than the gauge's band, so near an edge
/// the verdict is "cannot tell".
#[test]
fn a_bearing_read_too_coarsely_cannot_be_judged() {
    let window = Limits::between(2.0 * THOU, 2.5 * THOU);
    let verdict = |bore_in: f64, u_thou: f64| {
        // The journal's part is in the one figure of ±0.0003.
        let found = DiametralClearance::between(&reading(bore_in, u_thou), &reading(2.4500, 0.0), 0.0).unwrap();
        found.diametral_m.verdict(window)
    };
    assert_eq!(verdict(2.4521, 0.15), Verdict::CannotTell);
    assert_eq!(verdict(2.45225, 0.15), Verdict::CannotTell);
    assert_eq!(verdict(2.45225, 0.10), Verdict::Inside);
    assert_eq!(verdict(2.4529, 0.15), Verdict::Outside);
}

/// By hand: √(0.1² + 0.075²) = 0.125 thou; a shared micrometer error of 0.06 thou leaves √(0.08² + 0.045²) = 0.0918.
#[test]
fn a_clearance_is_a_difference_with_both_doubts() {
    let (bore, journal) = (reading(2.4524, 0.1), reading(2.4500, 0.075));
    let apart = DiametralClearance::between(&bore, &journal, 0.0).unwrap();
    close("clearance", apart.diametral_m.value / THOU, 2.4, 1e-9);
    close("u", apart.diametral_m.u / THOU, 0.125, 1e-9);
    close("radial", apart.radial_m().value / THOU, 1.2, 1e-9);
    close("radial u", apart.radial_m().u / THOU, 0.0625, 1e-9);
    // One thou per inch of journal is the rule; this is 2.4 / 2.45.
    close("per inch", apart.per_diameter().value * 1e3, 2.4 / 2.45, 1e-9);
    let shared = difference(&bore, &journal, 0.06 * THOU).unwrap();
    close("shared", shared.u / THOU, 0.08f64.hypot(0.045), 1e-4);
    assert!(matches!(difference(&bore, &journal, 0.08 * THOU), Err(Refused::Clash { .. })));
}

/// An aluminium piston of 101.5 mm at 30 °C: 101.5 · 22e-6 · 10 = 22.3 µm too large with a gauge at 20 °C; a
/// steel gauge as warm as the piston hides 101.5 · 11.5e-6 · 10 = 11.7 µm of it.
#[test]
fn readings_are_brought_to_20_c() {
    let warm = |gauge: f64| Reading {
        shown_m: Estimate::new(0.1015, 2e-6).unwrap(),
        part_k: Estimate::new(REFERENCE_K + 10.0, 1.0).unwrap(),
        part_expansion_per_k: ALUMINIUM,
        gauge_expansion_per_k: gauge,
    };
    let cold_gauge = warm(0.0).at_20_c().unwrap();
    // Second order in α ΔT: 0.1015 · (2.2e-4)² = 5e-9 m.
    close("cold gauge", 0.1015 - cold_gauge.value, 22.33e-6, 1e-8);
    // One kelvin of doubt is 2.23 µm, beside 2 µm of the gauge.
    // Dividing by 1 + α ΔT takes at most twice 2.2e-4 off either: 1.4e-9 m.
    close("u", cold_gauge.u, 2e-6f64.hypot(2.233e-6), 1.5e-9);
    let warm_gauge = warm(STEEL).at_20_c().unwrap();
    close("warm gauge", 0.1015 - warm_gauge.value, 10.66e-6, 1e-8);
    let steel = Reading { part_expansion_per_k: STEEL, ..warm(STEEL) };
    close("steel on steel", steel.at_20_c().unwrap().value, 0.1015, 1e-15);
}

#[test]
fn readings_that_cannot_be_are_refused() {
    let per_million = Reading { part_expansion_per_k: 11.5, ..reading(2.0, 0.1) };
    assert_eq!(
        per_million.at_20_c().unwrap_err().to_string(),
        "an expansion of 11.5 1/K is not possible: expected 0 to 0.0001; steel is 0.0000115"
    );
    assert!(matches!(reading(-2.0, 0.1).at_20_c(), Err(Refused::NotPossible { .. })));
    let celsius = Reading { part_k: Estimate::exact(-5.0), ..reading(2.0, 0.1) };
    assert!(celsius.at_20_c().is_err());
}

#[test]
fn side_clearance_and_end_play_are_not_halved() {
    let side = axial_clearance(&reading(0.0480, 0.05), &reading(0.0465, 0.05), 0.0).unwrap();
    close("side", side.value / THOU, 1.5, 1e-9);
    let play = end_play(inches(-0.002, 0.25), inches(0.0035, 0.25)).unwrap();
    close("play", play.value / THOU, 5.5, 1e-9);
    close("u", play.u / THOU, 0.25 * 2f64.sqrt(), 1e-9);
    // A coated skirt may read as an interference: it is let through with its sign.
    let tight = difference(&reading(3.9994, 0.1), &reading(4.0000, 0.1), 0.0).unwrap();
    close("interference", tight.value / THOU, -0.6, 1e-9);
}

/// Handbook: 4.000 in × 0.0065 = 0.026 in (0.66 mm). Story 2 (86 mm): 0.0205 in is 0.0061, 0.014 in is 0.0041.
#[test]
fn ring_gaps_by_factor() {
    close("gap", ring_gap_m(4.0 * IN, 0.0065).unwrap(), 0.026 * IN, 1e-12);
    close("mm", ring_gap_m(4.0 * IN, 0.0065).unwrap() * 1e3, 0.66, 0.005);
    // Half of the last printed digit.
    close("new", factor_of_gap(0.0205 * IN, 0.086).unwrap(), 0.0061, 0.000_05);
    close("found", factor_of_gap(0.014 * IN, 0.086).unwrap(), 0.0041, 0.000_05);
    assert_eq!(
        ring_gap_m(4.0 * IN, 0.026).unwrap_err().to_string(),
        "a ring gap factor of 0.026 is not possible: expected 0.001 to 0.02 of the bore"
    );
}

/// By hand: iron ring 11e-6, 200 K warmer, in an iron bore 100 K warmer, 100 mm: π · 0.1 · (2.2e-3 − 1.1e-3) / 1.0022
/// = 0.3448 mm.
#[test]
fn heat_takes_up_part_of_the_gap() {
    let heat = |rise: f64, u: f64| Heat { expansion_per_k: 11e-6, rise_k: Estimate::new(rise, u).unwrap() };
    let taken = gap_taken_by_heat_m(0.1, heat(200.0, 20.0), heat(100.0, 10.0)).unwrap();
    close("taken", taken.value, 0.3448e-3, 0.5e-7);
    // π · 0.1 · 11e-6 · √(20² + 10²) = 77 µm, less 0.3 % for the ring's own growth.
    close("u", taken.u, 77.27e-6, 0.3e-6);
    assert_eq!(stays_open(Estimate::new(0.6e-3, 1e-5).unwrap(), taken), Verdict::Inside);
    assert_eq!(stays_open(Estimate::new(0.4e-3, 1e-5).unwrap(), taken), Verdict::CannotTell);
    assert_eq!(stays_open(Estimate::new(0.1e-3, 1e-5).unwrap(), taken), Verdict::Outside);
    let aluminium = Heat { expansion_per_k: ALUMINIUM, ..heat(120.0, 0.0) };
    assert!(gap_taken_by_heat_m(0.1, heat(200.0, 0.0), aluminium).unwrap().value < 0.0);
}

/// Common practice: halves of ±0.001 in sets move the clearance by ±0.0005 in, whole sets by ±0.001 in.
#[test]
fn half_shells_move_half_a_step() {
    let standard = inches(0.0024, 0.1);
    let with = |upper: f64, lower: f64| {
        let shells = HalfShells { upper_step_m: upper * THOU, lower_step_m: lower * THOU };
        with_shells(standard, shells, 0.5 * THOU).map(|clearance| clearance.value / THOU)
    };
    close("half thicker", with(1.0, 0.0).unwrap(), 1.9, 1e-9);
    close("half thinner", with(0.0, -1.0).unwrap(), 2.9, 1e-9);
    close("whole set", with(1.0, 1.0).unwrap(), 1.4, 1e-9);
    assert_eq!(
        with(1.0, -1.0).unwrap_err().to_string(),
        "an upper shell of +0.0254 mm and a lower one of -0.0254 mm and walls that differ by 0.0127 mm at most cannot \
         both be right: these walls differ by 0.0254 mm"
    );
    let steps = [0.0, THOU, -THOU];
    let found = choices(standard, &steps, 0.5 * THOU, 2.9 * THOU).unwrap();
    // Nine pairs, less the two of a thick with a thin half.
    assert_eq!(found.len(), 7);
    close("best", found[0].1.value / THOU, 2.9, 1e-9);
}

fn sheet(u_thou: f64) -> BoreSheet {
    let rows = [[4.0305, 4.0302], [4.0303, 4.0301], [4.0302, 4.0300]];
    BoreSheet::new(rows.map(|row| row.map(|inch| inch * IN)), u_thou * THOU).unwrap()
}

/// By hand: thrust axis 4.0305 − 4.0302 = 0.3 thou, pin axis 0.2; axes apart by 0.3 at the top, 0.2 below.
#[test]
fn the_sheet_of_a_bore() {
    let sheet = sheet(0.05);
    close("taper", sheet.taper().size_m / THOU, 0.3, 1e-6);
    assert_eq!(sheet.taper().at, Axis::Thrust);
    close("out of round", sheet.out_of_round().size_m / THOU, 0.3, 1e-6);
    assert_eq!(sheet.out_of_round().at, Height::Top);
    close("smallest", sheet.smallest_m().value / IN, 4.0300, 1e-9);
    close("mean", sheet.mean_m().value / IN, (4.0305 + 4.0302 + 4.0303 + 4.0301 + 4.0302 + 4.0300) / 6.0, 1e-9);
    close("mean u", sheet.mean_m().u / THOU, 0.05 / 6f64.sqrt(), 1e-9);
}

/// Reach: the 95 % range of six readings, 4.0301 · u. With 0.03 thou it is 0.12 thou.
#[test]
fn a_bore_has_three_states() {
    assert_eq!(sheet(0.03).taper().verdict(0.5 * THOU), Verdict::Inside);
    assert_eq!(sheet(0.03).taper().verdict(0.3 * THOU), Verdict::CannotTell);
    assert_eq!(sheet(0.03).out_of_round().verdict(0.1 * THOU), Verdict::Outside);
    assert_eq!(sheet(0.10).taper().verdict(0.5 * THOU), Verdict::CannotTell);
}

#[test]
fn a_slip_of_the_pen_is_refused_with_both_places() {
    let rows = [[4.0305, 4.0302], [4.0303, 4.3001], [4.0302, 4.0300]];
    let message = BoreSheet::new(rows.map(|row| row.map(|inch| inch * IN)), 1e-6).unwrap_err().to_string();
    assert_eq!(
        message,
        "109.2225 mm (middle, pin axis) and 102.3620 mm (bottom, pin axis) cannot both be right: they differ by more \
         than a hundredth of the bore; read both again"
    );
    assert!(matches!(BoreSheet::new([[0.1, 0.1], [0.1, -0.1], [0.1, 0.1]], 1e-6), Err(Refused::NotPossible { .. })));
}

proptest! {
    /// Turning the block round its axes or upside down changes no figure of the sheet.
    #[test]
    fn a_sheet_does_not_care_for_names(readings in proptest::array::uniform6(0.1000..0.1005f64)) {
        let [a, b, c, d, e, f] = readings;
        let one = BoreSheet::new([[a, b], [c, d], [e, f]], 1e-6).unwrap();
        let other = BoreSheet::new([[f, e], [d, c], [b, a]], 1e-6).unwrap();
        prop_assert_eq!(one.taper().size_m, other.taper().size_m);
        prop_assert_eq!(one.out_of_round().size_m, other.out_of_round().size_m);
        prop_assert_eq!(one.smallest_m().value, other.smallest_m().value);
        prop_assert!((one.mean_m().value - other.mean_m().value).abs() < 1e-15);
        prop_assert!(one.taper().size_m >= 0.0 && one.out_of_round().size_m >= 0.0);
    }

    /// The clearance at 20 °C does not depend on the temperature at which two equal materials were read alike.
    #[test]
    fn equal_materials_read_warm_give_the_same_per_diameter(warmer in -10.0..25.0f64) {
        let at = |value_in: f64, k: f64| Reading {
            shown_m: Estimate::exact(value_in * IN * (1.0 + STEEL * k)),
            part_k: Estimate::exact(REFERENCE_K + k),
            part_expansion_per_k: STEEL,
            gauge_expansion_per_k: 0.0,
        };
        let warm = DiametralClearance::between(&at(2.4524, warmer), &at(2.45, warmer), 0.0).unwrap();
        prop_assert!((warm.diametral_m.value / THOU - 2.4).abs() < 1e-9);
    }
}
