//! The description of an engine: every input with its uncertainty and origin.
//!
//! A [`Build`] is plain data. [`crate::build_file`] reads and writes it, [`Facts`] hands its inputs to
//! the arithmetic and lists what had to be assumed, [`check()`] finds facts that exclude each other.
//! What is not stated is `None` or empty; nothing is filled in here.
//!
//! # Source
//! Signs and terms of the trade, as documented with each field. Uncertainty: GUM, JCGM 100:2008 (from
//! memory): a stated ± is taken as 95 % and halved, an unstated one as the rounding of the last digit.

pub mod check;
pub mod each;
pub mod facts;
mod flow;
mod input;
pub mod map;
mod parts;
pub(crate) mod section;
mod valves;

pub use check::{Clash, check};
pub use facts::{Facts, Lack, UsedAssumption};
pub use input::{Input, Kind, Origin};
pub use parts::{
    Ambient, Block, Blower, Cam, CheckedAngle, Compression, EnginePart, ExhaustSide, FuelSide, Gasket, Head,
    IntakeSide, Lobe, Pair, Piston, PortFlow, Readings, Rod, SchedulePoint, Turbo, ValveSpring, ValveTrain,
};
pub use section::{Field, Takes};

use section::Section;

/// An engine as described in one build file.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Build {
    /// Name, use, speed limit.
    pub engine: EnginePart,
    /// Block, crank and rod lengths.
    pub block: Block,
    /// Rod masses.
    pub rod: Rod,
    /// Piston.
    pub piston: Piston,
    /// Head gasket.
    pub gasket: Gasket,
    /// Head.
    pub head: Head,
    /// What the compression is to be.
    pub compression: Compression,
    /// Clearances and gaps as read.
    pub readings: Readings,
    /// Ports on the bench.
    pub flow: Vec<PortFlow>,
    /// The pair of lobes together.
    pub cam: Cam,
    /// Each lobe.
    pub lobe: Pair<Lobe>,
    /// Moving masses.
    pub valve_train: Pair<ValveTrain>,
    /// Springs.
    pub spring: Pair<ValveSpring>,
    /// Intake side.
    pub intake: IntakeSide,
    /// Exhaust side.
    pub exhaust: ExhaustSide,
    /// Blower, when there is one.
    pub blower: Option<Blower>,
    /// Turbocharger, when there is one.
    pub turbo: Option<Turbo>,
    /// Fuel side.
    pub fuel: FuelSide,
    /// Spark and mixture.
    pub schedule: Vec<SchedulePoint>,
    /// Air.
    pub ambient: Ambient,
}

impl Build {
    /// A stated value by its key in the file: `"block.bore"`, `"lobe.intake.lash"`, `"flow.2.test_pressure"`
    /// (tables that repeat are counted from 1), `"lobe.intake.duration.1"`.
    pub fn value(&self, key: &str) -> Option<&Input> {
        let parts: Vec<&str> = key.split('.').collect();
        match parts.as_slice() {
            ["engine", k] => self.engine.value(k),
            ["block", k] => self.block.value(k),
            ["rod", k] => self.rod.value(k),
            ["piston", k] => self.piston.value(k),
            ["gasket", k] => self.gasket.value(k),
            ["head", k] => self.head.value(k),
            ["compression", k] => self.compression.value(k),
            ["readings", k] => self.readings.value(k),
            ["cam", k] => self.cam.value(k),
            ["intake", k] => self.intake.value(k),
            ["exhaust", k] => self.exhaust.value(k),
            ["blower", k] => self.blower.as_ref()?.value(k),
            ["turbo", k] => self.turbo.as_ref()?.value(k),
            ["fuel", k] => self.fuel.value(k),
            ["ambient", k] => self.ambient.value(k),
            ["lobe", side, k] => side_of(&self.lobe, side)?.value(k),
            ["lobe", side, list, n] => {
                let lobe = side_of(&self.lobe, side)?;
                let n = n.parse::<usize>().ok()?.checked_sub(1)?;
                let checked = match *list {
                    "duration" => &lobe.duration,
                    "opens" => &lobe.opens,
                    "closes" => &lobe.closes,
                    _ => return None,
                };
                checked.get(n).map(|c| &c.angle)
            }
            ["valve_train", side, k] => side_of(&self.valve_train, side)?.value(k),
            ["spring", side, k] => side_of(&self.spring, side)?.value(k),
            ["flow", n, k] => self.flow.get(n.parse::<usize>().ok()?.checked_sub(1)?)?.value(k),
            ["schedule", n, k] => self.schedule.get(n.parse::<usize>().ok()?.checked_sub(1)?)?.value(k),
            _ => None,
        }
    }
}

fn side_of<'a, T>(pair: &'a Pair<T>, side: &str) -> Option<&'a T> {
    match side {
        "intake" => Some(&pair.intake),
        "exhaust" => Some(&pair.exhaust),
        _ => None,
    }
}

/// Every section of the file with its fields, for documentation: name as written in the file, what it
/// is, and whether the section may repeat.
pub fn sections() -> Vec<(&'static str, &'static [Field], bool)> {
    vec![
        ("engine", EnginePart::fields(), false),
        ("block", Block::fields(), false),
        ("rod", Rod::fields(), false),
        ("piston", Piston::fields(), false),
        ("gasket", Gasket::fields(), false),
        ("head", Head::fields(), false),
        ("compression", Compression::fields(), false),
        ("readings", Readings::fields(), false),
        ("flow", PortFlow::fields(), true),
        ("cam", Cam::fields(), false),
        ("lobe.intake", Lobe::fields(), false),
        ("lobe.exhaust", Lobe::fields(), false),
        ("valve_train.intake", ValveTrain::fields(), false),
        ("valve_train.exhaust", ValveTrain::fields(), false),
        ("spring.intake", ValveSpring::fields(), false),
        ("spring.exhaust", ValveSpring::fields(), false),
        ("intake", IntakeSide::fields(), false),
        ("exhaust", ExhaustSide::fields(), false),
        ("blower", Blower::fields(), false),
        ("turbo", Turbo::fields(), false),
        ("fuel", FuelSide::fields(), false),
        ("schedule", SchedulePoint::fields(), true),
        ("ambient", Ambient::fields(), false),
    ]
}
