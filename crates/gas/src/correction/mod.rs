//! Correction of torque and power to standard air. Filled in next.
use serde::{Deserialize, Serialize};

/// A form of correction that a person can choose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Standard {
    /// No correction: as observed.
    Observed,
    /// SAE J1349, printed form 1.180 x − 0.180.
    SaeJ1349,
    /// SAE J1349, the 85 % assumption without rounding.
    SaeJ1349Unrounded,
    /// SAE J1349 with known friction torque.
    SaeJ1349KnownFriction,
    /// SAE J607, bare factor ("STD").
    SaeJ607,
    /// SAE J607 with friction torque added before and taken off after.
    SaeJ607WithFriction,
    /// ISO 1585 / UN R85, positive ignition.
    Iso1585,
    /// DIN 70020 (total pressure, humidity ignored).
    Din70020,
    /// JIS D 1001.
    JisD1001,
}

/// How the manifold pressure answers the barometer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum InductionResponse {
    /// Naturally aspirated, or a fixed-ratio blower without boost control.
    FollowsBarometer,
    /// Boost held to an absolute manifold pressure by a control.
    HeldAbsolute,
    /// Not known.
    Unknown,
}

/// Air at the engine's inlet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct AmbientAir {
    /// Absolute station pressure, Pa.
    pub pressure_pa: f64,
    /// Inlet air temperature, K.
    pub temperature_k: f64,
    /// Partial pressure of water vapour, Pa.
    pub vapour_pressure_pa: f64,
}
