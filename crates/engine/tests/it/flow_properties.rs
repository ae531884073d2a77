//! What holds for every flow, blend and blower, not only for the tabled ones.

use engine::blower::{discharge_k, isentropic_efficiency, roots_bound};
use engine::flow_bench::*;
use engine::fuel::{ETHANOL, GASOLINE, METHANOL, blend_by_mass, blend_by_volume};
use engine::valve_area::ValveSeat;
use proptest::prelude::*;

proptest! {
    #[test]
    fn an_area_comes_back_from_its_flow(
        area in 1e-6..1e-2_f64, upstream in 5e4..1e6_f64, kelvin in 250.0..1500.0_f64, ratio in 0.05..0.999_f64,
    ) {
        let flow = nozzle_mass_flow_kg_s(area, upstream, kelvin, ratio * upstream, Gas::AIR).unwrap();
        let back = effective_area_m2(flow, upstream, kelvin, ratio * upstream, Gas::AIR).unwrap();
        prop_assert!((back / area - 1.0).abs() < 1e-12);
    }

    #[test]
    fn more_drop_gives_more_flow_until_it_chokes_and_never_less(
        upstream in 5e4..1e6_f64, low in 0.02..0.98_f64, step in 0.001..0.02_f64,
    ) {
        let flow = |ratio: f64| nozzle_mass_flow_kg_s(1e-4, upstream, 300.0, ratio * upstream, Gas::AIR).unwrap();
        // 1e-14 of it: rounding where both are choked.
        prop_assert!(flow(low) >= flow(low + step) * (1.0 - 1e-14));
    }

    #[test]
    fn the_square_rule_always_overstates_a_greater_drop(from in 500.0..5e3_f64, more in 1.05..3.0_f64) {
        let exact = at_other_drop_m3_s(0.1, from, from * more, 101_325.0, Gas::AIR).unwrap();
        prop_assert!(by_square_root(0.1, from, from * more).unwrap() > exact);
    }

    #[test]
    fn a_blend_lies_between_its_parts(ethanol in 0.0..1.0_f64, methanol in 0.0..1.0_f64) {
        let rest = 1.0 - ethanol;
        let shares = [(ETHANOL, ethanol), (METHANOL, rest * methanol), (GASOLINE, rest * (1.0 - methanol))];
        for blend in [blend_by_volume(&shares).unwrap(), blend_by_mass(&shares).unwrap()] {
            let ratio = blend.stoichiometric();
            prop_assert!(ratio > METHANOL.stoichiometric() - 1e-9 && ratio < GASOLINE.stoichiometric() + 1e-9);
            prop_assert!(blend.density_kg_m3 > 745.0 - 1e-9 && blend.density_kg_m3 < METHANOL.density_kg_m3 + 1e-9);
        }
    }

    #[test]
    fn a_mass_blend_needs_the_air_of_its_parts(ethanol in 0.0..1.0_f64) {
        let blend = blend_by_mass(&[(ETHANOL, ethanol), (GASOLINE, 1.0 - ethanol)]).unwrap();
        let due = ethanol * ETHANOL.stoichiometric() + (1.0 - ethanol) * GASOLINE.stoichiometric();
        prop_assert!((blend.stoichiometric() / due - 1.0).abs() < 1e-12);
    }

    #[test]
    fn an_efficiency_comes_back_from_its_temperature(ratio in 1.01..4.0_f64, efficiency in 0.3..1.0_f64) {
        let out = discharge_k(300.0, ratio, efficiency, Gas::AIR).unwrap();
        let back = isentropic_efficiency(300.0, out, ratio, Gas::AIR).unwrap();
        // The difference of two temperatures near 300 K, 1 K apart at the least: 1e-13 of it is lost.
        prop_assert!((back / efficiency - 1.0).abs() < 1e-10);
        prop_assert!(roots_bound(ratio, Gas::AIR).unwrap() < 1.0);
    }

    #[test]
    fn the_least_area_never_falls_with_lift(
        valve in 0.025..0.06_f64, share in 0.7..0.9_f64, angle in 20.0..60.0_f64, lift in 0.0..0.015_f64,
    ) {
        let seat = ValveSeat {
            valve_m: valve,
            seat_width_m: 0.0015,
            seat_angle_rad: angle.to_radians(),
            throat_m: share * valve,
            stem_m: 0.006,
        };
        let area = |lift: f64| seat.least_area(lift).unwrap().area_m2;
        prop_assert!(area(lift + 1e-4) >= area(lift) - 1e-18);
    }
}
