//! The ten-to-one cruiser, from its claims to the hand-over. Invented.

use super::{NONE, Writer, ratio, word};
use serde_json::json;

const BUILD: &str = include_str!("../../../../examples/builds/pushrod-v8.toml");

pub(crate) fn job(folder: &str) -> Writer {
    let mut w = Writer::new(folder, 12, "2026-01-12T08:00:00Z");
    w.write(
        "2026-01-12T08:05:00Z",
        "office",
        "job_opened",
        json!({
            "title": "Iron V8, 355 in³, cruiser",
            "purpose": "Street car, 3,600 lb",
            "built_for": "street",
            "complaint": "It was sold to me as a ten-to-one engine. It idles nicely and pulls like nothing.",
            "owner": "Owner",
            "fuel": "93 pump",
            "vehicle": "Two-door, automatic, 3.08 final drive",
            "goals": ["Pull from 2,500 to 5,500", "Idle and brakes as they are"],
            "permission": "Full teardown, up to the estimate.",
            "emissions": "Road car. Air pump and valve on the engine as found, both left on.",
            "arrival": "Complete, runs. Numbers on the block pad legible."
        }),
    );
    let c1 = w.claim(
        "2026-01-12T08:20:00Z",
        "Compression",
        "Ten to one.",
        ratio("10", None),
        "decides_the_build",
        "Torque everywhere",
    );
    let c2 = w.claim(
        "2026-01-12T08:22:00Z",
        "Camshaft",
        "Hydraulic roller.",
        word("hydraulic roller"),
        "decides_the_build",
        "Band and idle",
    );
    let c3 = w.claim(
        "2026-01-12T08:24:00Z",
        "Heads",
        "Ported heads.",
        word("ported"),
        "changes_the_tune",
        "Flow above 4,000",
    );
    w.write(
        "2026-01-12T11:00:00Z",
        "operator",
        "run_attached",
        json!({ "run": "", "number": 3, "shows": "as received" }),
    );
    w.write("2026-01-12T14:00:00Z", "builder", "test_before", super::hill_climb_tests::even_and_low());
    w.write("2026-01-13T09:00:00Z", "office", "decision", json!({ "words": "Take it apart.", "owners_yes": { "how": "signed", "on": "2026-01-13" }, "agrees": "opened_up" }));
    w.stage("2026-01-13T09:30:00Z", "opened_up", NONE, "");
    let f1 = w.finding(
        "2026-01-14T10:00:00Z",
        &c1,
        "Compression",
        "8.12 : 1. Chambers 76 cc, gasket 0.041 in, deck 0.025 in, dish 12 cc.",
        ratio("8.12", Some(0.02)),
        "Burette 100 cc ±0.3; depth micrometer",
        "major",
        &[("burette", "Chamber 5, 76 cc."), ("depth", "Deck at cylinder 1, 0.025 in.")],
    );
    let f2 = w.finding(
        "2026-01-14T11:30:00Z",
        &c2,
        "Camshaft",
        "Flat hydraulic. Lobe lift 0.297 in.",
        word("flat hydraulic"),
        "Dial indicator 0.001 in",
        "major",
        &[("lobe", "Lobe 1, crown face of the lifter beside it.")],
    );
    let f3 = w.finding(
        "2026-01-14T15:00:00Z",
        &c3,
        "Heads",
        "As cast. 207 cfm at 28 inH2O.",
        word("as cast"),
        "Flow bench",
        "minor",
        &[("valve", "Intake port 3, casting skin in the bowl.")],
    );
    w.verdict("2026-01-14T16:00:00Z", &c1, "not_true", "8.12, told ten.", &[&f1]);
    w.verdict("2026-01-14T16:02:00Z", &c2, "not_true", "Flat followers on a flat cam.", &[&f2]);
    w.verdict("2026-01-14T16:04:00Z", &c3, "not_true", "Casting skin in every port.", &[&f3]);
    w.write("2026-01-15T09:00:00Z", "builder", "build_stated", json!({ "which": "agreed", "toml": BUILD }));
    w.write(
        "2026-01-15T10:00:00Z",
        "office",
        "decision",
        json!({
            "words": "64 cc aluminium heads, pistons with 5 cc relief, hydraulic roller 272/278.",
            "because": "10.3 to 1 suits 93 pump with aluminium heads; the cam keeps the idle.",
            "owners_yes": { "how": "signed on the estimate", "on": "2026-01-15" },
            "settles": [f1, f2],
            "agrees": "agreed_build"
        }),
    );
    w.stage("2026-01-15T10:30:00Z", "agreed_build", NONE, "");
    let p1 = w.write("2026-01-15T10:40:00Z", "office", "promise", json!({ "component": "Compression", "words": "10.3 to 1.", "promised": ratio("10.3", None), "weight": "decides_the_build" }));
    let p2 = w.write("2026-01-15T10:42:00Z", "office", "promise", json!({ "component": "Camshaft", "words": "Hydraulic roller 272/278.", "promised": word("hydraulic roller"), "weight": "decides_the_build" }));
    super::hill_climb_sheets::cruiser(&mut w, &p1, &p2);
    w
}
