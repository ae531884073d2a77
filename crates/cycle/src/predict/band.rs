//! How unsure the curve is: from the uncertainties of the build's inputs, and from the spreads of the constants.
//!
//! Model: each input and each constant is moved up by its standard uncertainty and the curve computed again; what moves
//! adds in squares (GUM, JCGM 100:2008, 5.1.2, uncorrelated, one side). What the model leaves out is not in it.

use super::many::Precision;
use super::{PredictError, Prediction, Request, torques};
use crate::constants::Constants;
use crate::parts::{EngineParts, between};
use crate::solve::run::Settle;
use engine::build::{Build, Facts};

/// One input or constant that was moved.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// Key in the build file or in the table of constants.
    pub key: String,
    /// Whether it is one of the model's constants.
    pub constant: bool,
    /// What one standard uncertainty of it does to torque, N·m, at each point of the band.
    pub torque_nm: Vec<f64>,
    /// Its share of the variance, mean over the points.
    pub share: f64,
}

/// The band with what it hangs on.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Speeds that it was computed at, rpm.
    pub rpm: Vec<f64>,
    /// Half-width of 95 % from the inputs, N·m.
    pub inputs_nm: Vec<f64>,
    /// Half-width of 95 % from the constants, N·m.
    pub constants_nm: Vec<f64>,
    /// What was moved, largest share first.
    pub moved: Vec<Moved>,
    /// Inputs that could not be moved, with the reason.
    pub not_moved: Vec<(String, String)>,
}

impl Band {
    /// Half-width of 95 % of both together at a speed, N·m: straight between speeds, level beyond the ends.
    pub fn half_nm(&self, rpm: f64) -> Option<f64> {
        let halves = self.inputs_nm.iter().zip(&self.constants_nm).map(|(a, b)| a.hypot(*b));
        between(&self.rpm.iter().copied().zip(halves).collect::<Vec<_>>(), rpm)
    }
}

/// Adds the band to a prediction of a build. `progress` is told how many of how many are done.
///
/// At most five of the points carry it, those between are drawn straight.
///
/// # Errors
/// As [`super::predict`]; inputs that cannot be moved are listed, not refused.
pub fn add_band(
    prediction: &mut Prediction,
    build: &Build,
    constants: &Constants,
    request: &Request,
    progress: &(dyn Fn(usize, usize) + Sync),
) -> Result<(), PredictError> {
    let n = request.operating.len();
    let carriers: Vec<usize> = if n <= 5 { (0..n).collect() } else { (0..5).map(|k| (k * (n - 1) + 2) / 4).collect() };
    let mut own = request.clone().quick();
    own.operating = carriers.iter().map(|&i| request.operating[i]).collect();
    // What moves is small: cycles are followed until their noise is below it.
    own.settle = Settle { change: 2e-4, ..request.settle };
    own.precision = Precision::Quick;
    // Differences hang on the mesh far less than the curve itself.
    own.mesh = own.mesh.times(1.6);
    let facts = Facts::new(build);
    let base_parts = EngineParts::from_facts(&facts, constants)?;
    let base = torques(&[(base_parts, constants.clone())], &own)?.remove(0);
    // Inputs that the engine's numbers hang on and that are not known exactly.
    let mut wanted: Vec<(String, bool, f64)> = Vec::new();
    for key in facts.asked() {
        if let Ok(input) = facts.input(&key)
            && input.u > 1e-5 * input.si.abs()
        {
            wanted.push((key, false, input.si + input.u));
        }
    }
    for (key, row) in constants.rows() {
        wanted.push((key.to_owned(), true, row.value + 0.5 * row.spread));
    }
    let mut band = Band {
        rpm: own.operating.iter().map(crate::model::Operating::rpm).collect(),
        inputs_nm: Vec::new(),
        constants_nm: Vec::new(),
        moved: Vec::new(),
        not_moved: Vec::new(),
    };
    let all = wanted.len();
    // A few at a time, so that lanes and cores are full and progress can be told.
    for (n, some) in wanted.chunks(8).enumerate() {
        progress(8 * n, all);
        let mut engines: Vec<(EngineParts, Constants)> = Vec::new();
        let mut keys: Vec<&(String, bool, f64)> = Vec::new();
        for one in some {
            let (key, constant, value) = one;
            let moved = if *constant { constants.with(key, *value) } else { constants.clone() };
            let facts = if *constant { Facts::new(build) } else { Facts::with_moved(build, &[(key, *value)]) };
            match EngineParts::from_facts(&facts, &moved) {
                Ok(parts) => {
                    engines.push((parts, moved));
                    keys.push(one);
                }
                Err(error) => band.not_moved.push((key.clone(), error.to_string())),
            }
        }
        for ((key, constant, _), torque) in keys.into_iter().zip(torques(&engines, &own)?) {
            let torque_nm: Vec<f64> = torque.iter().zip(&base).map(|(a, b)| a - b).collect();
            if torque_nm.iter().all(|d| d.is_finite()) {
                band.moved.push(Moved { key: key.clone(), constant: *constant, torque_nm, share: 0.0 });
            } else {
                band.not_moved.push((key.clone(), "the moved engine gave no result".to_owned()));
            }
        }
    }
    progress(all, all);
    let points = band.rpm.len();
    let square = |constant: bool, i: usize, moved: &[Moved]| {
        moved.iter().filter(|m| m.constant == constant).map(|m| m.torque_nm[i].powi(2)).sum::<f64>()
    };
    for i in 0..points {
        band.inputs_nm.push(2.0 * square(false, i, &band.moved).sqrt());
        band.constants_nm.push(2.0 * square(true, i, &band.moved).sqrt());
    }
    for m in 0..band.moved.len() {
        let shares = (0..points).map(|i| {
            let whole = square(false, i, &band.moved) + square(true, i, &band.moved);
            if whole > 0.0 { band.moved[m].torque_nm[i].powi(2) / whole } else { 0.0 }
        });
        band.moved[m].share = shares.sum::<f64>() / points.max(1) as f64;
    }
    band.moved.sort_by(|a, b| b.share.total_cmp(&a.share));
    for point in &mut prediction.points {
        point.band_nm = point.figures.as_ref().and_then(|_| band.half_nm(point.operating.rpm()));
    }
    prediction.band = Some(band);
    Ok(())
}
