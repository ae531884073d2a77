//! Ring end gap: by a factor of the bore, and what heat takes up.
//!
//! Model: ring and cylinder grow in proportion to their temperature; the ring lies against the wall.
//! Left out: bore distortion, uneven ring temperature. The ring maker's factor comes first.

use crate::possible::NotPossible;
use crate::propagate::{Estimate, propagate};
use crate::refused::{Refused, finite, not_negative, positive};
use quantity::{Limits, Verdict};
use std::f64::consts::PI;

/// End gap, m: a factor times the bore (diameter, m). Factors have no unit: 0.0065 in per inch is 0.0065.
///
/// # Errors
/// [`Refused::NotPossible`] for a bore that is not above zero or a factor outside 0.001 … 0.02, which would
/// be a gap in thousandths taken for a factor.
pub fn ring_gap_m(bore_m: f64, factor: f64) -> Result<f64, Refused> {
    positive("a bore", bore_m, " m")?;
    if !(0.001..=0.02).contains(&factor) {
        return Err(NotPossible {
            what: "a ring gap factor",
            value: factor,
            unit: "",
            expected: "0.001 to 0.02 of the bore",
        }
        .into());
    }
    Ok(factor * bore_m)
}

/// The factor behind a measured gap: gap over bore, without unit.
///
/// # Errors
/// [`Refused::NotPossible`] for a bore that is not above zero or a gap below zero.
pub fn factor_of_gap(gap_m: f64, bore_m: f64) -> Result<f64, Refused> {
    Ok(not_negative("a ring gap", gap_m, " m")? / positive("a bore", bore_m, " m")?)
}

/// How much warmer than at fitting a part runs, and how it grows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// Expansion, 1/K: iron about 11e-6, steel 11.5e-6, aluminium 21 to 23e-6 (from memory).
    pub expansion_per_k: f64,
    /// Rise above the temperature at which the gap was measured, K.
    pub rise_k: Estimate,
}

/// Cold gap, m, at which the ends just touch hot: the least that heat allows. Negative when the
/// cylinder outgrows the ring and no gap is needed for heat.
///
/// The arc of the ring, `π B − gap`, grows by the ring's heat, the bore by the cylinder's.
///
/// # Errors
/// [`Refused::NotPossible`] for a bore, expansion or rise that cannot be.
pub fn gap_taken_by_heat_m(bore_m: f64, ring: Heat, cylinder: Heat) -> Result<Estimate, Refused> {
    positive("a bore", bore_m, " m")?;
    for heat in [ring, cylinder] {
        not_negative("an expansion", heat.expansion_per_k, " 1/K")?;
        finite("a rise in temperature", heat.rise_k.value, " K")?;
        not_negative("the uncertainty of a rise", heat.rise_k.u, " K")?;
    }
    let of = |x: &[f64]| {
        let ring_grows = ring.expansion_per_k * x[0];
        PI * bore_m * (ring_grows - cylinder.expansion_per_k * x[1]) / (1.0 + ring_grows)
    };
    let (value, u, _) = propagate(of, &[ring.rise_k.pair(), cylinder.rise_k.pair()]);
    Ok(Estimate { value, u })
}

/// Whether a cold gap stays open when hot: `Inside` when it is larger than heat takes up, `Outside`
/// when the ends will meet, which breaks rings and pistons.
pub fn stays_open(gap_m: Estimate, taken_by_heat_m: Estimate) -> Verdict {
    let left = Estimate { value: gap_m.value - taken_by_heat_m.value, u: gap_m.u.hypot(taken_by_heat_m.u) };
    left.verdict(Limits::at_least(0.0))
}
