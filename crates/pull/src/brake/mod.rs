//! From what the brake's instruments show to torque at the crank.
//!
//! torque at the crank = (shown − offset) / gain + J · dω/dt
//!
//! The straight line comes from a load-cell check with dead weights ([`load_cell`]). J is the moment
//! of inertia of everything between the torque measurement and the crank side; while speed rises it
//! takes torque that the load cell does not see (T_engine = T_absorber + J·dω/dt, checked
//! against `validation/units/t07_inertia_torque.csv`). J is only used when it is given, and the result
//! is labelled either way. Channels that are late are set back by a stated delay ([`lag`]).

pub mod lag;
pub mod load_cell;

use crate::cell::CellFile;
use crate::log::Table;
use crate::role::Role;
use std::borrow::Cow;
use std::f64::consts::PI;

/// Engine speed of every row, rpm.
pub fn speed_rpm(table: &Table) -> Option<Vec<f64>> {
    table.values(Role::Speed).map(|v| v.iter().map(|w| w * 30.0 / PI).collect())
}

/// Where the torque of a log came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TorqueSource {
    /// A torque channel.
    Torque,
    /// Load-cell force times the arm of the cell file.
    ForceTimesArm,
    /// Brake power over speed.
    PowerOverSpeed,
}

/// Brake torque as the log shows it, one value a row, N·m. A torque channel wins over force and arm,
/// that over power. `None` when there is none of them (or a force without an arm).
pub fn shown_torque_nm<'a>(table: &'a Table, cell: &CellFile) -> Option<(Cow<'a, [f64]>, TorqueSource)> {
    if let Some(torque) = table.values(Role::Torque) {
        return Some((Cow::Borrowed(torque), TorqueSource::Torque));
    }
    if let (Some(force), Some(arm)) = (table.values(Role::CellForce), cell.arm.as_ref()) {
        let torque = force.iter().map(|f| f * arm.value).collect();
        return Some((Cow::Owned(torque), TorqueSource::ForceTimesArm));
    }
    let (power, speed) = (table.values(Role::BrakePower)?, table.values(Role::Speed)?);
    // Below 10 rad/s (95 rpm) power over speed is noise.
    let torque = power.iter().zip(speed).map(|(p, w)| if *w > 10.0 { p / w } else { f64::NAN }).collect();
    Some((Cow::Owned(torque), TorqueSource::PowerOverSpeed))
}

/// Angular acceleration at every row of a pull, rad/s².
///
/// Slope of a straight line fitted to speed over the rows within ± `half_width_s`; at the ends the
/// window is what there is. `half_width_s` is the smoothing width in rpm divided by the ramp rate, so
/// nothing is smoothed over more than the stated width.
pub fn angular_acceleration_rad_s2(time_s: &[f64], rpm: &[f64], half_width_s: f64) -> Vec<f64> {
    let n = time_s.len();
    let mut out = Vec::with_capacity(n);
    let (mut a, mut b) = (0, 0);
    // Running sums about the first time and speed of the pull, so that no digits are lost.
    let (t0, n0) = (time_s.first().copied().unwrap_or(0.0), rpm.iter().copied().find(|v| v.is_finite()).unwrap_or(0.0));
    let (mut c, mut st, mut sn, mut stt, mut stn) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let shift = |i: usize, sign: f64, sums: (&mut f64, &mut f64, &mut f64, &mut f64, &mut f64)| {
        if rpm[i].is_finite() {
            let (t, v) = (time_s[i] - t0, rpm[i] - n0);
            *sums.0 += sign;
            *sums.1 += sign * t;
            *sums.2 += sign * v;
            *sums.3 += sign * t * t;
            *sums.4 += sign * t * v;
        }
    };
    for i in 0..n {
        while b < n && time_s[b] <= time_s[i] + half_width_s {
            shift(b, 1.0, (&mut c, &mut st, &mut sn, &mut stt, &mut stn));
            b += 1;
        }
        while time_s[a] < time_s[i] - half_width_s {
            shift(a, -1.0, (&mut c, &mut st, &mut sn, &mut stt, &mut stn));
            a += 1;
        }
        let var = c * stt - st * st;
        out.push(if c >= 3.0 && var > 1e-9 * c * c { (c * stn - st * sn) / var * PI / 30.0 } else { f64::NAN });
    }
    out
}

/// Torque taken by inertia, N·m: J · dω/dt, J in kg·m², dω/dt in rad/s².
pub fn inertia_torque_nm(inertia_kg_m2: f64, acceleration_rad_s2: f64) -> f64 {
    inertia_kg_m2 * acceleration_rad_s2
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 0.8 kg·m² at 300 and 600 rpm/s take 25.1327 and 50.2655 N·m (closed form; the same rows stand in
    /// `validation/units/t07_inertia_torque.csv`). Tolerance: rounding of 1,000 additions.
    #[test]
    fn a_steady_ramp_takes_j_times_alpha() {
        for (rate, expected) in [(300.0, 25.132_741), (600.0, 50.265_482), (-300.0, -25.132_741)] {
            let time: Vec<f64> = (0..500).map(|i| f64::from(i) * 0.02).collect();
            let rpm: Vec<f64> = time.iter().map(|t| 3000.0 + rate * t).collect();
            for alpha in angular_acceleration_rad_s2(&time, &rpm, 0.25) {
                assert!((inertia_torque_nm(0.8, alpha) - expected).abs() < 1e-6);
            }
        }
    }

    #[test]
    fn missing_speeds_leave_the_slope_of_the_others() {
        let time: Vec<f64> = (0..100).map(|i| f64::from(i) * 0.02).collect();
        let mut rpm: Vec<f64> = time.iter().map(|t| 3000.0 + 300.0 * t).collect();
        rpm[50] = f64::NAN;
        let alpha = angular_acceleration_rad_s2(&time, &rpm, 0.1);
        assert!((alpha[50] - 10.0 * PI).abs() < 1e-6);
    }
}
