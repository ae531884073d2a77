//! Absolute pressure, gauge pressure, and the barometer that leads from one to the other.

use super::{KindError, not_negative, quantity};
use crate::unit::table::{INCH_HG_PA, PSI_PA};
use crate::unit::{PressureReference, Unit};

const NO_VACUUM: &str = "a pressure counted from nothing cannot be below zero";

quantity! {
    /// A pressure counted from nothing at all. Pressure ratios and densities need this one.
    AbsolutePressure, Pressure, "an absolute pressure", "kPa abs, psia or bara";
    from_pascals pascals "Pa" 1.0, from_kpa kpa "kPa" 1e3, from_psia psia "psi" PSI_PA, from_bar bar "bar" 1e5,
    from_inhg inhg "inHg" INCH_HG_PA,;
    {
        fn refuses(unit: &Unit) -> Option<&'static str> {
            match unit.reference {
                PressureReference::Absolute => None,
                PressureReference::Unstated => Some(
                    "it is not said whether this counts from the air around or from nothing; \
                     write gauge (psig, kPa gauge) or absolute (psia, kPa abs)",
                ),
                PressureReference::Gauge | PressureReference::Vacuum => Some(
                    "this counts from the air around, and a pressure counted from nothing is expected; \
                     write it absolute (psia, kPa abs), or give the barometer so that it can be converted",
                ),
            }
        }
        fn impossible(si: f64) -> Option<&'static str> { not_negative(si, NO_VACUUM) }
    }
}

quantity! {
    /// A pressure above the air around; negative below it.
    GaugePressure, Pressure, "a gauge pressure", "psi, kPa, bar or inHg vac";
    from_pascals pascals "Pa" 1.0, from_kpa kpa "kPa" 1e3, from_psig psig "psi" PSI_PA, from_bar bar "bar" 1e5,
    from_inhg inhg "inHg" INCH_HG_PA,;
    {
        fn refuses(unit: &Unit) -> Option<&'static str> {
            (unit.reference == PressureReference::Absolute).then_some(
                "this counts from nothing, and a pressure above the air around is expected; \
                 write it as gauge (psig, kPa gauge), or give the barometer so that it can be converted",
            )
        }
    }
}

quantity! {
    /// The pressure of the air in the room, absolute by its nature. Station pressure, not the
    /// figure of a weather service reduced to sea level.
    Barometer, Pressure, "a barometer reading", "inHg, kPa or mbar";
    from_pascals pascals "Pa" 1.0, from_kpa kpa "kPa" 1e3, from_inhg inhg "inHg" INCH_HG_PA, from_mbar mbar "mbar" 100.0,;
    {
        fn refuses(unit: &Unit) -> Option<&'static str> {
            matches!(unit.reference, PressureReference::Gauge | PressureReference::Vacuum)
                .then_some("a barometer counts from nothing and never from the air around; write inHg, kPa or mbar")
        }
        fn impossible(si: f64) -> Option<&'static str> { not_negative(si, NO_VACUUM) }
    }
}

impl GaugePressure {
    /// The absolute pressure, with the barometer of the room.
    ///
    /// # Errors
    /// [`KindError::NotPossible`] if the result lies below zero: the vacuum is deeper than the barometer.
    pub fn absolute(self, barometer: Barometer) -> Result<AbsolutePressure, KindError> {
        let pascals = self.pascals() + barometer.pascals();
        match not_negative(pascals, "the vacuum is deeper than the barometer is high") {
            None => Ok(AbsolutePressure::from_pascals(pascals)),
            Some(why) => {
                Err(KindError::NotPossible { what: "an absolute pressure", value: pascals / 1e3, unit: "kPa", why })
            }
        }
    }
}

impl AbsolutePressure {
    /// The pressure above the air around, with the barometer of the room.
    pub fn gauge(self, barometer: Barometer) -> GaugePressure {
        GaugePressure::from_pascals(self.pascals() - barometer.pascals())
    }
}

impl Barometer {
    /// The same as an absolute pressure.
    pub fn absolute(self) -> AbsolutePressure {
        AbsolutePressure::from_pascals(self.pascals())
    }
}
