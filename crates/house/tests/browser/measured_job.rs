//! An invented job with a sheet of bores begun, as JSON lines: four cylinders, window 92.740 to 92.760 mm.

use serde_json::{Value, json};

/// Name of the job.
pub(crate) const JOB: &str = "0195a8c0-0000-7001-8001-000000000031";
/// Name of the sheet.
pub(crate) const SHEET: &str = "0195a8c1-0000-7002-8001-000000000031";

/// Address of the sheet.
pub(crate) fn address() -> String {
    format!("/jobs/1/sheets/{SHEET}")
}

/// The bores as read: cylinder by cylinder, top across, top along and so on. The last one stands apart.
pub(crate) const READ: [&str; 18] = [
    "92.752", "92.750", "92.751", "92.749", "92.753", "92.751", "92.755", "92.751", "92.752", "92.750", "92.751",
    "92.748", "92.750", "92.753", "92.752", "92.754", "92.755", "92.766",
];

/// The place of a reading, by its number in the order of reading.
pub(crate) fn place(n: usize) -> String {
    let (height, axis) = (["top", "middle", "bottom"][n % 6 / 2], ["across", "along"][n % 2]);
    format!("cylinder {}/{height}/{axis}", n / 6 + 1)
}

fn length(text: &str) -> Value {
    let number: f64 = text.parse().expect("a number");
    json!({ "text": format!("{text} mm"), "dimension": "length", "si": number * 0.001, "step_si": 1e-6 })
}

/// The job with the first `read` readings.
pub(crate) fn lines(read: usize) -> String {
    let template = std::fs::read_to_string(house::root().join("data/sheets/bores.toml")).expect("the template");
    let opened = json!({ "title": "2.4-litre four, blown", "purpose": "Hill-climb car", "built_for": "endurance" });
    let begun = json!({
        "template": "bores", "template_text": template, "title": "Cylinder bores, after honing", "counts": { "cylinders": 4 },
        "given": {
            "bore_least": length("92.740"), "bore_aim": length("92.750"), "bore_greatest": length("92.760"), "piston": length("92.651"),
            "height_top": { "text": "15 mm", "dimension": "length", "si": 0.015, "step_si": 0.001 },
            "height_middle": { "text": "60 mm", "dimension": "length", "si": 0.060, "step_si": 0.001 },
            "height_bottom": { "text": "105 mm", "dimension": "length", "si": 0.105, "step_si": 0.001 },
        },
        "built_for": "endurance", "material": "2618 forged", "unit": "mm",
        "instruments": [{ "key": "bore_gauge_2", "name": "Bore gauge 2", "step_si": 1e-6, "u_si": 1e-6, "calibrated": "2026-01-12", "due": "2099-01-12", "set_on": "the 92.750 ring at 09:12" }],
        "state": "Torque plate on",
    });
    let mut all = vec![
        json!({ "id": "0195a8c0-0000-7000-8001-000000000031", "job": JOB, "at": "2026-03-18T08:00:00Z", "author": "office", "kind": "job_opened", "body": opened }),
        json!({ "id": SHEET, "job": JOB, "at": "2026-03-18T09:12:00Z", "author": "bench", "kind": "sheet_begun", "body": begun }),
    ];
    for (n, text) in READ.iter().enumerate().take(read) {
        let id = format!("0195a8c2-{n:04x}-7003-8001-000000000031");
        let body = json!({ "sheet": SHEET, "place": place(n), "value": { "quantity": length(text) } });
        all.push(json!({ "id": id, "job": JOB, "at": format!("2026-03-18T09:{:02}:00Z", 20 + n), "author": "bench", "kind": "reading", "body": body }));
    }
    all.iter().map(|line| format!("{line}\n")).collect()
}
