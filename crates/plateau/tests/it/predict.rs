//! `plateau predict` on an example build, with flags that cannot be used, and on builds that cannot run.

use crate::{out, plateau, without, write};
use std::path::{Path, PathBuf};

fn build(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/builds").join(format!("{name}.toml"))
}

#[test]
fn a_prediction_says_the_finding_first_and_what_was_assumed_last() {
    let dir = tempfile::tempdir().unwrap();
    let pictures = dir.path().join("pictures");
    let single = build("single-500");
    let args = ["--speeds", "4000,5500", "--no-band", "--trace", "1", "--units", "us"];
    let (text, errors, code) = out(plateau().arg("predict").arg(&single).args(args).arg("--svg").arg(&pictures));
    assert_eq!((errors.as_str(), code), ("", 0), "{text}");
    let first = text.lines().next().unwrap();
    assert!(first.starts_with("Single, 499 cc: ") && first.ends_with("predicted, none of it measured."), "{first}");
    for part in ["\nWhat it is worth\n", "\nAssumed, because the build does not say\n", "\nPictures\n", "lb-ft", "hp"] {
        assert!(text.contains(part), "{part} is missing: {text}");
    }
    for key in ["predicted-curve", "pressure-volume", "waves", "flow"] {
        let svg = std::fs::read_to_string(pictures.join(format!("{key}.svg"))).unwrap();
        assert!(svg.starts_with("<svg") && !svg.contains("NaN"), "{key}");
        assert!(text.contains(&format!("{key}.svg: ")), "{key}");
    }
}

/// Identities that hold for any engine, from the object alone: power is torque times speed, brake is what is left of
/// the indicated, and energy adds up. 1e-9: all are f64 from one run.
#[test]
fn the_object_holds_together() {
    let args = ["--speeds", "4000-6000", "--points", "3", "--no-band", "--json"];
    let (json, errors, code) = out(plateau().arg("predict").arg(build("single-500")).args(args));
    assert_eq!((errors.as_str(), code), ("", 0));
    let value: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(value["form"], "plateau predict 1");
    let points = value["points"].as_array().unwrap();
    assert_eq!(points.len(), 3);
    for point in points {
        let f = &point["figures"];
        let n = |key: &str| f[key].as_f64().unwrap();
        let speed = point["rpm"].as_f64().unwrap() * std::f64::consts::PI / 30.0;
        assert!((n("power_w") / (n("torque_nm") * speed) - 1.0).abs() < 1e-9);
        let friction: f64 =
            ["constant", "pressure", "speed"].iter().map(|k| f["friction_pa"][k].as_f64().unwrap()).sum();
        assert!(((n("imep_pa") - friction - n("blower_pa")) / n("bmep_pa") - 1.0).abs() < 1e-9);
        let energy: f64 =
            ["brake", "friction", "blower", "walls", "exhaust"].iter().map(|k| f["energy"][k].as_f64().unwrap()).sum();
        assert!((energy - 1.0).abs() < 1e-9, "{energy}");
        // An engine of this kind, on methanol: 8 to 17 bar, filling 0.7 to 1.3, less than 42 % of the heat at the flywheel.
        assert!((8e5..17e5).contains(&n("bmep_pa")) && (0.7..1.3).contains(&n("filling")), "{f}");
        assert!(f["energy"]["brake"].as_f64().unwrap() < 0.42);
        assert!(point["mesh_change_nm"].is_number() && point["settled"] == "same");
    }
}

#[test]
fn air_of_another_day_moves_the_result() {
    let torque = |air: &[&str]| {
        let args = ["--speeds", "5000", "--no-band", "--json"];
        let (json, errors, code) = out(plateau().arg("predict").arg(build("single-500")).args(args).args(air));
        assert_eq!((errors.as_str(), code), ("", 0));
        let value: serde_json::Value = serde_json::from_str(&json).unwrap();
        value["points"][0]["figures"]["torque_nm"].as_f64().unwrap()
    };
    let (own, thin) = (torque(&[]), torque(&["--ambient", "30 °C, 90 kPa abs, 50 %"]));
    assert!((0.80..0.93).contains(&(thin / own)), "{}", thin / own);
}

#[test]
fn what_cannot_be_is_refused_with_what_to_do() {
    let dir = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(build("single-500")).unwrap();
    let tall =
        write(dir.path(), "tall.toml", &text.replace("chamber_volume = \"58.0 cc", "chamber_volume = \"5800.0 cc"));
    let blank = write(dir.path(), "blank.toml", "plateau_build = 2\n\n[block]\ncylinders = 4\n");
    let single = build("single-500").to_string_lossy().into_owned();
    let mut all = String::new();
    for args in [
        vec![single.as_str(), "--speeds", "fast"],
        vec![single.as_str(), "--speeds", "6000-2000"],
        vec![single.as_str(), "--speeds", "90000"],
        vec![single.as_str(), "--throttle", "0 %"],
        vec![single.as_str(), "--trace", "9"],
        vec![single.as_str(), "--ambient", "warm"],
        vec![single.as_str(), "--lambda", "3"],
        vec![tall.as_str()],
        vec![blank.as_str()],
        vec!["no-such-build.toml"],
    ] {
        let (said, errors, code) = out(plateau().arg("predict").args(&args).arg("--no-band"));
        assert_eq!((said.as_str(), code), ("", 1), "{args:?}");
        let flags: Vec<&str> = args[1..].to_vec();
        all += &format!("{}\n{}\n", flags.join(" "), without(&dir, &errors));
    }
    insta::assert_snapshot!("predict_refused", all);
}
