//! Lift curves through measured tables; lobes against lobes; overlap.

use engine::cam::LiftCurve;
use engine::cam::lift_card::{CardPoint, LiftCard, lift_curve};
use engine::cam::lift_table::{Ends, LiftTable, TableFit, fit};
use engine::cam::lobes::{CamFamily, RegrindVerdict, base_circle_radius_m, lobe_spread, lobe_wear, regrind};
use engine::cam::overlap::{ValveLift, overlap};
use quantity::Verdict;
use std::f64::consts::PI;
use std::sync::LazyLock;
use table::rows;

const INCH_M: f64 = 0.0254;

fn measured(name: &str) -> LiftTable {
    let table = rows("cam/lift_tables.csv");
    let of_name = || table.iter().filter(|row| row["table"] == name);
    LiftTable {
        rows: of_name().map(|row| (row.number("angle_deg"), row.number("lift_m"))).collect(),
        u_lift_m: of_name().next().expect("rows").number("u_lift_m"),
        ends: Ends::BaseCircle,
    }
}

static FINE: LazyLock<TableFit> = LazyLock::new(|| fit(&measured("fine")).expect("a fit"));
static COARSE: LazyLock<TableFit> = LazyLock::new(|| fit(&measured("coarse")).expect("a fit"));

fn fitted(name: &str) -> &'static TableFit {
    if name == "fine" { &FINE } else { &COARSE }
}

/// Expected: the closed form behind the table, and scipy's quintic smoothing spline through the same readings.
/// Tolerance: four of the fit's own standard uncertainties against the truth (25 angles × 4 orders × 2 tables, 200
/// looks: 4 is passed once in 16 000), and five against scipy, whose curve has errors of its own of the same size
/// but shares the noise. Jerk against scipy is left out: scipy's spline has far fewer knots, and its jerk is off the
/// truth by more than ours.
#[test]
fn derivatives_lie_within_their_uncertainty() {
    let mut worst = [0.0_f64; 4];
    let mut beyond_two = 0;
    let mut looks = 0;
    for row in rows("cam/lift_values.csv") {
        let fit = fitted(&row["table"]);
        let angle_deg = row.number("angle_deg");
        let at = fit.curve.at(angle_deg);
        let ours = [at.lift_m, at.velocity_m_deg, at.acceleration_m_deg2, at.jerk_m_deg3];
        let columns = ["lift_m", "velocity_m_deg", "acceleration_m_deg2", "jerk_m_deg3"];
        for (order, (value, column)) in ours.iter().zip(columns).enumerate() {
            let u = fit.u_of_derivative(angle_deg, order).expect("an uncertainty");
            let off_truth = (value - row.number(&format!("true_{column}"))).abs() / u;
            worst[order] = worst[order].max(off_truth);
            looks += 1;
            beyond_two += usize::from(off_truth > 2.0);
            assert!(off_truth < 4.0, "{} order {order} at {angle_deg}: {off_truth} u off", row["table"]);
            if order < 3 {
                let off_scipy = (value - row.number(column)).abs() / u;
                assert!(off_scipy < 5.0, "{} order {order} at {angle_deg}: {off_scipy} u off scipy", row["table"]);
            }
        }
    }
    // An uncertainty is only worth something if it is not far too large either.
    // Jerk's is generous: the prior holds it to be white noise, which it is not.
    assert!(worst[..3].iter().all(|w| *w > 0.5) && worst[3] > 0.2, "{worst:?}");
    assert!(beyond_two * 10 < looks, "{beyond_two} of {looks} beyond 2 u");
}

/// Expected: durations, centrelines, lobe lift and area of the closed form, and of scipy's spline (`brentq`, `quad`).
/// Tolerance: four of the fit's uncertainties where it gives one; for the centreline by area and the area, what
/// readings of that noise can move them (noise × √(rows) × spacing for the area, that over the lift for the centre).
#[test]
fn what_is_read_off_a_fitted_table() {
    let reads = rows("cam/lift_reads.csv");
    let value = |table: &str, what: &str| {
        let row = reads.iter().find(|row| row["table"] == table && row["what"] == what);
        row.expect("a row").number("value")
    };
    for name in ["fine", "coarse"] {
        let fit = fitted(name);
        let near = |what: &str, ours: f64, slack: f64| {
            for source in ["true", name] {
                let theirs = value(source, what);
                assert!((ours - theirs).abs() < slack, "{name} {what}: {ours}, {source} {theirs}, slack {slack}");
            }
        };
        let lobe = fit.lobe_lift_m();
        near("lobe_lift_m", lobe.value, 5.0 * lobe.u);
        for thou in [6, 20, 50, 200] {
            let found = fit.duration_deg(f64::from(thou) * 0.001 * INCH_M).expect("a duration");
            near(&format!("duration_{thou:03}_deg"), found.value, 5.0 * found.u);
            assert!(found.u < 0.5, "{thou}: {}", found.u);
        }
        let centre = fit.centreline_by_equal_lift_deg(0.050 * INCH_M).expect("a centreline");
        near("centreline_equal_lift_deg", centre.value, 5.0 * centre.u);
        let table = measured(name);
        let spacing_deg = table.rows[1].0 - table.rows[0].0;
        let area_u = table.u_lift_m * spacing_deg * (table.rows.len() as f64).sqrt();
        near("area_m_deg", fit.curve.area_m_deg(fit.curve.start_deg(), fit.curve.end_deg()), 5.0 * area_u);
        let area_centre = fit.curve.centreline_by_area_deg(0.050 * INCH_M).expect("a centreline");
        near("centreline_area_deg", area_centre, 5.0 * area_u / lobe.value);
        // The residuals are what the noise is: a deviation from 70 readings is known to 1/√140, three times that.
        assert!((fit.found_u_m / table.u_lift_m - 1.0).abs() < 0.25, "{}", fit.found_u_m);
        assert!(fit.doubtful_rows.is_empty());
    }
    // An asymmetric lobe: the three centrelines differ, and nobody may mix them.
    let curve = &FINE.curve;
    let by_lift = curve.centreline_by_equal_lift_deg(0.050 * INCH_M).expect("a centreline");
    let by_area = curve.centreline_by_area_deg(0.050 * INCH_M).expect("a centreline");
    assert!((by_lift - by_area).abs() > 0.3);
}

/// A table moved by an angle gives the same curve moved by it; a table read backwards gives the mirror image.
/// Slack: the smoothing weight is the same up to rounding, so 1e-9 m and 1e-6°.
#[test]
fn shifted_and_mirrored_tables() {
    let table = measured("coarse");
    let below = 0.050 * INCH_M;
    let centre = COARSE.curve.centreline_by_equal_lift_deg(below).expect("a centreline");
    let moved = LiftTable { rows: table.rows.iter().map(|(a, l)| (a + 16.0, *l)).collect(), ..table.clone() };
    let moved = fit(&moved).expect("a fit");
    assert!((moved.curve.centreline_by_equal_lift_deg(below).expect("a centreline") - centre - 16.0).abs() < 1e-6);
    let turned = LiftTable { rows: table.rows.iter().rev().map(|(a, l)| (-a, *l)).collect(), ..table };
    let turned = fit(&turned).expect("a fit");
    assert!((turned.curve.centreline_by_equal_lift_deg(below).expect("a centreline") + centre).abs() < 1e-6);
    for k in -10..25 {
        let angle_deg = f64::from(k) * 10.0;
        assert!((turned.curve.lift_m(-angle_deg) - COARSE.curve.lift_m(angle_deg)).abs() < 1e-9);
    }
    // The same on the curve alone, exactly up to rounding of the angle.
    let later = COARSE.curve.shifted(3.7).expect("a curve");
    assert!((later.centreline_by_equal_lift_deg(below).expect("a centreline") - centre - 3.7).abs() < 1e-9);
}

/// A whole turn of a lobe with one harmonic: all derivatives known, and the cut does not show.
/// Tolerance: order of convergence. With spacing h the spline's lift is wrong by h⁶ f⁽⁶⁾ × a constant below 1/1000
/// (uniform quintic, from memory); 4° gives (4π/360)⁶/1000 × 4 mm = 7e-15 m plus the stated scatter of 1e-9 m and
/// its growth into derivatives (1/h per order).
#[test]
fn a_whole_turn_closes_on_itself() {
    let lobe_m = 0.008;
    let lift = |deg: f64| 0.5 * lobe_m * (1.0 + ((deg - 40.0) * PI / 360.0).cos());
    let rows = (0..180).map(|k| (-300.0 + 4.0 * f64::from(k), lift(-300.0 + 4.0 * f64::from(k)))).collect();
    let curve = fit(&LiftTable { rows, u_lift_m: 1e-9, ends: Ends::WholeTurn }).expect("a fit").curve;
    let per_deg = PI / 360.0;
    for k in 0..180 {
        let angle_deg = -301.0 + 3.9 * f64::from(k);
        let at = curve.at(angle_deg);
        let (sin, cos) = ((angle_deg - 40.0) * per_deg).sin_cos();
        assert!((at.lift_m - lift(angle_deg)).abs() < 1e-8, "{angle_deg}");
        assert!((at.velocity_m_deg + 0.5 * lobe_m * per_deg * sin).abs() < 1e-8);
        assert!((at.acceleration_m_deg2 + 0.5 * lobe_m * per_deg * per_deg * cos).abs() < 1e-8);
        assert!((curve.lift_m(angle_deg + 720.0) - at.lift_m).abs() < 1e-15);
    }
    assert!((curve.nose_deg() - 40.0).abs() < 0.02);
    // Half lift lies 180 crank degrees on either side.
    assert!((curve.duration_deg(0.5 * lobe_m).expect("a duration") - 360.0).abs() < 0.01);
    assert!((curve.centreline_by_area_deg(0.001).expect("a centreline") - 40.0).abs() < 0.01);
    // Greatest slope over the cam angle: half of the lobe lift; sampled at an eighth of 4°, (0.25° of crank)² / 8 off.
    assert!((curve.flat_face_reach_m() - 0.5 * lobe_m).abs() < 1e-7);
    let turned = curve.mirrored();
    assert!((turned.lift_m(33.0) - curve.lift_m(-33.0)).abs() < 1e-15);
    // Area over the turn: half of lobe lift times 720.
    assert!((curve.area_m_deg(-300.0, 420.0) - 0.5 * lobe_m * 720.0).abs() < 1e-7);
}

/// Sixty tables of one closed-form lobe (cos⁴, 150 crank degrees either side) with noise of 8 µm: the truth has to lie
/// within two stated uncertainties about as often as stated. Expected 95 in 100; between 88 and 100 in 100 is what 60
/// tables × 3 figures, not independent, can show. The generator is a sum of twelve uniform numbers.
#[test]
fn stated_uncertainties_cover_the_truth() {
    let (lobe_m, half_deg, u_m) = (0.0081, 150.0, 8e-6);
    let truth = |deg: f64| {
        if deg.abs() < half_deg { lobe_m * (0.5 * PI * deg / half_deg).cos().powi(4) } else { 0.0 }
    };
    let mut state: u64 = 20;
    let mut uniform = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut normal = move || (0..12).map(|_| uniform()).sum::<f64>() - 6.0;
    let (mut inside, mut looks) = (0, 0);
    let mut squares = 0.0;
    for _ in 0..60 {
        let rows = (-42..=42).map(|k| (4.0 * f64::from(k), truth(4.0 * f64::from(k)) + u_m * normal())).collect();
        let found = fit(&LiftTable { rows, u_lift_m: u_m, ends: Ends::BaseCircle }).expect("a fit");
        let duration = found.duration_deg(1.27e-3).expect("a duration");
        let centre = found.centreline_by_equal_lift_deg(1.27e-3).expect("a centreline");
        let lobe = found.lobe_lift_m();
        // cos⁴ x = share, so x = acos(share^¼).
        let true_duration = 4.0 * half_deg / PI * (1.27e-3_f64 / lobe_m).powf(0.25).acos();
        for (value, u, expected) in
            [(duration.value, duration.u, true_duration), (centre.value, centre.u, 0.0), (lobe.value, lobe.u, lobe_m)]
        {
            let off = (value - expected) / u;
            looks += 1;
            inside += usize::from(off.abs() < 2.0);
            squares += off * off;
        }
    }
    let share = inside as f64 / looks as f64;
    assert!(share > 0.88, "{inside} of {looks}");
    let spread = (squares / looks as f64).sqrt();
    assert!((0.6..1.4).contains(&spread), "{spread}");
}

#[test]
fn a_slipped_reading_is_named() {
    let mut table = measured("coarse");
    table.rows[40].1 += 8e-5;
    let found = fit(&table).expect("a fit");
    assert_eq!(found.doubtful_rows, [40]);
    // Its residual says how far it slipped: 80 µm give or take the scatter of 8 µm; and the curve is hardly moved.
    assert!((found.residuals_m[40] - 8e-5).abs() < 3e-5, "{}", found.residuals_m[40]);
    assert!((found.lobe_lift_m().value - COARSE.lobe_lift_m().value).abs() < 8e-6);
}

#[test]
fn what_a_person_reads_about_a_table() {
    let good = measured("coarse");
    let with = |change: &dyn Fn(&mut LiftTable)| {
        let mut table = good.clone();
        change(&mut table);
        fit(&table).expect_err("not usable").to_string()
    };
    let said = [
        with(&|t| t.rows.truncate(8)),
        with(&|t| t.rows.swap(20, 21)),
        with(&|t| drop(t.rows.drain(30..36))),
        with(&|t| drop(t.rows.drain(..20))),
        with(&|t| t.ends = Ends::WholeTurn),
        with(&|t| t.u_lift_m = 1e-6),
        with(&|t| t.u_lift_m = 0.0),
        with(&|t| t.rows[3].1 = 0.2),
        fit(&good).expect("a fit").curve.duration_deg(0.0095).expect_err("too high").to_string(),
    ];
    insta::assert_snapshot!(said.join("\n"));
}

/// Expected: area, durations and derivatives of the two cards' curves by scipy (`quad`, `brentq`, `BSpline`).
/// Tolerance: 1e-6 relative, as the curves themselves agree; 1e-4 for jerk, which has the noise of the solver
/// times the cube of 60 intervals.
#[test]
fn what_is_read_off_a_card_curve() {
    let cards = [(0.320, 274.0, 224.0, 138.0, 18.0), (0.300, 262.0, 212.0, 122.0, 20.0)];
    let curves: Vec<LiftCurve> = cards
        .iter()
        .map(|(lobe, d006, d050, d200, ramp)| {
            let card = LiftCard {
                lobe_lift_m: lobe * INCH_M,
                points: [(0.006, d006), (0.050, d050), (0.200, d200)]
                    .map(|(l, d)| CardPoint::symmetric(l * INCH_M, *d))
                    .to_vec(),
                nose_deg: 0.0,
                ramp_deg: Some(*ramp),
            };
            lift_curve(&card).expect("a curve").curve
        })
        .collect();
    let mut checked = 0;
    for row in rows("cam/card_reads.csv") {
        let curve = &curves[row.number("card") as usize];
        let (what, expected) = (row["what"].as_str(), row.number("value"));
        let extremes = curve.extremes();
        let (ours, slack) = if what == "area_m_deg" {
            (curve.area_m_deg(curve.start_deg(), curve.end_deg()), 1e-6 * expected)
        } else if let Some(thou) = what.strip_prefix("duration_") {
            let thou: f64 = thou.trim_end_matches("_deg").parse().expect("thou");
            (curve.duration_deg(thou * 0.001 * INCH_M).expect("a duration"), 1e-4)
        } else {
            let (name, angle) = what.split_once('@').expect("an angle");
            let at = curve.at(angle.parse().expect("an angle"));
            match name {
                "velocity_m_deg" => (at.velocity_m_deg, 1e-5 * extremes.velocity_max_m_deg.0),
                "acceleration_m_deg2" => (at.acceleration_m_deg2, 1e-5 * extremes.acceleration_max_m_deg2.0),
                _ => (at.jerk_m_deg3, 1e-4 * extremes.jerk_max_m_deg3.0),
            }
        };
        assert!((ours - expected).abs() < slack, "{what}: {ours} against {expected}, slack {slack}");
        checked += 1;
    }
    assert_eq!(checked, 32);
}

/// Expected: scipy's studentised range. Tolerance: half of the fourth decimal kept here.
#[test]
fn lobe_spread_uses_the_studentised_range() {
    for row in rows("cam/studentised_range.csv") {
        let n = row.number("readings") as usize;
        let lifts: Vec<f64> = (0..n).map(|k| 0.008 + 1e-6 * (k % 2) as f64).collect();
        let found = lobe_spread(&lifts, 1e-5).expect("a spread");
        assert!((found.range_by_reading_m / 1e-5 - row.number("factor_95")).abs() < 0.6e-4, "{n}");
        assert!(!found.is_real);
    }
    let found = lobe_spread(&[0.0080, 0.0081, 0.00805, 0.00795], 1e-5).expect("a spread");
    assert!(found.is_real && (found.range_m - 0.00015).abs() < 1e-12 && (found.mean_m - 0.008025).abs() < 1e-12);
}

#[test]
fn a_worn_lobe_stands_out() {
    let limit_m = 0.005 * INCH_M;
    let inches = [0.3200, 0.3198, 0.3130, 0.3201, 0.3199, 0.3202, 0.3149, 0.3200];
    let lifts: Vec<f64> = inches.iter().map(|l| l * INCH_M).collect();
    let verdicts: Vec<Verdict> =
        lobe_wear(&lifts, 0.0005 * INCH_M, limit_m).expect("verdicts").iter().map(|w| w.verdict).collect();
    // 0.007 in short is worn; 0.005 in short with ± 0.0005 in cannot be told.
    assert_eq!(verdicts[2], Verdict::Outside);
    assert_eq!(verdicts[6], Verdict::CannotTell);
    assert!([0, 1, 3, 4, 5, 7].iter().all(|k| verdicts[*k] == Verdict::Inside));
    assert!(lobe_spread(&lifts[..1], 1e-5).is_err());
}

#[test]
fn base_circle_and_regrind() {
    // Height 1.520 in over nose and heel, lobe lift 0.320 in: radius 0.600 in.
    let (radius_m, u_m) = base_circle_radius_m(1.520 * INCH_M, 1e-5, 0.320 * INCH_M, 1e-5).expect("a radius");
    assert!((radius_m / INCH_M - 0.600).abs() < 1e-12);
    assert!((u_m - 0.5e-5 * 2.0_f64.sqrt()).abs() < 1e-12);
    assert!(base_circle_radius_m(0.008, 1e-5, 0.009, 1e-5).is_err());
    let family = CamFamily {
        base_circle_diameter_m: 1.200 * INCH_M,
        lobe_lift_m: 0.320 * INCH_M,
        u_m: 0.002 * INCH_M,
        regrind_from_m: 0.040 * INCH_M,
        regrind_to_m: 0.100 * INCH_M,
    };
    let verdict = |diameter_in: f64, lobe_in: f64, u_in: f64| {
        let both = ((diameter_in * INCH_M, u_in * INCH_M), (lobe_in * INCH_M, u_in * INCH_M));
        regrind(both.0, both.1, family).expect("a verdict").verdict
    };
    assert_eq!(verdict(1.130, 0.320, 0.001), RegrindVerdict::Reground);
    assert_eq!(verdict(1.199, 0.320, 0.001), RegrindVerdict::AsNew);
    assert_eq!(verdict(1.160, 0.320, 0.001), RegrindVerdict::CannotTell);
    assert_eq!(verdict(1.180, 0.320, 0.001), RegrindVerdict::CannotTell);
    assert_eq!(verdict(1.199, 0.320, 0.020), RegrindVerdict::CannotTell);
    assert_eq!(verdict(1.050, 0.320, 0.001), RegrindVerdict::OtherFamily);
    assert_eq!(verdict(1.210, 0.310, 0.001), RegrindVerdict::CannotTell);
    // More lift out of a smaller base circle is what a regrind is for: 0.070 in down, 0.060 in more lift.
    assert_eq!(verdict(1.130, 0.380, 0.001), RegrindVerdict::Reground);
    // 0.100 in more lift on the same small base circle stands 0.030 in above a new lobe, and no wheel adds metal.
    assert_eq!(verdict(1.130, 0.420, 0.001), RegrindVerdict::OtherFamily);
}

/// Expected, closed form: two lobes L (1 + cos) / 2 over a whole turn, 110 cam degrees apart, cross half way between;
/// the area of each from there to the other's nose is an integral of the cosine. Tolerance: 1e-6 of it.
#[test]
fn overlap_of_two_harmonic_lobes() {
    let lobe = |nose_deg: f64| {
        let lift = |deg: f64| 0.004 * (1.0 + ((deg - nose_deg) * PI / 360.0).cos());
        let rows = (0..180).map(|k| (-360.0 + 4.0 * f64::from(k), lift(-360.0 + 4.0 * f64::from(k)))).collect();
        fit(&LiftTable { rows, u_lift_m: 1e-9, ends: Ends::WholeTurn }).expect("a fit").curve
    };
    let (intake, exhaust) = (lobe(106.0), lobe(-114.0));
    let side = |curve| ValveLift { curve, rocker_ratio: 1.5, lash_m: 0.0, diameter_m: 0.050 };
    let found = overlap(side(&intake), side(&exhaust), 0.006).expect("an overlap");
    // Valve lift 6 mm is half of 12 mm: 180° before the intake's nose, 180° after the exhaust's.
    assert!((found.overlap_deg - (66.0 - -74.0)).abs() < 0.02, "{}", found.overlap_deg);
    let equal_deg = found.equal_lift_deg.expect("a crossing");
    assert!((equal_deg - -4.0).abs() < 0.02, "{equal_deg}");
    // ∫ 0.006 (1 + cos φ) over the crank angle from −110° to −220° from the nose (exhaust's nose).
    let area = |a: f64, b: f64| 0.006 * ((b - a) + 360.0 / PI * ((b * PI / 360.0).sin() - (a * PI / 360.0).sin()));
    let expected = area(110.0, 220.0);
    assert!((found.exhaust_m_deg / expected - 1.0).abs() < 1e-4, "{} {expected}", found.exhaust_m_deg);
    assert!((found.intake_m_deg / expected - 1.0).abs() < 1e-4);
    assert!((found.curtain_m2_deg - PI * 0.050 * (found.intake_m_deg + found.exhaust_m_deg)).abs() < 1e-15);
    // Lash of a millimetre takes both down by it wherever they are open.
    let lash = |curve| ValveLift { lash_m: 0.001, ..side(curve) };
    let less = overlap(lash(&intake), lash(&exhaust), 0.005).expect("an overlap");
    assert!((less.overlap_deg - found.overlap_deg).abs() < 0.02);
    assert!(less.intake_m_deg < found.intake_m_deg);
}

/// Cards that do not overlap at all have an area of zero and a negative overlap.
#[test]
fn no_overlap_is_no_area() {
    let curve = |nose_deg: f64| {
        let card = LiftCard {
            lobe_lift_m: 0.007,
            points: vec![CardPoint::symmetric(0.001, 150.0)],
            nose_deg,
            ramp_deg: Some(20.0),
        };
        lift_curve(&card).expect("a curve").curve
    };
    let (intake, exhaust) = (curve(120.0), curve(-120.0));
    let side = |curve| ValveLift { curve, rocker_ratio: 1.5, lash_m: 0.0, diameter_m: 0.040 };
    let found = overlap(side(&intake), side(&exhaust), 0.001).expect("an overlap");
    assert!(found.overlap_deg < 0.0);
    assert_eq!((found.equal_lift_deg, found.curtain_m2_deg), (None, 0.0));
}
