//! `pull` from end to end.

use crate::{out, plateau, sweep, three_pulls, without, write};
use serde_json::{Value, json};

/// Rounds to a few digits, so that the snapshot shows what matters and not the last bits, and
/// shortens lists.
fn rounded(value: &Value) -> Value {
    match value {
        Value::Number(n) if n.is_f64() => {
            let x = n.as_f64().unwrap();
            let text = format!("{x:.3e}");
            json!(text.parse::<f64>().unwrap())
        }
        Value::Array(list) if list.len() > 6 && list.iter().all(|v| v.is_number() || v.is_null()) => {
            let step = list.len() / 4;
            let mut few: Vec<Value> = list.iter().step_by(step.max(1)).map(rounded).collect();
            few.push(json!(format!("{} in all", list.len())));
            Value::Array(few)
        }
        Value::Array(list) => Value::Array(list.iter().map(rounded).collect()),
        Value::Object(map) => Value::Object(map.iter().map(|(k, v)| (k.clone(), rounded(v))).collect()),
        other => other.clone(),
    }
}

/// Our own output, pinned: it says that something changed, not that it is right.
#[test]
fn the_json_of_three_pulls() {
    let dir = tempfile::tempdir().unwrap();
    let logs = three_pulls(&dir);
    let (text, errors, code) =
        out(plateau().arg("pull").args(&logs).args(["--json", "--band", "3000-5500", "--induction", "follows"]));
    assert_eq!((errors.as_str(), code), ("", 0));
    let json: Value = serde_json::from_str(&text).unwrap();
    insta::assert_snapshot!(serde_json::to_string_pretty(&rounded(&json)).unwrap());
}

/// Expected: the parabola that the logs were made from, T = 260 − 60 ((n − 4000)/2000)², has over
/// 3,000 to 5,000 rpm the mean 260 − 60 (1/2)²/3 = 255 N·m (arithmetic); the three logs are 0.1, 0.2 and
/// 0.3 % above it, on average 0.2 %.
/// Tolerance: noise of ±1.5 N·m, evenly spread, has 0.87 N·m of standard deviation; 500 samples a pull
/// in the band and three pulls leave 0.87/√1500 = 0.022 N·m; four times that, plus 0.01 % for smoothing
/// over ±75 rpm, which lowers a parabola of this curvature by 60 (75/2000)²/5 = 0.017 N·m.
#[test]
fn the_observed_mean_is_the_one_the_logs_were_made_from() {
    let dir = tempfile::tempdir().unwrap();
    let logs = three_pulls(&dir);
    let (text, _, code) =
        out(plateau().arg("pull").args(&logs).args(["--json", "--band", "3000-5000", "--standard", "observed"]));
    assert_eq!(code, 0);
    let json: Value = serde_json::from_str(&text).unwrap();
    let mean = json["figures"]["mean_torque_nm"]["value"].as_f64().unwrap();
    assert!((mean - 255.0 * 1.002).abs() < 4.0 * 0.022 + 0.03, "{mean}");
    assert_eq!(json["correction"]["applied"], "observed");
    // Power at 4,000 rpm: 260.52 N·m × 4000 · 2π/60 = 109.13 kW.
    let at = json["curve"]["rpm"].as_array().unwrap().iter().position(|v| v.as_f64() == Some(4000.0)).unwrap();
    let (torque, power) =
        (json["curve"]["torque_nm"][at].as_f64().unwrap(), json["curve"]["power_w"][at].as_f64().unwrap());
    assert!((power / torque - 4000.0 * std::f64::consts::PI / 30.0).abs() < 1e-9);
}

#[test]
fn the_text_says_the_finding_first_and_the_peaks_last() {
    let dir = tempfile::tempdir().unwrap();
    let logs = three_pulls(&dir);
    let (text, errors, code) =
        out(plateau().arg("pull").args(&logs).args(["--band", "3000-5500", "--induction", "follows"]));
    assert_eq!((errors.as_str(), code), ("", 0));
    assert!(!text.contains('\x1b'), "no styles where it is no terminal");
    assert!(text.lines().all(|l| l.chars().count() <= 130), "{text}");
    insta::assert_snapshot!(without(&dir, &text));
}

#[test]
fn the_text_in_us_units_against_an_earlier_run() {
    let dir = tempfile::tempdir().unwrap();
    let logs = three_pulls(&dir);
    let before: Vec<String> = (4..=6)
        .map(|n| write(dir.path(), &format!("before-{n}.csv"), &sweep(n, 0.95 + 0.001 * n as f64, "Torque (Nm)")))
        .collect();
    let (text, errors, code) = out(plateau()
        .arg("pull")
        .args(&logs)
        .args(["--units", "us", "--induction", "follows", "--leave-out", "2=throttle not full", "--against"])
        .args(&before));
    assert_eq!((errors.as_str(), code), ("", 0));
    insta::assert_snapshot!(without(&dir, &text));
}

#[test]
fn the_files_asked_for_are_written() {
    let dir = tempfile::tempdir().unwrap();
    let logs = three_pulls(&dir);
    let path = |name: &str| dir.path().join(name).to_string_lossy().into_owned();
    let (_, errors, code) = out(plateau().arg("pull").args(&logs).args([
        "--svg",
        &path("run.svg"),
        "--pdf",
        &path("run.pdf"),
        "--csv",
        &path("run.csv"),
    ]));
    assert_eq!((errors.as_str(), code), ("", 0));
    let read = |name: &str| std::fs::read(dir.path().join(name)).unwrap();
    assert!(String::from_utf8(read("run.svg")).unwrap().contains("<svg"));
    assert!(read("run.pdf").starts_with(b"%PDF-"));
    let table = String::from_utf8(read("run.csv")).unwrap();
    let columns = table.lines().next().unwrap().split(',').count();
    assert!(table.starts_with("speed_rpm,torque_nm,torque_expanded_k2_nm,"));
    assert!(table.lines().count() > 100 && table.lines().all(|l| l.split(',').count() == columns));
    let left: Vec<_> = std::fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert!(left.iter().all(|n| !n.to_string_lossy().ends_with(".part")), "{left:?}");
}
