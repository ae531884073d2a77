//! Engine arithmetic that needs no model: power, mean effective pressure, specific fuel, filling.
//!
//! All are definitions. Plain SI numbers in and out, speeds in rpm where the name says so; NaN in
//! gives NaN out, and a division by zero gives an infinity, which callers leave out of curves.
//! Checked against `validation/units` (t07 tables).

use std::f64::consts::PI;

/// rad/s of a speed in rpm.
pub fn rad_s_from_rpm(rpm: f64) -> f64 {
    rpm * PI / 30.0
}

/// rpm of a speed in rad/s.
pub fn rpm_from_rad_s(rad_s: f64) -> f64 {
    rad_s * 30.0 / PI
}

/// Power, W, of a torque (N·m) at a speed (rpm): torque times angular speed.
pub fn power_w(torque_nm: f64, rpm: f64) -> f64 {
    torque_nm * rad_s_from_rpm(rpm)
}

/// Torque, N·m, of a power (W) at a speed (rpm). The speed must not be zero.
pub fn torque_nm(power_w: f64, rpm: f64) -> f64 {
    power_w / rad_s_from_rpm(rpm)
}

/// Brake mean effective pressure, Pa: work per cycle at the crank over the swept volume (m³).
/// Four-stroke `4π T / V`, two-stroke half of that.
pub fn bmep_pa(torque_nm: f64, displacement_m3: f64, four_stroke: bool) -> f64 {
    2.0 * PI * revolutions_per_cycle(four_stroke) * torque_nm / displacement_m3
}

/// Torque, N·m, of a mean effective pressure (Pa): the inverse of [`bmep_pa`], also for friction.
pub fn torque_from_mean_pressure_nm(mean_pressure_pa: f64, displacement_m3: f64, four_stroke: bool) -> f64 {
    mean_pressure_pa * displacement_m3 / (2.0 * PI * revolutions_per_cycle(four_stroke))
}

/// Brake specific fuel consumption, kg/J: fuel mass flow (kg/s) over brake power (W). Both as
/// observed: corrected power over observed fuel would move with the weather.
pub fn specific_fuel_kg_j(fuel_kg_s: f64, observed_power_w: f64) -> f64 {
    fuel_kg_s / observed_power_w
}

/// Brake thermal efficiency, 0 … 1, with the fuel's lower heating value, J/kg.
pub fn brake_efficiency(power_w: f64, fuel_kg_s: f64, lower_heating_value_j_kg: f64) -> f64 {
    power_w / (fuel_kg_s * lower_heating_value_j_kg)
}

/// Volumetric efficiency: air mass flow (kg/s) over what the swept volume would hold at a stated
/// reference density (kg/m³). Say which density: ambient, or in the manifold. May exceed 1.
pub fn volumetric_efficiency(
    air_kg_s: f64,
    reference_density_kg_m3: f64,
    displacement_m3: f64,
    rpm: f64,
    four_stroke: bool,
) -> f64 {
    let cycles_s = rpm / 60.0 / revolutions_per_cycle(four_stroke);
    air_kg_s / (reference_density_kg_m3 * displacement_m3 * cycles_s)
}

/// Mean piston speed, m/s: two strokes (m) per revolution.
pub fn mean_piston_speed_m_s(stroke_m: f64, rpm: f64) -> f64 {
    2.0 * stroke_m * rpm / 60.0
}

/// Torque, N·m, that speeds up a moment of inertia (kg·m²) at a sweep rate (rpm/s). Added to the
/// torque at the load cell it gives the torque at the crank; negative while speed falls.
pub fn inertia_torque_nm(inertia_kg_m2: f64, sweep_rpm_s: f64) -> f64 {
    inertia_kg_m2 * rad_s_from_rpm(sweep_rpm_s)
}

fn revolutions_per_cycle(four_stroke: bool) -> f64 {
    if four_stroke { 2.0 } else { 1.0 }
}
