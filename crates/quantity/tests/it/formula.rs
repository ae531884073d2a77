//! Engine arithmetic against `validation/units` and well-known figures.

use quantity::{Dimension, find_unit_in, formula};
use table::rows;

fn near(ours: f64, expected: f64, what: &str) {
    // The tables print eight significant digits: half of the last is at most 5e-8 of the value.
    assert!((ours / expected - 1.0).abs() < 6e-8, "{what}: {ours} against {expected}");
}

fn unit(symbol: &str, dimension: Dimension) -> &'static quantity::Unit {
    find_unit_in(symbol, dimension).expect("a unit")
}

/// Expected: `t07_power_bmep.csv`.
#[test]
fn power_and_mean_pressure_match_the_table() {
    let table = rows("units/t07_power_bmep.csv");
    assert_eq!(table.len(), 3);
    for row in table {
        let (torque, rpm) = (row.number("torque_Nm"), row.number("n_rpm"));
        let displacement = row.number("displacement_m3");
        let power = formula::power_w(torque, rpm);
        near(power, row.number("power_W"), "power");
        near(unit("hp", Dimension::Power).from_si(power), row.number("power_hp"), "hp");
        near(unit("PS", Dimension::Power).from_si(power), row.number("power_PS"), "PS");
        near(unit("lb-ft", Dimension::Torque).from_si(torque), row.number("torque_lbft"), "lb-ft");
        let bmep = formula::bmep_pa(torque, displacement, true);
        near(bmep, row.number("bmep_4stroke_Pa"), "BMEP");
        near(unit("psi", Dimension::Pressure).from_si(bmep), row.number("bmep_psi"), "BMEP, psi");
        near(formula::bmep_pa(torque, displacement, false), 0.5 * bmep, "two-stroke BMEP");
        near(formula::torque_nm(power, rpm), torque, "torque back");
        near(formula::torque_from_mean_pressure_nm(bmep, displacement, true), torque, "torque from BMEP");
    }
}

/// Expected: `t07_bsfc_ve.csv`; its reference density is p/(287.05 T), heating value 43.4 MJ/kg.
#[test]
fn specific_fuel_and_filling_match_the_table() {
    let table = rows("units/t07_bsfc_ve.csv");
    assert_eq!(table.len(), 2);
    for row in table {
        let (power, fuel) = (row.number("power_W"), row.number("mdot_fuel_kg_s"));
        let bsfc = formula::specific_fuel_kg_j(fuel, power);
        near(unit("g/kWh", Dimension::SpecificFuel).from_si(bsfc), row.number("bsfc_g_kWh"), "g/kWh");
        near(unit("lb/hp-h", Dimension::SpecificFuel).from_si(bsfc), row.number("bsfc_lb_hp_h"), "lb/hp-h");
        let efficiency = formula::brake_efficiency(power, fuel, 43.4e6);
        near(efficiency, row.number("brake_thermal_efficiency_43p4MJ_1"), "efficiency");
        let density = row.number("p_ref_Pa") / (287.05 * row.number("t_ref_K"));
        let filling = formula::volumetric_efficiency(
            row.number("mdot_air_kg_s"),
            density,
            row.number("displacement_m3"),
            row.number("n_rpm"),
            true,
        );
        near(filling, row.number("volumetric_efficiency_1"), "volumetric efficiency");
    }
}

/// Expected: `t07_inertia_torque.csv`.
#[test]
fn inertia_torque_matches_the_table() {
    let table = rows("units/t07_inertia_torque.csv");
    assert_eq!(table.len(), 3);
    for row in table {
        let torque = formula::inertia_torque_nm(row.number("inertia_kg_m2"), row.number("sweep_rate_rpm_s"));
        near(torque, row.number("torque_inertia_Nm"), "inertia torque");
        near(row.number("torque_absorber_Nm") + torque, row.number("torque_at_engine_side_Nm"), "torque at the engine");
    }
}

/// Expected: the three constants of `t07_units.csv` that belong to mean effective pressure.
#[test]
fn mean_pressure_constants_match_the_table() {
    let si = |symbol, dimension| unit(symbol, dimension).to_si(1.0);
    let (psi, cubic_inch) = (si("psi", Dimension::Pressure), si("in³", Dimension::Volume));
    for row in rows("units/t07_units.csv") {
        let expected = row.number("value");
        match row.text("quantity") {
            name @ "bmep_psi_from_lbft_in3_4stroke" => {
                near(formula::bmep_pa(si("lb-ft", Dimension::Torque), cubic_inch, true) / psi, expected, name);
            }
            name @ "bmep_kPa_from_Nm_L_4stroke" => near(formula::bmep_pa(1.0, 1e-3, true) / 1e3, expected, name),
            name @ "bmep_psi_from_hp_in3_rpm_4stroke" => {
                let torque = formula::torque_nm(si("hp", Dimension::Power), 1.0);
                near(formula::bmep_pa(torque, cubic_inch, true) / psi, expected, name);
            }
            _ => {}
        }
    }
}

/// Expected: 536 lb-ft at 6,400 rpm is 653 hp; common practice, no source. Tolerance: the printed
/// digit. And torque in lb-ft crosses power in hp at 33 000/2π = 5252.113 rpm.
#[test]
fn torque_times_speed_is_power() {
    let (pound_foot, horse) = (unit("lb-ft", Dimension::Torque), unit("hp", Dimension::Power));
    let power = formula::power_w(pound_foot.to_si(536.0), 6400.0);
    assert!((horse.from_si(power) - 653.0).abs() < 0.5);
    let crossing = horse.from_si(formula::power_w(pound_foot.to_si(100.0), 5_252.113_12));
    assert!((crossing - 100.0).abs() < 1e-6, "{crossing}");
}

/// Expected: piston speed in ft/min is stroke (in) × rpm / 6, exact. 3.48 in at 6,000 rpm: 3480.
#[test]
fn mean_piston_speed() {
    let speed = formula::mean_piston_speed_m_s(3.48 * 0.0254, 6000.0);
    near(unit("ft/min", Dimension::Velocity).from_si(speed), 3480.0, "piston speed");
}
