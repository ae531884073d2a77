//! The volume left above the piston at top dead centre, and the static compression ratio.
//!
//! Model: cold parts, round gasket opening, the piston level. Left out: thermal growth, rod stretch,
//! carbon, and the threads of the plug, which belong to the chamber as poured.
//!
//! # Source
//! Geometry with the signs of the trade; the worked volumes of `validation/compression`.

use crate::displacement::swept_m3;
use crate::propagate::{Estimate, propagate};
use crate::refused::{Refused, finite, not_negative, positive};
use std::f64::consts::FRAC_PI_4;

/// Volume of a round slice, m³: a gasket opening (its bore and compressed thickness), or the deck
/// height times the bore. A negative thickness, a piston above the deck, gives a negative volume.
pub fn disc_m3(diameter_m: f64, thickness_m: f64) -> f64 {
    FRAC_PI_4 * diameter_m * diameter_m * thickness_m
}

/// The parts of the clearance volume of one cylinder, m³.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClearanceVolumes {
    /// Chamber in the head with valves and plug fitted.
    pub chamber_m3: f64,
    /// Opening of the compressed gasket.
    pub gasket_m3: f64,
    /// Between piston and block face: positive below the deck, negative above it.
    pub deck_m3: f64,
    /// Crown: positive for dish and valve pockets, negative for a dome.
    pub crown_m3: f64,
    /// Around the top land, down to the top ring; 1 to 2 cm³ is common practice, no source.
    pub crevice_m3: f64,
}

impl ClearanceVolumes {
    /// The parts with their names, in the order in which they are added.
    pub fn parts(&self) -> [(&'static str, f64); 5] {
        [
            ("chamber", self.chamber_m3),
            ("gasket", self.gasket_m3),
            ("deck", self.deck_m3),
            ("crown", self.crown_m3),
            ("crevice", self.crevice_m3),
        ]
    }

    /// The clearance volume, m³.
    ///
    /// # Errors
    /// [`Refused::NotPossible`] for a chamber, gasket or crevice below zero, [`Refused::Clash`] when dome
    /// and raised piston take more room than there is; the two sides are named with their volumes.
    pub fn total_m3(&self) -> Result<f64, Refused> {
        not_negative("a chamber volume", self.chamber_m3, " m³")?;
        not_negative("a gasket volume", self.gasket_m3, " m³")?;
        not_negative("a crevice volume", self.crevice_m3, " m³")?;
        finite("a deck volume", self.deck_m3, " m³")?;
        finite("a crown volume", self.crown_m3, " m³")?;
        let total: f64 = self.parts().iter().map(|(_, volume)| volume).sum();
        if total > 0.0 {
            return Ok(total);
        }
        let takes: Vec<String> = self.parts().into_iter().filter(|(_, volume)| *volume < 0.0).map(taken).collect();
        let gives = self.parts().into_iter().filter(|(_, volume)| *volume > 0.0);
        let gives_m3: f64 = gives.clone().map(|(_, volume)| volume).sum();
        let listed: Vec<String> = gives.map(|(name, volume)| format!("{name} {:.1}", volume * 1e6)).collect();
        Err(Refused::Clash {
            first: if takes.is_empty() { "a crown without dome".into() } else { takes.join(" with ") },
            second: format!("room of {:.1} cm³ ({})", gives_m3 * 1e6, listed.join(", ")),
            why: format!("the clearance volume would be {:.1} cm³; check the sign of crown and deck", total * 1e6),
        })
    }
}

fn taken((name, volume_m3): (&str, f64)) -> String {
    let cc = -volume_m3 * 1e6;
    if name == "crown" { format!("a dome of {cc:.1} cm³") } else { format!("{cc:.1} cm³ of piston above the deck") }
}

/// Static compression ratio of one cylinder: swept and clearance volume over clearance volume.
///
/// # Errors
/// [`Refused::NotPossible`] for a volume that is not above zero.
pub fn static_ratio(swept_m3: f64, clearance_m3: f64) -> Result<f64, Refused> {
    positive("a swept volume", swept_m3, " m³")?;
    positive("a clearance volume", clearance_m3, " m³")?;
    Ok((swept_m3 + clearance_m3) / clearance_m3)
}

/// What is measured on one cylinder. The same struct holds the values or their standard uncertainties.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CylinderSizes {
    /// Bore (diameter), m.
    pub bore_m: f64,
    /// Stroke of the piston, m.
    pub stroke_m: f64,
    /// Chamber volume in the head, m³.
    pub chamber_m3: f64,
    /// Opening of the gasket (diameter), m; not smaller than the bore.
    pub gasket_bore_m: f64,
    /// Thickness of the gasket once compressed, m.
    pub gasket_thickness_m: f64,
    /// Piston below (+) or above (−) the block face at top dead centre, m.
    pub deck_m: f64,
    /// Crown volume, dish +, dome −, m³.
    pub crown_m3: f64,
    /// Crevice above the top ring, m³.
    pub crevice_m3: f64,
}

/// Names of the inputs, in the order of [`CylinderSizes`].
const INPUTS: [&str; 8] = ["bore", "stroke", "chamber", "gasket bore", "gasket thickness", "deck", "crown", "crevice"];

/// Static ratio with its uncertainty and where the uncertainty comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct StaticRatio {
    /// The ratio, without unit.
    pub ratio: Estimate,
    /// Swept volume of the cylinder, m³.
    pub swept_m3: f64,
    /// Clearance volume, m³.
    pub clearance_m3: f64,
    /// Each input's share of the variance of the ratio, largest first; adds up to 1.
    pub shares: Vec<(&'static str, f64)>,
}

impl CylinderSizes {
    /// Swept volume, m³.
    pub fn swept_m3(&self) -> f64 {
        swept_m3(self.bore_m, self.stroke_m)
    }

    /// The parts of the clearance volume, m³.
    ///
    /// # Errors
    /// [`Refused::NotPossible`] for a bore, stroke or gasket that is not above zero, [`Refused::Clash`] for a
    /// gasket that hangs into the bore.
    pub fn volumes(&self) -> Result<ClearanceVolumes, Refused> {
        positive("a bore", self.bore_m, " m")?;
        positive("a stroke", self.stroke_m, " m")?;
        positive("a gasket bore", self.gasket_bore_m, " m")?;
        positive("a gasket thickness", self.gasket_thickness_m, " m")?;
        finite("a deck clearance", self.deck_m, " m")?;
        if self.gasket_bore_m < self.bore_m {
            return Err(Refused::Clash {
                first: format!("a gasket opening of {:.2} mm", self.gasket_bore_m * 1e3),
                second: format!("a bore of {:.2} mm", self.bore_m * 1e3),
                why: "the gasket would hang into the cylinder".into(),
            });
        }
        Ok(self.volumes_unchecked())
    }

    /// Clearance volume, m³.
    ///
    /// # Errors
    /// As [`CylinderSizes::volumes`] and [`ClearanceVolumes::total_m3`].
    pub fn clearance_m3(&self) -> Result<f64, Refused> {
        self.volumes()?.total_m3()
    }

    /// Static ratio with its uncertainty; `u` holds the standard uncertainties of the same fields.
    ///
    /// The bore counts once: it moves swept volume and deck volume together.
    ///
    /// # Errors
    /// As [`CylinderSizes::clearance_m3`].
    pub fn static_ratio(&self, u: &CylinderSizes) -> Result<StaticRatio, Refused> {
        let clearance_m3 = self.clearance_m3()?;
        let (value, u, shares) = propagate(
            |x| {
                let sizes = Self::from_array(x);
                1.0 + sizes.swept_m3() / sizes.clearance_unchecked_m3()
            },
            &self.pairs(u)?,
        );
        let mut shares: Vec<_> = INPUTS.into_iter().zip(shares).collect();
        shares.sort_by(|a, b| b.1.total_cmp(&a.1));
        let ratio = Estimate { value, u };
        Ok(StaticRatio { ratio, swept_m3: self.swept_m3(), clearance_m3, shares })
    }

    fn volumes_unchecked(&self) -> ClearanceVolumes {
        ClearanceVolumes {
            chamber_m3: self.chamber_m3,
            gasket_m3: disc_m3(self.gasket_bore_m, self.gasket_thickness_m),
            deck_m3: disc_m3(self.bore_m, self.deck_m),
            crown_m3: self.crown_m3,
            crevice_m3: self.crevice_m3,
        }
    }

    /// For points one uncertainty away from sizes that have been checked.
    pub(super) fn clearance_unchecked_m3(&self) -> f64 {
        self.volumes_unchecked().parts().iter().map(|(_, volume)| volume).sum()
    }

    pub(super) fn pairs(&self, u: &Self) -> Result<Vec<(f64, f64)>, Refused> {
        let uncertainties = u.to_array();
        for value in uncertainties {
            not_negative("a standard uncertainty", value, "")?;
        }
        Ok(self.to_array().into_iter().zip(uncertainties).collect())
    }

    fn to_array(self) -> [f64; 8] {
        [
            self.bore_m,
            self.stroke_m,
            self.chamber_m3,
            self.gasket_bore_m,
            self.gasket_thickness_m,
            self.deck_m,
            self.crown_m3,
            self.crevice_m3,
        ]
    }

    /// From at least eight numbers in the order of the fields.
    pub(super) fn from_array(x: &[f64]) -> Self {
        Self {
            bore_m: x[0],
            stroke_m: x[1],
            chamber_m3: x[2],
            gasket_bore_m: x[3],
            gasket_thickness_m: x[4],
            deck_m: x[5],
            crown_m3: x[6],
            crevice_m3: x[7],
        }
    }
}
