//! Balance: the weight that stands in for rod and piston, residual unbalance, matching of sets.
//!
//! Model: all of the rotating mass and a share of the reciprocating mass is hung on the crankpin while
//! the crank is balanced. A share of one half is the rule for a 90° V8; other layouts have the crank
//! maker's factor. Left out: what a share can and cannot balance in a given layout, torsional
//! vibration, and parts outside the crank: external balance needs damper and flywheel fitted.
//!
//! # Source
//! Trade practice for 90° V8 crankshafts; the worked example of `validation/balance`.

use crate::possible::NotPossible;
use crate::propagate::{Estimate, try_propagate};
use crate::refused::{Refused, not_negative, positive};
use crate::spread::{Spread, spread};
use quantity::Verdict;

/// One avoirdupois ounce, kg, by definition.
const OUNCE_KG: f64 = 0.028_349_523_125;
const INCH_M: f64 = 0.0254;

/// Masses of one rod and piston, kg, as weighed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CylinderMasses {
    /// Big end of the rod, with cap and bolts.
    pub big_end_kg: f64,
    /// Both shells of the big end.
    pub bearing_kg: f64,
    /// Small end of the rod.
    pub small_end_kg: f64,
    /// Bare piston.
    pub piston_kg: f64,
    /// Pin.
    pub pin_kg: f64,
    /// Locks of the pin, both.
    pub locks_kg: f64,
    /// Rings, the whole set.
    pub rings_kg: f64,
}

impl CylinderMasses {
    /// Mass that goes round with the crankpin, kg.
    pub fn rotating_kg(&self) -> f64 {
        self.big_end_kg + self.bearing_kg
    }

    /// Mass that goes up and down, kg.
    pub fn reciprocating_kg(&self) -> f64 {
        self.small_end_kg + self.piston_kg + self.pin_kg + self.locks_kg + self.rings_kg
    }

    fn checked(&self) -> Result<(), Refused> {
        positive("a big end", self.big_end_kg, " kg")?;
        not_negative("a bearing", self.bearing_kg, " kg")?;
        positive("a small end", self.small_end_kg, " kg")?;
        positive("a piston", self.piston_kg, " kg")?;
        positive("a pin", self.pin_kg, " kg")?;
        not_negative("a pair of locks", self.locks_kg, " kg")?;
        not_negative("a set of rings", self.rings_kg, " kg")?;
        Ok(())
    }
}

/// What is balanced: how many rods share a crankpin, the share of the reciprocating mass, and oil.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BalanceRule {
    /// Rods on one crankpin.
    pub rods_per_pin: u32,
    /// Share of the reciprocating mass, 0 … 1. One half is the rule of a 90° V8.
    pub reciprocating_share: f64,
    /// Oil carried by one crankpin, kg; 4 to 5 g is trade practice.
    pub oil_kg: f64,
}

/// Bobweight of one crankpin, kg.
///
/// # Errors
/// [`Refused::NotPossible`] for masses or a share that cannot be.
///
/// # Checked by
/// `the_bobweight_of_the_handbook`: 1,714 g.
pub fn bobweight_kg(masses: &CylinderMasses, rule: BalanceRule) -> Result<f64, Refused> {
    masses.checked()?;
    positive("a number of rods on a crankpin", f64::from(rule.rods_per_pin), "")?;
    not_negative("the oil on a crankpin", rule.oil_kg, " kg")?;
    if !(0.0..=1.0).contains(&rule.reciprocating_share) {
        return Err(NotPossible {
            what: "a share of the reciprocating mass",
            value: rule.reciprocating_share,
            unit: "",
            expected: "0 to 1",
        }
        .into());
    }
    let rods = f64::from(rule.rods_per_pin);
    Ok(rods * (masses.rotating_kg() + rule.reciprocating_share * masses.reciprocating_kg()) + rule.oil_kg)
}

/// Bobweight with its uncertainty, kg, when every mass was weighed with the standard uncertainty `u_kg`.
///
/// # Errors
/// As [`bobweight_kg`].
pub fn bobweight_with_u(masses: &CylinderMasses, rule: BalanceRule, u_kg: f64) -> Result<Estimate, Refused> {
    let value = bobweight_kg(masses, rule)?;
    not_negative("a standard uncertainty", u_kg, " kg")?;
    let of = |x: &[f64]| {
        let rods = f64::from(rule.rods_per_pin);
        let reciprocating: f64 = x[2..].iter().sum();
        Ok::<f64, Refused>(rods * (x[0] + x[1] + rule.reciprocating_share * reciprocating) + rule.oil_kg)
    };
    let weighed = [
        masses.big_end_kg,
        masses.bearing_kg,
        masses.small_end_kg,
        masses.piston_kg,
        masses.pin_kg,
        masses.locks_kg,
        masses.rings_kg,
    ];
    let (_, u, _) = try_propagate(of, &weighed.map(|kg| (kg, u_kg)))?;
    Ok(Estimate { value, u })
}

/// Share of the reciprocating mass that a given bobweight stands for: 0.52 is an overbalance of 2 %,
/// 0.48 an underbalance of 2 %. May lie outside 0 … 1 when bobweight and masses do not belong together.
///
/// # Errors
/// [`Refused::NotPossible`] for masses that cannot be.
pub fn share_of_bobweight(
    masses: &CylinderMasses,
    rods_per_pin: u32,
    oil_kg: f64,
    bobweight_kg: f64,
) -> Result<f64, Refused> {
    masses.checked()?;
    positive("a number of rods on a crankpin", f64::from(rods_per_pin), "")?;
    not_negative("the oil on a crankpin", oil_kg, " kg")?;
    positive("a bobweight", bobweight_kg, " kg")?;
    let per_rod_kg = (bobweight_kg - oil_kg) / f64::from(rods_per_pin);
    Ok((per_rod_kg - masses.rotating_kg()) / masses.reciprocating_kg())
}

/// Over- (+) or underbalance (−) in per cent of the reciprocating mass, against the rule's share.
pub fn overbalance_percent(actual_share: f64, rule_share: f64) -> f64 {
    100.0 * (actual_share - rule_share)
}

/// Unbalance in kg·m from ounce-inches.
pub fn kg_m_from_ounce_inch(ounce_inch: f64) -> f64 {
    ounce_inch * OUNCE_KG * INCH_M
}

/// Ounce-inches of an unbalance in kg·m.
pub fn ounce_inch_from_kg_m(unbalance_kg_m: f64) -> f64 {
    unbalance_kg_m / (OUNCE_KG * INCH_M)
}

/// Unbalance in kg·m from gram-millimetres.
pub fn kg_m_from_gram_mm(gram_mm: f64) -> f64 {
    gram_mm * 1e-6
}

/// Gram-millimetres of an unbalance in kg·m.
pub fn gram_mm_from_kg_m(unbalance_kg_m: f64) -> f64 {
    unbalance_kg_m * 1e6
}

/// Mass to take off, or add opposite, at a radius (m) for an unbalance (kg·m), kg.
///
/// # Errors
/// [`Refused::NotPossible`] for a radius that is not above zero.
pub fn correction_kg(unbalance_kg_m: f64, radius_m: f64) -> Result<f64, Refused> {
    not_negative("an unbalance", unbalance_kg_m, " kg·m")?;
    Ok(unbalance_kg_m / positive("a radius", radius_m, " m")?)
}

/// Force that goes round with an unbalance (kg·m) at an angular speed (rad/s), N.
pub fn rotating_force_n(unbalance_kg_m: f64, speed_rad_s: f64) -> f64 {
    unbalance_kg_m * speed_rad_s * speed_rad_s
}

/// A set of like parts, how far it is spread, and what to take off each to match the lightest.
#[derive(Debug, Clone, PartialEq)]
pub struct MatchedSet {
    /// Spread of the masses, kg.
    pub spread: Spread,
    /// What to take off each part to bring it to the lightest, kg, in the order weighed.
    pub take_off_kg: Vec<f64>,
    /// Whether heaviest less lightest is within the limit.
    pub verdict: Verdict,
}

/// Matching of a set (pistons, big ends, small ends): greatest less least against a limit, kg.
///
/// A tolerance of ±1 g is a limit of 2 g between heaviest and lightest. `u_kg` is the standard
/// uncertainty of one weighing, an error common to all left out.
///
/// # Errors
/// [`Refused`] below two parts, for a mass that is not above zero or a limit below zero.
pub fn match_set(masses_kg: &[f64], u_kg: f64, limit_kg: f64) -> Result<MatchedSet, Refused> {
    not_negative("a limit", limit_kg, " kg")?;
    for mass_kg in masses_kg {
        positive("a mass", *mass_kg, " kg")?;
    }
    let spread = spread(masses_kg, u_kg)?;
    let take_off_kg = masses_kg.iter().map(|mass_kg| mass_kg - spread.least).collect();
    Ok(MatchedSet { spread, take_off_kg, verdict: spread.verdict(limit_kg) })
}
