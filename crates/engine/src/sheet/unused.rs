//! What a build states and no figure of the sheet asked for, so that nothing is passed over in silence.

use crate::build::{Build, Facts, Takes, sections};

/// Values that are compared or refused where the build is checked, and words of the sheet.
const CHECKED: [&str; 9] = [
    "engine.stated_displacement",
    "block.deck_height",
    "piston.compression_height",
    "head.intake_valve",
    "head.exhaust_valve",
    "head.intake_valve_offset",
    "head.exhaust_valve_offset",
    "blower.crank_pulley",
    "blower.blower_pulley",
];

/// One notice with every key that is stated and not used; `None` when all is used.
pub(super) fn notice(facts: &Facts<'_>) -> Option<String> {
    let build = facts.build();
    let mut keys = Vec::new();
    for (section, fields, repeats) in sections() {
        if repeats {
            continue;
        }
        for field in fields.iter().filter(|f| matches!(f.takes, Takes::Value(_))) {
            let key = format!("{section}.{}", field.key);
            if build.value(&key).is_some() && !facts.was_read(&key) && !CHECKED.contains(&key.as_str()) {
                keys.push(key);
            }
        }
    }
    for field in sections().into_iter().filter(|(name, ..)| *name == "flow").flat_map(|(_, fields, _)| fields) {
        let stated = |n: &usize| build.value(&format!("flow.{n}.{}", field.key)).is_some();
        // The spread between ports is judged by it.
        if field.key == "repeatability" {
            continue;
        }
        let ports: Vec<usize> = (1..=build.flow.len()).filter(stated).collect();
        if !ports.is_empty() && !ports.iter().any(|n| facts.was_read(&format!("flow.{n}.{}", field.key))) {
            keys.push(format!("flow.{}", field.key));
        }
    }
    keys.extend(lists(build).into_iter().map(str::to_owned));
    (!keys.is_empty()).then(|| format!("stated, not used by any figure of this sheet: {}", keys.join(", ")))
}

/// What the file holds for the record, or for later: no arithmetic of the sheet takes it.
fn lists(build: &Build) -> Vec<&'static str> {
    let turbo = build.turbo.as_ref();
    let stated = [
        ("turbo.map_flow", turbo.is_some_and(|t| !t.map_flow.is_empty())),
        ("turbo.map_pressure_ratio", turbo.is_some_and(|t| !t.map_pressure_ratio.is_empty())),
        ("turbo.map_efficiency", turbo.is_some_and(|t| !t.map_efficiency.is_empty())),
        ("turbo.turbos", turbo.is_some_and(|t| t.turbos.is_some())),
        ("intake.throttles", build.intake.throttles.is_some()),
        ("schedule", !build.schedule.is_empty()),
    ];
    stated.into_iter().filter(|(_, stated)| *stated).map(|(key, _)| key).collect()
}
