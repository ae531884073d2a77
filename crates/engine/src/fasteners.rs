//! Bolts: stretch, tension, and what a torque says of tension.
//!
//! Model: an elastic rod of several lengths and sections; stretch is `F Σ L / (A E)`. Torque is
//! friction: `T = K d F` with a nut factor K that lubricant and surface set, so a torque gives a band of
//! tension and never a figure.
//! Left out: bending, give of the clamped parts, yield. A stretch beyond the elastic range is refused
//! when the caller states the limit of stress. Bolts tightened to yield are not used again.
//!
//! # Source
//! Elastic rod: any textbook. Scatter by method: a space agency's preload table as reproduced in a public
//! note (NASA-CR-151541 names the same subject): lubricated torque ±25 %, dry ±35 %, turn of the nut
//! ±15 %, elongation ±3 to 5 %.

use crate::loads::Band;
use crate::propagate::{Estimate, propagate};
use crate::refused::{Refused, not_negative, positive};
use quantity::{Limits, Verdict};
use std::f64::consts::FRAC_PI_4;

/// Which standard rounds the root of the thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ThreadForm {
    /// ISO metric thread: `d − 0.9382 P` (ISO 898-1, from memory).
    Metric,
    /// Unified inch thread: `d − 0.9743 P` (ASME B1.1, from memory).
    Inch,
}

/// Stress area of a thread, m², from its nominal diameter and pitch (m): the circle of the diameter
/// that its [`ThreadForm`] gives.
///
/// # Errors
/// [`Refused::Clash`] for a pitch that leaves no core.
pub fn stress_area_m2(diameter_m: f64, pitch_m: f64, form: ThreadForm) -> Result<f64, Refused> {
    positive("a thread diameter", diameter_m, " m")?;
    positive("a thread pitch", pitch_m, " m")?;
    let pitches = match form {
        ThreadForm::Metric => 0.9382,
        ThreadForm::Inch => 0.9743,
    };
    let middle_m = diameter_m - pitches * pitch_m;
    if middle_m <= 0.0 {
        return Err(Refused::Clash {
            first: format!("a thread of {:.2} mm", diameter_m * 1e3),
            second: format!("a pitch of {:.2} mm", pitch_m * 1e3),
            why: "nothing would be left of the core".into(),
        });
    }
    Ok(FRAC_PI_4 * middle_m * middle_m)
}

/// One length of a bolt with one section: a waist, a shank, the thread free of the nut, and about half of
/// the thread in engagement (common practice, no source).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Length, m.
    pub length_m: f64,
    /// Area, m².
    pub area_m2: f64,
}

/// A bolt as an elastic rod.
#[derive(Debug, Clone, PartialEq)]
pub struct Bolt {
    sections: Vec<Section>,
    modulus_pa: f64,
}

impl Bolt {
    /// From its sections under load and its modulus of elasticity (steel about 205 GPa), Pa.
    ///
    /// # Errors
    /// [`Refused`] without a section, or for a length, area or modulus not above zero.
    pub fn new(sections: Vec<Section>, modulus_pa: f64) -> Result<Self, Refused> {
        positive("a modulus of elasticity", modulus_pa, " Pa")?;
        if sections.is_empty() {
            return Err(Refused::TooFewReadings { what: "the stretch of a bolt", needed: 1, found: 0 });
        }
        for section in &sections {
            positive("the length of a section", section.length_m, " m")?;
            positive("the area of a section", section.area_m2, " m²")?;
        }
        Ok(Self { sections, modulus_pa })
    }

    /// Stretch, m, under a tension, N.
    pub fn stretch_m(&self, tension_n: f64) -> f64 {
        tension_n * self.give_m_n()
    }

    /// Tension, N, at a stretch, m.
    pub fn tension_n(&self, stretch_m: f64) -> f64 {
        stretch_m / self.give_m_n()
    }

    /// Tension, N, at a measured stretch, m. The bolt's own sections and modulus count as exact: add
    /// [`TighteningMethod::Elongation`] for the whole doubt.
    pub fn tension_with_u(&self, stretch_m: Estimate) -> Estimate {
        let (value, u, _) = propagate(|x| self.tension_n(x[0]), &[stretch_m.pair()]);
        Estimate { value, u }
    }

    /// Stress in the thinnest section, Pa, under a tension, N.
    pub fn stress_pa(&self, tension_n: f64) -> f64 {
        tension_n / self.sections.iter().map(|section| section.area_m2).fold(f64::INFINITY, f64::min)
    }

    /// Tension at a stretch, refused when the thinnest section would pass a limit of stress.
    ///
    /// # Errors
    /// [`Refused::Clash`] with the stress and the limit: the elastic rod no longer holds there.
    pub fn elastic_tension_n(&self, stretch_m: f64, stress_limit_pa: f64) -> Result<f64, Refused> {
        not_negative("a stretch", stretch_m, " m")?;
        positive("a limit of stress", stress_limit_pa, " Pa")?;
        let tension_n = self.tension_n(stretch_m);
        let stress_pa = self.stress_pa(tension_n);
        if stress_pa > stress_limit_pa {
            return Err(Refused::Clash {
                first: format!(
                    "a stretch of {:.3} mm, {:.0} MPa in the thinnest section",
                    stretch_m * 1e3,
                    stress_pa / 1e6
                ),
                second: format!("a limit of {:.0} MPa", stress_limit_pa / 1e6),
                why: "the bolt would yield; check lengths and sections, or follow the maker's stretch".into(),
            });
        }
        Ok(tension_n)
    }

    fn give_m_n(&self) -> f64 {
        self.sections.iter().map(|section| section.length_m / (section.area_m2 * self.modulus_pa)).sum()
    }
}

/// How a bolt was tightened, which decides how far its tension can be known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TighteningMethod {
    /// Torque wrench, lubricated.
    LubricatedTorque,
    /// Torque wrench, dry.
    DryTorque,
    /// Turn of the nut from snug.
    TurnOfNut,
    /// Stretch measured.
    Elongation,
}

impl TighteningMethod {
    /// Scatter of the tension either way, as a share of the aim: the least and the greatest that the source gives.
    pub fn scatter(self) -> Band {
        let (low, high) = match self {
            Self::LubricatedTorque => (0.25, 0.25),
            Self::DryTorque => (0.35, 0.35),
            Self::TurnOfNut => (0.15, 0.15),
            Self::Elongation => (0.03, 0.05),
        };
        Band { low, high }
    }

    /// The band of tension, N, that this method leaves around an aim; the wider scatter counts.
    ///
    /// # Errors
    /// [`Refused::NotPossible`] for an aim that is not above zero.
    pub fn tension_band_n(self, aim_n: f64) -> Result<Band, Refused> {
        positive("a tension", aim_n, " N")?;
        let share = self.scatter().high;
        Ok(Band { low: aim_n * (1.0 - share), high: aim_n * (1.0 + share) })
    }
}

/// Torque, N·m, for a tension (N) with a nut factor K and the nominal diameter (m): `T = K d F`.
///
/// # Errors
/// [`Refused::NotPossible`] for a number that is not above zero.
pub fn torque_nm(tension_n: f64, nut_factor: f64, diameter_m: f64) -> Result<f64, Refused> {
    positive("a tension", tension_n, " N")?;
    positive("a nut factor", nut_factor, "")?;
    positive("a bolt diameter", diameter_m, " m")?;
    Ok(nut_factor * diameter_m * tension_n)
}

/// The band of tension, N, that a torque (N·m) leaves when the nut factor lies between two values. The
/// high factor, most friction, gives the low tension.
///
/// # Errors
/// [`Refused::NotPossible`] for a number that is not above zero, [`Refused::Clash`] for a band turned round.
pub fn tension_from_torque_n(torque_nm: f64, nut_factor: Band, diameter_m: f64) -> Result<Band, Refused> {
    positive("a torque", torque_nm, " N·m")?;
    positive("a bolt diameter", diameter_m, " m")?;
    let factor = nut_factor.checked("a nut factor", "")?;
    let tension_n = |k: f64| torque_nm / (k * diameter_m);
    Ok(Band { low: tension_n(factor.high), high: tension_n(factor.low) })
}

/// Tension with one lubricant over tension with another at the same torque: the inverse ratio of the
/// nut factors. A torque printed for oil and used with a slicker paste pulls this much harder.
///
/// # Errors
/// [`Refused::NotPossible`] for a factor that is not above zero.
pub fn tension_ratio(printed_for_factor: f64, used_with_factor: f64) -> Result<f64, Refused> {
    Ok(positive("a nut factor", printed_for_factor, "")? / positive("a nut factor", used_with_factor, "")?)
}

/// Growth of a bolt's free length since new, and whether it may be used again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Growth {
    /// Growth, m; its uncertainty from both readings.
    pub growth_m: Estimate,
    /// `Outside`: grown by more than the limit, do not use again. `CannotTell`: measure better or replace.
    pub verdict: Verdict,
}

/// Free length now less free length when new, against a limit (m) that the caller takes from the maker.
///
/// # Errors
/// [`Refused::NotPossible`] for lengths that are not above zero or a limit below zero.
pub fn growth(new_m: Estimate, now_m: Estimate, limit_m: f64) -> Result<Growth, Refused> {
    positive("a free length when new", new_m.value, " m")?;
    positive("a free length now", now_m.value, " m")?;
    not_negative("a limit of growth", limit_m, " m")?;
    let growth_m = Estimate { value: now_m.value - new_m.value, u: new_m.u.hypot(now_m.u) };
    Ok(Growth { growth_m, verdict: growth_m.verdict(Limits::at_most(limit_m)) })
}
