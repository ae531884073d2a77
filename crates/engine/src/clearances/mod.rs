//! Clearances: differences of two readings, brought to 20 °C, with what they leave in doubt.
//!
//! - here: a reading, its temperature, and the clearance between two of them.
//! - [`bore_sheet`]: three heights and two axes of a bore: taper, out-of-round, the sizes to use.
//! - [`ring_gap`]: ring end gap by factor, and the gap that heat takes up.
//! - [`shells`]: what half shells of another size do to a bearing clearance.
//!
//! Model: lengths grow with temperature in proportion; the gauge grows too when it hangs at the part's
//! temperature. A clearance across a round part is diametral, as the trade states it; half of it is
//! the radial one that oil-film arithmetic asks for. A negative clearance is an interference and is
//! let through: coated skirts legally read close to zero or below.
//! Left out: form errors between the places read, and how a part bends when it is bolted up: measure
//! with caps and plates torqued.

pub mod bore_sheet;
pub mod ring_gap;
pub mod shells;

use crate::possible::NotPossible;
use crate::propagate::{Estimate, propagate};
use crate::refused::{Refused, finite, not_negative, positive};

/// The temperature at which sizes are stated, K (20 °C, ISO 1).
pub const REFERENCE_K: f64 = 293.15;

/// One size as a gauge showed it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// What the gauge showed, m, with the gauge's standard uncertainty.
    pub shown_m: Estimate,
    /// Temperature of the part, K, with its standard uncertainty.
    pub part_k: Estimate,
    /// Expansion of the part, 1/K: iron about 11e-6, steel 11.5e-6, aluminium 21 to 23e-6 (from memory).
    pub part_expansion_per_k: f64,
    /// Expansion of a gauge that has taken the part's temperature, 1/K; 0 for one kept at 20 °C. A steel
    /// micrometer on a steel part at any one temperature then needs no correction, as it should be.
    pub gauge_expansion_per_k: f64,
}

impl Reading {
    /// A reading at 20 °C.
    pub fn at_reference(shown_m: Estimate) -> Self {
        Self { shown_m, part_k: Estimate::exact(REFERENCE_K), part_expansion_per_k: 0.0, gauge_expansion_per_k: 0.0 }
    }

    /// The size at 20 °C, m: what was shown, times the gauge's growth, over the part's.
    ///
    /// # Errors
    /// [`Refused::NotPossible`] for a length or temperature not above zero or an expansion outside 0 … 1e-4.
    pub fn at_20_c(&self) -> Result<Estimate, Refused> {
        positive("a reading", self.shown_m.value, " m")?;
        not_negative("the uncertainty of a reading", self.shown_m.u, " m")?;
        positive("a temperature", self.part_k.value, " K")?;
        not_negative("the uncertainty of a temperature", self.part_k.u, " K")?;
        for per_k in [self.part_expansion_per_k, self.gauge_expansion_per_k] {
            if !(0.0..=1e-4).contains(&per_k) {
                return Err(NotPossible {
                    what: "an expansion",
                    value: per_k,
                    unit: " 1/K",
                    expected: "0 to 0.0001; steel is 0.0000115",
                }
                .into());
            }
        }
        let of = |x: &[f64]| {
            let warmer_k = x[1] - REFERENCE_K;
            x[0] * (1.0 + self.gauge_expansion_per_k * warmer_k) / (1.0 + self.part_expansion_per_k * warmer_k)
        };
        let (value, u, _) = propagate(of, &[self.shown_m.pair(), self.part_k.pair()]);
        Ok(Estimate { value, u })
    }
}

/// Outer size less inner size at 20 °C, m, with its uncertainty.
///
/// `shared_u_m` is the part of the readings' standard uncertainty that both share and that therefore
/// cancels: a bore gauge set on the micrometer that also measures the journal shares the micrometer's
/// error. 0 when the gauges have nothing to do with one another.
///
/// # Errors
/// As [`Reading::at_20_c`]; [`Refused::Clash`] when the shared part is larger than a whole uncertainty.
pub fn difference(outer: &Reading, inner: &Reading, shared_u_m: f64) -> Result<Estimate, Refused> {
    not_negative("a shared uncertainty", shared_u_m, " m")?;
    let (outer, inner) = (outer.at_20_c()?, inner.at_20_c()?);
    for (name, reading) in [("outer", outer), ("inner", inner)] {
        if shared_u_m > reading.u * (1.0 + 1e-12) {
            return Err(Refused::Clash {
                first: format!("a shared uncertainty of {:.4} mm", shared_u_m * 1e3),
                second: format!("{:.4} mm for the whole {name} reading", reading.u * 1e3),
                why: "a part cannot be larger than the whole".into(),
            });
        }
    }
    let shared = shared_u_m * shared_u_m;
    let variance = (outer.u * outer.u - shared).max(0.0) + (inner.u * inner.u - shared).max(0.0);
    Ok(Estimate { value: outer.value - inner.value, u: variance.sqrt() })
}

/// Clearance across a round part: diametral.
///
/// | clearance | outer | inner |
/// |---|---|---|
/// | main or rod bearing | bore with shells, cap torqued, away from the parting line | journal |
/// | piston to wall | bore as honed, plate on | skirt at the maker's gauge point |
/// | valve guide | guide | stem |
/// | pin | pin bore | pin |
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DiametralClearance {
    /// Outer less inner diameter, m.
    pub diametral_m: Estimate,
    /// Inner diameter at 20 °C, m.
    pub inner_m: f64,
}

impl DiametralClearance {
    /// From two diameters.
    ///
    /// # Errors
    /// As [`difference`].
    pub fn between(outer: &Reading, inner: &Reading, shared_u_m: f64) -> Result<Self, Refused> {
        let diametral_m = difference(outer, inner, shared_u_m)?;
        Ok(Self { diametral_m, inner_m: inner.at_20_c()?.value })
    }

    /// Half of it: the gap all round with the inner part in the middle, m.
    pub fn radial_m(&self) -> Estimate {
        Estimate { value: 0.5 * self.diametral_m.value, u: 0.5 * self.diametral_m.u }
    }

    /// Clearance per diameter, without unit: "one thou per inch" is 0.001.
    pub fn per_diameter(&self) -> Estimate {
        Estimate { value: self.diametral_m.value / self.inner_m, u: self.diametral_m.u / self.inner_m }
    }
}

/// Clearance along an axis, m: ring side (groove less ring), rod side, end play (both ends of an
/// indicator's travel). Never halved.
///
/// # Errors
/// As [`difference`].
pub fn axial_clearance(outer: &Reading, inner: &Reading, shared_u_m: f64) -> Result<Estimate, Refused> {
    difference(outer, inner, shared_u_m)
}

/// End play, m, from the two ends of an indicator's travel in one setting, each with its uncertainty.
/// Temperature does not matter at this length; the readings may be of either sign and order.
///
/// # Errors
/// [`Refused::NotPossible`] for readings that are not finite.
pub fn end_play(one_end_m: Estimate, other_end_m: Estimate) -> Result<Estimate, Refused> {
    for end in [one_end_m, other_end_m] {
        finite("an indicator reading", end.value, " m")?;
        not_negative("the uncertainty of an indicator reading", end.u, " m")?;
    }
    Ok(Estimate { value: (one_end_m.value - other_end_m.value).abs(), u: one_end_m.u.hypot(other_end_m.u) })
}
