//! The exhaust side: ports, primaries, how they are joined, what is behind.

use super::take::Take;
use super::{CylinderParts, PartsError, ValveTable};
use std::f64::consts::FRAC_PI_4;

/// How primaries are joined.
#[derive(Debug, Clone, PartialEq)]
pub enum Joined {
    /// Each has its own end.
    Separate,
    /// Groups of cylinders (indices), each into one collector.
    Groups(Vec<Vec<usize>>),
    /// Pairs (indices) into secondaries, these into one collector for each group.
    Pairs {
        /// For each collector the pairs that reach it.
        groups: Vec<Vec<Vec<usize>>>,
        /// Length of a secondary, m.
        secondary_m: f64,
        /// Its cross-section, m².
        secondary_area_m2: f64,
    },
}

/// What is behind a collector.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tail {
    /// The air.
    Open,
    /// A pipe with a silencer.
    Pipe {
        /// Cross-section, m².
        area_m2: f64,
        /// Length up to the silencer, m.
        length_m: f64,
        /// Loss of silencer and what is behind, in dynamic heads of the pipe.
        loss: f64,
    },
}

/// Exhaust side.
#[derive(Debug, Clone, PartialEq)]
pub struct ExhaustParts {
    /// Port in the head, m; part of the primary as stated.
    pub port_m: f64,
    /// Its cross-section, m².
    pub port_area_m2: f64,
    /// Primary, valve to collector, m.
    pub primary_m: f64,
    /// Its cross-section, m².
    pub primary_area_m2: f64,
    /// How they are joined.
    pub joined: Joined,
    /// Collector, m.
    pub collector_m: f64,
    /// Its cross-section, m².
    pub collector_area_m2: f64,
    /// What is behind it.
    pub tail: Tail,
    /// Wall of ports and pipes, K.
    pub wall_k: f64,
}

impl ExhaustParts {
    pub(super) fn new(
        take: &Take<'_, '_>,
        cylinders: &[CylinderParts],
        valve: &ValveTable,
    ) -> Result<Self, PartsError> {
        let port_m = 0.07f64;
        let head = valve.head_m * f64::from(valve.count).sqrt();
        let bore_m = take.or_mm("exhaust.primary_bore", 1.08 * head, "primaries a little wider than the valves");
        let primary_m = take.or_mm("exhaust.primary_length", 0.75, "a usual header");
        let area = |bore: f64| FRAC_PI_4 * bore * bore;
        let joined = joined(take, cylinders, primary_m, bore_m);
        let joins = !matches!(joined, Joined::Separate);
        let (collector_m, collector_area_m2) = if joins {
            let bore = take.or_mm("exhaust.collector_bore", 1.75 * bore_m, "1.75 primaries");
            (take.or_mm("exhaust.collector_length", 0.3, "a usual collector"), area(bore))
        } else {
            (0.0, area(bore_m))
        };
        let tail = match take.facts.stated("exhaust.pipe_bore") {
            Some(bore) => {
                let length_m = 2.0;
                let loss = take.constant("exhaust.silencer_loss");
                let text = format!("{length_m:.1} m and a loss of {loss:.1} dynamic heads");
                take.note("exhaust pipe", &text, "a pipe is stated, its length and silencer are not", "C");
                Tail::Pipe { area_m2: area(bore), length_m, loss }
            }
            None => {
                let why = "no pipe behind the collector is stated";
                take.note("exhaust.pipe_bore", "open to the air", why, "C");
                Tail::Open
            }
        };
        if !(primary_m > 0.02 && bore_m > 0.0) {
            return Err(PartsError::NoEngine {
                what: "an exhaust primary".into(),
                found: format!("{:.0} mm of {:.0} mm bore", primary_m * 1e3, bore_m * 1e3),
                expected: "a length above 20 mm and a bore",
            });
        }
        Ok(Self {
            port_m: port_m.min(0.5 * primary_m),
            port_area_m2: valve.port_area_m2,
            primary_m,
            primary_area_m2: area(bore_m),
            joined,
            collector_m,
            collector_area_m2,
            tail,
            wall_k: take.constant("exhaust.wall_temperature"),
        })
    }
}

fn joined(take: &Take<'_, '_>, cylinders: &[CylinderParts], primary_m: f64, bore_m: f64) -> Joined {
    let word = take.facts.build().exhaust.joined.clone().map(|w| w.to_lowercase());
    let said = |part: &str| word.as_deref().is_some_and(|w| w.contains(part));
    if cylinders.len() == 1 || said("separate") || said("individual") || said("open stub") {
        return Joined::Separate;
    }
    // A collector for each bank, else one for all.
    let banks = cylinders.iter().map(|c| c.bank).max().unwrap_or(0) + 1;
    let by_bank: Vec<Vec<usize>> =
        (0..banks).map(|b| (0..cylinders.len()).filter(|&i| cylinders[i].bank == b).collect()).collect();
    let groups = if banks > 1 && !said("all into one") { by_bank } else { vec![(0..cylinders.len()).collect()] };
    if word.is_none() {
        let text = if banks > 1 { "one collector a bank" } else { "one collector" };
        take.note("exhaust.joined", text, "the usual header", "C");
    }
    let pairs = said("into two") || said("4-2-1") || said("tri-y");
    if !pairs {
        return Joined::Groups(groups);
    }
    // Cylinders half a cycle apart share a secondary.
    let pair_up = |group: &Vec<usize>| -> Vec<Vec<usize>> {
        let mut order = group.clone();
        order.sort_by(|&a, &b| cylinders[a].fires_rad.total_cmp(&cylinders[b].fires_rad));
        let half = order.len() / 2;
        if !order.len().is_multiple_of(2) || half == 0 {
            return vec![order];
        }
        (0..half).map(|i| vec![order[i], order[i + half]]).collect()
    };
    let secondary_m = (0.5 * primary_m).max(0.2);
    let bore = 1.2 * bore_m;
    let text = format!("{:.0} mm of {:.0} mm bore", secondary_m * 1e3, bore * 1e3);
    take.note("exhaust secondaries", &text, "half the primaries and a fifth wider", "C");
    Joined::Pairs {
        groups: groups.iter().map(pair_up).collect(),
        secondary_m,
        secondary_area_m2: FRAC_PI_4 * bore * bore,
    }
}
