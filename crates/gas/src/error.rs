//! Errors of air calculations. Nothing is clamped: a value outside the model is an error.

/// Why an air calculation gives no result.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum AirError {
    /// A value is outside the range for which the formula is meant, or not a number.
    #[error("{what} of {value}{unit} is outside {from} to {to}{unit}{hint}")]
    OutsideModel {
        /// Which value.
        what: &'static str,
        /// What was found.
        value: f64,
        /// Its unit, with a space before it; empty for a plain number.
        unit: &'static str,
        /// Least value allowed.
        from: f64,
        /// Greatest value allowed.
        to: f64,
        /// What is likely wrong and what to write, starting with "; ", or empty.
        hint: &'static str,
    },
    /// More water vapour than the air can hold.
    #[error(
        "a vapour pressure of {vapour_pa:.0} Pa is more than air of {temperature_c:.1} °C can hold \
         ({saturation_pa:.0} Pa); check the humidity and the temperature"
    )]
    Oversaturated {
        /// Vapour pressure given, Pa.
        vapour_pa: f64,
        /// Saturation pressure, Pa.
        saturation_pa: f64,
        /// Air temperature, °C.
        temperature_c: f64,
    },
    /// A wet bulb that is warmer than the dry bulb, or colder than dry air would make it.
    #[error(
        "a wet bulb of {wet_c:.1} °C is not possible in air of {dry_c:.1} °C at this pressure; \
         check which thermometer is which, and the wick"
    )]
    WetBulbNotPossible {
        /// Wet bulb, °C.
        wet_c: f64,
        /// Dry bulb, °C.
        dry_c: f64,
    },
}

/// An error unless the value is a number from `from` to `to`.
pub(crate) fn within(
    what: &'static str,
    value: f64,
    unit: &'static str,
    (from, to): (f64, f64),
    hint: &'static str,
) -> Result<(), AirError> {
    if (from..=to).contains(&value) {
        Ok(())
    } else {
        Err(AirError::OutsideModel { what, value, unit, from, to, hint })
    }
}
