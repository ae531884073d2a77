//! Cylinder by cylinder: what differs where sizes were read at each one.
//!
//! Model: each cylinder with its own bore, deck, chamber and crown, all else as for the engine. Of a spread,
//! only what was read at each cylinder counts as its uncertainty: what all share cancels. Left out:
//! correlation between the readings of one instrument.

use super::{Figure, HangsOn, Work};
use crate::build::{Facts, each};
use crate::compression::static_ratio;

/// Label, key of the build file, key of the figure.
const SPREADS: [(&str, &str, &str); 4] = [
    ("bore, greatest less least", "block.bore", "bore_spread_m"),
    ("deck clearance, greatest less least", "block.deck_clearance", "deck_spread_m"),
    ("chamber, greatest less least", "head.chamber_volume", "chamber_spread_m3"),
    ("crown volume, greatest less least", "piston.crown_volume", "crown_spread_m3"),
];

/// A value with the part of its uncertainty that is the cylinder's own.
#[derive(Clone, Copy)]
struct Own {
    value: f64,
    u: f64,
}

pub(super) fn cylinders(work: &mut Work<'_>) {
    let build = work.facts.build();
    let listed: Vec<&str> = each::KEYS.into_iter().filter(|key| !each::readings(build, key).is_empty()).collect();
    if listed.is_empty() {
        return;
    }
    work.section("cylinders", "Cylinder by cylinder");
    for (label, key, figure) in SPREADS {
        let own: Vec<Own> = each::readings(build, key).iter().map(|i| Own { value: i.si, u: i.u }).collect();
        spread(work, figure, label, &own, &[key]);
    }
    let count = listed.iter().map(|key| each::readings(build, key).len()).max().unwrap_or(0);
    let (mut ratios, mut volumes) = (Vec::new(), Vec::new());
    for n in 0..count {
        let own = each::of_cylinder(build, n);
        let facts = Facts::new(&own);
        let (key, label) =
            (format!("cylinder_{}_ratio", n + 1), format!("static compression ratio of cylinder {}", n + 1));
        let ratio = facts.figure(|f| Ok(static_ratio(f.cylinder_sizes()?.swept_m3(), f.clearance_m3()?)?));
        let volume = facts.figure(|f| f.clearance_m3());
        let (ratio, volume) = match (ratio, volume) {
            (Ok(ratio), Ok(volume)) => (ratio, volume),
            (Err(lack), _) | (_, Err(lack)) => {
                work.lack(&key, &label, &lack);
                continue;
            }
        };
        for (found, out) in [(&ratio, &mut ratios), (&volume, &mut volumes)] {
            let share: f64 = found.hangs_on.iter().filter(|(k, _)| listed.contains(&k.as_str())).map(|(_, s)| s).sum();
            out.push(Own { value: found.estimate.value, u: found.estimate.u * share.max(0.0).sqrt() });
        }
        let u = Some(ratio.estimate.u).filter(|u| u.is_finite());
        let hangs_on = ratio.hangs_on.into_iter().map(|(key, s)| HangsOn { key, share: s.is_finite().then_some(s) });
        work.put(Figure { key, label, value: ratio.estimate.value, u, hangs_on: hangs_on.collect(), note: ratio.note });
    }
    if ratios.len() == count {
        spread(work, "ratio_spread", "compression ratio, greatest less least", &ratios, &listed);
        spread(work, "clearance_spread_m3", "clearance volume, greatest less least", &volumes, &listed);
    }
}

fn spread(work: &mut Work<'_>, key: &str, label: &str, own: &[Own], keys: &[&str]) {
    let at = |pick: fn(f64, f64) -> bool| {
        own.iter().enumerate().reduce(|a, b| if pick(b.1.value, a.1.value) { b } else { a })
    };
    let (Some((high_at, high)), Some((low_at, low))) = (at(|b, a| b > a), at(|b, a| b < a)) else { return };
    let u = high.u.hypot(low.u);
    work.put(Figure {
        key: key.to_owned(),
        label: label.to_owned(),
        value: high.value - low.value,
        u: u.is_finite().then_some(u),
        hangs_on: keys.iter().map(|k| HangsOn { key: (*k).to_owned(), share: None }).collect(),
        note: Some(format!("greatest at cylinder {}, least at {}", high_at + 1, low_at + 1)),
    });
}
