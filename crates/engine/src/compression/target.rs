//! What to change for a wanted static ratio, and the quench that goes with it.
//!
//! Model: one change at a time, everything else as measured; the ratio follows from volumes alone.
//! Left out: how a milled head changes the shape of its chamber. Pour it again.

use super::clearance::{CylinderSizes, disc_m3, static_ratio};
use crate::possible::NotPossible;
use crate::refused::{Refused, finite, positive};

/// Clearance volume, m³, that gives a static ratio with a swept volume.
///
/// # Errors
/// [`Refused::NotPossible`] for a ratio that is not above 1.
pub fn clearance_for_ratio_m3(swept_m3: f64, ratio: f64) -> Result<f64, Refused> {
    positive("a swept volume", swept_m3, " m³")?;
    if !(ratio.is_finite() && ratio > 1.0) {
        return Err(NotPossible {
            what: "a compression ratio",
            value: ratio,
            unit: "",
            expected: "a finite number above 1",
        }
        .into());
    }
    Ok(swept_m3 / (ratio - 1.0))
}

/// Volume to add to the clearance (positive: open the chamber or the dish, shim) or to take out of it
/// (negative: mill, dome, thinner gasket) for a wanted ratio, m³ per cylinder.
///
/// # Errors
/// As [`clearance_for_ratio_m3`] and [`static_ratio`].
pub fn volume_change_for_ratio_m3(swept_m3: f64, clearance_m3: f64, ratio: f64) -> Result<f64, Refused> {
    static_ratio(swept_m3, clearance_m3)?;
    Ok(clearance_for_ratio_m3(swept_m3, ratio)? - clearance_m3)
}

/// Compressed gasket thickness, m, that gives a wanted ratio with everything else as it is.
///
/// # Errors
/// [`Refused::Clash`] when no gasket is thin enough, or none of that thickness keeps the piston off the head.
pub fn gasket_for_ratio_m(sizes: &CylinderSizes, ratio: f64) -> Result<f64, Refused> {
    let change_m3 = volume_change_for_ratio_m3(sizes.swept_m3(), sizes.clearance_m3()?, ratio)?;
    let thickness_m = sizes.gasket_thickness_m + change_m3 / disc_m3(sizes.gasket_bore_m, 1.0);
    if thickness_m <= 0.0 {
        return Err(Refused::Clash {
            first: format!("a ratio of {ratio:.2}"),
            second: "chamber, crown and deck as measured".into(),
            why: format!(
                "even without a gasket there are {:.1} cm³ too many; take them out of chamber, crown or deck",
                disc_m3(sizes.gasket_bore_m, -thickness_m) * 1e6
            ),
        });
    }
    quench_m(sizes.deck_m, thickness_m)?;
    Ok(thickness_m)
}

/// Deck clearance, m, that gives a wanted ratio with everything else as it is: below the block face
/// positive. The change from the present one is what the block face loses, or the piston gains.
///
/// # Errors
/// [`Refused::Clash`] when the piston would meet the head.
pub fn deck_for_ratio_m(sizes: &CylinderSizes, ratio: f64) -> Result<f64, Refused> {
    let change_m3 = volume_change_for_ratio_m3(sizes.swept_m3(), sizes.clearance_m3()?, ratio)?;
    let deck_m = sizes.deck_m + change_m3 / disc_m3(sizes.bore_m, 1.0);
    if deck_m + sizes.gasket_thickness_m <= 0.0 {
        return Err(Refused::Clash {
            first: format!("a ratio of {ratio:.2} by the deck alone"),
            second: format!("a gasket of {:.3} mm", sizes.gasket_thickness_m * 1e3),
            why: format!("the piston would stand {:.3} mm above the deck and meet the head", -deck_m * 1e3),
        });
    }
    Ok(deck_m)
}

/// Quench, m: the gap between the flat of the piston and the flat of the head at top dead centre,
/// cold and at rest: deck clearance and compressed gasket. Use the tightest corner of the deck.
///
/// # Errors
/// [`Refused::Clash`] when nothing is left: the piston would meet the head.
pub fn quench_m(deck_m: f64, gasket_thickness_m: f64) -> Result<f64, Refused> {
    finite("a deck clearance", deck_m, " m")?;
    positive("a gasket thickness", gasket_thickness_m, " m")?;
    let gap_m = deck_m + gasket_thickness_m;
    if gap_m > 0.0 {
        return Ok(gap_m);
    }
    Err(Refused::Clash {
        first: format!("a piston {:.3} mm above the deck", -deck_m * 1e3),
        second: format!("a gasket of {:.3} mm", gasket_thickness_m * 1e3),
        why: "the piston would meet the flat of the head".into(),
    })
}
