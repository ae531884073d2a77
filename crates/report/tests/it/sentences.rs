//! What is said, kept whole, and what must be said in special cases.

use crate::sample;
use pull::analysis::Figure;
use pull::guard::Level;
use quantity::UnitSystem::{Metric, UsCustomary};
use report::{conditions, figure_rows, finding, flag_list, peak_rows, plateau_lines, provenance, repeat_sentence};

fn said(run: &pull::analysis::Analysis, comparison: Option<&pull::analysis::Comparison>) -> String {
    let finding = finding(run, comparison, Metric);
    format!("{}{}", finding.strong, finding.rest)
}

fn everything(system: quantity::UnitSystem) -> String {
    let (run, comparison) = (sample::run(), sample::comparison());
    let with = Some(&comparison);
    let mut out = String::new();
    let mut add = |name: &str, text: String| out.push_str(&format!("{name}\n{text}\n\n"));
    add("finding", format!("{:#?}", finding(&run, with, system)));
    let pieces = |p: &[report::Piece]| -> String { p.iter().map(|p| p.text.as_str()).collect() };
    for condition in conditions(&run, system) {
        add("condition", format!("{}: {}", condition.name, pieces(&condition.pieces)));
    }
    for row in figure_rows(&run, with, system) {
        add("figure", format!("{row:?}"));
    }
    for row in peak_rows(&run, with, system) {
        add("peak", format!("{row:?}"));
    }
    for line in plateau_lines(&run, with, "Run 14") {
        add("plateau", format!("{line:?}"));
    }
    add("repeat", pieces(&repeat_sentence(&run)));
    for item in flag_list(&run) {
        add("flag", format!("{item:?}"));
    }
    for line in provenance(&run, with, system) {
        add("provenance", format!("{}: {}", line.name, line.text));
    }
    out
}

#[test]
fn the_hill_climb_run_in_metric_units() {
    insta::assert_snapshot!("metric", everything(Metric));
}

#[test]
fn the_hill_climb_run_in_us_units() {
    insta::assert_snapshot!("us", everything(UsCustomary));
}

#[test]
fn a_gain_inside_the_noise_is_not_called_a_gain() {
    let mut comparison = sample::comparison();
    comparison.difference_nm = Some(1.2);
    comparison.interval_nm = Some(3.1);
    comparison.verdict = "no_gain_shown".into();
    let text = said(&sample::run(), Some(&comparison));
    assert_eq!(
        text,
        "No gain shown: +1 N·m against run 3 on average over 3,000 to 6,200 rpm, ±3 (95 %), which may as well be noise."
    );
}

#[test]
fn without_an_interval_nobody_can_tell() {
    let mut comparison = sample::comparison();
    comparison.interval_nm = None;
    comparison.verdict = "cannot_tell".into();
    let text = said(&sample::run(), Some(&comparison));
    assert!(text.starts_with("Cannot tell whether anything changed: +"), "{text}");
    assert!(text.contains("too few pulls"), "{text}");
}

#[test]
fn one_run_says_its_average_and_how_it_repeats() {
    assert_eq!(
        said(&sample::run(), None),
        "289.0 N·m on average over the band of use, 3,000 to 6,200 rpm; three pulls repeat within 0.6 %."
    );
}

#[test]
fn one_pull_never_claims_to_repeat() {
    let mut run = sample::run();
    run.pulls.truncate(1);
    run.repeat.mean_spread = None;
    assert!(said(&run, None).contains("one pull, so how well it repeats is not known"));
    assert!(repeat_sentence(&run)[0].text.contains("is not known"));
}

#[test]
fn the_gravest_caution_is_in_the_finding() {
    let mut run = sample::run();
    run.figures.still_climbing = Some("climbing".into());
    assert!(said(&run, None).ends_with("Power was still climbing at 6,600 rpm."));
    run.correction.range_verdict = Some("outside".into());
    assert!(said(&run, None).ends_with("The correction factor is outside the range that its standard allows."));
    run.flags[1].level = Level::Abort;
    assert!(said(&run, None).ends_with("Flag 2: the pull should have been stopped."));
}

#[test]
fn a_peak_at_the_end_of_the_data_says_at_least() {
    let mut run = sample::run();
    let peak = run.figures.peak_power.as_mut().expect("a peak");
    peak.at_least = true;
    let rows = peak_rows(&run, None, Metric);
    assert!(rows[1].now.value.starts_with("at least "), "{rows:?}");
    assert_eq!(rows[1].now.at, "at 6,250");
}

/// Digits follow the expanded uncertainty: 1.6 N·m leaves one decimal, 8 N·m leaves none.
#[test]
fn digits_are_those_that_the_uncertainty_supports() {
    let mut run = sample::run();
    assert_eq!(figure_rows(&run, None, Metric)[0].now, "289.0");
    run.figures.mean_torque_nm = Some(Figure { value: 289.04, expanded: 8.3 });
    let row = &figure_rows(&run, None, Metric)[0];
    assert_eq!((row.now.as_str(), row.expanded.as_str()), ("289", "8"));
    run.figures.mean_torque_nm = Some(Figure { value: 289.04, expanded: f64::NAN });
    let row = &figure_rows(&run, None, Metric)[0];
    assert!(row.note.ends_with("spread not known"), "{row:?}");
}

#[test]
fn observed_stands_beside_corrected_and_nothing_stands_beside_observed() {
    let mut run = sample::run();
    assert_eq!(figure_rows(&run, None, Metric)[0].observed.as_deref(), Some("281.9"));
    assert!(peak_rows(&run, None, Metric).iter().any(|row| row.name == "Power, observed"));
    run.correction.applied = gas::correction::Standard::Observed;
    run.correction.words = "as observed, not corrected for weather".into();
    run.correction.notes = vec!["Not corrected: the barometer not known. State it, and the run is corrected.".into()];
    assert_eq!(figure_rows(&run, None, Metric)[0].observed, None);
    let corrected = conditions(&run, Metric).into_iter().find(|c| c.name == "Corrected to").expect("it is said");
    assert_eq!(corrected.pieces[0].text, "nothing");
    assert!(corrected.pieces[1].text.contains("barometer not known"));
    assert!(conditions(&run, Metric).iter().all(|c| c.name != "Factor"));
}

#[test]
fn a_band_that_no_pull_covers_gives_words_not_numbers() {
    let mut run = sample::run();
    run.figures = Default::default();
    assert!(said(&run, None).starts_with("No average over the band of use, 3,000 to 6,200 rpm: the pulls cover 2,000"));
    assert_eq!(figure_rows(&run, None, Metric)[0].now, "not covered");
    run.curve.torque_nm.iter_mut().for_each(|t| *t = f64::NAN);
    assert!(said(&run, None).starts_with("No curve"));
}
