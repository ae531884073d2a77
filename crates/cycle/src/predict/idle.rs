//! How the engine idles: the throttle at which it turns what hangs on it and gives no more, and what the manifold and
//! the cylinders are like there.
//!
//! Model: a row of throttle openings is computed side by side at the idle speed, another row between the two of them
//! that the sought one lies between, and then the one that carries the accessories. Spark is the build's own or, without one, such that half is burned at
//! 20° after top dead centre, which keeps a reserve of torque, but no earlier than `idle.spark_limit` (common practice,
//! no source); lambda 1.
//!
//! An engine idles as long as its flames are through when the exhaust valve opens, which is where it has a tenth of its
//! greatest area, about 1 mm off its seat (common practice, no source): beyond that it burns in part and
//! misses. That flames give out by not arriving rather than by not starting is how Quader saw dilution end (SAE 760760,
//! 1976, from memory); the mean of the cylinders counts, since one that misses now and then shakes an engine and does
//! not stop it.
//!
//! Left out: the bypass of an idle valve (air is air), accessories that come and go, richer mixtures.

use super::figures::Figures;
use super::{PredictError, Request, predict_parts};
use crate::constants::Constants;
use crate::cylinder::{Phasing, wiebe};
use crate::model::Operating;
use crate::parts::{EngineParts, ValveTable};
use crate::solve::run::Settle;
use std::f64::consts::PI;

/// Half burned at idle where no spark is stated, degrees after top dead centre.
pub const IDLE_CA50_DEG: f64 = 20.0;
/// Spread above which an idle is called rough, share: common practice, no source.
pub const ROUGH: f64 = 0.10;
/// Throttles between which an idle is sought, share of the area, and how many are computed side by side.
const LEAST: f64 = 0.001;
const MOST: f64 = 0.33;
const ROW: usize = 8;
/// Cycles in which an idle has to settle: a plenum takes long to fill through a throttle that is nearly shut.
const MOST_CYCLES: usize = 60;

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
    /// All figures there; the torque in them is what the accessories take.
    pub figures: Figures,
}

/// Idle at a speed, rpm; `None` where no throttle between a thousandth and a third of its area holds the speed, or the
/// one that would leaves flames too slow to arrive before the exhaust valve opens.
///
/// # Errors
/// As [`super::predict`].
pub fn idle(parts: &EngineParts, constants: &Constants, rpm: f64) -> Result<Option<Idle>, PredictError> {
    let speed_rad_s = rpm * PI / 30.0;
    let phasing = Some(match parts.mixture.spark_btdc_deg.at(speed_rad_s) {
        Some(btdc_deg) => Phasing::Spark { btdc_deg },
        None => Phasing::Within { ca50_deg: IDLE_CA50_DEG, most_btdc_deg: constants.get("idle.spark_limit") },
    });
    let at = |throttle: f64| Operating { speed_rad_s, throttle, lambda: Some(1.0), phasing };
    // Roughly: long cells, and settled within half a percent.
    let run = |throttles: &[f64], roughly: bool| {
        let mut request = Request::at(throttles.iter().map(|&t| at(t)).collect()).quick();
        request.settle = Settle { most: MOST_CYCLES, ..if roughly { Settle::QUICK } else { Settle::USUAL } };
        request.mesh = if roughly { request.mesh.times(2.0) } else { request.mesh };
        predict_parts(parts, constants, &request)
    };
    let carried_nm = constants.get("idle.accessories") * parts.displacement_m3 / (4.0 * PI);
    // The two neighbours in a row of throttles between which the torque to spare changes its sign.
    let bracket = |low: f64, high: f64, roughly: bool| -> Result<Option<[(f64, f64); 2]>, PredictError> {
        let row: Vec<f64> = (0..ROW).map(|i| low * (high / low).powf(i as f64 / (ROW - 1) as f64)).collect();
        let points = run(&row, roughly)?.points;
        let torque = |f: &Figures| f.torque_nm - carried_nm;
        let spare: Vec<(f64, f64)> =
            row.iter().zip(&points).filter_map(|(&t, p)| p.figures.as_ref().map(|f| (t, torque(f)))).collect();
        Ok(spare.windows(2).find(|w| w[0].1 <= 0.0 && w[1].1 > 0.0).map(|w| [w[0], w[1]]))
    };
    let Some(rough) = bracket(LEAST, MOST, true)? else { return Ok(None) };
    // A little beyond both, since they were found roughly.
    let [low, high] = bracket(0.9 * rough[0].0, 1.1 * rough[1].0, false)?.unwrap_or(rough);
    let throttle = low.0 * (high.0 / low.0).powf(-low.1 / (high.1 - low.1));
    let made = run(&[throttle], false)?;
    let Some(figures) = made.points.into_iter().next().and_then(|p| p.figures) else { return Ok(None) };
    if !flames_arrive(parts, &figures) {
        return Ok(None);
    }
    let n = figures.cylinders.len().max(1) as f64;
    Ok(Some(Idle {
        rpm,
        throttle,
        vacuum_pa: figures.manifold_pa.map(|p| parts.ambient.p_pa - p),
        residual: figures.cylinders.iter().map(|c| c.residual).sum::<f64>() / n,
        spread: figures.cylinders.iter().map(|c| c.spread).sum::<f64>() / n,
        figures,
    }))
}

/// Whether nine tenths are burned, in the mean of the cylinders, before the exhaust valve lets gas out.
fn flames_arrive(parts: &EngineParts, figures: &Figures) -> bool {
    const TO_90: f64 = (wiebe::Y90 - wiebe::Y50) / (wiebe::Y90 - wiebe::Y10);
    let sum: f64 = figures.cylinders.iter().map(|c| c.ca50_deg + TO_90 * c.burn_deg).sum();
    // A cylinder without a flame has no such angle.
    sum.is_finite() && sum < exhaust_opens_deg(&parts.exhaust_valve) * figures.cylinders.len() as f64
}

/// Where the exhaust valve has a tenth of its greatest area, degrees after firing top dead centre.
fn exhaust_opens_deg(valve: &ValveTable) -> f64 {
    let most = valve.area_m2.iter().copied().fold(0.0, f64::max);
    let first = valve.opens_rad.to_degrees().floor() as usize;
    let beyond = (0..720).find(|k| valve.area_m2[(first + k) % 720] >= 0.1 * most);
    (first + beyond.unwrap_or(0)) as f64
}
