//! Sizes read at every cylinder: their mean stands for the engine, each one for its cylinder.
//!
//! The mean's uncertainty is the mean of the readings' own: one instrument reads them all, and what it is
//! off by does not average out. Left out: whether a cylinder was read twice.

use super::{Build, Clash, Input, Origin};

/// Keys that may hold one value for each cylinder.
pub const KEYS: [&str; 4] = ["block.bore", "block.deck_clearance", "piston.crown_volume", "head.chamber_volume"];

/// The readings of a key, in the order of the cylinders; empty when there is one value for all.
pub fn readings<'a>(build: &'a Build, key: &str) -> &'a [Input] {
    match key {
        "block.bore" => &build.block.bore_each,
        "block.deck_clearance" => &build.block.deck_clearance_each,
        "piston.crown_volume" => &build.piston.crown_volume_each,
        "head.chamber_volume" => &build.head.chamber_volume_each,
        _ => &[],
    }
}

/// The build of one cylinder (counted from 0): its own readings in place of the means.
pub fn of_cylinder(build: &Build, cylinder: usize) -> Build {
    let mut own = build.clone();
    for key in KEYS {
        if let Some(input) = readings(build, key).get(cylinder) {
            *place(&mut own, key) = Some(input.clone());
        }
    }
    own
}

/// Puts the mean in place of a value that is stated for each cylinder only.
pub(crate) fn take_means(build: &mut Build) {
    for key in KEYS {
        let Some(mean) = mean(readings(build, key)) else { continue };
        let place = place(build, key);
        if place.is_none() {
            *place = Some(mean);
        }
    }
}

/// Lists that do not name every cylinder, or that say something else than the value beside them.
pub(super) fn check(build: &Build) -> Vec<Clash> {
    let mut found = Vec::new();
    for key in KEYS {
        let each = readings(build, key);
        let Some(mean) = mean(each) else { continue };
        match build.block.cylinders {
            Some(cylinders) if cylinders as usize != each.len() => found.push(Clash {
                key: key.to_owned(),
                what: format!("{} values for {cylinders} cylinders; state one for each, or one for all", each.len()),
            }),
            _ => {}
        }
        // Half a step of the last digit and its own ±, on both sides.
        if let Some(one) = build.value(key)
            && (one.si - mean.si).abs() > 2.0 * one.u.hypot(mean.u).max(1e-12)
        {
            found.push(Clash {
                key: format!("{key}_each"),
                what: format!(
                    "{key} is stated as {} and the readings of each cylinder have another mean; leave one out",
                    one.text
                ),
            });
        }
    }
    found
}

fn mean(each: &[Input]) -> Option<Input> {
    let first = each.first()?;
    let n = each.len() as f64;
    let same = each.iter().all(|e| e.origin == first.origin);
    Some(Input {
        si: each.iter().map(|e| e.si).sum::<f64>() / n,
        u: each.iter().map(|e| e.u).sum::<f64>() / n,
        text: format!("mean of {} cylinders", each.len()),
        origin: if same { first.origin.clone() } else { Origin::NotStated },
    })
}

fn place<'a>(build: &'a mut Build, key: &str) -> &'a mut Option<Input> {
    match key {
        "block.bore" => &mut build.block.bore,
        "block.deck_clearance" => &mut build.block.deck_clearance,
        "piston.crown_volume" => &mut build.piston.crown_volume,
        _ => &mut build.head.chamber_volume,
    }
}
