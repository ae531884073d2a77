//! Logs drawn by hand: speed and torque over time, invented.

use super::*;
use crate::log::Channel;
use std::f64::consts::PI;

/// Joins corner points (time s, rpm, torque N·m) by straight lines at 50 Hz.
fn drawn(corners: &[(f64, f64, f64)]) -> (Table, Vec<f64>) {
    let mut time_s = Vec::new();
    let mut rpm = Vec::new();
    let mut torque = Vec::new();
    let mut k = 0;
    let mut t = corners[0].0;
    while t <= corners[corners.len() - 1].0 {
        while k + 2 < corners.len() && corners[k + 1].0 <= t {
            k += 1;
        }
        let (a, b) = (corners[k], corners[k + 1]);
        let s = ((t - a.0) / (b.0 - a.0)).clamp(0.0, 1.0);
        time_s.push(t);
        rpm.push(a.1 + s * (b.1 - a.1));
        torque.push(a.2 + s * (b.2 - a.2));
        t += 0.02;
    }
    let speed = rpm.iter().map(|n| n * PI / 30.0).collect();
    let channels = vec![Channel { name: "n".into(), unit_text: "rpm".into(), role: Some(Role::Speed), si: speed }];
    (Table { time_s, channels }, torque)
}

#[test]
fn three_sweeps_with_idling_between_are_three_pulls() {
    let mut corners = vec![(0.0, 900.0, 5.0), (10.0, 900.0, 5.0)];
    for k in 0..3 {
        let t = 12.0 + 30.0 * k as f64;
        corners.extend([
            (t, 2000.0, 250.0),
            (t + 15.0, 6500.0, 260.0),
            (t + 15.3, 6400.0, -20.0),
            (t + 25.0, 900.0, 0.0),
        ]);
    }
    let (table, torque) = drawn(&corners);
    let cuts = cut(&table, &torque, 0);
    assert_eq!(cuts.pulls.len(), 3, "{cuts:?}");
    for p in &cuts.pulls {
        assert_eq!(p.kind, PullKind::SweepUp);
        assert!(p.aborted.is_none());
        assert!(p.to_rpm > 6450.0 && p.from_rpm < 2150.0, "{p:?}");
    }
    assert!(cuts.rest.iter().any(|r| r.kind == "idling"), "{:?}", cuts.rest);
    assert!(cuts.rest.iter().any(|r| r.kind == "coast_down"), "{:?}", cuts.rest);
}

#[test]
fn a_stall_and_a_short_turn_back_do_not_end_a_pull() {
    let (table, torque) = drawn(&[
        (0.0, 900.0, 5.0),
        (5.0, 900.0, 5.0),
        (6.0, 2000.0, 250.0),
        (10.0, 3500.0, 260.0),
        (10.6, 3500.0, 255.0),
        (11.0, 3380.0, 262.0),
        (11.3, 3500.0, 262.0),
        (20.0, 6500.0, 240.0),
        (20.2, 6500.0, -20.0),
        (30.0, 900.0, 0.0),
    ]);
    let cuts = cut(&table, &torque, 0);
    assert_eq!(cuts.pulls.len(), 1, "{:?}", cuts.pulls);
    assert!(cuts.pulls[0].to_rpm > 6450.0);
}

#[test]
fn an_aborted_pull_is_kept_apart_with_its_reason() {
    let (table, torque) = drawn(&[
        (0.0, 900.0, 5.0),
        (5.0, 2000.0, 250.0),
        (9.0, 3500.0, 260.0),
        (9.2, 3500.0, -10.0),
        (15.0, 900.0, 0.0),
        (20.0, 2000.0, 250.0),
        (35.0, 6500.0, 240.0),
        (35.2, 6500.0, -20.0),
        (45.0, 900.0, 0.0),
    ]);
    let cuts = cut(&table, &torque, 0);
    assert_eq!(cuts.pulls.len(), 2);
    assert!(cuts.pulls[0].aborted.as_deref().unwrap().starts_with("stopped early"));
    assert!(cuts.pulls[1].aborted.is_none());
}

#[test]
fn a_step_test_is_one_pull_of_holds_and_a_long_hold_is_a_hold() {
    let mut corners = vec![(0.0, 900.0, 5.0), (5.0, 900.0, 5.0)];
    let mut t = 6.0;
    for k in 0..6 {
        let rpm = 2500.0 + 500.0 * k as f64;
        corners.extend([(t, rpm, 250.0), (t + 6.0, rpm + 5.0, 251.0)]);
        t += 7.0;
    }
    corners.extend([(t, 900.0, 0.0), (t + 20.0, 900.0, 0.0)]);
    let (table, torque) = drawn(&corners);
    let cuts = cut(&table, &torque, 0);
    assert_eq!(cuts.pulls.len(), 1, "{:?}", cuts.pulls);
    assert_eq!(cuts.pulls[0].kind, PullKind::StepTest);
    assert_eq!(cuts.pulls[0].holds.len(), 6);

    let (table, torque) = drawn(&[
        (0.0, 900.0, 5.0),
        (5.0, 4200.0, 480.0),
        (65.0, 4200.0, 478.0),
        (66.0, 900.0, 0.0),
        (70.0, 900.0, 0.0),
    ]);
    let cuts = cut(&table, &torque, 0);
    assert_eq!(cuts.pulls.len(), 1, "{:?}", cuts.pulls);
    assert_eq!(cuts.pulls[0].kind, PullKind::Hold);
}

#[test]
fn a_loss_of_a_tenth_at_the_top_is_not_cut_away() {
    let (table, torque) = drawn(&[
        (0.0, 2000.0, 600.0),
        (15.0, 6700.0, 640.0),
        (15.7, 6900.0, 582.0),
        (15.9, 6900.0, -20.0),
        (25.0, 900.0, 0.0),
    ]);
    let cuts = cut(&table, &torque, 0);
    assert!(cuts.pulls[0].to_rpm > 6870.0, "{:?}", cuts.pulls);
}

#[test]
fn a_log_without_load_or_without_speed_gives_nothing() {
    let (table, _) = drawn(&[(0.0, 900.0, 5.0), (5.0, 900.0, 5.0)]);
    assert!(cut(&table, &vec![0.0; table.rows()], 0).pulls.is_empty());
    let empty = Table { time_s: table.time_s.clone(), channels: Vec::new() };
    assert!(cut(&empty, &vec![10.0; empty.rows()], 0).pulls.is_empty());
}
