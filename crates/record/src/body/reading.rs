//! Measuring sheets and the readings on them.

use crate::{Id, Stated, Value};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// An instrument as it stood in the register when it was used: the entry explains itself without the register.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InstrumentUsed {
    /// Its key in the shop's register: "bore_gauge_2".
    pub key: String,
    /// Its name: "Bore gauge 2".
    pub name: String,
    /// Its kind, as templates ask for it: "bore gauge". Empty where nobody said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub kind: String,
    /// Step of its scale, SI; none where it has no scale.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step_si: Option<f64>,
    /// Standard uncertainty (k = 1) of one reading, SI, where it does not grow with the reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub u_si: Option<f64>,
    /// Standard uncertainty as a share of the reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub u_share: Option<f64>,
    /// The part of `u_si` that differs from reading to reading; the rest is the same in all readings of one
    /// setting and cancels in their differences. None where it is not known: then all of it counts as noise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub u_repeat_si: Option<f64>,
    /// The same of `u_share`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub u_repeat_share: Option<f64>,
    /// Day of the last calibration, YYYY-MM-DD.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub calibrated: Option<String>,
    /// Last day on which that calibration counts, YYYY-MM-DD.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due: Option<String>,
    /// What it was set on before this sheet: "92.750 ring at 09:12".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub set_on: String,
}

/// A measuring sheet was begun. The template is kept whole, so that a later change of it does not change this sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetBegun {
    /// Key of the template: "bores".
    pub template: String,
    /// The template's text, whole (TOML).
    pub template_text: String,
    /// Title of this sheet: "Cylinder bores, after honing".
    pub title: String,
    /// How many of each there are: cylinders = 4, mains = 5, rows of a lift table, …
    #[serde(default)]
    pub counts: BTreeMap<String, u32>,
    /// Values that the sheet needs and does not read: piston sizes, nominal sizes, limits that are aimed at.
    #[serde(default)]
    pub given: BTreeMap<String, Stated>,
    /// Which column of the limit tables counts: street, street_boosted, drag, endurance, marine.
    pub built_for: String,
    /// Material that limits hang on, if any: "2618 forged".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<String>,
    /// Further conditions that limits hang on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conditions: Vec<String>,
    /// Unit in which bare numbers are typed: "mm".
    pub unit: String,
    /// Instruments laid out for it; the first is the usual one, the others read what asks for their kind.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instruments: Vec<InstrumentUsed>,
    /// Temperature of the part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part_temperature: Option<Stated>,
    /// State of the part: torque plate on, caps torqued, clean and dry.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub state: String,
}

/// One reading in one place of a sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// The entry that began the sheet.
    pub sheet: Id,
    /// The place, as the template names it: "cylinder 3/bottom/along".
    pub place: String,
    /// What was read.
    pub value: Value,
    /// What it was read with; none: the instrument that was laid out for this place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<InstrumentUsed>,
    /// Readings that this one takes the place of; they stay in the record.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub replaces: Vec<Id>,
    /// Readings in the same place that this one repeats: they count together with it, and are no conflict.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub repeats: Vec<Id>,
    /// A remark.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

/// A sheet is complete in the eyes of the person who measured; the person signs with it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetFinished {
    /// The entry that began the sheet.
    pub sheet: Id,
    /// A remark.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}
