//! Blower and charge cooler against `validation/blower`.

use engine::blower::*;
use engine::charge_cooler;
use engine::flow_bench::Gas;
use quantity::Verdict;
use table::rows;

const PSI: f64 = 6_894.757_293_168;
const HP: f64 = 745.699_871_582_27;

#[test]
fn blower_table_agrees() {
    for row in rows("blower/t06_blower.csv") {
        let (p1, t1, ratio) = (row.number("p1_Pa"), row.number("t1_K"), row.number("pressure_ratio_1"));
        let (efficiency, mechanical) = (row.number("adiabatic_eff_1"), row.number("mech_eff_1"));
        let displacement = row.number("displacement_m3_rev");
        let flow = displaced_flow_m3_s(displacement, row.number("n_rpm"), row.number("vol_eff_1")).unwrap();
        let mass = flow * p1 / (287.05 * t1);
        row.agrees("mdot_kg_s", mass);
        row.agrees("t2_isentropic_K", discharge_k(t1, ratio, 1.0, Gas::AIR).unwrap());
        let t2 = discharge_k(t1, ratio, efficiency, Gas::AIR).unwrap();
        row.agrees("t2_K", t2);
        row.agrees("shaft_power_W", shaft_power_w(mass, t1, t2, mechanical, Gas::AIR).unwrap());
        row.agrees("ideal_roots_adiabatic_eff_1", roots_bound(ratio, Gas::AIR).unwrap());
        // Work of the ideal Roots blower: power over mass flow, all of the swept flow delivered.
        let roots = roots_power_w(flow, p1 * (ratio - 1.0), 1.0).unwrap() / mass;
        row.agrees("w_ideal_roots_J_kg", roots);
        let back = isentropic_efficiency(t1, t2, ratio, Gas::AIR).unwrap();
        assert!((back - efficiency).abs() < 1e-12);
    }
}

#[test]
fn cooler_table_agrees() {
    for row in rows("blower/t06_intercooler.csv") {
        let (hot, coolant) = (row.number("t_in_K"), row.number("t_coolant_K"));
        let out = charge_cooler::outlet_k(hot, coolant, row.number("effectiveness_1")).unwrap();
        row.agrees("t_out_K", out);
        let ratio = charge_cooler::density_ratio(hot, out, row.number("p_in_Pa"), row.number("dp_Pa")).unwrap();
        row.agrees("density_ratio_1", ratio);
        row.agrees("effectiveness_1", charge_cooler::effectiveness(hot, out, coolant).unwrap());
    }
}

#[test]
fn a_cooler_that_cannot_be_names_both_sensors() {
    let error = charge_cooler::effectiveness(360.0, 295.0, 298.15).unwrap_err().to_string();
    assert!(error.contains("21.9 °C") && error.contains("25.0 °C"), "{error}");
    assert!(charge_cooler::effectiveness(300.0, 310.0, 290.0).unwrap_err().to_string().contains("exchanged"));
    assert!(charge_cooler::effectiveness(290.0, 289.0, 298.15).is_err());
}

#[test]
fn the_belt_that_slips() {
    // The invented V8: pulleys 7.5 and 3.0 in, step-up 3.6.
    let drive = Drive { crank_pulley: 7.5, blower_pulley: 3.0, step_up: 3.6 };
    assert!((drive.ratio().unwrap() - 9.0).abs() < 1e-12);
    let due = drive.blower_rpm(6000.0).unwrap();
    assert!((due - 54_000.0).abs() < 1e-9);
    assert!((slip(due, 48_060.0).unwrap() - 0.11).abs() < 1e-12);
    // Boost figures are printed to a tenth of a psi.
    let at_6000 = boost_by_square_pa(10.2 * PSI, due, 48_060.0).unwrap() / PSI;
    assert!((at_6000 - 8.1).abs() < 0.05, "{at_6000}");
    let at_6400 = boost_by_square_pa(11.6 * PSI, 57_600.0, 48_960.0).unwrap() / PSI;
    assert!((at_6400 - 8.4).abs() < 0.05, "{at_6400}");
    assert!((drive.blower_pulley_for(54_000.0, 6000.0).unwrap() - 3.0).abs() < 1e-12);
}

#[test]
fn worked_discharge_temperature() {
    // 50 lb/min at a pressure ratio of 1.6, efficiency 0.60, 80 °F: 129 °F hotter and 37 hp, printed whole.
    let inlet = (80.0 + 459.67) / 1.8;
    let out = discharge_k(inlet, 1.6, 0.60, Gas::AIR).unwrap();
    assert!(((out - inlet) * 1.8 - 129.0).abs() < 0.5, "{}", (out - inlet) * 1.8);
    let power = shaft_power_w(50.0 * 0.453_592_37 / 60.0, inlet, out, 1.0, Gas::AIR).unwrap() / HP;
    assert!((power - 37.0).abs() < 0.5, "{power}");
    // cfm × psi / 229 is hp, as the trade writes the work of a Roots blower: 33,000/144 = 229.2.
    let trade = roots_power_w(500.0 * 0.3048f64.powi(3) / 60.0, 8.0 * PSI, 1.0).unwrap() / HP;
    assert!((trade / (500.0 * 8.0 / 229.0) - 1.0).abs() < 1e-3, "{trade}");
}

#[test]
fn an_efficiency_above_the_bound_is_a_bad_thermometer() {
    let judge = |measured, u| judge_roots_efficiency(measured, u, 1.6, Gas::AIR).unwrap();
    // The bound is 0.838 at 1.6.
    assert_eq!(judge(0.58, 0.02), Verdict::Inside);
    assert_eq!(judge(0.90, 0.02), Verdict::Outside);
    assert_eq!(judge(0.85, 0.02), Verdict::CannotTell);
    let cold = isentropic_efficiency(300.0, 299.0, 1.5, Gas::AIR).unwrap_err().to_string();
    assert!(cold.contains("25.9 °C") && cold.contains("26.9 °C"), "{cold}");
    // 1 in of rib carries 45 hp.
    let per_width = 45.0 * HP / 0.0254;
    assert_eq!(judge_belt(30.0 * HP, 2.0 * HP, 0.0254, per_width).unwrap(), Verdict::Inside);
    assert_eq!(judge_belt(44.0 * HP, 2.0 * HP, 0.0254, per_width).unwrap(), Verdict::CannotTell);
    assert!((tip_speed_m_s(0.1, 48_000.0).unwrap() - 251.327_4).abs() < 1e-4);
}

fn blown() -> BlownEngine {
    BlownEngine {
        blower_m3_s: displaced_flow_m3_s(0.002_33, 12_000.0, 0.92).unwrap(),
        isentropic_efficiency: 0.58,
        cooler_effectiveness: 0.7,
        coolant_k: 310.0,
        cooler_drop_pa: 4000.0,
        engine_m3: 0.005_7,
        rpm: 6000.0,
        engine_volumetric_efficiency: 0.95,
        inlet_pa: 98_000.0,
        inlet_k: 298.15,
    }
}

#[test]
fn the_boost_estimate_balances_blower_and_engine() {
    let engine = blown();
    let found = engine.boost(Gas::AIR).unwrap();
    // The blower's own delivery, worked apart from the estimate.
    let delivered = engine.blower_m3_s * 98_000.0 / (287.05 * 298.15);
    assert!((found.mass_flow_kg_s / delivered - 1.0).abs() < 1e-12);
    // Without heat and cooler, boost is the ratio of swept flows: closed form.
    let ideal = BlownEngine {
        isentropic_efficiency: 1.0,
        cooler_effectiveness: 1.0,
        coolant_k: 298.15,
        cooler_drop_pa: 0.0,
        ..engine
    };
    let closed = ideal.blower_m3_s / (0.95 * 0.005_7 * 6000.0 / 120.0);
    assert!((ideal.boost(Gas::AIR).unwrap().pressure_ratio - closed).abs() < 1e-12);
    // A cooler lowers the boost that is read, because the engine takes the denser charge away.
    let hot = BlownEngine { cooler_effectiveness: 0.0, cooler_drop_pa: 0.0, ..engine }.boost(Gas::AIR).unwrap();
    assert!(hot.manifold_pa > found.manifold_pa && hot.manifold_k > found.manifold_k);
}

#[test]
fn a_blower_that_is_too_small_makes_no_boost() {
    let small = BlownEngine { blower_m3_s: 0.2, ..blown() };
    let error = small.boost(Gas::AIR).unwrap_err();
    assert!(matches!(error, BlowerError::NoBoost { .. }), "{error}");
    assert!(BlownEngine { isentropic_efficiency: 0.2, ..blown() }.boost(Gas::AIR).is_err());
}
