//! The blown hill-climb four: nine claims, four of them not so. Invented.

use super::{NONE, Writer, degrees, mm, ratio, word};
use serde_json::{Value, json};

/// The build file of the engine as agreed; what was found differs in a few lines.
const BUILD: &str = include_str!("../../../../examples/builds/blown-hill-climb-four.toml");

pub(crate) fn job(folder: &str) -> Writer {
    let mut w = Writer::new(folder, 31, "2026-03-03T08:05:00Z");
    received(&mut w);
    let claims = claims(&mut w);
    tests(&mut w);
    w.write(
        "2026-03-05T15:10:00Z",
        "office",
        "decision",
        json!({
            "words": "Open it up as far as the crank; no parts are thrown away.",
            "because": "Knock ended run 3, and the cylinders leak unevenly.",
            "owners_yes": { "how": "by message", "on": "2026-03-05" },
            "agrees": "opened_up"
        }),
    );
    w.stage("2026-03-06T07:30:00Z", "opened_up", NONE, "");
    let findings = findings(&mut w, &claims);
    agreed(&mut w, &claims, &findings);
    super::hill_climb_build::build(&mut w);
    w
}

fn received(w: &mut Writer) {
    w.write("2026-03-03T08:10:00Z", "office", "job_opened", json!({
        "title": "2.4-litre four, blown",
        "purpose": "Hill-climb car",
        "built_for": "endurance",
        "complaint": "Pulls well cold. Hot, on the second climb, it goes flat above 5,000 and pings. It used to rev to 7,000.",
        "owner": "Owner",
        "vehicle": "Hill-climb car, 810 kg with driver, 4.3 final drive",
        "fuel": "98 RON pump petrol",
        "goals": ["Torque from 3,000 to 6,200", "No knock on a hot day", "Ready for the first climb in May"],
        "band_from": rpm("3000"),
        "band_to": rpm("6200"),
        "emissions": "No road plate; competition car. No catalyst found, none left out.",
        "permission": "Full teardown. Ask before spending more than the estimate. All old parts back to the owner.",
        "arrival": "Complete. Block 4417 stamped by hand, head number ground off. Oil 5 mm over full, smells of fuel.",
        "planned": "2026-04-17"
    }));
    w.write(
        "2026-03-03T09:40:00Z",
        "operator",
        "run_attached",
        json!({ "run": "", "number": 1, "shows": "as received" }),
    );
    w.note("2026-03-03T15:20:00Z", "operator", "Runs 1 to 3 as received. Knock ended run 3 at 5,900.");
}

fn rpm(text: &str) -> Value {
    let number: f64 = text.parse().unwrap_or(0.0);
    json!({ "text": format!("{text} rpm"), "dimension": "rotational_speed", "si": number * std::f64::consts::PI / 30.0, "step_si": std::f64::consts::PI / 30.0 })
}

fn claims(w: &mut Writer) -> Vec<String> {
    let at = |minute: u32| format!("2026-03-03T10:{minute:02}:00Z");
    let (build, tune, record) = ("decides_the_build", "changes_the_tune", "for_the_record");
    let mut all = vec![
        w.claim(&at(1), "Pistons", "Forged pistons, the good ones.", word("forged"), build, "Knock and boost"),
        w.claim(&at(3), "Compression", "8.8 to 1, safe for the blower.", ratio("8.80", None), build, "Knock and boost"),
        w.claim(&at(5), "Blower ratio", "Geared at 1.60.", ratio("1.60", None), build, "Boost and heat"),
        w.claim(
            &at(8),
            "Cam",
            "278 degree road-and-hill cam, 10.8 lift.",
            degrees("278", None),
            build,
            "Torque below 3,500",
        ),
        w.claim(&at(11), "Inlet valves", "Ported head with 44 mm inlets.", mm("44.0", None), tune, "Flow above 5,000"),
        w.claim(&at(13), "Overbore", "Bored half a millimetre over.", mm("92.50", None), tune, "Piston clearance"),
        w.claim(&at(15), "Ignition curve", "Mapped on a dyno last spring.", word("mapped"), tune, "Starting tune"),
        w.claim(&at(17), "Crank", "Ground and balanced.", word("balanced"), record, ""),
        w.claim(&at(19), "Oil pump", "New oil pump.", word("new"), record, ""),
    ];
    let invoice = w.photo("2026-03-03T10:24:00Z", "stamp", "Invoice line: pistons, cam, head work.", &[]);
    all.push(invoice);
    all
}

fn tests(w: &mut Writer) {
    for (at, body) in super::hill_climb_tests::all() {
        w.write(at, "builder", "test_before", body);
    }
}

fn findings(w: &mut Writer, claims: &[String]) -> Vec<String> {
    let c = |n: usize| claims[n].as_str();
    let f = vec![
        w.finding(
            "2026-03-06T10:12:00Z",
            c(0),
            "Pistons",
            "Cast. Gate mark and cast-in number on all four crowns; skirt 118 HB.",
            word("cast"),
            "Loupe ×10; hardness tester, ±4 HB",
            "major",
            &[
                ("piston-crown", "Crown 2: gate mark and cast-in number, rule in mm."),
                ("hardness", "Skirt of piston 2, 118 HB."),
            ],
        ),
        w.finding(
            "2026-03-09T11:30:00Z",
            c(1),
            "Compression",
            "9.77 : 1 on all four, within 0.04. Deck stands 0.30 mm low, gasket 1.22 mm.",
            ratio("9.77", Some(0.025)),
            "Burette 50 ml ±0.05; depth micrometer",
            "major",
            &[("burette", "Chamber 3 under the plate, 47.2 ml."), ("depth", "Deck at cylinder 3, 0.30 mm low.")],
        ),
        w.finding(
            "2026-03-09T14:05:00Z",
            c(2),
            "Blower ratio",
            "1.48. Ten turns of the crank give 14.8 of the rotor.",
            ratio("1.48", Some(0.005)),
            "Marked pulleys, counted twice",
            "minor",
            &[("pulleys", "Chalk marks after ten turns of the crank.")],
        ),
        w.finding(
            "2026-03-10T09:20:00Z",
            c(3),
            "Cam",
            "Inlet 272° at 0.10 mm, lift 10.1 mm. Exhaust lobe 4 worn by 0.35 mm.",
            degrees("272", Some(0.5)),
            "Degree wheel ±0.5°; dial gauge 0.01 mm",
            "major",
            &[("degree-wheel", "Inlet opening point, cylinder 1."), ("lobe", "Exhaust lobe 4, nose worn.")],
        ),
        w.finding(
            "2026-03-10T10:40:00Z",
            c(4),
            "Inlet valves",
            "42.0 mm, standard size. Ports cleaned, not reshaped: flow up 2 %.",
            mm("42.0", Some(0.02)),
            "Vernier ±0.02; flow bench at 7 kPa",
            "minor",
            &[("valve", "Inlet valve 1, 42.0 mm over the head.")],
        ),
        w.finding(
            "2026-03-10T13:15:00Z",
            c(5),
            "Overbore",
            "Bored, but worn: 92.51 to 92.56 mm. Cylinder 3 tapers 0.041 mm.",
            mm("92.56", Some(0.002)),
            "Bore gauge ±0.002 on a 92.50 ring",
            "minor",
            &[("bore", "Bore gauge in cylinder 3, bottom."), ("taper", "Cylinder 3, three heights marked.")],
        ),
        w.finding(
            "2026-03-10T15:00:00Z",
            c(6),
            "Ignition curve",
            "No card, file or date found. The owner is looking.",
            word("no record"),
            "Looked through the papers with the owner",
            "note",
            &[],
        ),
        w.finding(
            "2026-03-11T09:10:00Z",
            c(7),
            "Crank",
            "Journals 54.74 to 54.75 mm, one size under. Out of balance 3 g·cm, limit 8.",
            word("balanced"),
            "Micrometer ±0.002; balancer",
            "note",
            &[("crank", "Crank in the balancer, 3 g·cm.")],
        ),
        w.finding(
            "2026-03-11T10:00:00Z",
            c(8),
            "Oil pump",
            "End float 0.06 mm, limit 0.10. No marks on the cover.",
            word("new"),
            "Feeler gauge 0.01 mm",
            "note",
            &[("pump", "Pump rotors, cover off.")],
        ),
    ];
    let because = [
        "Cast-in number on every crown.",
        "9.77, told 8.80: 0.97 higher on all four.",
        "1.48, told 1.60.",
        "Six degrees shorter than told; the lift is 10.1, not 10.8; one lobe is worn.",
        "42.0 mm, the standard size.",
        "Bored over, but 0.06 past the size told and out of round.",
        "A card of the last tune would tell, or the file out of the ignition box.",
        "Balanced within the limit.",
        "No wear.",
    ];
    let verdicts = ["not_true", "not_true", "not_true", "partly", "not_true", "partly", "cannot_tell", "true", "true"];
    for n in 0..9 {
        let at = format!("2026-03-11T14:{:02}:00Z", 2 * n + 1);
        w.verdict(&at, c(n), verdicts[n], because[n], &[f[n].as_str()]);
    }
    w.write("2026-03-06T16:30:00Z", "builder", "question", json!({ "words": "Who set the ignition curve, and when?", "to": "owner", "stops_hand_over": false, "about": [c(6)] }));
    f
}

fn agreed(w: &mut Writer, claims: &[String], findings: &[String]) {
    let found = BUILD
        .replace("2432 cc, claimed by the builder", "2432 cc, claimed by the last shop")
        .replace("crown_volume = \"10.5 cc", "crown_volume = \"1.5 cc");
    w.write("2026-03-11T16:00:00Z", "builder", "build_stated", json!({ "which": "as_found", "toml": found }));
    w.write("2026-03-12T09:30:00Z", "builder", "build_stated", json!({ "which": "agreed", "toml": BUILD }));
    w.write("2026-03-12T16:45:00Z", "office", "decision", json!({
        "words": "Hone to 92.75, forged pistons for 8.6 to 1, blower at 1.62, inlet cam 268°, new springs. The head stays as it is.",
        "because": "Keeps knock away on 98 RON on a hot day and gives the torque from 3,000 to 6,200. Owner saw all findings on the bench.",
        "owners_yes": { "how": "signed on the estimate", "on": "2026-03-12" },
        "settles": [findings[0], findings[1], findings[3]],
        "agrees": "agreed_build"
    }));
    w.stage("2026-03-13T08:00:00Z", "agreed_build", NONE, "");
    let _ = claims;
}
