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
        displacement_m3: f64,
    ) -> Result<Self, PartsError> {
        let port_m = 0.07f64;
        let words = Words::new(take);
        let port_bore = (valve.port_area_m2 / FRAC_PI_4).sqrt();
        let why = "a sixth wider than the port";
        let bore_m = take.or_mm("exhaust.primary_bore", 1.16 * port_bore, why);
        let primary_m = if words.cast {
            take.or_mm(
                "exhaust.primary_length",
                0.30,
                "cast manifolds: port and a short way to where the cylinders meet",
            )
        } else if words.say(&["short"]) {
            take.or_mm("exhaust.primary_length", 0.40, "short headers, as cars come with them")
        } else {
            take.or_mm("exhaust.primary_length", 0.75, "a usual header")
        };
        let area = |bore: f64| FRAC_PI_4 * bore * bore;
        let joined = joined(take, &words, cylinders, primary_m, bore_m);
        let joins = !matches!(joined, Joined::Separate);
        let (collector_m, collector_area_m2) = if joins {
            let (share, why) =
                if words.cast { (1.4, "1.4 primaries: cast manifolds") } else { (1.75, "1.75 primaries") };
            let bore = take.or_mm("exhaust.collector_bore", share * bore_m, why);
            (take.or_mm("exhaust.collector_length", 0.3, "a usual collector"), area(bore))
        } else {
            (0.0, area(bore_m))
        };
        let tail = tail(take, &words, &joined, cylinders, displacement_m3);
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

/// What the words of a build say of its exhaust.
struct Words {
    said: Option<String>,
    /// Cast manifolds, not headers of tube.
    cast: bool,
}

impl Words {
    fn new(take: &Take<'_, '_>) -> Self {
        let said = take.facts.build().exhaust.joined.clone().map(|w| w.to_lowercase());
        let mut words = Self { said, cast: false };
        let header = words.say(&["header", "tubular", "tube", "separate", "individual", "open"]);
        words.cast = words.say(&["cast", "log"]) || (words.say(&["manifold"]) && !header);
        if !words.cast && !header && take.facts.stated("exhaust.primary_length").is_none() {
            // Whoever knows the pipe of a car and nothing of the primaries has what the car came with.
            words.cast = take.facts.stated("exhaust.pipe_bore").is_some();
        }
        words
    }

    /// Whether there is a whole exhaust of a car behind the collectors.
    fn whole(&self) -> bool {
        self.say(&["pipe", "silencer", "muffler", "catalyst", "dual", "whole exhaust", "cast"]) && !self.say(&["open"])
    }

    fn say(&self, any: &[&str]) -> bool {
        self.said.as_deref().is_some_and(|w| any.iter().any(|part| w.contains(part)))
    }
}

/// Whether the build says that the engine has its whole exhaust: by its pipe, or in words.
pub(super) fn has_whole_exhaust(take: &Take<'_, '_>) -> bool {
    take.facts.stated("exhaust.pipe_bore").is_some() || Words::new(take).whole()
}

/// What is behind the collectors.
fn tail(
    take: &Take<'_, '_>,
    words: &Words,
    joined: &Joined,
    cylinders: &[CylinderParts],
    displacement_m3: f64,
) -> Tail {
    let ends = match joined {
        Joined::Separate => cylinders.len(),
        Joined::Groups(groups) => groups.len(),
        Joined::Pairs { groups, .. } => groups.len(),
    } as f64;
    let whole = words.whole();
    let bore = take.facts.stated("exhaust.pipe_bore");
    let all_m2 = match bore {
        // One pipe behind two collectors is shared between them.
        Some(bore) if words.say(&["single"]) => FRAC_PI_4 * bore * bore,
        Some(bore) => ends * FRAC_PI_4 * bore * bore,
        None if whole => {
            let limit = take.facts.stated("engine.rev_limit").unwrap_or(650.0);
            let all = displacement_m3 * limit / 650.0;
            let text = format!("{:.0} mm, {ends:.0} of them", 1e3 * (all / ends / FRAC_PI_4).sqrt());
            take.note("exhaust.pipe_bore", &text, "10 cm² for each litre of displacement at 6,200 rpm", "C");
            all
        }
        None => {
            let why = "no pipe behind the collector is stated";
            take.note("exhaust.pipe_bore", "open to the air", why, "C");
            return Tail::Open;
        }
    };
    let length_m = 2.0;
    let loss = take.constant("exhaust.silencer_loss");
    let text = format!("{length_m:.1} m and a loss of {loss:.1} dynamic heads");
    take.note("exhaust pipe", &text, "its length and silencer are not stated", "C");
    Tail::Pipe { area_m2: all_m2 / ends, length_m, loss }
}

fn joined(take: &Take<'_, '_>, words: &Words, cylinders: &[CylinderParts], primary_m: f64, bore_m: f64) -> Joined {
    let said = |part: &str| words.say(&[part]);
    if cylinders.len() == 1 || said("separate") || said("individual") || said("open stub") {
        return Joined::Separate;
    }
    // A collector for each bank, else one for all.
    let banks = cylinders.iter().map(|c| c.bank).max().unwrap_or(0) + 1;
    let by_bank: Vec<Vec<usize>> =
        (0..banks).map(|b| (0..cylinders.len()).filter(|&i| cylinders[i].bank == b).collect()).collect();
    let groups = if banks > 1 && !said("all into one") { by_bank } else { vec![(0..cylinders.len()).collect()] };
    if words.said.is_none() {
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
