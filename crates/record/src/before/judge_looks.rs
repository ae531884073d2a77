//! Tests by looking and listening: noise, borescope, oil and filter, plugs.

use super::check::once;
use super::judged::WarningKind;
use super::numbers::{and, list};
use super::patterns::Sign;
use super::writer::Writer;
use super::{
    Borescope, BorescopeSeen, Cell, ClockPlace, DebrisKind, ExpectedFromBuild, FilterCut, FilterDebris, KillEffect,
    LoadEffect, Noise, NoisePlace, NoiseRate, PlugColour, PlugMark, Plugs,
};
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn noise(out: &mut Writer<'_>, t: &Noise) {
    if t.heard.is_empty() {
        out.row("noise", vec![Cell::words("heard", "nothing")]);
    }
    for (n, heard) in t.heard.iter().enumerate() {
        let mut cells = vec![Cell::words("noise", &heard.words)];
        let mut add = |label: &str, words: Option<&str>| cells.push(Cell::words(label, words.unwrap_or("–")));
        add("loudest", heard.place.map(place));
        add("beat", heard.rate.map(rate));
        add("load", heard.load.map(load));
        let softer: Vec<u32> = heard.killed.iter().filter(|k| k.1 == KillEffect::Softer).map(|k| k.0).collect();
        let killed: Vec<String> = heard.killed.iter().map(|(c, e)| format!("{c} {}", effect(*e))).collect();
        add("cylinder shorted", (!killed.is_empty()).then(|| killed.join(", ")).as_deref());
        out.row(format!("noise {}", n + 1), cells);
        out.not_noted(&[
            ("where it is loudest", heard.place.is_some()),
            ("beat", heard.rate.is_some_and(|r| r != NoiseRate::NotTold)),
            ("load", heard.load.is_some()),
            ("each cylinder shorted", !heard.killed.is_empty()),
        ]);
        for cylinder in softer {
            out.sign(
                Sign::NoiseSofterKilled,
                &[cylinder],
                &format!("{}; softer with cylinder {cylinder} shorted", heard.words),
            );
        }
        if heard.heavy && heard.place == Some(NoisePlace::Bottom) && heard.load == Some(LoadEffect::LouderLoaded) {
            out.sign(Sign::NoiseHeavyBottom, &[], &format!("{}; heavy, at the bottom, louder under load", heard.words));
        }
        if heard.place == Some(NoisePlace::Top) && heard.rate == Some(NoiseRate::HalfSpeed) {
            out.sign(Sign::NoiseTopHalf, &[], &format!("{}; at the top, at half speed", heard.words));
        }
        if heard.cold == Some(true) && heard.hot == Some(false) {
            out.sign(Sign::NoiseColdOnly, &[], &format!("{}; there cold, gone hot", heard.words));
        }
    }
}

fn place(place: NoisePlace) -> &'static str {
    match place {
        NoisePlace::Top => "top",
        NoisePlace::Bores => "at the bores",
        NoisePlace::Bottom => "bottom",
        NoisePlace::Front => "front",
        NoisePlace::Rear => "rear",
    }
}

fn rate(rate: NoiseRate) -> &'static str {
    match rate {
        NoiseRate::HalfSpeed => "half speed",
        NoiseRate::FullSpeed => "full speed",
        NoiseRate::NoBeat => "no beat",
        NoiseRate::NotTold => "could not be told",
    }
}

fn load(load: LoadEffect) -> &'static str {
    match load {
        LoadEffect::LouderLoaded => "louder under load",
        LoadEffect::LouderUnloaded => "louder without load",
        LoadEffect::Same => "no change",
    }
}

fn effect(effect: KillEffect) -> &'static str {
    match effect {
        KillEffect::Softer => "softer",
        KillEffect::Same => "same",
        KillEffect::Louder => "louder",
    }
}

pub(super) fn borescope(out: &mut Writer<'_>, t: &Borescope, expected: Option<&ExpectedFromBuild>) {
    let mut by_cylinder: BTreeMap<u32, BTreeSet<ClockPlace>> = BTreeMap::new();
    let mut signs: BTreeMap<u32, Vec<(BorescopeSeen, ClockPlace)>> = BTreeMap::new();
    for view in &t.views {
        by_cylinder.entry(view.cylinder).or_default().insert(view.place);
        let seen: Vec<String> = view.seen.iter().map(|s| s.name().to_owned()).collect();
        let mut cells = vec![Cell::words("seen", &if seen.is_empty() { "–".to_owned() } else { and(&seen) })];
        if !view.words.is_empty() {
            cells.push(Cell::words("words", &view.words));
        }
        cells.push(Cell::words("photo", if view.photo.is_some() { "yes" } else { "none" }));
        out.row(format!("cylinder {}, {}", view.cylinder, view.place.name()), cells);
        for seen in &view.seen {
            signs.entry(view.cylinder).or_default().push((*seen, view.place));
        }
    }
    for (cylinder, seen) in &signs {
        for (kind, sign) in [
            (BorescopeSeen::VerticalScore, Sign::ScopeScore),
            (BorescopeSeen::WashedEdge, Sign::ScopeWashedEdge),
            (BorescopeSeen::ValvePrint, Sign::ScopeValvePrint),
            (BorescopeSeen::ShinyCrown, Sign::ScopeShinyCrown),
            (BorescopeSeen::NoHatch, Sign::ScopeNoHatch),
            (BorescopeSeen::Rust, Sign::ScopeRust),
        ] {
            let places: Vec<String> = seen.iter().filter(|s| s.0 == kind).map(|s| s.1.name().to_owned()).collect();
            if !places.is_empty() {
                out.sign(sign, &[*cylinder], &format!("cylinder {cylinder}: {} at {}", kind.name(), and(&places)));
            }
        }
    }
    let count = expected.and_then(|e| e.cylinders).or(t.cylinders).unwrap_or(0).min(64);
    let cylinders: BTreeSet<u32> = (1..=count).chain(by_cylinder.keys().copied()).collect();
    let mut missing = Vec::new();
    for cylinder in cylinders {
        let seen = by_cylinder.get(&cylinder);
        let gone: Vec<String> = ClockPlace::CLOCKS
            .iter()
            .filter(|c| seen.is_none_or(|s| !s.contains(c)))
            .map(|c| c.name().to_owned())
            .collect();
        if gone.len() == ClockPlace::CLOCKS.len() {
            missing.push(format!("cylinder {cylinder} all four clocks"));
        } else if !gone.is_empty() {
            missing.push(format!("cylinder {cylinder} {}", and(&gone)));
        }
    }
    if !missing.is_empty() {
        out.warn(WarningKind::NotNoted, format!("Not looked at: {}.", missing.join("; ")));
    }
    let bare = t.views.iter().filter(|v| v.photo.is_none()).count();
    if bare > 0 {
        let word = if bare == 1 { "view" } else { "views" };
        out.warn(WarningKind::NotNoted, format!("{bare} {word} without a photo."));
    }
}

pub(super) fn filter_debris(out: &mut Writer<'_>, t: &FilterDebris) {
    out.not_noted(&[
        ("how the filter was cut", t.cut.is_some()),
        ("water in the oil", t.water.is_some()),
        ("whether it is just run in", t.just_run_in.is_some()),
        ("sample in the middle of the drain", t.sample_mid_drain.is_some()),
    ]);
    let sawn = t.cut == Some(FilterCut::Saw);
    if sawn {
        out.warn(
            WarningKind::HowItWasDone,
            "Filter opened with a saw: it makes metal of its own. What is found says little.",
        );
    }
    if t.found.is_empty() {
        out.row("filter", vec![Cell::words("found", "nothing")]);
    }
    for debris in &t.found {
        let mut cells = vec![Cell::words("amount", debris.amount.name())];
        if !debris.words.is_empty() {
            cells.push(Cell::words("words", &debris.words));
        }
        out.row(debris.kind.name(), cells);
        let because =
            format!("{}, {}{}", debris.kind.name(), debris.amount.name(), if sawn { "; sawn open" } else { "" });
        let sign = match debris.kind {
            DebrisKind::FineFuzz => Sign::DebrisFuzz,
            DebrisKind::Magnetic => Sign::DebrisMagnetic,
            DebrisKind::Bright => Sign::DebrisBright,
            DebrisKind::Copper => Sign::DebrisCopper,
            DebrisKind::Other => continue,
        };
        // Fuzz is what run-in leaves; later it asks for a look.
        if sign != Sign::DebrisFuzz || t.just_run_in == Some(true) {
            out.sign(sign, &[], &because);
        }
    }
    if t.water == Some(true) {
        out.row("water", vec![Cell::words("found", "yes")]);
        out.sign(Sign::DebrisWater, &[], "water in the oil");
    }
    if !t.laboratory.is_empty() {
        out.row("laboratory", vec![Cell::words("words", &t.laboratory)]);
    }
}

pub(super) fn plugs(out: &mut Writer<'_>, t: &Plugs) {
    out.not_noted(&[("kept in order", t.kept_in_order.is_some())]);
    let mixed = t.kept_in_order == Some(false);
    if mixed {
        out.warn(WarningKind::HowItWasDone, "Plugs not kept in order: which cylinder they speak of is not known.");
    }
    for plug in &t.plugs {
        let marks: Vec<String> = plug.marks.iter().map(|m| m.name().to_owned()).collect();
        let mut cells = vec![Cell::words("colour", plug.colour.map_or("–", PlugColour::name))];
        cells.push(Cell::words("marks", &if marks.is_empty() { "none".to_owned() } else { and(&marks) }));
        if !plug.words.is_empty() {
            cells.push(Cell::words("words", &plug.words));
        }
        out.row(format!("cylinder {}", plug.cylinder), cells);
    }
    let plugs = once(&t.plugs, |p| p.cylinder);
    for (mark, sign) in [
        (PlugMark::AluminiumSpecks, Sign::PlugSpecks),
        (PlugMark::Pepper, Sign::PlugPepper),
        (PlugMark::BrokenPorcelain, Sign::PlugPorcelain),
        (PlugMark::OilWet, Sign::PlugOil),
        (PlugMark::SteamClean, Sign::PlugSteam),
    ] {
        let with: Vec<u32> = plugs.iter().filter(|p| p.marks.contains(&mark)).map(|p| p.cylinder).collect();
        if !with.is_empty() {
            let because = if mixed { mark.name().to_owned() } else { format!("{} on {}", mark.name(), list(&with)) };
            out.sign(sign, if mixed { &[] } else { &with }, &because);
        }
    }
    // One colour against the rest: said where all others agree.
    let coloured: Vec<(u32, PlugColour)> = plugs.iter().filter_map(|p| Some((p.cylinder, p.colour?))).collect();
    for (cylinder, colour) in coloured.iter().filter(|_| coloured.len() >= 3 && !mixed) {
        let mut others = coloured.iter().filter(|c| c.0 != *cylinder).map(|c| c.1);
        if let Some(first) = others.next()
            && first != *colour
            && others.all(|c| c == first)
        {
            let because = format!("cylinder {cylinder} {}, the others {}", colour.name(), first.name());
            out.sign(Sign::PlugDiffers, &[*cylinder], &because);
        }
    }
}
