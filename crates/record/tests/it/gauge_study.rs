//! The gauge study against a worked example: `validation/gauge_study`.

use record::instrument::{Fitness, GaugeStudy};
use std::collections::BTreeMap;

const READINGS: &str = include_str!("../../../../validation/gauge_study/readings.csv");
const ANOVA: &str = include_str!("../../../../validation/gauge_study/anova.csv");
const FACTORS: &str = include_str!("../../../../validation/gauge_study/factors.csv");

fn example() -> GaugeStudy {
    let mut readings = vec![vec![vec![0.0; 3]; 3]; 10];
    for line in READINGS.lines().skip(1) {
        let parts: Vec<&str> = line.split(',').collect();
        let (part, trial): (usize, usize) = (parts[0].parse().unwrap(), parts[2].parse().unwrap());
        let person = ["A", "B", "C"].iter().position(|w| *w == parts[1]).unwrap();
        readings[part - 1][person][trial - 1] = parts[3].parse().unwrap();
    }
    GaugeStudy::new(readings).unwrap()
}

fn near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "found {found}, expected {expected}");
}

#[test]
fn average_and_range_of_the_worked_example() {
    let study = example().by_range();
    // Printed to four digits, with factors of four digits.
    near(study.mean_range, 0.3417, 5e-5);
    near(study.persons_apart, 0.4447, 5e-5);
    near(study.parts_apart, 3.511, 5e-4);
    near(study.spreads.repeat, 0.2019, 1e-4);
    near(study.spreads.persons, 0.2297, 1e-4);
    near(study.spreads.gauge, 0.3058, 1e-4);
    near(study.spreads.parts, 1.1046, 2e-4);
    near(study.spreads.total, 1.1461, 2e-4);
    near(100.0 * study.spreads.of_total(), 26.7, 0.05);
    assert_eq!(study.spreads.categories(), Some(5));
    // D4 of three trials is 2.57: one range of the example lies above 0.88.
    assert_eq!(study.wide, [(3, 1)]);
}

#[test]
fn analysis_of_variance_matches_statsmodels() {
    let rows: BTreeMap<&str, (f64, f64, f64)> = ANOVA
        .lines()
        .skip(1)
        .map(|line| {
            let parts: Vec<&str> = line.split(',').collect();
            (parts[0], (parts[1].parse().unwrap(), parts[2].parse().unwrap(), parts[3].parse().unwrap()))
        })
        .collect();
    let study = example().by_variance();
    for (name, row) in
        [("part", study.parts), ("who", study.persons), ("both", study.together), ("repeat", study.repeat)]
    {
        near(row.degrees as f64, rows[name].0, 0.0);
        near(row.squares, rows[name].1, 1e-9);
        near(row.mean_square, rows[name].2, 1e-9);
    }
    near(study.chance_together, rows["p_both"].2, 1e-9);
    assert!(study.pooled);
    for (name, found) in [
        ("EV", study.spreads.repeat),
        ("AV", study.spreads.persons),
        ("GRR", study.spreads.gauge),
        ("PV", study.spreads.parts),
        ("TV", study.spreads.total),
    ] {
        near(found, rows[name].1, 1e-9);
    }
    assert_eq!(study.spreads.categories(), Some(4));
}

#[test]
fn the_factors_of_ranges_match_scipy() {
    // A study whose ranges are all 1 shows the factor of its trials; of parts and persons all alike, nothing is left.
    for line in FACTORS.lines().skip(1) {
        let parts: Vec<f64> = line.split(',').map(|p| p.parse().unwrap()).collect();
        let n = parts[0] as usize;
        let trial: Vec<f64> = (0..n).map(|k| k as f64 / (n - 1) as f64).collect();
        let study = GaugeStudy::new(vec![vec![trial.clone(); 2]; 2]).unwrap().by_range();
        near(1.0 / study.spreads.repeat, parts[1], 2e-6);
        // Parts apart by 1 and without noise show the factor of one subgroup.
        let parts_study: Vec<Vec<Vec<f64>>> = (0..n).map(|k| vec![vec![k as f64 / (n - 1) as f64; 2]; 2]).collect();
        let study = GaugeStudy::new(parts_study).unwrap().by_range();
        near(1.0 / study.spreads.parts, parts[2], 2e-6);
    }
}

#[test]
fn persons_that_read_parts_differently_are_not_pooled() {
    // Invented: person 2 reads part 1 high and part 2 low by 1, noise 0.1.
    let readings = vec![
        vec![vec![10.0, 10.1], vec![11.0, 11.1], vec![10.1, 10.0]],
        vec![vec![12.0, 12.1], vec![11.0, 11.1], vec![12.1, 12.0]],
    ];
    let study = GaugeStudy::new(readings).unwrap().by_variance();
    assert!(!study.pooled && study.chance_together < 0.01, "{}", study.chance_together);
    assert!(study.spreads.persons > 0.5, "what they have together counts with the persons");
}

#[test]
fn shares_of_a_tolerance_and_the_ratio_rule() {
    let spreads = example().by_range().spreads;
    near(spreads.of_tolerance(6.0 * spreads.gauge / 0.2).unwrap(), 0.2, 1e-12);
    assert!(spreads.of_tolerance(0.0).is_err());
    assert_eq!(
        [0.05, 0.0999, 0.10, 0.30, 0.301].map(Fitness::of_share),
        [Fitness::Good, Fitness::Good, Fitness::Conditional, Fitness::Conditional, Fitness::NotFit]
    );
    assert_eq!(
        [12.0, 10.0, 4.0, 3.9].map(Fitness::of_ratio),
        [Fitness::Good, Fitness::Good, Fitness::Conditional, Fitness::NotFit]
    );
}

#[test]
fn gaps_and_too_few_are_refused() {
    let say = |r: Vec<Vec<Vec<f64>>>| GaugeStudy::new(r).unwrap_err().to_string();
    let one = vec![vec![1.0, 1.1], vec![1.0, 1.2]];
    let all = [
        say(vec![one.clone()]),
        say(vec![vec![vec![1.0, 1.1]]; 2]),
        say(vec![vec![vec![1.0]; 2]; 2]),
        say(vec![one.clone(), vec![vec![1.0, 1.1], vec![1.0]]]),
        say(vec![one.clone(), vec![vec![1.0, f64::NAN], vec![1.0, 1.0]]]),
    ];
    insta::assert_snapshot!(all.join("\n"));
}
