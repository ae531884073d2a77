//! Signs and sizes of what the shop can change: each with its reasoning. Bounds are common practice, no source, unless
//! a source is named; they are wide, and what must not happen is the wrong sign.

use crate::rig::{parts, run, text, torque, with};
use cycle::cylinder::Phasing;
use cycle::model::Operating;
use cycle::predict::Figures;

/// A naturally aspirated four with four valves, on an open header: tuned on both sides.
pub(crate) fn four() -> String {
    let base = text("validation/calibration_engines/na_four_valve_four");
    let base = base.lines().filter(|l| !l.starts_with("pipe_bore")).collect::<Vec<_>>().join("\n");
    with(
        &base,
        &[
            ("exhaust.primary_length", "\"750 mm\""),
            ("exhaust.primary_bore", "\"38 mm\""),
            ("exhaust.collector_bore", "\"60 mm\""),
            ("exhaust.joined", "\"four into one\""),
            ("fuel.ron", "100"),
            ("fuel.mon", "90"),
        ],
    )
}

pub(crate) fn full(rpm: f64) -> Operating {
    Operating::full_load(rpm)
}

/// Best torque whatever knock says: so that one thing is changed at a time.
pub(crate) fn best(rpm: f64) -> Operating {
    Operating { phasing: Some(Phasing::Best), ..full(rpm) }
}

pub(crate) fn share(a: f64, b: f64) -> f64 {
    a / b - 1.0
}

/// An intake valve that shuts earlier keeps more at low speed, where nothing rams the charge in, and less at high speed.
#[test]
fn cam_advance_trades_top_for_bottom() {
    let at = |deg: &str| torque(&with(&four(), &[("cam.advance", deg)]), &[1500.0, 2000.0, 6500.0]);
    let (early, late) = (at("\"6 deg\""), at("\"-6 deg\""));
    let found: Vec<f64> = early.iter().zip(&late).map(|(a, b)| share(*a, *b)).collect();
    println!("6 deg early against 6 deg late at 1500, 2000, 6500 rpm: {found:.3?}");
    assert!(found[0] > 0.01 && found[1] > 0.01 && found[2] < -0.02, "{found:?}");
}

/// Longer cams breathe at the top and give back at the bottom, where the charge is pushed out again: ten degrees later shut
/// are 5 % less volume at 50 degrees past the dead centre. Over the range from 1,000 to 2,000 rpm, since waves in the header
/// help or hinder the longer cam at any one of these speeds.
#[test]
fn duration_trades_bottom_for_top() {
    let long = with(
        &four(),
        &[
            ("lobe.intake.duration", "[\"236 deg @ 1.0 mm valve\", \"268 deg @ 0.15 mm valve\"]"),
            ("lobe.exhaust.duration", "[\"236 deg @ 1.0 mm valve\", \"268 deg @ 0.15 mm valve\"]"),
        ],
    );
    let speeds = [1000.0, 1200.0, 1400.0, 1600.0, 1800.0, 2000.0, 6800.0];
    let (a, b) = (torque(&long, &speeds), torque(&four(), &speeds));
    let found: Vec<f64> = a.iter().zip(&b).map(|(a, b)| share(*a, *b)).collect();
    let low = found[..6].iter().sum::<f64>() / 6.0;
    println!("20 deg longer, 1000 … 2000 and 6800 rpm: {found:+.3?}, mean of the low ones {low:+.3}");
    assert!(low < -0.03 && found[..6].iter().all(|f| *f < 0.0), "{found:?}");
    assert!(found[6] > 0.03, "{found:?}");
}

/// A narrow separation is more overlap: at idle the manifold's vacuum draws burned gas back through both valves.
#[test]
fn narrow_separation_idles_worse() {
    let idle = |lsa: &str| {
        let parts = parts(&with(&four(), &[("cam.lobe_separation", lsa)]));
        run(&parts, &[Operating { throttle: 0.008, ..best(900.0) }]).remove(0)
    };
    let (narrow, wide) = (idle("\"104 deg\""), idle("\"118 deg\""));
    let residual = |f: &cycle::predict::Figures| f.cylinders.iter().map(|c| c.residual).sum::<f64>() / 4.0;
    println!(
        "residual {:.3} against {:.3}, spread {:.3} against {:.3}, manifold {:.1} against {:.1} kPa",
        residual(&narrow),
        residual(&wide),
        narrow.cylinders[0].spread,
        wide.cylinders[0].spread,
        narrow.manifold_pa.unwrap() / 1e3,
        wide.manifold_pa.unwrap() / 1e3
    );
    assert!(residual(&narrow) > residual(&wide) + 0.02);
    assert!(narrow.cylinders[0].spread > wide.cylinders[0].spread);
}

/// The ideal cycle gains less for each unit of ratio as the ratio rises; losses make it a little less still.
#[test]
fn compression_gains_fall_as_the_ratio_rises() {
    // Chambers for 8, 9 … 12 : 1 on 475 cm³: clearance V/(ratio − 1), less what gasket, deck and crown hold.
    let swept = std::f64::consts::PI / 4.0 * 8.2 * 8.2 * 9.0;
    let other = parts(&four()).cylinders[0].clearance_m3 * 1e6 - 44.0;
    let at = |ratio: f64| {
        let cc = swept / (ratio - 1.0) - other;
        let text = with(&four(), &[("head.chamber_volume", &format!("\"{cc:.3} cc\""))]);
        let parts = parts(&text);
        assert!((parts.ratio - ratio).abs() < 0.01, "{}", parts.ratio);
        run(&parts, &[best(4000.0)]).remove(0).torque_nm
    };
    let torques: Vec<f64> = [8.0, 9.0, 10.0, 11.0, 12.0].map(at).to_vec();
    let gains: Vec<f64> = torques.windows(2).map(|w| share(w[1], w[0])).collect();
    println!("gain of a unit of ratio from 8, 9, 10, 11: {gains:.4?}");
    assert!(gains.windows(2).all(|w| w[1] < w[0]), "{gains:?}");
    assert!((0.01..0.05).contains(&gains[0]) && gains[3] > 0.002, "{gains:?}");
}

/// Best torque a little rich, where all oxygen is used and the charge is cool; lean loses by the fuel that is missing.
#[test]
fn best_torque_is_a_little_rich() {
    let parts = parts(&four());
    let lambdas = [0.75, 0.80, 0.85, 0.90, 0.95, 1.0, 1.1];
    let points: Vec<Operating> = lambdas.iter().map(|&l| Operating { lambda: Some(l), ..best(4000.0) }).collect();
    let torques: Vec<f64> = run(&parts, &points).iter().map(|f| f.torque_nm).collect();
    let top = (0..7).max_by(|&a, &b| torques[a].total_cmp(&torques[b])).unwrap();
    let loss: Vec<f64> = torques.iter().map(|t| share(*t, torques[top])).collect();
    println!("lambda 0.75 … 1.1: {loss:.3?}");
    assert!((0.85..=0.95).contains(&lambdas[top]), "{}", lambdas[top]);
    assert!((-0.10..-0.03).contains(&loss[6]) && loss[0] < -0.005, "{loss:?}");
}

/// Torque over spark is a parabola about best torque: early costs as late does.
#[test]
fn spark_has_a_summit() {
    let parts = parts(&four());
    let sparks: Vec<f64> = (0..9).map(|i| 8.0 + 5.0 * f64::from(i)).collect();
    let points: Vec<Operating> = sparks
        .iter()
        .map(|&deg| Operating { phasing: Some(Phasing::Spark { btdc_deg: deg }), ..full(3500.0) })
        .collect();
    let torques: Vec<f64> = run(&parts, &points).iter().map(|f| f.torque_nm).collect();
    let top = (0..9).max_by(|&a, &b| torques[a].total_cmp(&torques[b])).unwrap();
    println!(
        "best at {} deg: {:.3?}",
        sparks[top],
        torques.iter().map(|t| share(*t, torques[top])).collect::<Vec<_>>()
    );
    assert!(top > 0 && top < 8);
    assert!(torques[..=top].windows(2).all(|w| w[1] > w[0]) && torques[top..].windows(2).all(|w| w[1] < w[0]));
    let ten_late = share(torques[top - 2], torques[top]);
    assert!((-0.08..-0.01).contains(&ten_late), "{ten_late}");
}

/// More blower turns a crank turn are more air at every speed, less what the drive takes.
#[test]
fn blower_ratio_gains_over_the_whole_range() {
    let base = with(&text("examples/builds/blown-hill-climb-four"), &[("blower.bypass_opens", "\"3 bar gauge\"")]);
    let speeds = [2000.0, 3000.0, 4000.0, 5000.0, 6000.0, 7000.0];
    let points: Vec<Operating> = speeds.iter().map(|&r| best(r)).collect();
    let at = |ratio: &str| run(&parts(&with(&base, &[("blower.ratio", ratio)])), &points);
    let (fast, slow) = (at("\"1.80\""), at("\"1.62\""));
    let gains: Vec<f64> = fast.iter().zip(&slow).map(|(a, b)| share(a.torque_nm, b.torque_nm)).collect();
    println!("a ninth more ratio: {gains:.3?}");
    assert!(gains.iter().all(|g| (0.03..0.16).contains(g)), "{gains:?}");
    assert!(fast.iter().zip(&slow).all(|(a, b)| a.blower_w > b.blower_w && a.boost_pa > b.boost_pa));
}

/// A bypass holds boost between where it opens and a tenth above, where it lets everything by; the drive has less to press against. It answers
/// the pressure of the moment, which swings with the valves: the mean is within that tenth on either side.
#[test]
fn a_bypass_holds_the_boost() {
    let base = text("examples/builds/blown-hill-climb-four");
    let at = |opens: &str| run(&parts(&with(&base, &[("blower.bypass_opens", opens)])), &[best(6000.0)]).remove(0);
    let (held, free) = (at("\"0.2 bar gauge\""), at("\"3 bar gauge\""));
    let (boost, more) = (held.boost_pa.unwrap(), free.boost_pa.unwrap());
    println!("boost {:.1} kPa held, {:.1} kPa free", boost / 1e3, more / 1e3);
    assert!((18e3..22e3).contains(&boost) && more > 35e3, "{boost} {more}");
    assert!(held.torque_nm < free.torque_nm && held.blower_w < free.blower_w);
}

/// A cooler makes the charge denser and keeps it from knock. With the boost set by volumes, flow hardly changes: torque
/// comes from the spark that the cool charge stands, where knock sets it (here it may, the build's table is left out), and from the
/// drive, which presses against less.
#[test]
fn a_cooler_pays_by_knock_and_density() {
    let base = with(&text("examples/builds/blown-hill-climb-four"), &[("fuel.ron", "95"), ("fuel.mon", "85")]);
    let at = |share: &str| {
        let text = with(&base, &[("blower.cooler_effectiveness", share)]);
        let knock = Some(Phasing::KnockLimited { margin_deg: 0.0 });
        run(&parts(&text), &[3000.0, 6000.0].map(|rpm| Operating { phasing: knock, ..full(rpm) }))
    };
    let (cooled, hot) = (at("\"80 %\""), at("\"5 %\""));
    for (c, h) in cooled.iter().zip(&hot) {
        let held = |f: &Figures| f.cylinders.iter().map(|c| c.held_back_deg).fold(0.0, f64::max);
        println!(
            "torque {:.1} against {:.1}, manifold {:.0} against {:.0} K, drive {:.2} against {:.2} bar, held back {:.1} against {:.1}",
            c.torque_nm,
            h.torque_nm,
            c.manifold_k.unwrap(),
            h.manifold_k.unwrap(),
            c.blower_pa / 1e5,
            h.blower_pa / 1e5,
            held(c),
            held(h)
        );
        assert!(c.manifold_k.unwrap() < h.manifold_k.unwrap() - 15.0 && c.blower_pa < 0.95 * h.blower_pa);
        // what the drive saves is torque, whatever the spark does
        let saved = (h.blower_pa - c.blower_pa) / h.bmep_pa * h.torque_nm;
        assert!(c.torque_nm > h.torque_nm + 0.9 * saved, "{} N·m saved at the drive", saved);
        assert!((c.air_kg_s / h.air_kg_s - 1.0).abs() < 0.03);
    }
    // at 3,000 rpm knock holds both back, the hot one more; at 6,000 rpm hardly either
    let held = |f: &Figures| f.cylinders.iter().map(|c| c.held_back_deg).fold(0.0, f64::max);
    assert!(held(&cooled[0]) < held(&hot[0]) - 0.5 && cooled[0].torque_nm > 1.02 * hot[0].torque_nm);
}

/// The same displacement with more bore and less stroke: less piston speed and friction at the top, and little change
/// at the bottom.
#[test]
fn bore_for_stroke_pays_at_the_top() {
    // 86 mm of bore ask for 81.82 mm of stroke to displace what 82 × 90 mm do. The chamber keeps the ratio.
    let wide = with(
        &four(),
        &[
            ("block.bore", "\"86 mm\""),
            ("block.stroke", "\"81.82 mm\""),
            ("gasket.bore", "\"87 mm\""),
            ("head.chamber_volume", "\"43.2 cc\""),
        ],
    );
    let (a, b) = (parts(&wide), parts(&four()));
    assert!((a.displacement_m3 / b.displacement_m3 - 1.0).abs() < 1e-3 && (a.ratio - b.ratio).abs() < 0.1);
    let points = [best(1800.0), best(6800.0)];
    let (wide, long) = (run(&a, &points), run(&b, &points));
    let (low, high) = (share(wide[0].torque_nm, long[0].torque_nm), share(wide[1].torque_nm, long[1].torque_nm));
    println!("bore for stroke: {low:+.3} at 1800 rpm, {high:+.3} at 6800 rpm");
    assert!(high > 0.005 && high > low && low.abs() < 0.03, "{low} {high}");
    assert!(wide[1].friction.total_pa() < long[1].friction.total_pa());
}

/// Larger intake valves: nothing at the bottom, a gain where the old ones choked.
#[test]
fn larger_valves_pay_at_the_top() {
    let large = with(
        &four(),
        &[
            ("head.intake_valve", "\"34.5 mm\""),
            ("head.intake_throat", "\"30.2 mm\""),
            ("intake.runner_area", "\"11.8 cm²\""),
        ],
    );
    let (a, b) = (torque(&large, &[1800.0, 6800.0]), torque(&four(), &[1800.0, 6800.0]));
    let (low, high) = (share(a[0], b[0]), share(a[1], b[1]));
    println!("a sixth more intake valve area: {low:+.3} at 1800 rpm, {high:+.3} at 6800 rpm");
    assert!(high > 0.02 && low.abs() < 0.02, "{low} {high}");
}
