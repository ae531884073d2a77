//! Fuels, injectors, pump and starting lengths.

use engine::fuel::*;
use engine::injector::*;
use engine::tuned_length::*;
use table::rows;

const HP: f64 = 745.699_871_582_27;
const LB_H: f64 = 0.453_592_37 / 3600.0;
const LB_HP_H: f64 = LB_H / HP;
const CC_MIN: f64 = 1e-6 / 60.0;
const US_GAL_H: f64 = 3.785_411_784e-3 / 3600.0;
const PSI: f64 = 6_894.757_293_168;

#[test]
fn pure_fuels_and_blends_agree() {
    // The table's molar masses are another list's: 2e-5 in the ratio (measured over all rows), nothing else.
    const MASSES: f64 = 3e-5;
    let by_volume = |ethanol: f64| blend_by_volume(&[(GASOLINE, 1.0 - ethanol), (ETHANOL, ethanol)]).unwrap();
    let mut seen = 0;
    for row in rows("fuels/t03_fuels.csv") {
        let fuel = match row.text("fuel") {
            "E0_gasoline" => GASOLINE,
            "ethanol" => ETHANOL,
            "methanol" => METHANOL,
            "E10" => by_volume(0.10),
            "E15" => by_volume(0.15),
            "E70_v" => by_volume(0.70),
            "E85" => by_volume(0.85),
            _ => Properties {
                hydrogen_per_carbon: row.number("h_to_c_1"),
                oxygen_per_carbon: row.number("o_to_c_1"),
                density_kg_m3: row.number("density_15C_kg_m3"),
                heating_j_kg: row.number("lhv_liquid_J_kg"),
                latent_j_kg: row.number("latent_heat_298K_J_kg"),
            },
        };
        seen += 1;
        row.agrees_within("afr_stoich_kg_kg", fuel.stoichiometric(), MASSES);
        row.agrees_within("h_to_c_1", fuel.hydrogen_per_carbon, MASSES);
        row.agrees("density_15C_kg_m3", fuel.density_kg_m3);
        row.agrees("lhv_liquid_J_kg", fuel.heating_j_kg);
        row.agrees("lhv_volumetric_J_m3", fuel.heating_j_m3());
        row.agrees_within("lhv_per_kg_air_at_stoich_J_kg", fuel.heating_per_air_j_kg(), MASSES);
        row.agrees_within("dT_evap_lambda_0p88_ideal_K", fuel.evaporation_drop_k(0.88).unwrap(), MASSES);
    }
    assert_eq!(seen, 13);
}

#[test]
fn mass_and_volume_shares_are_not_the_same() {
    // By mass the ratios mix in proportion: 0.15·14.6007 + 0.85·9.0031 = 9.8427.
    let by_mass = blend_by_mass(&[(GASOLINE, 0.15), (ETHANOL, 0.85)]).unwrap();
    let due = 0.15 * GASOLINE.stoichiometric() + 0.85 * ETHANOL.stoichiometric();
    assert!((by_mass.stoichiometric() - due).abs() < 1e-12);
    assert!((by_mass.stoichiometric() - 9.8427).abs() < 5e-4);
    let by_volume = blend_by_volume(&[(GASOLINE, 0.15), (ETHANOL, 0.85)]).unwrap();
    assert!(by_mass.stoichiometric() - by_volume.stoichiometric() > 0.03);
    let error = blend_by_volume(&[(GASOLINE, 0.2), (ETHANOL, 0.85)]).unwrap_err().to_string();
    assert!(error.contains("105.00 %"), "{error}");
}

#[test]
fn octane_numbers_agree_and_do_not_mix() {
    for row in rows("fuels/t03_octane.csv") {
        let octane = Octane::new(row.number("ron_1"), row.number("mon_1")).unwrap();
        row.agrees("aki_1", octane.aki());
        assert_eq!(octane.sensitivity(), row.number("sensitivity_1"));
        assert_eq!(octane.index(0.5), octane.aki());
        assert_eq!(Octane::from_aki(octane.aki(), octane.sensitivity()).unwrap(), octane);
    }
    let error = Octane::new(85.0, 95.0).unwrap_err().to_string();
    assert!(error.contains("RON 85") && error.contains("MON 95"), "{error}");
}

#[test]
fn injectors_of_the_turbo_four() {
    let fuel = fuel_flow_kg_s(385.0 * HP, 0.86 * LB_HP_H).unwrap();
    // Printed whole: 331 lb/h, 76 %, 51 gph, 231 L/h.
    assert!((fuel / LB_H - 331.0).abs() < 0.5, "{}", fuel / LB_H);
    let rated = Rated { flow_m3_s: 1050.0 * CC_MIN, difference_pa: 300e3, density_kg_m3: 780.0 };
    let share = duty(fuel, 4, rated.mass_flow_kg_s()).unwrap();
    assert!((share - 0.76).abs() < 0.005, "{share}");
    // 6.5 lb/US gal.
    let density = 6.5 * 0.453_592_37 / 3.785_411_784e-3;
    let gph = pump_flow_m3_s(fuel, density, 0.0).unwrap() / US_GAL_H;
    assert!((gph - 51.0).abs() < 0.5, "{gph}");
    let litres_h = pump_flow_m3_s(fuel, density, 0.2).unwrap() * 3.6e6;
    assert!((litres_h - 231.0).abs() < 0.5, "{litres_h}");
}

#[test]
fn injectors_of_the_blown_v8() {
    let fuel = fuel_flow_kg_s(519.0 * HP, 0.62 * LB_HP_H).unwrap();
    assert!((fuel / LB_H - 322.0).abs() < 0.5);
    assert!((duty(fuel, 8, 42.0 * LB_H).unwrap() - 0.96).abs() < 0.005);
    assert!((duty(fuel, 8, 60.0 * LB_H).unwrap() - 0.67).abs() < 0.005);
    let size = size_kg_s(fuel, 8, 0.80).unwrap() / LB_H;
    assert!((size - fuel / LB_H / 6.4).abs() < 1e-9, "{size}");
}

#[test]
fn cc_and_pounds_meet_through_the_density() {
    // cc/min = lb/h × 7.56 / ρ(g/cc): 10.5 at 0.72 and 9.7 at 0.78, printed to a tenth.
    for (density, factor) in [(720.0, 10.5), (780.0, 9.7)] {
        let rated = Rated::by_mass(LB_H, 300e3, density).unwrap();
        assert!((rated.flow_m3_s / CC_MIN - factor).abs() < 0.05);
    }
    // 43.5 to 58 psi is a third more pressure: √(58/43.5) = 1.1547.
    let rated = Rated { flow_m3_s: 1000.0 * CC_MIN, difference_pa: 43.5 * PSI, density_kg_m3: 750.0 };
    let more = rated.at(58.0 * PSI, 750.0).unwrap();
    assert!((more.flow_m3_s / CC_MIN - 1_154.700_538).abs() < 1e-5);
    // Mass goes with the root of the density, volume with its inverse.
    let denser = rated.at(43.5 * PSI, 780.0).unwrap();
    assert!((denser.mass_flow_kg_s() / rated.mass_flow_kg_s() - 1.04f64.sqrt()).abs() < 1e-12);
}

#[test]
fn rail_and_pump() {
    // A fixed rail of 3 bar loses 1.5 bar of boost; one that follows does not.
    assert!((difference_pa(300e3, 150e3).unwrap() - 150e3).abs() < 1e-9);
    let followed = pump_pressure_pa(300e3, 150e3).unwrap();
    assert!((difference_pa(followed, 150e3).unwrap() - 300e3).abs() < 1e-9);
    let error = difference_pa(100e3, 150e3).unwrap_err().to_string();
    assert!(error.contains("100 kPa in the rail") && error.contains("150 kPa in the manifold"), "{error}");
    let pump = [(300e3, 340.0), (400e3, 300.0), (600e3, 220.0)].map(|(p, l_h)| (p, l_h / 3.6e6));
    assert!((pump_delivers_m3_s(&pump, followed).unwrap() * 3.6e6 - 280.0).abs() < 1e-9);
    let beyond = pump_delivers_m3_s(&pump, 700e3).unwrap_err().to_string();
    assert!(beyond.contains("700 kPa") && beyond.contains("300 to 600 kPa"), "{beyond}");
}

#[test]
fn starting_lengths() {
    // Exhaust opening 75° at 6,000 rpm: 33 in, printed whole.
    let inches = primary_length_m(75.0, 6000.0).unwrap() / 0.0254;
    assert!((inches - 33.0).abs() < 0.5, "{inches}");
    // Angle in the trade's units: 12 × L(ft) × trips × rpm / c(ft/s).
    let (feet, sound) = (1.25, 1125.0);
    let degrees = return_deg(feet * 0.3048, 3, 6500.0, sound * 0.3048).unwrap();
    assert!((degrees - 12.0 * feet * 3.0 * 6500.0 / sound).abs() < 1e-9, "{degrees}");
    // And from the time itself: three trips of 2 L at c.
    let seconds = 3.0 * 2.0 * feet / sound;
    assert!((degrees - seconds * 6500.0 * 6.0).abs() < 1e-9);
    let back = runner_length_m(degrees, 3, 6500.0, sound * 0.3048).unwrap();
    assert!((back - feet * 0.3048).abs() < 1e-12);
    let (low, high) = Manifold::SinglePlane.usual_length_m();
    assert!((low / 0.0254 - 9.0).abs() < 1e-12 && (high / 0.0254 - 12.0).abs() < 1e-12);
    assert!(primary_length_m(75.0, 90_000.0).is_err());
    assert!(return_deg(0.3, 0, 6000.0, 343.0).is_err());
}
