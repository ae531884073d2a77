//! Tests on the running engine, as written down: oil pressure, vacuum, noise, blow-by, cylinder balance.

use crate::{InstrumentUsed, Stated};
use serde::{Deserialize, Serialize};

/// Oil pressure over speed.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct OilPressure {
    /// The readings.
    pub points: Vec<OilPressurePoint>,
    /// Oil temperature.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub oil_temperature: Option<Stated>,
    /// Grade of the oil in it: "10W-40", "not known".
    #[serde(skip_serializing_if = "String::is_empty")]
    pub grade: String,
    /// Read on a mechanical gauge, not on the one in the dash.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mechanical_gauge: Option<bool>,
    /// The gauge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<InstrumentUsed>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// One reading of the oil pressure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OilPressurePoint {
    /// Engine speed.
    pub speed: Stated,
    /// Pressure.
    pub pressure: Stated,
    /// It is the idle.
    #[serde(default)]
    pub idle: bool,
}

/// Where the vacuum was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum VacuumPort {
    /// All runners join there, below the throttle.
    Manifold,
    /// One plane of a split plenum.
    OnePlane,
    /// Above the throttle at idle.
    Ported,
}

/// What the needle did at idle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum VacuumNeedle {
    /// It stood still.
    Steady,
    /// It dropped by the same amount at a regular beat.
    RegularFlick,
    /// It trembled, and more so as speed rose.
    FastFlutter,
    /// It swung slowly over several units.
    Drift,
    /// It wavered with no beat.
    Wavering,
}

/// Manifold vacuum.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Vacuum {
    /// Reading at idle, as a vacuum: "17 inHg vac".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub idle: Option<Stated>,
    /// What the needle did.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub needle: Option<VacuumNeedle>,
    /// By how much it dropped at each flick.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flick: Option<Stated>,
    /// Speed held after the idle reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub held_speed: Option<Stated>,
    /// Reading when that speed was reached.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub held_first: Option<Stated>,
    /// Reading after it had been held.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub held_later: Option<Stated>,
    /// Idle speed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub idle_speed: Option<Stated>,
    /// Where it was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub port: Option<VacuumPort>,
    /// The engine was warm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub warm: Option<bool>,
    /// Barometer on the spot; see [`super::barometer`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub station_pressure: Option<Stated>,
    /// Height above the sea; see [`super::height`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub altitude: Option<Stated>,
    /// The owner or the card says that the cam has long overlap, where no description of the engine tells.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub long_overlap: Option<bool>,
    /// The gauge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<InstrumentUsed>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// Beat of a noise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum NoiseRate {
    /// Once in two turns of the crank.
    HalfSpeed,
    /// Once a turn.
    FullSpeed,
    /// No beat.
    NoBeat,
    /// It could not be told.
    NotTold,
}

/// Where it is loudest under the stethoscope.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum NoisePlace {
    /// Valve covers, head.
    Top,
    /// Side of the block, at the bores.
    Bores,
    /// Pan, main webs.
    Bottom,
    /// Front cover, belt drive.
    Front,
    /// Bell housing.
    Rear,
}

/// What load does to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LoadEffect {
    /// Louder under load.
    LouderLoaded,
    /// Louder without load.
    LouderUnloaded,
    /// No change.
    Same,
}

/// What happened when a cylinder was shorted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum KillEffect {
    /// Softer or gone.
    Softer,
    /// No change.
    Same,
    /// Louder.
    Louder,
}

/// A noise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NoiseHeard {
    /// In words: "heavy knock".
    pub words: String,
    /// Where it is loudest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<NoisePlace>,
    /// Its beat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate: Option<NoiseRate>,
    /// What load does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load: Option<LoadEffect>,
    /// What shorting each cylinder did: cylinder and effect.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub killed: Vec<(u32, KillEffect)>,
    /// It was there with the engine cold.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cold: Option<bool>,
    /// It was there with the engine hot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hot: Option<bool>,
    /// It is heavy, as of a large part.
    #[serde(default)]
    pub heavy: bool,
}

/// Where a noise sits.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Noise {
    /// The noises; empty: listened, nothing heard.
    pub heard: Vec<NoiseHeard>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// Kind of ring pack, which decides what blow-by is usual.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RingPack {
    /// Race.
    Race,
    /// Street.
    Street,
}

/// One pull with its blow-by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BlowByPull {
    /// Engine speed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub speed: Option<Stated>,
    /// Flow at the breather.
    pub flow: Stated,
}

/// Blow-by under load.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct BlowBy {
    /// In the order in which they were run.
    pub pulls: Vec<BlowByPull>,
    /// Ring pack.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rings: Option<RingPack>,
    /// Read at full load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub full_load: Option<bool>,
    /// The meter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<InstrumentUsed>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// Speed lost with one cylinder shorted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CylinderDrop {
    /// Cylinder.
    pub cylinder: u32,
    /// Drop of speed, counted positive.
    pub drop: Stated,
}

/// Cylinder balance.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct CylinderBalance {
    /// Idle speed before.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub idle_speed: Option<Stated>,
    /// Each cylinder.
    pub cylinders: Vec<CylinderDrop>,
    /// The idle control was off, so that it did not fill the drop.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub idle_control_off: Option<bool>,
    /// The instrument.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<InstrumentUsed>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}
