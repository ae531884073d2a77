//! Whether a factor lies in the range for which its standard is meant.

use super::{AmbientAir, Standard};
use quantity::{Limits, Verdict, verdict};

/// Beyond these a factor is shown as extrapolated whatever the standard (common practice, no source).
pub const CUSTOMARY_RANGE: (f64, f64) = (0.93, 1.07);

/// Whether the factor lies in the standard's own range, with a guard band of twice its standard
/// uncertainty. `None` where no range of the standard is known to us.
pub fn range_verdict(standard: Standard, factor: f64, u_factor: f64) -> Option<Verdict> {
    let (low, high) = standard.factor_range()?;
    Some(verdict(factor, u_factor, Limits::between(low, high)))
}

/// Whether a factor is to be shown as extrapolated: beyond [`CUSTOMARY_RANGE`], whatever the standard.
pub fn is_extrapolated(factor: f64) -> bool {
    !(CUSTOMARY_RANGE.0..=CUSTOMARY_RANGE.1).contains(&factor)
}

/// What belongs beside the figures because of the air: temperature or dry pressure beyond the
/// standard's window, as whole sentences; empty if all is inside or no window is known.
pub fn range_remarks(standard: Standard, air: &AmbientAir) -> Vec<String> {
    let mut remarks = Vec::new();
    if let Some((low, high)) = standard.temperature_range_k()
        && !(low..=high).contains(&air.temperature_k)
    {
        remarks.push(format!(
            "Inlet air of {:.1} °C is outside {:.0} to {:.0} °C, for which {} is meant.",
            air.temperature_k - 273.15,
            low - 273.15,
            high - 273.15,
            standard.label()
        ));
    }
    let dry = air.dry_pressure_pa();
    if let Some((low, high)) = standard.pressure_range_pa()
        && !(low..=high).contains(&dry)
    {
        remarks.push(format!(
            "A dry pressure of {:.1} kPa is outside {:.0} to {:.0} kPa, for which {} is meant.",
            dry / 1e3,
            low / 1e3,
            high / 1e3,
            standard.label()
        ));
    }
    remarks
}
