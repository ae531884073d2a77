//! How the engine idles: the throttle at which it gives no torque, and what the manifold and the cylinders are like there.
//!
//! Model: a row of throttle openings is computed side by side at the idle speed, the one without torque is read off
//! between them and computed again. Spark is the build's own or, without one, such that half is burned at 20° after
//! top dead centre, which keeps a reserve of torque (common practice, no source); lambda 1. Left out: the bypass of an idle valve (air is air), accessories that come and go.

use super::figures::Figures;
use super::{PredictError, Request, predict_parts};
use crate::constants::Constants;
use crate::cylinder::Phasing;
use crate::model::Operating;
use crate::parts::EngineParts;
use std::f64::consts::PI;

/// Half burned at idle where no spark is stated, degrees after top dead centre.
pub const IDLE_CA50_DEG: f64 = 20.0;
/// Spread above which an idle is called rough, share: common practice, no source.
pub const ROUGH: f64 = 0.10;

/// Residual gas above which a cylinder is taken not to fire, share: common practice, no source.
const MOST_RESIDUAL: f64 = 0.5;

/// An idle.
#[derive(Debug, Clone, PartialEq)]
pub struct Idle {
    /// Speed, rpm.
    pub rpm: f64,
    /// Throttle, share of its area.
    pub throttle: f64,
    /// Manifold below the air outside, Pa; `None` without a manifold.
    pub vacuum_pa: Option<f64>,
    /// Residual gas, mean of the cylinders, share.
    pub residual: f64,
    /// Spread of mean pressure from cycle to cycle, mean of the cylinders, share.
    pub spread: f64,
    /// All figures there.
    pub figures: Figures,
}

/// Idle at a speed, rpm; `None` where no throttle between a thousandth and a third of its area holds the speed.
///
/// # Errors
/// As [`super::predict`].
pub fn idle(parts: &EngineParts, constants: &Constants, rpm: f64) -> Result<Option<Idle>, PredictError> {
    let speed_rad_s = rpm * PI / 30.0;
    let phasing = Some(match parts.mixture.spark_btdc_deg.at(speed_rad_s) {
        Some(btdc_deg) => Phasing::Spark { btdc_deg },
        None => Phasing::Ca50 { deg: IDLE_CA50_DEG },
    });
    let at = |throttle: f64| Operating { speed_rad_s, throttle, lambda: Some(1.0), phasing };
    let rows: Vec<f64> = (0..8).map(|i| 0.001 * (330f64).powf(f64::from(i) / 7.0)).collect();
    let found = predict_parts(parts, constants, &Request::at(rows.iter().map(|&t| at(t)).collect()).quick())?;
    let torques: Vec<(f64, f64)> =
        rows.iter().zip(&found.points).filter_map(|(t, p)| p.figures.as_ref().map(|f| (t.ln(), f.torque_nm))).collect();
    let Some(pair) = torques.windows(2).find(|w| w[0].1 <= 0.0 && w[1].1 > 0.0) else { return Ok(None) };
    let (mut low, mut high) = (pair[0], pair[1]);
    let mut last = None;
    for _ in 0..4 {
        let share = (-low.1 / (high.1 - low.1)).clamp(0.05, 0.95);
        let ln_t = low.0 + share * (high.0 - low.0);
        let made = predict_parts(parts, constants, &Request::at(vec![at(ln_t.exp())]).quick())?;
        let Some(figures) = made.points.into_iter().next().and_then(|p| p.figures) else { return Ok(None) };
        // With more residual gas than fresh charge no flame runs through: such an engine does not idle.
        if figures.cylinders.iter().any(|c| c.residual > MOST_RESIDUAL) {
            return Ok(None);
        }
        let torque = figures.torque_nm;
        if torque > 0.0 {
            high = (ln_t, torque)
        } else {
            low = (ln_t, torque)
        }
        // A newton-metre a litre is as near to none as an idle holds.
        let near = torque.abs() < 1.0 * parts.displacement_m3 * 1e3;
        last = Some((ln_t.exp(), figures));
        if near {
            break;
        }
    }
    Ok(last.map(|(throttle, figures)| {
        let n = figures.cylinders.len().max(1) as f64;
        Idle {
            rpm,
            throttle,
            vacuum_pa: figures.manifold_pa.map(|p| parts.ambient.p_pa - p),
            residual: figures.cylinders.iter().map(|c| c.residual).sum::<f64>() / n,
            spread: figures.cylinders.iter().map(|c| c.spread).sum::<f64>() / n,
            figures,
        }
    }))
}
