//! Facts of a build that exclude each other.
//!
//! Every clash names the key to look at and both facts. What is missing is no clash. A printed
//! displacement that bore and stroke do not give is no clash either: the sheet flags it, because the
//! parts may be right and the page wrong.

use super::facts::{Facts, Lack};
use super::valves::{contradictions, side};
use super::{Build, Input};
use crate::cam::timing::{StatedTiming, check_card};
use crate::cam::{Valve, ValveEvent};
use crate::compression::target::quench_m;
use crate::fuel::Octane;
use crate::valve_area::{ValvePlace, check_pair_in_bore, check_valve_in_bore};
use crate::valve_train::spring::retainer_clearance_m;

/// Two facts that cannot both be true.
#[derive(Debug, Clone, PartialEq)]
pub struct Clash {
    /// Key of the build file to look at first.
    pub key: String,
    /// The two facts and why not, as one sentence.
    pub what: String,
}

const VALVES: [Valve; 2] = [Valve::Intake, Valve::Exhaust];

/// Every clash of a build, in the order of the file. Empty when nothing excludes anything.
pub fn check(build: &Build) -> Vec<Clash> {
    let facts = Facts::new(build);
    let mut found = Found { clashes: Vec::new() };
    bottom(&facts, &mut found);
    found.clashes.extend(super::each::check(build));
    numbering(build, &mut found);
    heads(&facts, &mut found);
    ports(&facts, &mut found);
    for valve in VALVES {
        camshaft(&facts, valve, &mut found);
        spring(&facts, valve, &mut found);
    }
    card(&facts, &mut found);
    drives(build, &mut found);
    fuel(&facts, &mut found);
    found.clashes
}

struct Found {
    clashes: Vec<Clash>,
}

impl Found {
    fn add(&mut self, key: impl Into<String>, what: impl Into<String>) {
        self.clashes.push(Clash { key: key.into(), what: what.into() });
    }

    /// A refusal of the arithmetic is a clash; a missing input is none.
    fn take<T>(&mut self, key: impl Into<String>, result: Result<T, Lack>) -> Option<T> {
        match result {
            Ok(value) => Some(value),
            Err(Lack::Missing { .. }) => None,
            Err(Lack::Refused(what)) => {
                self.add(key, what);
                None
            }
        }
    }
}

fn bottom(facts: &Facts<'_>, found: &mut Found) {
    found.take("block.rod_length", facts.crank());
    if found.take("gasket.bore", facts.clearance_volumes()).is_some() {
        found.take("piston.crown_volume", facts.clearance_m3());
    }
    let quench = facts
        .all(["block.deck_clearance", "gasket.thickness"])
        .and_then(|[deck_m, gasket_m]| quench_m(deck_m, gasket_m).map_err(Lack::from));
    found.take("block.deck_clearance", quench);
    let b = &facts.build().block;
    let stack = (&b.deck_height, &b.stroke, &b.rod_length, &facts.build().piston.compression_height, &b.deck_clearance);
    if let (Some(height), Some(stroke), Some(rod), Some(piston), Some(deck)) = stack {
        let left_m = height.si - 0.5 * stroke.si - rod.si - piston.si;
        let u_m = [height, rod, piston, deck].iter().map(|i| i.u * i.u).sum::<f64>().sqrt().hypot(0.5 * stroke.u);
        // Three uncertainties and a tenth of a millimetre for what a drawing rounds.
        if (left_m - deck.si).abs() > 3.0 * u_m + 1e-4 {
            found.add(
                "block.deck_clearance",
                format!(
                    "a deck clearance of {} and a deck height of {} cannot both be right: half the stroke, rod and \
                     compression height leave {:.3} mm",
                    deck.text,
                    height.text,
                    left_m * 1e3
                ),
            );
        }
    }
}

fn numbering(build: &Build, found: &mut Found) {
    let Some(cylinders) = build.block.cylinders else { return };
    let whole = |numbers: &[u32]| {
        let mut sorted = numbers.to_vec();
        sorted.sort_unstable();
        sorted == (1..=cylinders).collect::<Vec<_>>()
    };
    let words = |numbers: &[u32]| numbers.iter().map(u32::to_string).collect::<Vec<_>>().join("-");
    let order = &build.block.firing_order;
    if !order.is_empty() && !whole(order) {
        let what = format!(
            "a firing order of {} and {cylinders} cylinders cannot both be right: every number from 1 to {cylinders} \
             fires once",
            words(order)
        );
        found.add("block.firing_order", what);
    }
    let banks: Vec<u32> = build.block.banks.iter().flatten().copied().collect();
    if !banks.is_empty() && !whole(&banks) {
        let what = format!(
            "banks of {} and {cylinders} cylinders cannot both be right: every number from 1 to {cylinders} stands in \
             one bank",
            build.block.banks.iter().map(|b| words(b)).collect::<Vec<_>>().join(" and ")
        );
        found.add("block.banks", what);
    }
}

fn heads(facts: &Facts<'_>, found: &mut Found) {
    let build = facts.build();
    let head = &build.head;
    for valve in VALVES {
        let name = side(valve);
        let of = |key: &str| build.value(&format!("head.{name}_{key}"));
        if let (Some(bore), Some(size)) = (&build.block.bore, of("valve")) {
            found.take(format!("head.{name}_valve"), check_valve_in_bore(bore.si, size.si).map_err(Lack::from));
        }
        larger(found, &format!("head.{name}_throat"), "throat", of("throat"), "valve", of("valve"));
        larger(found, &format!("head.{name}_stem"), "stem", of("stem"), "throat", of("throat"));
    }
    let two = head.intake_valves.unwrap_or(1) == 1 && head.exhaust_valves.unwrap_or(1) == 1;
    let places = (&head.intake_valve, &head.exhaust_valve, &head.intake_valve_offset, &head.exhaust_valve_offset);
    if let (Some(bore), true, (Some(i), Some(e), Some(io), Some(eo))) = (&build.block.bore, two, places) {
        let place = |size: &Input, angle: &Option<Input>, offset: &Input| ValvePlace {
            valve_m: size.si,
            stem_angle_rad: angle.as_ref().map_or(0.0, |a| a.si.abs()),
            offset_m: offset.si,
        };
        let pair = check_pair_in_bore(
            bore.si,
            place(i, &head.intake_valve_angle, io),
            place(e, &head.exhaust_valve_angle, eo),
        );
        found.take("head.intake_valve_offset", pair.map_err(Lack::from));
    }
}

/// A clash when `inner` is not smaller than `outer`.
fn larger(
    found: &mut Found,
    key: &str,
    inner_name: &str,
    inner: Option<&Input>,
    outer_name: &str,
    outer: Option<&Input>,
) {
    if let (Some(inner), Some(outer)) = (inner, outer)
        && inner.si >= outer.si
    {
        let what = format!(
            "a {inner_name} of {} and a {outer_name} of {} cannot both be right: the {inner_name} has to be the \
                 smaller one",
            inner.text, outer.text
        );
        found.add(key, what);
    }
}

fn ports(facts: &Facts<'_>, found: &mut Found) {
    let build = facts.build();
    for (n, port) in build.flow.iter().enumerate() {
        let key = |k: &str| format!("flow.{}.{k}", n + 1);
        if port.lift.len() != port.flow.len() {
            let what = format!(
                "{} lifts and {} flows cannot both be right: every lift has one flow",
                port.lift.len(),
                port.flow.len()
            );
            found.add(key("flow"), what);
            continue;
        }
        found.take(key("lift"), facts.flow_curve(n).map(|_| ()));
        if let (Some(number), Some(cylinders)) = (port.port, build.block.cylinders) {
            if number > cylinders {
                found.add(key("port"), format!("port {number} and {cylinders} cylinders cannot both be right"));
            }
            let twin = build.flow[..n].iter().position(|p| p.port == port.port && p.valve == port.valve);
            if let Some(twin) = twin {
                let what = format!(
                    "tables {} and {} are both of {} port {number}; one port has one table",
                    twin + 1,
                    n + 1,
                    port.valve.as_deref().unwrap_or("an")
                );
                found.add(key("port"), what);
            }
        }
    }
}

fn camshaft(facts: &Facts<'_>, valve: Valve, found: &mut Found) {
    let (name, lobe) = (side(valve), facts.build().lobe.of(valve));
    if lobe.table_angle.len() != lobe.table_lift.len() {
        let what = format!(
            "{} angles and {} lifts of the lobe table cannot both be right: every angle has one lift",
            lobe.table_angle.len(),
            lobe.table_lift.len()
        );
        found.add(format!("lobe.{name}.table_lift"), what);
        return;
    }
    let first = [(!lobe.table_lift.is_empty(), "table_lift"), (!lobe.duration.is_empty(), "duration")];
    let list = first.iter().find(|(stated, _)| *stated).map_or("closes", |(_, list)| list);
    let key = format!("lobe.{name}.{list}");
    // The events may clash although a curve cannot be asked for without a lobe lift.
    if lobe.lobe_lift.is_none() && lobe.table_lift.is_empty() {
        found.take(key, facts.card_events(valve));
    } else {
        found.take(key, facts.lift_curve(valve));
    }
}

fn spring(facts: &Facts<'_>, valve: Valve, found: &mut Found) {
    let name = side(valve);
    let lift = facts.valve_lift_m(valve);
    if let Some(spring) = found.take(format!("spring.{name}.installed_height"), facts.valve_spring(valve))
        && let Ok(lift_m) = &lift
    {
        let gap = spring.bind_gap_m(*lift_m).map_err(Lack::from);
        found.take(format!("spring.{name}.coil_bind"), gap);
    }
    if let (Ok(lift_m), Some(room)) = (lift, &facts.build().spring.of(valve).retainer_room) {
        found.take(format!("spring.{name}.retainer_room"), retainer_clearance_m(room.si, lift_m).map_err(Lack::from));
    }
}

/// What the card prints beside its events, against the events.
fn card(facts: &Facts<'_>, found: &mut Found) {
    let build = facts.build();
    let full = |valve: Valve| {
        let lobe = build.lobe.of(valve);
        let events = facts.card_events(valve).ok()?;
        events.into_iter().rev().find(|e| {
            let at = |list: &[super::CheckedAngle]| list.iter().any(|c| c.check.same_as(e.check()));
            at(&lobe.opens) && at(&lobe.closes)
        })
    };
    let (Some(intake), Some(exhaust)) = (full(Valve::Intake), full(Valve::Exhaust)) else {
        for valve in VALVES {
            lone_centreline(facts, valve, full(valve), found);
        }
        return;
    };
    if !intake.check().same_as(exhaust.check()) {
        for (valve, events) in [(Valve::Intake, intake), (Valve::Exhaust, exhaust)] {
            lone_centreline(facts, valve, Some(events), found);
        }
        return;
    }
    let duration = |valve: Valve, events: &crate::cam::LobeEvents| {
        let list = &build.lobe.of(valve).duration;
        list.iter().find(|d| d.check.same_as(events.check())).map(|d| d.angle.deg())
    };
    let stated = StatedTiming {
        intake_duration_deg: duration(Valve::Intake, &intake),
        exhaust_duration_deg: duration(Valve::Exhaust, &exhaust),
        intake_centreline_deg: build.lobe.intake.centreline.as_ref().map(Input::deg),
        exhaust_centreline_deg: build.lobe.exhaust.centreline.as_ref().map(Input::deg),
        lobe_separation_cam_deg: build.cam.lobe_separation.as_ref().map(Input::deg),
        advance_deg: build.cam.advance.as_ref().map(Input::deg),
        overlap_deg: None,
    };
    // Cards print whole degrees.
    if let Err(errors) = check_card(&intake, &exhaust, &stated, 0.5) {
        for what in contradictions(errors) {
            let key = if what.contains("separation") {
                "cam.lobe_separation"
            } else if what.contains("advance") {
                "cam.advance"
            } else if what.contains("exhaust duration") {
                "lobe.exhaust.duration"
            } else if what.contains("duration") {
                "lobe.intake.duration"
            } else if what.contains("exhaust") {
                "lobe.exhaust.centreline"
            } else {
                "lobe.intake.centreline"
            };
            found.add(key, what);
        }
    }
}

fn lone_centreline(facts: &Facts<'_>, valve: Valve, events: Option<crate::cam::LobeEvents>, found: &mut Found) {
    let stated = facts.build().lobe.of(valve).centreline.as_ref();
    let (Some(events), Some(stated)) = (events, stated) else { return };
    let from_events = events.centreline_deg();
    if (stated.deg() - from_events).abs() > 1.0 {
        let said = |e: ValveEvent| e.to_string();
        let what = format!(
            "a centreline of {} and events of {} and {} cannot both be right: the events have their middle at \
             {from_events:.1}°",
            stated.text,
            said(events.opens()),
            said(events.closes())
        );
        found.add(format!("lobe.{}.centreline", side(valve)), what);
    }
}

fn drives(build: &Build, found: &mut Found) {
    let Some(blower) = &build.blower else { return };
    if let (Some(crank), Some(pulley), Some(ratio)) = (&blower.crank_pulley, &blower.blower_pulley, &blower.ratio) {
        let drive = crank.si / pulley.si * blower.step_up.as_ref().map_or(1.0, |s| s.si);
        if (drive / ratio.si - 1.0).abs() > 0.01 {
            let what = format!(
                "a drive ratio of {} and pulleys of {} and {} cannot both be right: the pulleys give {drive:.3}",
                ratio.text, crank.text, pulley.text
            );
            found.add("blower.ratio", what);
        }
    }
    let rows = [&blower.map_pressure_ratio.len(), &blower.map_flow.len(), &blower.map_efficiency.len()];
    if rows.iter().any(|n| **n != blower.map_speed.len()) {
        let what = format!(
            "{} speeds, {} pressure ratios, {} flows and {} efficiencies cannot all be right: every row of the map has one of each",
            blower.map_speed.len(),
            rows[0],
            rows[1],
            rows[2]
        );
        found.add("blower.map_speed", what);
    }
}

fn fuel(facts: &Facts<'_>, found: &mut Found) {
    let fuel = &facts.build().fuel;
    found.take("fuel.ethanol", facts.fuel());
    if let (Some(ron), Some(mon)) = (&fuel.ron, &fuel.mon) {
        found.take("fuel.ron", Octane::new(ron.si, mon.si).map_err(Lack::from));
    }
    if let (Some(volume), Some(mass)) = (&fuel.injector_flow, &fuel.injector_mass_flow) {
        let what = format!(
            "an injector flow of {} and one of {} are both stated; state one, with its test pressure",
            volume.text, mass.text
        );
        found.add("fuel.injector_mass_flow", what);
    }
}
