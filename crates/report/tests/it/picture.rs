//! The picture of a run: which strips, where they have no data, what is flagged.

use crate::sample;
use chart::LineKind;
use quantity::UnitSystem::{Metric, UsCustomary};
use report::{PictureOptions, RunNames, run_picture};

fn options() -> PictureOptions {
    PictureOptions { names: RunNames { title: String::new(), run: "Run 14".into() }, ..PictureOptions::default() }
}

#[test]
fn strips_stand_in_the_order_of_the_house() {
    let picture = run_picture(&sample::run(), Some(&sample::comparison()), Metric, &options());
    let keys: Vec<&str> = picture.strips.iter().map(|s| s.key.as_str()).collect();
    assert_eq!(keys, ["torque", "power", "lambda", "manifold_pressure", "gained"]);
    let alone = run_picture(&sample::run(), None, Metric, &options());
    assert!(alone.strips.iter().all(|s| s.key != "gained"));
    assert_eq!(alone.rpm_to, 6600.0);
}

/// 1 kW is 1,000 W and power is torque × speed: 299 N·m at 4,600 rpm is 144.0 kW.
#[test]
fn power_is_torque_times_speed() {
    let run = sample::run();
    let picture = run_picture(&run, None, Metric, &options());
    let at = |strip: usize| picture.strips[strip].lines[0].points.iter().find(|p| p.0 == 4600.0).expect("a point").1;
    let expected = at(0) * 4600.0 * std::f64::consts::TAU / 60.0 / 1000.0;
    // Two roundings of a double of about 144.
    assert!((at(1) - expected).abs() < 1e-9, "{} {expected}", at(1));
}

/// 1 lb-ft is 1.355817948 N·m (from memory: 0.45359237 kg × 9.80665 m/s² × 0.3048 m).
#[test]
fn us_units_reach_the_curve() {
    let metric = run_picture(&sample::run(), None, Metric, &options());
    let us = run_picture(&sample::run(), None, UsCustomary, &options());
    let first = |p: &chart::RunPicture| p.strips[0].lines[0].points[0].1;
    let ratio = first(&metric) / first(&us);
    assert!((ratio - 0.45359237 * 9.80665 * 0.3048).abs() < 1e-9, "{ratio}");
    assert_eq!(us.strips[0].unit_and_basis, "lb-ft, corrected");
}

#[test]
fn where_the_earlier_run_ends_the_gain_has_no_data() {
    let picture = run_picture(&sample::run(), Some(&sample::comparison()), Metric, &options());
    let gained = picture.strips.last().expect("a strip");
    assert_eq!(gained.no_data.len(), 1);
    assert_eq!((gained.no_data[0].from_rpm, gained.no_data[0].to_rpm), (6300.0, 6600.0));
    assert_eq!(gained.no_data[0].words, "no run 3");
    let before = picture.strips[0].lines.iter().find(|l| l.kind == LineKind::Before).expect("the earlier run");
    assert_eq!(before.end_note.as_deref(), Some("run 3 ends here"));
}

#[test]
fn a_lean_pull_is_redrawn_at_the_edge_of_the_range() {
    let picture = run_picture(&sample::run(), None, Metric, &options());
    let flag = &picture.flags[1];
    assert_eq!(flag.strip_key, "lambda");
    let worst = flag.stretch.iter().map(|p| p.1).fold(0.0, f64::max);
    assert!(worst > 0.88, "the leaner edge, {worst}");
}

#[test]
fn a_flagged_channel_gets_a_strip_of_its_own() {
    let mut run = sample::run();
    let mut oil = run.channels[2].clone();
    oil.role = "oil_pressure".into();
    oil.label = "oil pressure".into();
    run.channels.push(oil);
    let keys = |run: &pull::analysis::Analysis| -> Vec<String> {
        run_picture(run, None, Metric, &options()).strips.into_iter().map(|s| s.key).collect()
    };
    assert!(!keys(&run).contains(&"oil_pressure".to_owned()), "an unflagged channel has none");
    run.flags[0].role = "oil_pressure".into();
    assert!(keys(&run).contains(&"oil_pressure".to_owned()));
}

#[test]
fn one_pull_has_no_band() {
    let mut run = sample::run();
    run.curve.pulls.iter_mut().for_each(|n| *n = 1);
    let picture = run_picture(&run, None, Metric, &options());
    assert!(picture.strips[0].lines[0].band.is_none());
}
