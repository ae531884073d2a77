//! The intake form: who asks for what, and what the engine is said to be.

use super::super::draw::Draw;
use super::super::sent::{Errors, Sent};
use super::super::value::sentence;
use maud::{Markup, html};
use quantity::Dimension;
use record::{JobOpened, Stated};

/// What an engine is built for: the key of the limit tables, and words.
pub(crate) const USES: [(&str, &str); 6] = [
    ("", "not said yet"),
    ("street", "Street, own breath"),
    ("street_boosted", "Street, boosted"),
    ("drag", "Drag"),
    ("endurance", "Endurance, circuit, hill climb"),
    ("marine", "Marine"),
];

/// The fields.
pub(crate) fn fields(draw: Draw<'_>) -> Markup {
    let uses: Vec<(String, String)> = USES.iter().map(|(k, w)| ((*k).to_owned(), (*w).to_owned())).collect();
    html! {
        (draw.trouble())
        section.sec.heavy {
            h2 { "The engine" }
            div.fields {
                (draw.line("title", "What it is", "A few words: 2.4-litre four, blown"))
                (draw.line("purpose", "What it is for", "Hill-climb car"))
                (draw.line("owner", "Who speaks for it", "Owner, or a name"))
                (draw.pick("built_for", "Limits of which use", "Which column of the limit tables counts", &uses))
                (draw.line("planned", "Hand-over planned", "Day, as 2026-04-17; empty if none"))
            }
        }
        section.sec {
            h2 { "In the owner\u{2019}s words" }
            (draw.area("complaint", "The complaint", "With when, where and how often. Do not put it into other words.", 4))
            (draw.area("goals", "Goals in order, one a line", "The first goal first: torque band, power, idle, life, noise, rules, money, date", 4))
        }
        section.sec {
            h2 { "Use" }
            div.fields {
                (draw.line("band_from", "Used from", "rpm"))
                (draw.line("band_to", "Used to", "rpm"))
                (draw.line("fuel", "Fuel that the owner can really buy", "With octane or share of alcohol"))
            }
            (draw.area("vehicle", "Vehicle", "Weight, gearing, tyre; hull and propeller", 2))
            (draw.area("emissions", "Emission equipment as found, and whether it is used on the road", "A record, no verdict on the law", 2))
        }
        section.sec {
            h2 { "Agreed at the door" }
            (draw.area("permission", "How far it may be taken apart, what may be spent, what happens to old parts", "", 3))
            (draw.area("arrival", "Condition on arrival", "Numbers stamped, levels, missing items; photos go in after this page", 3))
        }
    }
}

/// An opening as fields.
pub(crate) fn fill(it: &JobOpened) -> Sent {
    let mut sent = Sent::default();
    for (name, value) in [
        ("title", &it.title),
        ("purpose", &it.purpose),
        ("built_for", &it.built_for),
        ("complaint", &it.complaint),
        ("owner", &it.owner),
        ("vehicle", &it.vehicle),
        ("fuel", &it.fuel),
        ("emissions", &it.emissions),
        ("permission", &it.permission),
        ("arrival", &it.arrival),
        ("planned", &it.planned),
    ] {
        sent.put(name, value.clone());
    }
    sent.put("goals", it.goals.join("\n"));
    for (name, value) in [("band_from", &it.band_from), ("band_to", &it.band_to)] {
        sent.put(name, value.as_ref().map(|v| v.text.clone()).unwrap_or_default());
    }
    sent
}

/// The fields as an opening.
pub(crate) fn read(sent: &Sent, errors: &mut Errors) -> Option<JobOpened> {
    errors.need(sent, "title", "Say in a few words what the engine is.");
    let mut speed = |name: &str| {
        let text = sent.get(name);
        if text.is_empty() {
            return None;
        }
        match Stated::read(text, Dimension::RotationalSpeed, Some("rpm")) {
            Ok(stated) => Some(stated),
            Err(error) => {
                errors.on(name, sentence(&error.to_string()));
                None
            }
        }
    };
    let (from, to) = (speed("band_from"), speed("band_to"));
    match (&from, &to) {
        (Some(from), Some(to)) if from.si >= to.si => {
            errors.on("band_to", "The band ends before it begins; the higher speed belongs here.");
        }
        (Some(_), None) if sent.get("band_to").is_empty() => {
            errors.on("band_to", "A band has two ends; write the upper one too.")
        }
        (None, Some(_)) if sent.get("band_from").is_empty() => {
            errors.on("band_from", "A band has two ends; write the lower one too.")
        }
        _ => {}
    }
    let planned = sent.get("planned");
    if !planned.is_empty() && planned.parse::<jiff::civil::Date>().is_err() {
        errors
            .on("planned", format!("\u{201c}{planned}\u{201d} is no day; write it as 2026-04-17, or leave it empty."));
    }
    let built_for = sent.get("built_for");
    if !USES.iter().any(|(key, _)| *key == built_for) {
        errors.on("built_for", format!("\u{201c}{built_for}\u{201d} is no use that the limit tables know."));
    }
    if !errors.none() {
        return None;
    }
    Some(JobOpened {
        title: sent.text("title"),
        purpose: sent.text("purpose"),
        built_for: built_for.to_owned(),
        complaint: sent.text("complaint"),
        owner: sent.text("owner"),
        vehicle: sent.text("vehicle"),
        fuel: sent.text("fuel"),
        goals: sent.text("goals").lines().map(|l| l.trim().to_owned()).filter(|l| !l.is_empty()).collect(),
        band_from: from,
        band_to: to,
        emissions: sent.text("emissions"),
        permission: sent.text("permission"),
        arrival: sent.text("arrival"),
        planned: planned.to_owned(),
    })
}
