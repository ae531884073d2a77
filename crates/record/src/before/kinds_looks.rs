//! Tests by looking, as written down: borescope, oil and filter, plugs, cooling system.

use crate::{Id, InstrumentUsed, Stated};
use serde::{Deserialize, Serialize};

/// Where on the cylinder, as a clock seen from the plug hole: 12 is towards the front of the engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum ClockPlace {
    /// Front.
    #[serde(rename = "12")]
    Twelve,
    /// A quarter turn clockwise from the front.
    #[serde(rename = "3")]
    Three,
    /// Rear.
    #[serde(rename = "6")]
    Six,
    /// A quarter turn anticlockwise from the front.
    #[serde(rename = "9")]
    Nine,
    /// The crown.
    #[serde(rename = "crown")]
    Crown,
}

impl ClockPlace {
    /// The four clocks.
    pub const CLOCKS: [Self; 4] = [Self::Twelve, Self::Three, Self::Six, Self::Nine];

    /// What a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::Twelve => "12 o'clock",
            Self::Three => "3 o'clock",
            Self::Six => "6 o'clock",
            Self::Nine => "9 o'clock",
            Self::Crown => "crown",
        }
    }
}

/// What the borescope showed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum BorescopeSeen {
    /// Crosshatch from top to bottom.
    Crosshatch,
    /// A stripe or field without hatch.
    NoHatch,
    /// A score along the bore.
    VerticalScore,
    /// Edge of the crown washed clean.
    WashedEdge,
    /// Print of a valve on the crown.
    ValvePrint,
    /// Crown clean and bright.
    ShinyCrown,
    /// Crown dry.
    DryCrown,
    /// Crown or bore wet with oil.
    OilWet,
    /// Rust.
    Rust,
}

impl BorescopeSeen {
    /// What a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::Crosshatch => "crosshatch to be seen",
            Self::NoHatch => "no hatch",
            Self::VerticalScore => "vertical score",
            Self::WashedEdge => "washed edge of the crown",
            Self::ValvePrint => "print of a valve",
            Self::ShinyCrown => "shiny crown",
            Self::DryCrown => "dry crown",
            Self::OilWet => "wet with oil",
            Self::Rust => "rust",
        }
    }
}

/// One look.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BorescopeView {
    /// Cylinder.
    pub cylinder: u32,
    /// Where.
    pub place: ClockPlace,
    /// What was seen.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub seen: Vec<BorescopeSeen>,
    /// In words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// The photo.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub photo: Option<Id>,
}

/// Borescope, piston down.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Borescope {
    /// The looks.
    pub views: Vec<BorescopeView>,
    /// Cylinders of the engine, where no description of it says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cylinders: Option<u32>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// How the filter was opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FilterCut {
    /// With a cutter.
    Cutter,
    /// With a saw, which makes metal of its own.
    Saw,
    /// An element that needs no cutting.
    Element,
}

/// Kind of debris.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DebrisKind {
    /// Fine grey fuzz on the magnet.
    FineFuzz,
    /// Flakes that the magnet takes.
    Magnetic,
    /// Bright, soft flakes that the magnet leaves.
    Bright,
    /// Copper colour.
    Copper,
    /// Anything else: sealant, fibre, grit.
    Other,
}

impl DebrisKind {
    /// What a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::FineFuzz => "fine fuzz",
            Self::Magnetic => "magnetic flakes",
            Self::Bright => "bright soft flakes, not magnetic",
            Self::Copper => "copper colour",
            Self::Other => "other",
        }
    }
}

/// How much.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Amount {
    /// A few specks.
    Trace,
    /// Some in every pleat.
    Some,
    /// A heap.
    Much,
}

impl Amount {
    /// What a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::Trace => "a trace",
            Self::Some => "some",
            Self::Much => "much",
        }
    }
}

/// One kind of debris that was found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Debris {
    /// Kind.
    pub kind: DebrisKind,
    /// How much.
    pub amount: Amount,
    /// In words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
}

/// Oil and filter.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct FilterDebris {
    /// What was found; empty: looked, nothing found.
    pub found: Vec<Debris>,
    /// How the filter was opened.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cut: Option<FilterCut>,
    /// Water in the oil: milky, or drops at the drain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water: Option<bool>,
    /// The engine is just run in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub just_run_in: Option<bool>,
    /// A sample was taken in the middle of the drain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sample_mid_drain: Option<bool>,
    /// Result of the laboratory, in words.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub laboratory: String,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// Colour of a plug.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlugColour {
    /// Even tan or grey.
    TanGrey,
    /// White, blistered.
    White,
    /// Black and dry.
    Black,
    /// Any other, in words.
    Other,
}

impl PlugColour {
    /// What a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::TanGrey => "tan or grey",
            Self::White => "white",
            Self::Black => "black, dry",
            Self::Other => "other",
        }
    }
}

/// A mark on a plug.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlugMark {
    /// Specks of aluminium.
    AluminiumSpecks,
    /// Black specks like pepper on the porcelain.
    Pepper,
    /// Porcelain broken.
    BrokenPorcelain,
    /// Wet with oil.
    OilWet,
    /// Washed clean as by steam.
    SteamClean,
}

impl PlugMark {
    /// What a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Self::AluminiumSpecks => "aluminium specks",
            Self::Pepper => "pepper",
            Self::BrokenPorcelain => "broken porcelain",
            Self::OilWet => "wet with oil",
            Self::SteamClean => "steam-clean",
        }
    }
}

/// One plug.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlugSeen {
    /// Cylinder it came from.
    pub cylinder: u32,
    /// Colour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<PlugColour>,
    /// Marks.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub marks: Vec<PlugMark>,
    /// In words: ring of colour, heat range.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// The photo.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub photo: Option<Id>,
}

/// Spark plugs as they came out.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Plugs {
    /// Each plug.
    pub plugs: Vec<PlugSeen>,
    /// They were kept in order.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kept_in_order: Option<bool>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// Block tester for combustion gas.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum GasTest {
    /// The fluid kept its colour.
    NoChange,
    /// The fluid changed colour.
    Changed,
}

/// Cooling system.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct CoolingPressure {
    /// Pressure pumped up.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start: Option<Stated>,
    /// Pressure at the end.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub end: Option<Stated>,
    /// Time between.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub time: Option<Stated>,
    /// Where water was seen to come out.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub leak_seen: String,
    /// Test for combustion gas.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gas: Option<GasTest>,
    /// The pump and gauge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<InstrumentUsed>,
    /// A remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub remark: String,
}
