//! Tests before teardown: what was read, what follows from it, and what it points to.
//!
//! [`TestBefore`] is what the person wrote down. [`judge`] works out the spreads, holds them against limits, and says
//! what the pattern points to. Limits, bands and patterns are tables ([`Table`]) that a shop edits; each row names
//! its source. A suggestion is a suggestion: the parts decide.
//!
//! Model: every reading carries its own uncertainty, and what one gauge is off by as a share of the reading cancels in
//! a ratio of two of its readings. Verdicts are three-valued with a guard of twice the standard uncertainty.
//! Left out: how a pressure gauge's own volume and check valve change a cranking reading, which is why readings of two
//! gauges are not compared.

mod agree;
mod check;
mod cranking_patterns;
mod expected;
mod judge_cooling;
mod judge_cranking;
mod judge_leak;
mod judge_looks;
mod judge_running;
mod judged;
mod kinds_looks;
mod kinds_pressure;
mod kinds_running;
mod numbers;
mod patterns;
mod table;
mod table_text;
mod words;
mod writer;

pub use agree::agree;
pub use check::Fault;
pub use expected::{ExpectedCranking, ExpectedFromBuild};
pub use judged::{Cell, Figure, Judged, Row, SourceTag, Sourced, Suggestion, Sure, VerdictLine, Warning, WarningKind};
pub use kinds_looks::{
    Amount, Borescope, BorescopeSeen, BorescopeView, ClockPlace, CoolingPressure, Debris, DebrisKind, FilterCut,
    FilterDebris, GasTest, PlugColour, PlugMark, PlugSeen, Plugs,
};
pub use kinds_pressure::{
    AirAt, AircraftCylinder, Cranking, CrankingCylinder, LeakCylinder, LeakDown, LeakDownAircraft, LeakReading, Tdc,
};
pub use kinds_running::{
    BlowBy, BlowByPull, CylinderBalance, CylinderDrop, KillEffect, LoadEffect, Noise, NoiseHeard, NoisePlace,
    NoiseRate, OilPressure, OilPressurePoint, RingPack, Vacuum, VacuumNeedle, VacuumPort,
};
pub use numbers::{barometer, height};
pub use table::{SHIPPED_FILES, Table, TableError, shipped};

use serde::{Deserialize, Serialize};

/// A test before teardown.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "test", rename_all = "snake_case", deny_unknown_fields)]
#[non_exhaustive]
pub enum TestBefore {
    /// Cranking compression, dry and wet.
    Cranking(Box<Cranking>),
    /// Leak-down in percent.
    LeakDown(Box<LeakDown>),
    /// Leak-down in the form of aircraft engines: what is held of 80 psi.
    LeakDownAircraft(Box<LeakDownAircraft>),
    /// Oil pressure, hot, over speed.
    OilPressure(Box<OilPressure>),
    /// Manifold vacuum.
    Vacuum(Box<Vacuum>),
    /// Where a noise sits.
    Noise(Noise),
    /// Borescope through the plug holes.
    Borescope(Borescope),
    /// What the oil and its filter hold.
    FilterDebris(FilterDebris),
    /// Spark plugs as they came out.
    Plugs(Plugs),
    /// Cooling system under pressure, and the test for combustion gas.
    CoolingPressure(Box<CoolingPressure>),
    /// Blow-by at the breather.
    BlowBy(Box<BlowBy>),
    /// Speed lost when each cylinder is shorted in turn.
    CylinderBalance(Box<CylinderBalance>),
    /// Any other test, in words.
    Other {
        /// Its name.
        name: String,
        /// What was done and seen.
        words: String,
    },
}

macro_rules! from {
    ($($kind:ident $(in $box:ident)?),*) => { $(impl From<$kind> for TestBefore {
        fn from(test: $kind) -> Self {
            Self::$kind($($box::new)?(test))
        }
    })* };
}
from!(
    Cranking in Box, LeakDown in Box, LeakDownAircraft in Box, OilPressure in Box, Vacuum in Box, Noise, Borescope,
    FilterDebris, Plugs, CoolingPressure in Box, BlowBy in Box, CylinderBalance in Box
);

impl TestBefore {
    /// What a person reads: "Cranking compression".
    pub fn name(&self) -> &str {
        match self {
            Self::Cranking(_) => "Cranking compression",
            Self::LeakDown(_) => "Leak-down",
            Self::LeakDownAircraft(_) => "Leak-down, aircraft form",
            Self::OilPressure(_) => "Oil pressure, hot",
            Self::Vacuum(_) => "Manifold vacuum",
            Self::Noise(_) => "Noise",
            Self::Borescope(_) => "Borescope",
            Self::FilterDebris(_) => "Oil and filter",
            Self::Plugs(_) => "Spark plugs",
            Self::CoolingPressure(_) => "Cooling system",
            Self::BlowBy(_) => "Blow-by",
            Self::CylinderBalance(_) => "Cylinder balance",
            Self::Other { name, .. } => name,
        }
    }

    /// One line for the notebook: name and readings as typed.
    pub fn words(&self) -> String {
        words::of(self)
    }

    /// The key in entries: "cranking".
    pub fn key(&self) -> &'static str {
        match self {
            Self::Cranking(_) => "cranking",
            Self::LeakDown(_) => "leak_down",
            Self::LeakDownAircraft(_) => "leak_down_aircraft",
            Self::OilPressure(_) => "oil_pressure",
            Self::Vacuum(_) => "vacuum",
            Self::Noise(_) => "noise",
            Self::Borescope(_) => "borescope",
            Self::FilterDebris(_) => "filter_debris",
            Self::Plugs(_) => "plugs",
            Self::CoolingPressure(_) => "cooling_pressure",
            Self::BlowBy(_) => "blow_by",
            Self::CylinderBalance(_) => "cylinder_balance",
            Self::Other { .. } => "other",
        }
    }

    /// What cannot be as written: a cylinder twice, a kind of quantity that does not fit, a share above 100 %.
    /// The entry keeps every word; what is at fault is left out of the figures.
    pub fn faults(&self) -> Vec<Fault> {
        check::faults(self)
    }
}

/// Works out a test and judges it by the tables that are shipped.
///
/// `expected` is what the engine's description leads one to expect; without it, nothing is said about the size of the
/// cranking pressure and about neighbours.
pub fn judge(test: &TestBefore, expected: Option<&ExpectedFromBuild>) -> Judged {
    judge_with(test, expected, shipped())
}

/// As [`judge`], by the shop's own table.
pub fn judge_with(test: &TestBefore, expected: Option<&ExpectedFromBuild>, table: &Table) -> Judged {
    let mut out = writer::Writer::new(test, table);
    for fault in test.faults() {
        out.fault(&fault);
    }
    match test {
        TestBefore::Cranking(t) => judge_cranking::judge(&mut out, t, expected),
        TestBefore::LeakDown(t) => judge_leak::judge(&mut out, t, expected),
        TestBefore::LeakDownAircraft(t) => judge_leak::judge_aircraft(&mut out, t, expected),
        TestBefore::OilPressure(t) => judge_running::oil_pressure(&mut out, t),
        TestBefore::Vacuum(t) => judge_running::vacuum(&mut out, t, expected),
        TestBefore::Noise(t) => judge_looks::noise(&mut out, t),
        TestBefore::Borescope(t) => judge_looks::borescope(&mut out, t, expected),
        TestBefore::FilterDebris(t) => judge_looks::filter_debris(&mut out, t),
        TestBefore::Plugs(t) => judge_looks::plugs(&mut out, t),
        TestBefore::CoolingPressure(t) => judge_cooling::cooling(&mut out, t),
        TestBefore::BlowBy(t) => judge_running::blow_by(&mut out, t),
        TestBefore::CylinderBalance(t) => judge_running::balance(&mut out, t),
        TestBefore::Other { words, .. } => out.row("seen", vec![Cell::words("words", words)]),
    }
    out.done()
}
