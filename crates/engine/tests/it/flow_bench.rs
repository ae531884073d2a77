//! Flow-bench figures against the tables in `validation/flow_bench`.

use engine::flow_bench::*;
use table::rows;

const CFM: f64 = 0.3048 * 0.3048 * 0.3048 / 60.0;
const IN_H2O: f64 = 249.088_91;

#[test]
fn nozzle_flow_agrees_below_and_above_choking() {
    for row in rows("flow_bench/t04_orifice_mass_flow.csv") {
        let gas = Gas { heat_ratio: row.number("gamma_1"), gas_constant_j_kg_k: row.number("r_specific_J_kgK") };
        row.agrees("critical_ratio_1", critical_pressure_ratio(gas.heat_ratio));
        let (p0, t0, area) = (row.number("p0_Pa"), row.number("t0_K"), row.number("effective_area_m2"));
        // The pressure behind is printed to 0.01 Pa, which is too coarse for a drop of 101 Pa; the ratio is not.
        let behind = row.number("pressure_ratio_1") * p0;
        let flow = nozzle_mass_flow_kg_s(area, p0, t0, behind, gas).unwrap();
        row.agrees("mdot_kg_s", flow);
        let back = effective_area_m2(flow, p0, t0, behind, gas).unwrap();
        assert!((back / area - 1.0).abs() < 1e-14);
    }
}

#[test]
fn square_rule_agrees() {
    for row in rows("flow_bench/t04_flowbench_conversions.csv") {
        let q = row.number("q_measured_cfm") * CFM;
        let (from, to) = (row.number("dp_test_inH2O") * IN_H2O, row.number("dp_target_inH2O") * IN_H2O);
        row.agrees("q_converted_cfm", by_square_root(q, from, to).unwrap() / CFM);
    }
}

#[test]
fn exact_conversion_agrees_and_shows_what_the_square_rule_neglects() {
    let table = rows("flow_bench/t04_flowbench_reference_orifice.csv");
    let ten = table.iter().find(|r| r.number("dp_inH2O") == 10.0).unwrap();
    for row in &table {
        let (from, to) = (ten.number("dp_Pa"), row.number("dp_Pa"));
        let at_ten = ten.number("q_upstream_m3_s");
        let found = at_other_drop_m3_s(at_ten, from, to, 101_325.0, Gas::AIR).unwrap();
        row.agrees("q_upstream_m3_s", found);
        let mass = mass_flow_kg_s(found, 101_325.0, 293.15, Gas::AIR).unwrap();
        row.agrees("mdot_isentropic_kg_s", mass);
        let area = effective_area_m2(mass, 101_325.0, 293.15, 101_325.0 - to, Gas::AIR).unwrap();
        row.agrees("effective_area_m2", area);
    }
    let exact = at_other_drop_m3_s(0.1, 10.0 * IN_H2O, 28.0 * IN_H2O, 101_325.0, Gas::AIR).unwrap();
    let rule = by_square_root(0.1, 10.0 * IN_H2O, 28.0 * IN_H2O).unwrap();
    // 2.5 % as the reference text states, which prints one decimal.
    assert!((rule / exact - 1.025).abs() < 5e-4, "{}", rule / exact);
}

#[test]
fn cfm_to_mass_agrees() {
    for row in rows("flow_bench/t04_cfm_to_mass.csv") {
        let q = row.number("q_actual_cfm") * CFM;
        row.agrees("mdot_kg_s", mass_flow_kg_s(q, row.number("p_Pa"), row.number("t_K"), Gas::AIR).unwrap());
    }
}

#[test]
fn one_flow_on_four_references() {
    for row in rows("flow_bench/t04_valve_cd_definitions.csv") {
        let q = row.number("q_cfm") * CFM;
        let mass = mass_flow_kg_s(q, 101_325.0, 293.15, Gas::AIR).unwrap();
        row.agrees("mdot_kg_s", mass);
        let behind = 101_325.0 - row.number("dp_Pa");
        let area = effective_area_m2(mass, 101_325.0, 293.15, behind, Gas::AIR).unwrap();
        row.agrees("effective_area_m2", area);
        let lift = row.number("lift_m");
        let curtain = Cd::new(area, lift, Curtain { valve_m: row.number("valve_diameter_m") }).unwrap();
        row.agrees("cd_curtain_1", curtain.value());
        let throat = Throat { throat_m: row.number("throat_diameter_m"), stem_m: row.number("stem_diameter_m") };
        let throat = curtain.on(throat).unwrap();
        row.agrees("cd_throat_1", throat.value());
        row.agrees("cf_valve_head_1", throat.on(ValveHead { valve_m: 0.052 }).unwrap().value());
    }
}

#[test]
fn coefficients_on_other_sizes_do_not_meet() {
    let one = Cd::stated(0.6, 0.008, Curtain { valve_m: 0.050 }).unwrap();
    let other = Cd::stated(0.5, 0.008, Curtain { valve_m: 0.052 }).unwrap();
    let error = mean_cd(&[one, other]).unwrap_err().to_string();
    assert!(error.contains("50.00 mm") && error.contains("52.00 mm"), "{error}");
    let same = Cd::stated(0.5, 0.010, Curtain { valve_m: 0.050 }).unwrap();
    assert!((mean_cd(&[one, same]).unwrap() - 0.55).abs() < 1e-15);
    let stem = Cd::new(1e-4, 0.008, Throat { throat_m: 0.008, stem_m: 0.008 }).unwrap_err();
    assert!(stem.to_string().contains("stem of 8.00 mm"), "{stem}");
}

#[test]
fn leak_and_calibration() {
    assert!((without_leak_m3_s(0.1, 0.001).unwrap() - 0.099).abs() < 1e-15);
    let error = without_leak_m3_s(0.1, 0.1).unwrap_err().to_string();
    assert!(error.contains("a leak of 0.1") && error.contains("0.1 m³/s read"), "{error}");
    assert!((leak_share(0.5, &[200.0, 50.0]).unwrap() - 0.01).abs() < 1e-15);

    // A bench that shows 2 % too little on a plate: the table gives what the plate passes at 28 inH2O.
    let row = rows("flow_bench/t04_flowbench_reference_orifice.csv").into_iter().nth(3).unwrap();
    let plate = Plate {
        effective_area_m2: 0.001,
        u_effective_area_m2: 0.000_003,
        shown_m3_s: row.number("q_upstream_m3_s") * 0.98,
        u_shown_m3_s: row.number("q_upstream_m3_s") * 0.98 * 0.002_5,
        drop_pa: row.number("dp_Pa"),
        u_drop_pa: row.number("dp_Pa") * 0.004,
    };
    let (factor, u) = bench_factor(&plate, 101_325.0, 293.15, Gas::AIR).unwrap();
    assert!((factor - 1.0 / 0.98).abs() < 1e-7, "{factor}");
    // √(0.3² + 0.25² + 0.2²) % by hand.
    assert!((u / factor - 0.004_387_5).abs() < 1e-7, "{u}");
}

#[test]
fn a_room_with_thin_air_passes_more_volume() {
    // The exact flow through one area in a room of 83.5 kPa against one of 101.325 kPa, by the nozzle formula.
    let through = |p: f64| {
        let mass = nozzle_mass_flow_kg_s(0.001, p, 293.15, p - 28.0 * IN_H2O, Gas::AIR).unwrap();
        let density = p / (287.05 * 293.15);
        (mass / density, density)
    };
    let ((thin, thin_density), (thick, thick_density)) = (through(83_500.0), through(101_325.0));
    let corrected = in_standard_air_m3_s(thin, thin_density, thick_density).unwrap();
    // The neglected expansion makes the thin room read 0.85 % less, as the doc comment says.
    assert!((corrected / thick - 0.9915).abs() < 5e-5, "{}", corrected / thick);
}

#[test]
fn means_over_lift() {
    let curve = FlowCurve::new(&[(0.002, 100e-6), (0.004, 200e-6), (0.008, 300e-6)]).unwrap();
    assert!((curve.effective_area_m2(0.001).unwrap() - 50e-6).abs() < 1e-18);
    // Straight pieces by hand: (0.5·(150+200)·1 + 0.5·(200+250)·2) / 3 = 208.33.
    let mean = curve.mean_over(0.003, 0.006).unwrap();
    assert!((mean.effective_area_m2 - 625e-6 / 3.0).abs() < 1e-15);
    assert_eq!((mean.from_lift_m, mean.to_lift_m), (0.003, 0.006));
    // The cam spends a quarter of its time at 2 mm, half at 4 mm, a quarter at 8 mm.
    let use_of = [(0.002, 1.0), (0.004, 2.0), (0.008, 1.0)].map(|(lift_m, share)| LiftShare { lift_m, share });
    assert!((curve.mean_over_use(&use_of).unwrap().effective_area_m2 - 200e-6).abs() < 1e-15);
    let error = curve.mean_over(0.003, 0.010).unwrap_err().to_string();
    assert!(error.contains("10.000 mm") && error.contains("8.000 mm"), "{error}");
    assert!(curve.mean_over_use(&[LiftShare { lift_m: 0.009, share: 1.0 }]).is_err());
    let exhaust = FlowCurve::new(&[(0.002, 80e-6), (0.008, 230e-6)]).unwrap();
    let ratio = exhaust_over_intake(&exhaust, &curve, 0.002, 0.008).unwrap();
    // 155 over (150·2 + 250·4)/6 = 216.67.
    assert!((ratio.ratio - 155.0 * 6.0 / 1300.0).abs() < 1e-12);
    let rows = FlowCurve::new(&[(0.004, 1e-4), (0.002, 2e-4)]).unwrap_err().to_string();
    assert!(rows.starts_with("row 2"), "{rows}");
}

#[test]
fn a_reading_becomes_an_area_in_both_directions() {
    let table = rows("flow_bench/t04_flowbench_reference_orifice.csv");
    for row in &table {
        let drawn = Reading {
            // A bench that shows 4 % too much, of which a tenth of a litre per second is leak.
            read_m3_s: row.number("q_upstream_m3_s") * 1.04 + 1e-4,
            leak_m3_s: 1e-4,
            factor: 1.0 / 1.04,
            drop_pa: row.number("dp_Pa"),
            room_pa: 101_325.0,
            air_k: 293.15,
            direction: Direction::Drawn,
        };
        row.agrees("effective_area_m2", drawn.effective_area_m2(Gas::AIR).unwrap());
        let back = flow_at_m3_s(0.001, drawn.drop_pa, 101_325.0, 293.15, Direction::Drawn, Gas::AIR).unwrap();
        row.agrees("q_upstream_m3_s", back);
    }
    // Blown into a room of 0.9 × 101.325 kPa: the row of the orifice table with a ratio of 0.9.
    let orifice = rows("flow_bench/t04_orifice_mass_flow.csv").into_iter().nth(4).unwrap();
    assert_eq!(orifice.number("pressure_ratio_1"), 0.9);
    let room_pa = 0.9 * 101_325.0;
    let blown = Reading {
        read_m3_s: orifice.number("mdot_kg_s") * 287.05 * 298.15 / room_pa,
        leak_m3_s: 0.0,
        factor: 1.0,
        drop_pa: 101_325.0 - room_pa,
        room_pa,
        air_k: 298.15,
        direction: Direction::Blown,
    };
    orifice.agrees("effective_area_m2", blown.effective_area_m2(Gas::AIR).unwrap());
}

#[test]
fn uncertainty_of_an_effective_area() {
    let reading = Reading {
        read_m3_s: 0.1,
        leak_m3_s: 0.000_5,
        factor: 1.0,
        drop_pa: 28.0 * IN_H2O,
        room_pa: 101_325.0,
        air_k: 293.15,
        direction: Direction::Drawn,
    };
    let none =
        ReadingUncertainty { read_m3_s: 0.0, leak_m3_s: 0.0, factor: 0.0, drop_pa: 0.0, room_pa: 0.0, air_k: 0.0 };
    let relative = |u| {
        let (area, u) = reading.effective_area_with_u(&u, Gas::AIR).unwrap();
        u / area
    };
    assert_eq!(relative(none), 0.0);
    // The area goes with the flow, 0.1/0.0995 through the leak; nearly with the inverse root of the drop and
    // of the temperature. The root of the drop is short of its expansion part: 4 % of it at 28 inH2O.
    assert!((relative(ReadingUncertainty { read_m3_s: 0.000_25, ..none }) - 0.0025 / 0.995).abs() < 1e-8);
    assert!((relative(ReadingUncertainty { factor: 0.004, ..none }) - 0.004).abs() < 1e-9);
    assert!((relative(ReadingUncertainty { drop_pa: 0.01 * reading.drop_pa, ..none }) / 0.005 - 0.96).abs() < 0.04);
    // Second order is left: a step of 1 % has (0.01)² ≈ 1e-4 of itself.
    assert!((relative(ReadingUncertainty { air_k: 2.9315, ..none }) / 0.005 - 1.0).abs() < 1e-4);
    let leak = relative(ReadingUncertainty { leak_m3_s: 0.001, ..none });
    assert!((leak - 0.001 / 0.0995).abs() < 1e-6, "{leak}");
}
