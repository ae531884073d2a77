//! Guard rules of a shop, by the command.

use crate::{out, plateau, write};
use std::fmt::Write;

/// One sweep with oil temperature rising from 90 to 110 °C.
fn warm_sweep() -> String {
    let mut text = "Time (s),Engine Speed (rpm),Torque (Nm),Oil Temp (degC),Baro (kPa),Intake Air (degC)\n".to_owned();
    for row in 0..1000_u32 {
        let time = f64::from(row) / 50.0;
        let _ = writeln!(
            text,
            "{time:.2},{:.1},{:.2},{:.2},98.2,24.5",
            2000.0 + 200.0 * time,
            240.0 + 0.1 * f64::from(row % 7),
            90.0 + time
        );
    }
    text
}

fn rule(limit: &str) -> String {
    format!(
        "[[rule]]\nkey = \"oil_hot\"\nrole = \"oil_temperature\"\ncheck = \"above\"\nwords = \"oil at {{worst}}\"\n\
         what = \"the oil is hot\"\nlook = \"the cooler\"\nwarn = {{ limit = \"{limit}\", hold = \"1 s\" }}\nsource = \"sheet of the oil\"\n"
    )
}

fn flags(text: &str) -> Vec<String> {
    let json: serde_json::Value = serde_json::from_str(text).unwrap();
    json["flags"].as_array().unwrap().iter().map(|f| f["rule"].as_str().unwrap().to_owned()).collect()
}

/// The limit is passed for 5 s at 105 °C (hold time 1 s) and never at 115 °C, by the log above.
#[test]
fn a_file_of_rules_or_a_shop_changes_the_flags() {
    let dir = tempfile::tempdir().unwrap();
    let log = write(dir.path(), "warm.csv", &warm_sweep());
    let (low, high) = (write(dir.path(), "low.toml", &rule("105 °C")), write(dir.path(), "high.toml", &rule("115 °C")));
    let off = write(dir.path(), "off.toml", "[[rule]]\nkey = \"oil_hot\"\noff = true\n");
    let shop = dir.path().join("shop").to_string_lossy().into_owned();
    let pull = |more: &[&str]| {
        let (text, errors, code) = out(plateau().args(["pull", &log, "--json"]).args(more));
        assert_eq!((errors.as_str(), code), ("", 0), "{more:?}");
        text
    };
    assert!(!flags(&pull(&[])).contains(&"oil_hot".to_owned()));
    assert!(pull(&[]).contains("\"guards\": \"the rules that come with the tool\""));
    assert!(flags(&pull(&["--guards", &low])).contains(&"oil_hot".to_owned()));
    assert!(pull(&["--guards", &low]).contains("\"guards\": \"low.toml over the rules that come with the tool\""));
    assert!(!flags(&pull(&["--guards", &high])).contains(&"oil_hot".to_owned()));

    let set = |file: &str| out(plateau().args(["guards", "set", file, "--shop", &shop]));
    let (text, errors, code) = set(&low);
    assert_eq!((errors.as_str(), code), ("", 0));
    assert!(text.starts_with("Text 1 of the shop's guard rules is kept"), "{text}");
    assert!(flags(&pull(&["--shop", &shop])).contains(&"oil_hot".to_owned()));
    assert!(!flags(&pull(&["--shop", &shop, "--guards", &off])).contains(&"oil_hot".to_owned()));
    let (text, _, _) = out(plateau().args(["guards", "show", "--shop", &shop]));
    assert!(text.contains("instead of the one that comes with the tool\n[[rule]]\nkey = \"oil_hot\""), "{text}");
    assert!(text.contains("105 °C"), "{text}");
    assert_eq!(set(&off).2, 0);
    assert!(pull(&["--shop", &shop]).contains("switched off: oil_hot"));
}

#[test]
fn rules_that_cannot_be_read_change_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let shop = dir.path().join("shop").to_string_lossy().into_owned();
    let good = write(dir.path(), "good.toml", &rule("105 °C"));
    let bad = write(dir.path(), "bad.toml", &rule("105 °C").replace("oil_temperature", "oil_temprature"));
    let slip = write(dir.path(), "slip.toml", "[[rule]]\nkey = \"lambda_leen\"\noff = true\n");
    assert_eq!(out(plateau().args(["guards", "set", &good, "--shop", &shop])).2, 0);
    for (file, words) in [
        (&bad, "line 3, column 8: no channel role is called `oil_temprature`; did you mean `oil_temperature`?"),
        (&slip, "line 2, column 7: no rule is called `lambda_leen`; did you mean `lambda_lean`?"),
    ] {
        let (text, errors, code) = out(plateau().args(["guards", "set", file, "--shop", &shop]));
        assert_eq!((text.as_str(), code), ("", 1));
        assert!(errors.contains(words) && errors.contains("nothing was changed"), "{errors}");
    }
    let store = store::Store::open_existing(shop.as_ref()).unwrap();
    assert_eq!(takein::guard_history(&store).unwrap().len(), 1);
    let log = write(dir.path(), "warm.csv", &warm_sweep());
    assert_eq!(out(plateau().args(["pull", &log, "--guards", &bad])).2, 1);
}
