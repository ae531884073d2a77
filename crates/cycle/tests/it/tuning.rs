//! What waves in the pipes do to a curve: tuned lengths, and the weather that moves them. Bounds as in the other trends.

use crate::rig::{parts, run, text, with};
use crate::trends::{best, four, share};
use cycle::model::Operating;

/// Where a curve through the greatest value and its neighbours has its top.
fn summit(x: &[f64], y: &[f64]) -> f64 {
    let top = (0..x.len()).max_by(|&a, &b| y[a].total_cmp(&y[b])).unwrap();
    assert!(top > 0 && top < x.len() - 1, "no summit: {y:?}");
    let (a, b, c) = (y[top - 1], y[top], y[top + 1]);
    x[top] + 0.5 * (x[top + 1] - x[top]) * (a - c) / (a - 2.0 * b + c)
}

/// A runner rings as a pipe shut at the valve: five times a cycle at a speed that falls with its length, and there filling has
/// a summit. A quarter wave at 350 m/s rings 5 times a cycle where `rpm · (length + more) = 120/5 · 350/4 · 1000 = 2.1e6`
/// mm/min. `more` is what mouth, port and cylinder add; it is found from the shortest and the longest runner, and the
/// one between has to fit (grid and mesh: 1.5 %). The exhaust is made so wide that it has no say.
#[test]
fn tuned_speed_times_runner_length_is_about_constant() {
    let wide = [("exhaust.primary_length", "\"300 mm\""), ("exhaust.primary_bore", "\"100 mm\"")];
    let base = with(&text("examples/builds/single-500"), &wide);
    let lengths = [300.0, 400.0, 520.0];
    let speeds = lengths.map(|mm| {
        let text = with(&base, &[("intake.runner_length", &format!("\"{mm} mm\""))]);
        let speeds: Vec<f64> = (0..16).map(|i| 1.76e6 / mm * (0.86 + 0.018 * f64::from(i))).collect();
        let made = run(&parts(&text), &speeds.iter().map(|&r| best(r)).collect::<Vec<_>>());
        let filling: Vec<f64> = made.iter().map(|f| f.filling).collect();
        let top = summit(&speeds, &filling);
        println!("{mm} mm: a summit at {top:.0} rpm: {filling:.3?}");
        top
    });
    let more = (speeds[2] * lengths[2] - speeds[0] * lengths[0]) / (speeds[0] - speeds[2]);
    let products: Vec<f64> = speeds.iter().zip(lengths).map(|(n, mm)| n * (mm + more)).collect();
    println!("{more:.0} mm more than the runner; speed times length: {products:.0?}");
    // Mouth: 0.61 radii. Cylinder and half-open valve: a share of the bore.
    assert!((15.0..90.0).contains(&more), "{more} mm");
    assert!((products[1] / products[0] - 1.0).abs() < 0.015, "{products:?}");
    assert!(products.iter().all(|p| (p / 2.1e6 - 1.0).abs() < 0.05), "{products:?}");
}

/// A longer primary brings the suction wave back to the overlap at a lower speed. The shop's rule (length = 850 (180 + exhaust
/// opening)/rpm − 3, in inches; common practice, no source) puts 900 mm near 5,400 rpm for this cam and 1,200 mm near 4,200.
/// The intake is made so short, and the stub compared with so wide, that neither has summits of its own. The summits of
/// the gain are broad: what counts is the middle of the speeds with more than half of it.
#[test]
fn longer_primaries_tune_lower() {
    let short = [("intake.runner_length", "\"80 mm\""), ("intake.runner_area", "\"25 cm²\"")];
    let base = with(&text("examples/builds/single-500"), &short);
    let speeds: Vec<f64> = (0..=18).map(|i| 3000.0 + 250.0 * f64::from(i)).collect();
    let curve = |edits: &[(&str, &str)]| {
        let made = run(&parts(&with(&base, edits)), &speeds.iter().map(|&r| best(r)).collect::<Vec<_>>());
        made.iter().map(|f| f.torque_nm).collect::<Vec<_>>()
    };
    let stub = curve(&[("exhaust.primary_length", "\"300 mm\""), ("exhaust.primary_bore", "\"100 mm\"")]);
    let best_gain = |mm: f64| {
        let own = curve(&[("exhaust.primary_length", &format!("\"{mm} mm\""))]);
        let gain: Vec<f64> = own.iter().zip(&stub).map(|(a, b)| a / b - 1.0).collect();
        let top = (0..speeds.len()).max_by(|&a, &b| gain[a].total_cmp(&gain[b])).unwrap();
        let most = gain[top];
        let (mut first, mut last) = (top, top);
        while first > 0 && gain[first - 1] > 0.5 * most {
            first -= 1;
        }
        while last < speeds.len() - 1 && gain[last + 1] > 0.5 * most {
            last += 1;
        }
        assert!(first > 0 && last < speeds.len() - 1, "no summit: {gain:?}");
        let middle = 0.5 * (speeds[first] + speeds[last]);
        println!("{mm} mm over a stub gains most, {:.1} %, about {middle} rpm: {gain:.3?}", 100.0 * most);
        (middle, most)
    };
    let ((short, gain_short), (long, gain_long)) = (best_gain(900.0), best_gain(1200.0));
    assert!(gain_short > 0.05 && gain_long > 0.05);
    assert!(long < short - 500.0, "{long} for the long one, {short} for the short one");
    assert!((short / 5400.0 - 1.0).abs() < 0.2 && (long / 4200.0 - 1.0).abs() < 0.2, "{short} {long}");
    // The rule's own form: speed times length and three inches is constant, on a grid of 250 rpm.
    let ratio = long * (1200.0 + 76.2) / (short * (900.0 + 76.2));
    assert!((ratio - 1.0).abs() < 0.08, "{ratio}");
}

/// The correction to standard air has to come out of the physics: torque at another day's air times SAE J1349's factor
/// is torque at the standard's own air, within 1 %, at 95 and 102 kPa and from 10 to 40 °C. At best torque, since the factor
/// knows nothing of knock. Source of the factor: `validation/corrections`.
///
/// - Over the whole curve: the mean of 17 speeds within 1 %.
/// - With pressure alone, which moves no wave: every speed within 0.5 %.
/// - With temperature: sound is slower in cold air, so that every tuned summit moves to lower speeds, by the root of the
///   temperature at most (the walls warm the air on its way, so by less). The factor knows nothing of that. Every speed
///   therefore within 1 % of the span between the standard day's torque at this speed, and at the speed of the same waves.
#[test]
fn other_days_correct_back_to_the_standard_day() {
    let engines = [four(), text("examples/builds/pushrod-v8")];
    // The standard's air: 99 kPa dry and 1 kPa of vapour at 25 °C (31.6 % of 3.169 kPa).
    let standard = ("100 kPa abs", "25 °C", "31.6 %");
    let pressures = [("95 kPa abs", "25 °C", "31.6 %"), ("102 kPa abs", "25 °C", "31.6 %")];
    let temperatures = [
        ("100 kPa abs", "10 °C", "40 %"),
        ("95 kPa abs", "10 °C", "40 %"),
        ("102 kPa abs", "12 °C", "40 %"),
        ("100 kPa abs", "40 °C", "30 %"),
        ("102 kPa abs", "40 °C", "30 %"),
    ];
    let rpm: Vec<f64> = (0..17).map(|i| 2000.0 + 250.0 * f64::from(i)).collect();
    for engine in engines {
        let at = |(p, t, h): (&str, &str, &str), stretch: f64| {
            let edits = [("ambient.pressure", p), ("ambient.temperature", t), ("ambient.humidity", h)];
            let quoted: Vec<(&str, String)> = edits.iter().map(|(k, v)| (*k, format!("\"{v}\""))).collect();
            let edits: Vec<(&str, &str)> = quoted.iter().map(|(k, v)| (*k, v.as_str())).collect();
            let parts = parts(&with(&engine, &edits));
            let water = parts.ambient.water_per_dry_air;
            let dry_pa = parts.ambient.p_pa * 0.621_945 / (0.621_945 + water);
            let x = (99_000.0 / dry_pa) * ((parts.ambient.t_k - 0.15) / 298.0).sqrt();
            let points: Vec<Operating> = rpm.iter().map(|r| best(r * stretch)).collect();
            let torques: Vec<f64> = run(&parts, &points).iter().map(|f| f.torque_nm).collect();
            (1.18 * x - 0.18, parts.ambient.t_k, torques)
        };
        let (one, t0_k, here) = at(standard, 1.0);
        assert!((one - 1.0).abs() < 1e-3, "{one}");
        let off_at = |day: (&str, &str, &str)| {
            let (factor, t_k, observed) = at(day, 1.0);
            let off: Vec<f64> = observed.iter().zip(&here).map(|(o, s)| share(o * factor, *s)).collect();
            let mean = off.iter().sum::<f64>() / off.len() as f64;
            println!("{day:?} factor {factor:.4}: corrected is off by {mean:+.4} on average, {off:+.4?}");
            assert!(mean.abs() < 0.01, "{day:?}: {mean}");
            (t_k, off)
        };
        for day in pressures {
            let (_, off) = off_at(day);
            assert!(off.iter().all(|e| e.abs() < 0.005), "{day:?}: {off:?}");
        }
        for day in temperatures {
            let (t_k, off) = off_at(day);
            let (_, _, moved) = at(standard, (t0_k / t_k).sqrt());
            for (i, e) in off.iter().enumerate() {
                let waves = share(moved[i], here[i]);
                let inside = e - waves.min(0.0) > -0.01 && e - waves.max(0.0) < 0.01;
                assert!(inside, "{day:?} {} rpm: off by {e:.4}, waves account for {waves:.4}", rpm[i]);
            }
        }
    }
}
