//! Quantities as types, so that pairs which look alike cannot be mixed.
//!
//! Diameter and radius, gauge and absolute pressure, crank and cam degrees, lambda and air–fuel
//! ratio, temperature and temperature difference, observed and corrected are different types. A
//! type is made only by a constructor that names the unit and read only by a reader that does.
//! Where a step between two types needs a further fact (a barometer, a fuel), the step asks for it.

mod air_fuel;
mod angle;
mod pressure;
mod standing;
mod temperature;

pub use air_fuel::{AirFuelRatio, Fuel, Lambda, StoichiometricRatio};
pub use angle::{CamAngle, CrankAngle};
pub use pressure::{AbsolutePressure, Barometer, GaugePressure};
pub use standing::{Corrected, Observed};
pub use temperature::{Temperature, TemperatureDifference};

use crate::unit::Dimension;
use crate::unit::table::{
    CUBIC_FOOT_M3, CUBIC_INCH_M3, FOOT_M, HOUR_S, HP_W, INCH_M, METRIC_HP_W, MILE_M, POUND_KG, POUND_N,
};

/// Why a value is not possible, or a step between types fails.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum KindError {
    /// Below what nature allows, or not a finite number.
    #[error("{what} of {value} {unit} is not possible: {why}")]
    NotPossible {
        /// What was given.
        what: &'static str,
        /// The value.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Why not.
        why: &'static str,
    },
}

/// What every type of quantity knows of itself. Implemented here only.
pub trait Quantity: Copy + private::Raw {
    /// The kind of its units.
    const DIMENSION: Dimension;
    /// What a person calls it: "gauge pressure".
    const NAME: &'static str;
    /// Units that an error offers.
    const OFFERED: &'static str;
}

pub(crate) mod private {
    use crate::unit::Unit;

    /// The step from and to SI, closed to the outside.
    pub trait Raw: Sized {
        fn from_si(si: f64) -> Self;
        fn si(self) -> f64;
        /// Whether the unit may stand for this type; a sentence if not.
        fn refuses(_unit: &Unit) -> Option<&'static str> {
            None
        }
        /// Whether the value can be at all; a sentence if not.
        fn impossible(si: f64) -> Option<&'static str> {
            (!si.is_finite()).then_some("it is not a finite number")
        }
        /// Whether "3,600" is three thousand six hundred, because 3.6 would make no sense.
        const COMMA_IS_THOUSANDS: bool = false;
        /// A unit that may be left out.
        const BARE: Option<&'static str> = None;
    }
}

macro_rules! quantity {
    (
        $(#[$doc:meta])* $name:ident, $dimension:ident, $said:literal, $offered:literal;
        $($from:ident $read:ident $unit:literal $scale:expr),+ $(,)?
        ; $({ $($raw:tt)* })?
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            $(
                #[doc = concat!("From a value in ", $unit, ".")]
                pub fn $from(value: f64) -> Self {
                    Self(value * $scale)
                }

                #[doc = concat!("The value in ", $unit, ".")]
                pub fn $read(self) -> f64 {
                    self.0 / $scale
                }
            )+
        }

        impl $crate::kinds::Quantity for $name {
            const DIMENSION: $crate::unit::Dimension = $crate::unit::Dimension::$dimension;
            const NAME: &'static str = $said;
            const OFFERED: &'static str = $offered;
        }

        impl $crate::kinds::private::Raw for $name {
            fn from_si(si: f64) -> Self {
                Self(si)
            }
            fn si(self) -> f64 {
                self.0
            }
            $($($raw)*)?
        }
    };
}
pub(crate) use quantity;

quantity! {
    /// A length, a depth, a clearance.
    Length, Length, "a length", "mm, inches or thou";
    from_metres metres "m" 1.0, from_mm mm "mm" 1e-3, from_inches inches "in" INCH_M,
    from_thou thou "thou" INCH_M * 1e-3,;
}
quantity! {
    /// A diameter. Half of it is a [`Radius`].
    Diameter, Length, "a diameter", "mm or inches";
    from_metres metres "m" 1.0, from_mm mm "mm" 1e-3, from_inches inches "in" INCH_M,;
}
quantity! {
    /// A radius. Twice it is a [`Diameter`].
    Radius, Length, "a radius", "mm or inches";
    from_metres metres "m" 1.0, from_mm mm "mm" 1e-3, from_inches inches "in" INCH_M,;
}
quantity! {
    /// A volume. A dish counts positive; the sign of a dome is the caller's.
    Volume, Volume, "a volume", "cc, in³ or L";
    from_m3 m3 "m³" 1.0, from_cm3 cm3 "cm³" 1e-6, from_litres litres "L" 1e-3, from_in3 in3 "in³" CUBIC_INCH_M3,;
}
quantity! {
    /// A torque.
    Torque, Torque, "a torque", "lb-ft or N·m";
    from_nm nm "N·m" 1.0, from_lb_ft lb_ft "lb-ft" POUND_N * FOOT_M,;
}
quantity! {
    /// A power.
    Power, Power, "a power", "hp, PS or kW";
    from_watts watts "W" 1.0, from_kw kw "kW" 1e3, from_hp hp "hp (550 ft·lbf/s)" HP_W,
    from_ps ps "PS (75 kgf·m/s)" METRIC_HP_W,;
}
quantity! {
    /// A rotational speed.
    RotationalSpeed, RotationalSpeed, "a rotational speed", "rpm";
    from_rad_s rad_s "rad/s" 1.0, from_rpm rpm "rpm" std::f64::consts::PI / 30.0,;
    { const COMMA_IS_THOUSANDS: bool = true; }
}
quantity! {
    /// A mass.
    Mass, Mass, "a mass", "kg, lb or g";
    from_kg kg "kg" 1.0, from_grams grams "g" 1e-3, from_lb lb "lb" POUND_KG,;
}
quantity! {
    /// A force.
    Force, Force, "a force", "N or lbf";
    from_newtons newtons "N" 1.0, from_lbf lbf "lbf" POUND_N,;
}
quantity! {
    /// A mass flow, of air or fuel.
    MassFlow, MassFlow, "a mass flow", "kg/h, lb/h or g/s";
    from_kg_s kg_s "kg/s" 1.0, from_kg_h kg_h "kg/h" 1.0 / HOUR_S, from_lb_h lb_h "lb/h" POUND_KG / HOUR_S,
    from_g_s g_s "g/s" 1e-3,;
}
quantity! {
    /// A volume flow of a liquid. Of a gas it says nothing until its condition is stated: [`VolumeFlowAt`].
    VolumeFlow, VolumeFlow, "a volume flow", "L/min or cfm";
    from_m3_s m3_s "m³/s" 1.0, from_l_min l_min "L/min" 1e-3 / 60.0, from_cfm cfm "cfm" CUBIC_FOOT_M3 / 60.0,;
}
quantity! {
    /// A moment of inertia.
    Inertia, Inertia, "a moment of inertia", "kg·m² or lb-ft²";
    from_kg_m2 kg_m2 "kg·m²" 1.0, from_lb_ft2 lb_ft2 "lb-ft²" POUND_KG * FOOT_M * FOOT_M,;
    { fn impossible(si: f64) -> Option<&'static str> { positive(si, "a moment of inertia is above zero") } }
}
quantity! {
    /// A specific fuel consumption.
    SpecificFuel, SpecificFuel, "a specific fuel consumption", "lb/hp-h or g/kWh";
    from_kg_j kg_j "kg/J" 1.0, from_g_kwh g_kwh "g/kWh" 1e-3 / 3.6e6,
    from_lb_hp_h lb_hp_h "lb/hp-h" POUND_KG / (HP_W * HOUR_S),;
}
quantity! {
    /// A share, 0 … 1 for most; an overlap or a gain may lie outside.
    Fraction, Fraction, "a share", "%";
    from_share share "1" 1.0, from_percent percent "%" 1e-2,;
}
quantity! {
    /// A velocity, as of a piston or a vehicle.
    Velocity, Velocity, "a velocity", "m/s, ft/min or mph";
    from_m_s m_s "m/s" 1.0, from_ft_min ft_min "ft/min" FOOT_M / 60.0, from_mph mph "mph" MILE_M / HOUR_S,
    from_km_h km_h "km/h" 1.0 / 3.6,;
}
quantity! {
    /// A time span.
    Time, Time, "a time", "s or ms";
    from_seconds seconds "s" 1.0, from_ms ms "ms" 1e-3, from_minutes minutes "min" 60.0,;
}
quantity! {
    /// A density.
    Density, Density, "a density", "kg/m³ or lb/ft³";
    from_kg_m3 kg_m3 "kg/m³" 1.0, from_lb_ft3 lb_ft3 "lb/ft³" POUND_KG / CUBIC_FOOT_M3,;
    { fn impossible(si: f64) -> Option<&'static str> { positive(si, "a density is above zero") } }
}
quantity! {
    /// A height above the sea.
    Altitude, Length, "a height above the sea", "m or ft";
    from_metres metres "m" 1.0, from_feet feet "ft" FOOT_M,;
    { const COMMA_IS_THOUSANDS: bool = true; }
}

impl Diameter {
    /// Half of it.
    pub fn radius(self) -> Radius {
        Radius(0.5 * self.0)
    }
}

impl Radius {
    /// Twice it.
    pub fn diameter(self) -> Diameter {
        Diameter(2.0 * self.0)
    }
}

/// A volume flow of a gas with the condition it is stated at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VolumeFlowAt {
    /// The flow.
    pub flow: VolumeFlow,
    /// Absolute pressure it is stated at.
    pub pressure: AbsolutePressure,
    /// Temperature it is stated at.
    pub temperature: Temperature,
}

impl VolumeFlowAt {
    /// The mass flow of an ideal gas with this gas constant, J/(kg·K); 287.04 for dry air.
    pub fn mass_flow(self, gas_constant_j_kg_k: f64) -> MassFlow {
        let density = self.pressure.pascals() / (gas_constant_j_kg_k * self.temperature.kelvin());
        MassFlow(self.flow.0 * density)
    }
}

/// The sentence for a value that must be above zero.
pub(crate) fn positive(si: f64, why: &'static str) -> Option<&'static str> {
    (!(si.is_finite() && si > 0.0)).then_some(why)
}

/// The sentence for a value that must not be below zero.
pub(crate) fn not_negative(si: f64, why: &'static str) -> Option<&'static str> {
    (!(si.is_finite() && si >= 0.0)).then_some(why)
}
