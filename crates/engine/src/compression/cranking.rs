//! The cranking pressure to expect, as a band.
//!
//! Model: the air trapped at intake closing is taken to be at the local absolute pressure and is
//! compressed as `p · ratio^n`; a share of it leaks. The exponent lies below the 1.4 of air without heat
//! loss because the walls take heat at cranking speed.
//! Left out: filling at cranking speed, oil on the rings, temperature, and the gauge's own volume and
//! check valve. Results are a band for judging a reading, never a figure to reach.
//!
//! # Source
//! The formula and n = 1.2 … 1.3: trade practice with the polytropic law of any textbook; 8:1 from intake
//! closing gives about 165 to 200 psi at sea level by the same practice, which the tests check.

use super::closing::TrappedRatio;
use crate::possible::NotPossible;
use crate::propagate::Estimate;
use crate::refused::{Refused, positive};
use quantity::{Limits, Verdict};

/// What the band is made of. Each pair is low and high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrankingAssumptions {
    /// Exponent of the compression, 1 … 1.4.
    pub exponent: (f64, f64),
    /// Share of the trapped air that leaks, 0 … 1.
    pub leakage: (f64, f64),
}

impl Default for CrankingAssumptions {
    /// Exponent 1.2 to 1.3 (trade practice); leakage none to 5 % (our assumption for a sound engine).
    fn default() -> Self {
        Self { exponent: (1.2, 1.3), leakage: (0.0, 0.05) }
    }
}

/// Where a cranking pressure is expected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrankingBand {
    /// Low end on a gauge, Pa above the local pressure.
    pub low_gauge_pa: f64,
    /// High end on a gauge, Pa above the local pressure.
    pub high_gauge_pa: f64,
    /// Local absolute pressure it was worked out with, Pa.
    pub local_pa: f64,
    /// The ratio from intake closing and the check lift it stands on.
    pub ratio: TrappedRatio,
}

/// Expected cranking pressure from the local absolute pressure (a barometer not reduced to sea level).
///
/// The ratio's own doubt is in the band: two standard uncertainties down for the low end, up for the high end.
/// Give the ratio at the smallest check lift of the card: what counts is where the valve seals.
///
/// # Errors
/// [`Refused::NotPossible`] for a pressure or assumptions that cannot be, [`Refused::Clash`] for a band turned round.
pub fn expected_band(
    local_pa: f64,
    ratio: TrappedRatio,
    assumptions: CrankingAssumptions,
) -> Result<CrankingBand, Refused> {
    positive("a local pressure", local_pa, " Pa")?;
    ordered("an exponent", assumptions.exponent, (1.0, 1.4), "1 to 1.4")?;
    ordered("a leaking share", assumptions.leakage, (0.0, 1.0), "0 to 1")?;
    let (low_ratio, high_ratio) = (ratio.ratio.value - 2.0 * ratio.ratio.u, ratio.ratio.value + 2.0 * ratio.ratio.u);
    if !(low_ratio >= 1.0) {
        return Err(NotPossible {
            what: "the low end of a ratio from intake closing",
            value: low_ratio,
            unit: "",
            expected: "1 or more; the ratio is too uncertain for a band",
        }
        .into());
    }
    let gauge_pa = |ratio: f64, exponent: f64, leak: f64| local_pa * (ratio.powf(exponent) * (1.0 - leak) - 1.0);
    Ok(CrankingBand {
        low_gauge_pa: gauge_pa(low_ratio, assumptions.exponent.0, assumptions.leakage.1),
        high_gauge_pa: gauge_pa(high_ratio, assumptions.exponent.1, assumptions.leakage.0),
        local_pa,
        ratio,
    })
}

/// Expected cranking pressure at a height above the sea, m, on a standard day. A barometer on the spot
/// is better: the weather moves the pressure by some 3 %.
///
/// # Errors
/// As [`expected_band`]; [`Refused::NotPossible`] for a height the standard atmosphere does not cover.
pub fn expected_band_at_height(
    height_m: f64,
    ratio: TrappedRatio,
    assumptions: CrankingAssumptions,
) -> Result<CrankingBand, Refused> {
    let local_pa = gas::atmosphere::pressure_pa(gas::atmosphere::geopotential_m(height_m))
        .map_err(|_| NotPossible { what: "a height", value: height_m, unit: " m", expected: "-500 to 11000 m" })?;
    expected_band(local_pa, ratio, assumptions)
}

impl CrankingBand {
    /// Whether a gauge reading (Pa above the local pressure) lies in the band. Outside asks for a
    /// reason: below, leakage, late closing or a lower ratio than told; above, carbon or a higher ratio.
    pub fn verdict(&self, gauge_pa: Estimate) -> Verdict {
        gauge_pa.verdict(Limits::between(self.low_gauge_pa, self.high_gauge_pa))
    }
}

fn ordered(what: &'static str, pair: (f64, f64), range: (f64, f64), expected: &'static str) -> Result<(), Refused> {
    for value in [pair.0, pair.1] {
        if !(range.0..=range.1).contains(&value) {
            return Err(NotPossible { what, value, unit: "", expected }.into());
        }
    }
    if pair.0 > pair.1 {
        return Err(Refused::Clash {
            first: format!("{what} of {} at the low end", pair.0),
            second: format!("{} at the high end", pair.1),
            why: "the low end must not lie above the high end".into(),
        });
    }
    Ok(())
}
