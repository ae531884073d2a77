//! A cylinder with its valves shut, from intake closing to exhaust opening: the same step as in the running engine.
//!
//! For checks against closed forms, for comparison with other programs, and to see what a spark does without a pump
//! loop. Steps of equal angle.

use super::exchange::{CycleSummary, Exchange};
use super::heat_transfer::HeatModel;
use super::point::{CylinderPoint, CylinderSpec};
use super::step::Cylinder;
use crate::gas_state::two_range::CylinderGas;

/// What is in the cylinder at the start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Pressure, Pa.
    pub p_pa: f64,
    /// Temperature, K.
    pub t_k: f64,
    /// Share of burned gas.
    pub yb: f64,
    /// Share of fuel vapour.
    pub yf: f64,
}

/// A point of the trace.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TracePoint {
    /// Degrees after top dead centre.
    pub theta_deg: f64,
    /// Volume, m³.
    pub v_m3: f64,
    /// Pressure, Pa.
    pub p_pa: f64,
    /// Mean temperature, K.
    pub t_k: f64,
    /// Temperature of the unburned gas, K.
    pub t_unburned_k: f64,
    /// Work since the start, J.
    pub work_j: f64,
    /// Heat to the walls since the start, J.
    pub wall_j: f64,
    /// Heat released since the start, J.
    pub released_j: f64,
}

/// A closed cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct ClosedCycle {
    /// Start, end and every step between.
    pub trace: Vec<TracePoint>,
    /// What it came to.
    pub summary: CycleSummary,
    /// Energy at the end less energy at the start less all that crossed, J: nothing but rounding.
    pub unaccounted_j: f64,
    /// Mass in the cylinder at the end, kg.
    pub mass_kg: f64,
}

/// Follows a charge from where the intake valve shuts to where the exhaust valve opens.
///
/// `step_deg` above zero, about 0.1 to 2; `later_deg` is what knock has moved burning by.
///
/// # Errors
/// A sentence when a number outside its range is given or the result is not finite.
pub fn closed_cycle(
    point: &CylinderPoint,
    heat: HeatModel,
    start: &Start,
    later_deg: f64,
    step_deg: f64,
) -> Result<ClosedCycle, String> {
    if !(step_deg > 0.0 && step_deg <= 10.0) {
        return Err(format!("a step of {step_deg} deg is not possible: expected above 0 and not above 10"));
    }
    if !(start.p_pa > 0.0 && start.t_k > 150.0) {
        return Err(format!("a start at {} Pa and {} K is not possible", start.p_pa, start.t_k));
    }
    let spec = CylinderSpec::<f64>::from_points(&[point], heat);
    let gas = CylinderGas::<f64>::from_charges(&[&point.charge]);
    // The step that passes the closing of the intake valve has no length in time: it makes the plan of the cycle.
    let theta0 = point.ivc_rad;
    let before = theta0 - 1e-12;
    let mut cylinder = Cylinder::new(&spec, &gas, before, start.p_pa, start.t_k, start.yb, start.yf);
    cylinder.set_later_deg(0, later_deg);
    cylinder.step(&spec, &gas, theta0, cylinder.v, 0.0, &Exchange::none());
    let steps = ((point.evo_rad - theta0).to_degrees() / step_deg).ceil().max(1.0);
    let h = (point.evo_rad - theta0) / steps;
    let (u0, m0) = (cylinder.u, cylinder.m);
    let (mut work_j, mut wall_j, mut released_j, mut leaked_j) = (0.0, 0.0, 0.0, 0.0);
    let mut trace = Vec::with_capacity(steps as usize + 1);
    for n in 0..=steps as usize {
        trace.push(TracePoint {
            theta_deg: (theta0 + n as f64 * h).to_degrees(),
            v_m3: cylinder.v,
            p_pa: cylinder.p,
            t_k: cylinder.t,
            t_unburned_k: cylinder.t_unburned,
            work_j,
            wall_j,
            released_j,
        });
        if n == steps as usize {
            break;
        }
        let theta = if n + 1 == steps as usize { point.evo_rad } else { theta0 + (n as f64 + 1.0) * h };
        let v = spec.kinematics.volume_at(theta);
        let parts = cylinder.step(&spec, &gas, theta, v, h / point.speed_rad_s, &Exchange::none());
        work_j += parts.work;
        wall_j += parts.wall_heat;
        released_j += parts.heat_released;
        leaked_j += parts.blowby_h;
    }
    if !(cylinder.p.is_finite() && cylinder.t.is_finite() && m0 > 0.0) {
        return Err("the closed cycle gave no finite pressure".to_owned());
    }
    let summary = *cylinder.summary(0).ok_or("the exhaust valve did not open within the cycle")?;
    let unaccounted_j = cylinder.u - u0 - (released_j - work_j - wall_j - leaked_j);
    Ok(ClosedCycle { trace, summary, unaccounted_j, mass_kg: cylinder.m })
}
