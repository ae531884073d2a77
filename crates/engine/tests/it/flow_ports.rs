//! Port spread, valve area, port speed.

use engine::flow_bench::Gas;
use engine::port_speed::{Inlet, mean_velocity_m_s, speed_of_sound_m_s};
use engine::port_spread::{Likeness, Pattern, Repeat, T_95, by_position, over_lifts, spread};
use engine::valve_area::{Narrowest, ValvePlace, ValveSeat, check_pair_in_bore, check_valve_in_bore};
use table::rows;

const HAND: [f64; 4] = [118.2, 129.6, 127.9, 116.4];
const MACHINED: [f64; 4] = [126.8, 128.3, 129.1, 126.2];

fn usual() -> Repeat {
    Repeat::within(0.005).unwrap()
}

#[test]
fn the_two_heads_of_the_hill_climb_four() {
    let hand = spread(&HAND, usual()).unwrap();
    // Printed to a tenth of a per cent and a tenth of a cfm.
    assert!((hand.spread - 0.107).abs() < 5e-4 && (hand.mean - 123.0).abs() < 0.05, "{hand:?}");
    assert!(hand.is_real());
    assert_eq!(hand.likeness(), Likeness::HomeLike);
    let machined = spread(&MACHINED, usual()).unwrap();
    assert!((machined.spread - 0.023).abs() < 5e-4 && (machined.mean - 127.6).abs() < 0.05, "{machined:?}");
    // 2.3 % ± 0.7 % lies on both sides of 2 %: one lift on this bench cannot tell a machine from a hand.
    assert_eq!(machined.likeness(), Likeness::CannotTell);
    // With a bench that repeats to 0.1 % it is a skilled hand's spread.
    assert_eq!(spread(&MACHINED, Repeat::within(0.001).unwrap()).unwrap().likeness(), Likeness::SkilledHandLike);
}

#[test]
fn likeness_keeps_its_guard_band() {
    let of = |low: f64| spread(&[100.0, 100.0 - low], usual()).unwrap().likeness();
    assert_eq!(of(1.0), Likeness::MachinedLike);
    assert_eq!(of(2.0), Likeness::CannotTell);
    assert_eq!(of(3.4), Likeness::SkilledHandLike);
    assert_eq!(of(6.3), Likeness::CannotTell);
    assert_eq!(of(9.0), Likeness::HomeLike);
    // Nine lifts narrow the band to a third: 2.3 % then is a skilled hand's.
    let one = spread(&[100.0, 97.7], usual()).unwrap();
    let (mean, u, likeness) = over_lifts(&[one; 9]).unwrap();
    assert!((mean - one.spread).abs() < 1e-15 && (u - one.u_spread / 3.0).abs() < 1e-15);
    assert_eq!(likeness, Likeness::SkilledHandLike);
    assert!(over_lifts(&[one, spread(&HAND, usual()).unwrap()]).is_err());
}

#[test]
fn end_pair_against_middle_pair() {
    let hand = by_position(&HAND, usual()).unwrap();
    // Worked by hand: means 117.3 and 128.75, pooled squares (1.62 + 1.445)/2 = 1.5325, t = −11.45/1.2379.
    assert!((hand.t + 9.249).abs() < 1e-3, "{hand:?}");
    assert!((hand.ends_less_middles + 11.45 / 123.025).abs() < 1e-12);
    assert_eq!(hand.pattern, Pattern::ByPosition);
    // Its two pairs agree within themselves: 1.8 of 123.0.
    assert!((hand.within - 1.8 / 123.025).abs() < 1e-12);
    let equal = by_position(&[125.0, 125.4, 125.2, 124.9], usual()).unwrap();
    assert_eq!(equal.pattern, Pattern::NotReal);
    assert!(by_position(&[1.0, 1.0, 1.0], usual()).is_err());
}

#[test]
fn scatter_is_told_from_place_and_from_not_knowing() {
    let pattern = |flows: &[f64]| by_position(flows, usual()).unwrap().pattern;
    assert_eq!(pattern(&[120.0, 130.0, 121.0, 129.0]), Pattern::Scattered);
    let one_bad = [125.0, 125.2, 124.9, 125.1, 115.0, 125.0, 125.1, 124.8, 125.2, 125.0];
    assert_eq!(pattern(&one_bad), Pattern::Scattered);
    // Ends 100.0 and 101.4, middles 102.0 and 103.4: by hand t = 2/0.99, short of 4.30; the pairs differ by
    // 1.4 %, which a bench of ±0.5 % may do.
    assert_eq!(pattern(&[100.0, 102.0, 103.4, 101.4]), Pattern::CannotTell);
    // The machined head: the outer pair is short by 1.7 %, t = −2.2/0.5.
    assert_eq!(pattern(&MACHINED), Pattern::ByPosition);
}

#[test]
fn student_factors_agree() {
    for row in rows("statistics/student.csv") {
        let dof = row.number("dof");
        if row.number("coverage") == 0.95 && (1.0..=10.0).contains(&dof) {
            // Six digits are kept.
            row.agrees_within("factor", T_95[dof as usize - 1], 3e-6);
        }
    }
}

#[test]
fn least_area_agrees_in_all_three_stages() {
    for row in rows("valve_area/t04_valve_min_area.csv") {
        let seat = ValveSeat {
            valve_m: row.number("valve_head_diameter_m"),
            seat_width_m: row.number("seat_width_m"),
            seat_angle_rad: row.number("seat_angle_deg").to_radians(),
            throat_m: row.number("port_diameter_m"),
            stem_m: row.number("stem_diameter_m"),
        };
        let found = seat.least_area(row.number("lift_m")).unwrap();
        row.agrees("min_area_m2", found.area_m2);
        // At a lift of exactly 3 mm the first two stages meet; either name is right there.
        if (row.number("lift_m") - row.number("lift_stage1_end_m")).abs() > 1e-9 {
            let stage = match found.place {
                Narrowest::AcrossSeat => 1.0,
                Narrowest::BetweenEdges => 2.0,
                Narrowest::Throat => 3.0,
            };
            assert_eq!(stage, row.number("stage"));
        }
        for column in ["lift_stage1_end_m", "lift_stage2_end_m"] {
            let join = row.number(column);
            let area = |lift: f64| seat.least_area(lift).unwrap().area_m2;
            // The slope is at most the circumference, so a step of 2e-9 m moves the area by less than 1e-9 m².
            assert!((area(join + 1e-9) - area(join - 1e-9)).abs() < 1e-9);
        }
    }
}

#[test]
fn valves_that_cannot_be_name_both_facts() {
    let too_large = check_valve_in_bore(0.100, 0.1016).unwrap_err().to_string();
    assert!(too_large.contains("101.60 mm (4.000 in)") && too_large.contains("100.00 mm"), "{too_large}");
    let place = |valve_m, offset_m| ValvePlace { valve_m, stem_angle_rad: 0.0, offset_m };
    let error = check_pair_in_bore(0.100, place(0.052, -0.020), place(0.042, 0.024)).unwrap_err().to_string();
    assert!(error.contains("47.00 mm") && error.contains("44.00 mm"), "{error}");
    check_pair_in_bore(0.100, place(0.052, -0.022), place(0.042, 0.026)).unwrap();
    // Leaning stems make the heads narrower as seen along the bore.
    let leaning = |valve_m, offset_m| ValvePlace { valve_m, stem_angle_rad: 0.4, offset_m };
    check_pair_in_bore(0.100, leaning(0.052, -0.020), leaning(0.042, 0.024)).unwrap();
    let good =
        ValveSeat { valve_m: 0.052, seat_width_m: 0.0015, seat_angle_rad: 0.785, throat_m: 0.046, stem_m: 0.008 };
    good.check().unwrap();
    let throat = ValveSeat { throat_m: 0.053, ..good }.check().unwrap_err().to_string();
    assert!(throat.contains("53.00 mm") && throat.contains("52.00 mm"), "{throat}");
    assert!(ValveSeat { seat_width_m: 0.027, ..good }.check().is_err());
    assert!(good.least_area(-0.001).is_err());
}

#[test]
fn port_speed_and_inlet_index() {
    // 280 cfm through 2.7 in² by hand: 280·144/(60·2.7) = 248.9 ft/s.
    let area = 2.7 * 0.0254 * 0.0254;
    let speed = mean_velocity_m_s(280.0 * 0.3048f64.powi(3) / 60.0, area).unwrap() / 0.3048;
    assert!((speed - 280.0 * 144.0 / (60.0 * 2.7)).abs() < 1e-9, "{speed}");
    // Speed of sound at 20 °C: 343.2 m/s, as the acoustics of the reference tables use it.
    let sound = speed_of_sound_m_s(293.15, Gas::AIR).unwrap();
    assert!((sound - 343.2).abs() < 0.05, "{sound}");
    // 100 × 100 mm at 6000 rpm: piston 20 m/s and 7853.98 mm²; 900 mm² at 350 m/s gives 0.49867.
    let inlet = Inlet { bore_m: 0.1, stroke_m: 0.1, mean_effective_area_m2: 900e-6, sound_m_s: 350.0 };
    let index = inlet.mach_index(6000.0).unwrap();
    assert!((index - 7_853.981_63 * 20.0 / (900.0 * 350.0)).abs() < 1e-8, "{index}");
    assert!((inlet.rpm_at_index(index).unwrap() - 6000.0).abs() < 1e-9);
    let absurd = Inlet { mean_effective_area_m2: 0.009, ..inlet }.mach_index(6000.0).unwrap_err().to_string();
    assert!(absurd.contains("9000 mm²") && absurd.contains("7854 mm²"), "{absurd}");
}
