//! Measuring sheets of the demo jobs. Invented.

use super::{Writer, mm, quantity, ratio, word};
use serde_json::{Map, Value, json};

/// A value is kept although it is outside its limit, or the gauge cannot tell.
fn keep(w: &mut Writer, at: &str, sheet: &str, places: &[&str], because: &str) {
    for place in places {
        let mut body = json!({ "sheet": sheet, "place": place, "because": because });
        let reading = w.id_of(place);
        if !reading.is_empty() {
            body["reading"] = json!(reading);
        }
        w.write(at, "builder", "limit_waived", body);
    }
}

/// The figure alone, as a sheet holds it.
fn given(list: &[(&str, Value)]) -> Value {
    list.iter().map(|(key, value)| ((*key).to_owned(), value["quantity"].clone())).collect::<Map<_, _>>().into()
}

/// A sheet: begun, read in order at one reading every half minute, and its name.
#[allow(clippy::too_many_arguments)]
fn sheet(
    w: &mut Writer,
    day: &str,
    hour: u32,
    template: &str,
    title: &str,
    about: Value,
    readings: &[(String, Value)],
) -> String {
    let mut body = about;
    body["template"] = json!(template);
    body["title"] = json!(title);
    let id = w.write(&format!("{day}T{hour:02}:00:00Z"), "builder", "sheet_begun", body);
    for (n, (place, value)) in readings.iter().enumerate() {
        let second = 60 + 30 * n;
        let at = format!("{day}T{:02}:{:02}:{:02}Z", hour + (second / 3600) as u32, second / 60 % 60, second % 60);
        w.write(&at, "builder", "reading", json!({ "sheet": id, "place": place, "value": value }));
    }
    id
}

fn finish(w: &mut Writer, at: &str, sheet: &str) {
    w.write(at, "builder", "sheet_finished", json!({ "sheet": sheet }));
}

/// All sheets of the blown four; what the gate to the dyno finds missing, and why the job went on.
pub(super) fn all(w: &mut Writer) -> Vec<(String, &'static str)> {
    bores(w);
    clearances(w);
    gaps(w);
    let volumes = volumes(w);
    vec![(
        format!("tainted:{volumes}:Deck bridge with dial: calibration overdue by 26 days"),
        "Read 1.00 mm on the gauge block before and after; sent away the same day.",
    )]
}

/// 24 bores after honing: one of them out, read again, and inside.
fn bores(w: &mut Writer) {
    const READ: [[&str; 6]; 4] = [
        ["92.752", "92.750", "92.751", "92.749", "92.753", "92.751"],
        ["92.753", "92.751", "92.752", "92.750", "92.751", "92.749"],
        ["92.751", "92.753", "92.752", "92.754", "92.753", "92.766"],
        ["92.751", "92.752", "92.750", "92.751", "92.752", "92.750"],
    ];
    let mut readings = Vec::new();
    for (cylinder, column) in READ.iter().enumerate() {
        for (n, text) in column.iter().enumerate() {
            let (height, axis) = (["top", "middle", "bottom"][n / 2], ["across", "along"][n % 2]);
            readings.push((format!("cylinder {}/{height}/{axis}", cylinder + 1), mm(text, None)));
        }
    }
    let mut about = json!({
        "counts": { "cylinders": 4 },
        "given": given(&[
            ("bore_least", mm("92.740", None)), ("bore_aim", mm("92.750", None)), ("bore_greatest", mm("92.760", None)),
            ("piston/cylinder 1", mm("92.6360", Some(0.001))), ("piston/cylinder 2", mm("92.6355", Some(0.001))),
            ("piston/cylinder 3", mm("92.6365", Some(0.001))), ("piston/cylinder 4", mm("92.6360", Some(0.001))),
            ("stroke", mm("90.36", Some(0.015))),
            ("height_top", mm("15", None)), ("height_middle", mm("60", None)), ("height_bottom", mm("105", None)),
        ]),
        "built_for": "street_boosted", "material": "2618 forged", "unit": "mm",
        "instruments": [{ "key": "bore_gauge", "set_on": "92.750 ring at 09:12" }],
        "state": "torque plate on, clean and dry"
    });
    about["part_temperature"] = quantity("temperature", "20.1", "\u{b0}C", 1.0, None)["quantity"].clone();
    about["part_temperature"]["si"] = json!(293.25);
    let id = sheet(w, "2026-03-18", 9, "bores", "Cylinder bores, after honing", about, &readings);
    // The bore that stood out is read again with the gauge set anew.
    let first = w.id_of("cylinder 3/bottom/along");
    w.write("2026-03-18T10:04:00Z", "builder", "reading", json!({ "sheet": id, "place": "cylinder 3/bottom/along", "value": mm("92.754", None), "replaces": [first], "remark": "Gauge was tipped; set on the ring again." }));
    finish(w, "2026-03-18T10:10:00Z", &id);
}

/// Bearing clearances: housings with shells, less the journals read before.
fn clearances(w: &mut Writer) {
    let mut list: Vec<(String, Value)> = Vec::new();
    for n in 1..=5 {
        list.push((format!("main_journal/main {n}"), mm("54.7450", Some(0.001))));
    }
    for n in 1..=4 {
        list.push((format!("rod_journal/rod {n}"), mm("47.9500", Some(0.001))));
    }
    let borrowed: Vec<(&str, Value)> = list.iter().map(|(k, v)| (k.as_str(), v.clone())).collect();
    let about = json!({
        "counts": { "mains": 5, "cylinders": 4 }, "given": given(&borrowed),
        "built_for": "endurance", "unit": "mm",
        "instruments": [{ "key": "bore_gauge", "set_on": "the micrometer that read the journals" }],
        "state": "caps torqued, shells dry"
    });
    let mut readings = Vec::new();
    for (n, text) in ["54.8000", "54.7995", "54.8005", "54.8000", "54.7995"].iter().enumerate() {
        for end in ["front", "rear"] {
            readings.push((format!("main {}/bore/{end}", n + 1), mm(text, None)));
        }
    }
    for (n, text) in ["48.0030", "48.0025", "48.0030", "48.0025"].iter().enumerate() {
        for end in ["front", "rear"] {
            readings.push((format!("rod {}/bore/{end}", n + 1), mm(text, None)));
        }
    }
    let id = sheet(w, "2026-03-25", 9, "bearing_clearance", "Mains and rods, shells in", about, &readings);
    keep(
        w,
        "2026-03-25T09:30:00Z",
        &id,
        &[
            "main 3/main_clearance",
            "rod 1/rod_clearance",
            "rod 2/rod_clearance",
            "rod 3/rod_clearance",
            "rod 4/rod_clearance",
        ],
        "The gauge band is as wide as the window. Read three times, gauge set on the micrometer that read the journal; all in the middle.",
    );
    finish(w, "2026-03-25T09:40:00Z", &id);
}

/// Ring end gaps, each in its own bore.
fn gaps(w: &mut Writer) {
    let about = json!({
        "counts": { "cylinders": 4 }, "given": given(&[("bore", mm("92.751", Some(0.001)))]),
        "built_for": "endurance", "unit": "mm", "conditions": ["blower"],
        "instruments": [{ "key": "feeler_gauge" }], "state": "ring squared 25 mm down"
    });
    let mut readings = Vec::new();
    for n in 1..=4 {
        for (ring, text) in [("top", "0.62"), ("second", "0.68"), ("rail_upper", "0.45"), ("rail_lower", "0.45")] {
            readings.push((format!("cylinder {n}/{ring}"), mm(text, None)));
        }
    }
    let id = sheet(w, "2026-03-24", 13, "ring_gaps", "Ring end gaps", about, &readings);
    keep(
        w,
        "2026-03-24T13:25:00Z",
        &id,
        &["cylinder 1/top", "cylinder 2/top", "cylinder 3/top", "cylinder 4/top"],
        "The strips are as coarse as the window; 0.62 goes, 0.65 does not.",
    );
    finish(w, "2026-03-24T13:30:00Z", &id);
}

/// Deck and volumes: the ratio of each cylinder.
fn volumes(w: &mut Writer) -> String {
    let cc = |text: &str| quantity("volume", text, "cm\u{b3}", 1e-6, None);
    let about = json!({
        "counts": { "cylinders": 4 },
        "given": given(&[
            ("bore", mm("92.751", Some(0.001))), ("stroke", mm("90.36", Some(0.015))),
            ("gasket_bore", mm("94.0", None)), ("gasket_thickness", mm("1.30", Some(0.02))), ("crevice", cc("1.0")),
        ]),
        "built_for": "endurance", "unit": "mm",
        "instruments": [{ "key": "deck_bridge" }, { "key": "burette" }], "state": "pistons rocked both ways, mean taken"
    });
    let mut readings = Vec::new();
    for (n, (front, rear, chamber)) in
        [("0.20", "0.21", "59.0"), ("0.20", "0.20", "58.9"), ("0.21", "0.20", "59.1"), ("0.19", "0.20", "59.0")]
            .iter()
            .enumerate()
    {
        let c = n + 1;
        readings.push((format!("cylinder {c}/deck/front"), mm(front, None)));
        readings.push((format!("cylinder {c}/deck/rear"), mm(rear, None)));
        readings.push((format!("cylinder {c}/volume/chamber"), cc(chamber)));
        readings.push((format!("cylinder {c}/volume/crown"), cc("10.5")));
    }
    let id = sheet(w, "2026-03-27", 14, "deck_and_volumes", "Deck and volumes, short block and head", about, &readings);
    keep(
        w,
        "2026-03-27T14:35:00Z",
        &id,
        &["cylinder 1/quench", "cylinder 2/quench", "cylinder 3/quench", "cylinder 4/quench"],
        "The head leaves no thinner gasket; agreed with the owner, knock is watched on the dyno.",
    );
    finish(w, "2026-03-27T14:40:00Z", &id);
    id
}

/// The cruiser from its gate to the hand-over: one sheet, two parts, a run, and away.
pub(super) fn cruiser(w: &mut Writer, compression: &str, camshaft: &str) {
    w.stage(
        "2026-01-16T08:00:00Z",
        "measured_assembled",
        &[
            ("build:exhaust over intake flow", "Heads as bought; the cam gives the exhaust six degrees more."),
            ("build:mean inlet Mach index", "At the rev limit only; the band of use ends at 5,500."),
        ],
        "",
    );
    w.write("2026-01-28T10:00:00Z", "builder", "fitted_part", json!({ "component": "Camshaft", "position": "block", "words": "hydraulic roller 272/278", "part_number": "HR-272-278", "promise": camshaft }));
    w.finding(
        "2026-01-29T10:00:00Z",
        compression,
        "Compression",
        "10.29 : 1 on all eight, within 0.06.",
        ratio("10.29", Some(0.02)),
        "Burette 100 cc ±0.3; depth micrometer",
        "note",
        &[("burette", "Chamber 1, 64 cc.")],
    );
    let _ = word;
}
