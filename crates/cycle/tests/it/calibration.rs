//! One set of constants against three production engines: `validation/calibration_engines`.
//!
//! Not a proof, since the constants were set on these three; it holds them together while the model changes.
//! Tolerances: 5 % at peak torque and rated power, 400 rpm on the speeds of the peaks, 5 % root mean square on the measured
//! curve of the four after its mean error is taken out (its absolute level is uncertain by 3 %, says its source). They are
//! what inputs that are estimated allow.

use crate::rig::{parts, run, text};
use cycle::model::Operating;
use cycle::predict::Figures;

fn curve(name: &str, from: f64, to: f64, step: f64) -> (Vec<f64>, Vec<Figures>) {
    let n = ((to - from) / step).round() as usize;
    let rpm: Vec<f64> = (0..=n).map(|i| from + step * i as f64).collect();
    let operating: Vec<Operating> = rpm.iter().map(|&r| Operating::full_load(r)).collect();
    let parts = parts(&text(&format!("validation/calibration_engines/{name}")));
    let figures = run(&parts, &operating);
    (rpm, figures)
}

/// Highest value of a curve on equal steps and where it lies: a parabola through the best three points.
pub(crate) fn summit(rpm: &[f64], values: &[f64]) -> (f64, f64) {
    let top = (0..values.len()).max_by(|&a, &b| values[a].total_cmp(&values[b])).unwrap();
    if top == 0 || top + 1 == values.len() {
        return (rpm[top], values[top]);
    }
    let (a, b, c) = (values[top - 1], values[top], values[top + 1]);
    let shift = 0.5 * (a - c) / (a - 2.0 * b + c);
    (rpm[top] + shift * (rpm[top + 1] - rpm[top]), b - 0.25 * (a - c) * shift)
}

/// A published pair of figures beside the model's: shares off at the peak of torque and at rated power, and the speeds of
/// the model's summits.
#[derive(Debug)]
pub(crate) struct Beside {
    pub(crate) torque: f64,
    pub(crate) power: f64,
    pub(crate) torque_rpm: f64,
    pub(crate) power_rpm: f64,
}

/// Every 100 rpm from far below the published peak up to the rev limit.
pub(crate) fn beside(name: &str, rpm: &[f64], torque_nm: &[f64], torque: (f64, f64), power: (f64, f64)) -> Beside {
    let power_w: Vec<f64> = rpm.iter().zip(torque_nm).map(|(n, t)| n * t * std::f64::consts::PI / 30.0).collect();
    let rated = rpm.iter().position(|n| (n - power.1).abs() < 1.0).unwrap();
    let ((torque_rpm, best), (power_rpm, _)) = (summit(rpm, torque_nm), summit(rpm, &power_w));
    let found = Beside { torque: best / torque.0 - 1.0, power: power_w[rated] / power.0 - 1.0, torque_rpm, power_rpm };
    println!(
        "{name}: peak torque {:+.1} % at {torque_rpm:.0} rpm for {:.0}; rated power {:+.1} %; most power at {power_rpm:.0} rpm for {:.0}",
        100.0 * found.torque,
        torque.1,
        100.0 * found.power,
        power.1
    );
    found
}

const NA_EIGHT: [(f64, f64); 2] = [(542.327, 4800.0), (302_008.5, 6000.0)];
const BLOWN_EIGHT: [(f64, f64); 2] = [(747.056, 3800.0), (414_609.2, 6100.0)];
const FOUR: [(f64, f64); 2] = [(165.0, 4800.0), (95_000.0, 6000.0)];

fn check(name: &str, range: (f64, f64), [torque, power]: [(f64, f64); 2], speed_of_torque: bool) {
    let (rpm, found) = curve(name, range.0, range.1, 100.0);
    let torque_nm: Vec<f64> = found.iter().map(|f| f.torque_nm).collect();
    let found = beside(name, &rpm, &torque_nm, torque, power);
    assert!(found.torque.abs() < 0.05 && found.power.abs() < 0.05, "{name}: {found:?}");
    assert!((found.power_rpm - power.1).abs() <= 400.0, "{name}: {found:?}");
    assert!(!speed_of_torque || (found.torque_rpm - torque.1).abs() <= 400.0, "{name}: {found:?}");
}

#[test]
fn pushrod_eight() {
    check("na_pushrod_v8", (2500.0, 6500.0), NA_EIGHT, true);
}

#[test]
fn blown_pushrod_eight() {
    check("blown_pushrod_v8", (2000.0, 6200.0), BLOWN_EIGHT, false);
}

/// A miss, kept in sight: 400 rpm are allowed, the summit of the model's torque lies 400 to 560 rpm below the published one.
/// `docs/model.md` says what was looked at. The torque there is level, within one percent from 3,000 to 4,400 rpm, which is
/// asserted too. When this fails because the summit has moved up, take it out and have the speed checked above.
#[test]
fn blown_pushrod_eight_peaks_too_early() {
    let (rpm, found) = curve("blown_pushrod_v8", 2000.0, 6200.0, 100.0);
    let torque_nm: Vec<f64> = found.iter().map(|f| f.torque_nm).collect();
    let off = beside("blown_pushrod_v8", &rpm, &torque_nm, BLOWN_EIGHT[0], BLOWN_EIGHT[1]);
    let below = BLOWN_EIGHT[0].1 - off.torque_rpm;
    assert!((400.0..560.0).contains(&below), "{off:?}");
    let most = torque_nm.iter().fold(0.0f64, |a, b| a.max(*b));
    let level = rpm.iter().zip(&torque_nm).filter(|(n, _)| (3000.0..=4400.0).contains(*n));
    assert!(level.clone().count() > 10 && level.clone().all(|(_, t)| *t > 0.99 * most), "{torque_nm:?}");
}

#[test]
fn four_valve_four_over_its_whole_curve() {
    let measured = [
        (1000.0, 134.2),
        (1500.0, 146.6),
        (2000.0, 158.3),
        (2500.0, 165.4),
        (3000.0, 162.2),
        (3500.0, 159.1),
        (4000.0, 159.9),
        (4500.0, 165.4),
        (5000.0, 164.6),
        (5500.0, 160.7),
        (6000.0, 151.3),
    ];
    let (_, found) = curve("na_four_valve_four", 1000.0, 6000.0, 500.0);
    let off: Vec<f64> = found.iter().zip(measured).map(|(f, (_, t))| f.torque_nm / t - 1.0).collect();
    let mean = off.iter().sum::<f64>() / off.len() as f64;
    let rms = (off.iter().map(|o| (o - mean).powi(2)).sum::<f64>() / off.len() as f64).sqrt();
    println!("four: mean error {:+.1} %, {:.1} % left after it: {off:.3?}", 100.0 * mean, 100.0 * rms);
    assert!(mean.abs() < 0.05 && rms < 0.05, "{mean} {rms}");
    check("na_four_valve_four", (2000.0, 6500.0), FOUR, true);
}

/// Manifolds as short as cast ones are: gas leaves the port above sound speed and meets the other cylinders' at once.
#[test]
fn short_primaries_lose_no_number() {
    use crate::rig::with;
    for name in ["na_pushrod_v8", "blown_pushrod_v8", "na_four_valve_four"] {
        for mm in ["100", "150", "200"] {
            let text = text(&format!("validation/calibration_engines/{name}"));
            let parts = parts(&with(&text, &[("exhaust.primary_length", &format!("\"{mm} mm\""))]));
            let operating: Vec<Operating> = (2..=6).map(|k| Operating::full_load(1000.0 * f64::from(k))).collect();
            // A number that was lost is a panic in here.
            let torque: Vec<f64> = run(&parts, &operating).iter().map(|f| f.torque_nm).collect();
            println!("{name} {mm} mm: {torque:.1?}");
        }
    }
}

/// Half the cells and twice, and double against single precision: what a result is worth apart from its physics.
#[test]
fn mesh_and_arithmetic_are_worth_less_than_two_percent() {
    use cycle::constants::Constants;
    use cycle::predict::many::Precision;
    use cycle::predict::{Request, predict_parts};
    let parts = parts(&text("validation/calibration_engines/na_four_valve_four"));
    let torque = |request: &Request| -> Vec<f64> {
        let made = predict_parts(&parts, Constants::shipped(), request).unwrap();
        made.points.iter().map(|p| p.figures.as_ref().unwrap().torque_nm).collect()
    };
    let usual = Request::full_load(&[2000.0, 4000.0, 6000.0]).quick();
    let fine = Request { mesh: usual.mesh.halved(), ..usual.clone() };
    let double = Request { precision: Precision::Double, ..usual.clone() };
    let base = torque(&usual);
    for (what, request, most) in [("half the cell length", fine, 0.02), ("double precision", double, 0.003)] {
        let off: Vec<f64> = torque(&request).iter().zip(&base).map(|(a, b)| a / b - 1.0).collect();
        println!("{what}: {off:.4?}");
        assert!(off.iter().all(|o| o.abs() < most), "{what}: {off:?}");
    }
}

/// Every invented example runs at low, middle and high speed (the turbocharged one also where the boost is not there yet), with mean pressures that such engines have (common practice, no
/// source): 6 to 16 bar without boost, 17 on methanol, up to 36 bar with.
#[test]
fn every_example_runs() {
    let cases = [
        ("pushrod-v8", [2000.0, 4000.0, 6000.0], 16e5),
        ("marine-big-block", [2000.0, 3500.0, 5000.0], 16e5),
        ("single-500", [3000.0, 5000.0, 7000.0], 17e5),
        ("flat-four-aircraft", [1500.0, 2200.0, 2800.0], 16e5),
        ("blown-hill-climb-four", [2500.0, 4500.0, 7000.0], 30e5),
        ("turbo-four", [2500.0, 4500.0, 7000.0], 36e5),
    ];
    for (name, rpm, most) in cases {
        let parts = parts(&text(&format!("examples/builds/{name}")));
        let operating: Vec<Operating> = rpm.iter().map(|&r| Operating::full_load(r)).collect();
        for (f, rpm) in run(&parts, &operating).iter().zip(rpm) {
            println!(
                "{name} {rpm} rpm: {:.1} bar, {:.0} N·m, {:.0} kW, filling {:.2}, boost {:.0} kPa, exhaust {:.0} K",
                f.bmep_pa / 1e5,
                f.torque_nm,
                f.power_w / 1e3,
                f.filling,
                f.boost_pa.unwrap_or(0.0) / 1e3,
                f.exhaust_k
            );
            assert!((6e5..most).contains(&f.bmep_pa), "{name} {rpm}: {}", f.bmep_pa);
            assert!((700.0..1500.0).contains(&f.exhaust_k), "{name} {rpm}: {} K", f.exhaust_k);
        }
    }
}
