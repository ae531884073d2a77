//! Tests before teardown of the demo jobs. Invented.

use super::quantity;
use serde_json::{Value, json};

/// The figure alone, as an entry holds it inside a test.
fn stated(dimension: &str, text: &str, unit: &str, per_si: f64) -> Value {
    quantity(dimension, text, unit, per_si, None)["quantity"].clone()
}

fn bar(text: &str) -> Value {
    stated("pressure", text, "bar gauge", 1e5)
}

fn psi(text: &str) -> Value {
    stated("pressure", text, "psi gauge", 6_894.757_293_168)
}

fn percent(text: &str) -> Value {
    stated("fraction", text, "%", 0.01)
}

fn rpm(text: &str) -> Value {
    stated("rotational_speed", text, "rpm", std::f64::consts::PI / 30.0)
}

fn celsius(text: &str) -> Value {
    let mut value = stated("temperature", text, "\u{b0}C", 1.0);
    value["si"] = json!(text.parse::<f64>().unwrap_or(f64::NAN) + 273.15);
    value
}

/// The tests of the blown four, with their times.
pub(super) fn all() -> Vec<(&'static str, Value)> {
    let cylinder = |n: u32, first: &str, last: &str, wet: Option<&str>| {
        let mut c = json!({ "cylinder": n, "first": bar(first), "last": bar(last) });
        if let Some(wet) = wet {
            c["wet"] = bar(wet);
        }
        c
    };
    let leak =
        |n: u32, lost: &str, at: &[&str]| json!({ "cylinder": n, "reading": { "lost": percent(lost) }, "air_at": at });
    vec![
        (
            "2026-03-04T09:05:00Z",
            json!({
                "test": "cranking",
                "cylinders": [cylinder(1, "5.2", "12.4", None), cylinder(2, "5.0", "12.1", None), cylinder(3, "3.4", "9.2", Some("11.3")), cylinder(4, "4.9", "11.8", None)],
                "warm": true, "throttle_open": true, "plugs_out": true, "ignition_and_injectors_off": true,
                "strokes": 5, "speed": rpm("260"), "oil_temperature": celsius("78"),
                "remark": "Charger on. Gauge held in by hand on cylinder 4, repeated."
            }),
        ),
        (
            "2026-03-04T10:30:00Z",
            json!({
                "test": "leak_down",
                "cylinders": [leak(1, "8", &["nowhere"]), leak(2, "9", &["filler"]), leak(3, "27", &["filler"]), leak(4, "11", &["exhaust"])],
                "supply": bar("6.0"), "hot": true, "tdc": "firing", "crank_locked": true
            }),
        ),
        (
            "2026-03-04T11:40:00Z",
            json!({
                "test": "oil_pressure",
                "points": [
                    { "speed": rpm("950"), "pressure": bar("1.4"), "idle": true },
                    { "speed": rpm("2000"), "pressure": bar("2.9"), "idle": false },
                    { "speed": rpm("3000"), "pressure": bar("4.0"), "idle": false }
                ],
                "oil_temperature": celsius("92"), "grade": "10W-50", "mechanical_gauge": true
            }),
        ),
    ]
}

/// A cranking test that is even and low: the ten-to-one cruiser.
pub(super) fn even_and_low() -> Value {
    let cylinders: Vec<Value> = ["128", "131", "127", "130", "129", "126", "131", "128"]
        .iter()
        .enumerate()
        .map(|(n, text)| json!({ "cylinder": n + 1, "last": psi(text) }))
        .collect();
    json!({ "test": "cranking", "cylinders": cylinders, "warm": true, "throttle_open": true, "plugs_out": true, "ignition_and_injectors_off": true, "strokes": 5, "speed": rpm("230") })
}
