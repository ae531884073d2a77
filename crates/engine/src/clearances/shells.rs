//! Bearing clearance tuned with half shells of another size.
//!
//! Model: a set that is thicker by a step takes that step off the vertical clearance; one of its two
//! halves takes half. Common practice: sets of ±0.001 in, mixed half and half, move a clearance by
//! ±0.0005 in. Halves are not mixed beyond 0.0005 in of wall, nor from two makers; the thick half
//! goes where the load is not, which is the upper one in a rod and the lower one in a main by trade press.
//! Left out: the crush, which the shell maker sets. Measure again after fitting.

use crate::propagate::Estimate;
use crate::refused::{Refused, finite, not_negative};

/// The steps of the two halves of one bearing, as the sets are sold: positive for a set that gives less
/// clearance, negative for one that gives more, m of diametral clearance per whole set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HalfShells {
    /// Step of the set that the upper half comes from, m.
    pub upper_step_m: f64,
    /// Step of the set that the lower half comes from, m.
    pub lower_step_m: f64,
}

/// Diametral clearance, m, with other half shells than the standard ones it was measured with.
///
/// # Errors
/// [`Refused::Clash`] when the walls of the two halves differ by more than `most_wall_difference_m`.
pub fn with_shells(standard_m: Estimate, shells: HalfShells, most_wall_difference_m: f64) -> Result<Estimate, Refused> {
    finite("a clearance", standard_m.value, " m")?;
    finite("the step of an upper shell", shells.upper_step_m, " m")?;
    finite("the step of a lower shell", shells.lower_step_m, " m")?;
    not_negative("a greatest difference of walls", most_wall_difference_m, " m")?;
    // A set of a step carries half of it in each wall.
    let walls_m = 0.5 * (shells.upper_step_m - shells.lower_step_m).abs();
    // Steps are whole thousandths; a nanometre is rounding.
    if walls_m > most_wall_difference_m + 1e-9 {
        return Err(Refused::Clash {
            first: format!(
                "an upper shell of {:+.4} mm and a lower one of {:+.4} mm",
                shells.upper_step_m * 1e3,
                shells.lower_step_m * 1e3
            ),
            second: format!("walls that differ by {:.4} mm at most", most_wall_difference_m * 1e3),
            why: format!("these walls differ by {:.4} mm", walls_m * 1e3),
        });
    }
    let taken_m = 0.5 * (shells.upper_step_m + shells.lower_step_m);
    Ok(Estimate { value: standard_m.value - taken_m, u: standard_m.u })
}

/// Every pair of halves from the given sets that may be mixed, with the clearance it gives, nearest to a
/// wanted clearance first. The standard set has a step of 0 and belongs in `steps_m` when it is at hand.
///
/// # Errors
/// [`Refused::NotPossible`] for numbers that are not finite.
pub fn choices(
    standard_m: Estimate,
    steps_m: &[f64],
    most_wall_difference_m: f64,
    wanted_m: f64,
) -> Result<Vec<(HalfShells, Estimate)>, Refused> {
    finite("a wanted clearance", wanted_m, " m")?;
    let mut found = Vec::new();
    for upper_step_m in steps_m {
        for lower_step_m in steps_m {
            let shells = HalfShells { upper_step_m: *upper_step_m, lower_step_m: *lower_step_m };
            match with_shells(standard_m, shells, most_wall_difference_m) {
                Ok(clearance_m) => found.push((shells, clearance_m)),
                Err(Refused::Clash { .. }) => {}
                Err(other) => return Err(other),
            }
        }
    }
    let off = |clearance_m: &Estimate| (clearance_m.value - wanted_m).abs();
    found.sort_by(|a, b| off(&a.1).total_cmp(&off(&b.1)));
    Ok(found)
}
