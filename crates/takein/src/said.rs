//! What is said of the cell for one run alone, over what its dyno's file says.

use pull::cell::{CellFile, Known};
use serde::{Deserialize, Serialize};

/// Things of the cell that a person may state for one run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(default)]
pub struct CellSaid {
    /// Height of the cell above the sea, m.
    pub altitude_m: Option<f64>,
    /// Moment of inertia between load cell and crank, kg·m².
    pub inertia: Option<Known>,
    /// Torque arm, m.
    pub arm: Option<Known>,
}

impl CellSaid {
    /// Nothing was said.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// The cell with what was said put over it.
    pub fn over(&self, mut cell: CellFile) -> CellFile {
        if self.altitude_m.is_some() {
            cell.altitude_m = self.altitude_m;
        }
        if self.inertia.is_some() {
            cell.inertia.clone_from(&self.inertia);
        }
        if self.arm.is_some() {
            cell.arm.clone_from(&self.arm);
        }
        cell
    }
}
