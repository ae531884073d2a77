//! What a channel of a log stands for.

use serde::{Deserialize, Serialize};
use std::fmt;

/// What a channel stands for. Indexed roles count from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Role {
    /// Time, s.
    Time,
    /// Engine speed, rad/s inside; rpm at the edge.
    Speed,
    /// Torque at the brake as the log gives it, N·m.
    Torque,
    /// Force at the load cell, N (with a torque arm it gives torque).
    CellForce,
    /// Brake power as the log gives it, W.
    BrakePower,
    /// Absolute manifold pressure, Pa.
    ManifoldPressure,
    /// Manifold pressure above ambient, Pa gauge.
    Boost,
    /// Lambda of a bank (1, 2, …).
    Lambda(u8),
    /// Air–fuel ratio of a bank; needs the fuel's stoichiometric ratio to become lambda.
    AirFuelRatio(u8),
    /// Lambda aimed at.
    LambdaTarget,
    /// Absolute manifold pressure aimed at, Pa.
    ManifoldTarget,
    /// Fuel mass flow, kg/s.
    FuelFlow,
    /// Fuel volume flow, m³/s.
    FuelVolumeFlow,
    /// Air mass flow, kg/s.
    AirFlow,
    /// Air volume flow, m³/s (needs the pressure and temperature it is stated at).
    AirVolumeFlow,
    /// Inlet air temperature, K.
    IntakeAirTemperature,
    /// Charge temperature after the blower or cooler, K.
    ChargeTemperature,
    /// Coolant into the engine, K.
    CoolantInTemperature,
    /// Coolant out of the engine, K.
    CoolantTemperature,
    /// Oil temperature, K.
    OilTemperature,
    /// Fuel temperature, K.
    FuelTemperature,
    /// Exhaust gas temperature of a cylinder, K.
    ExhaustTemperature(u8),
    /// Oil pressure, Pa gauge.
    OilPressure,
    /// Fuel rail pressure, Pa gauge.
    FuelPressure,
    /// Crankcase pressure, Pa gauge.
    CrankcasePressure,
    /// Exhaust back pressure, Pa gauge.
    ExhaustPressure,
    /// Spark advance before top dead centre, rad crank.
    SparkAdvance,
    /// Throttle opening, 0…1.
    Throttle,
    /// Knock level or count of a cylinder (0: of the whole engine), as the log counts it.
    Knock(u8),
    /// Spark taken out by knock control, rad crank.
    KnockRetard,
    /// Blower shaft speed, rad/s.
    BlowerSpeed,
    /// Station barometer, Pa.
    Barometer,
    /// Relative humidity, 0…1.
    Humidity,
    /// Partial pressure of water vapour, Pa.
    VapourPressure,
    /// Blow-by volume flow, m³/s.
    BlowBy,
    /// Brake water or absorber outlet temperature, K.
    AbsorberTemperature,
    /// Battery or supply voltage, V.
    Voltage,
}

/// The kind of quantity that a role measures; decides which units fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Seconds.
    Time,
    /// rad/s.
    RotationalSpeed,
    /// N·m.
    Torque,
    /// N.
    Force,
    /// W.
    Power,
    /// Pa, absolute.
    AbsolutePressure,
    /// Pa, above ambient.
    GaugePressure,
    /// Dimensionless lambda.
    Lambda,
    /// Mass ratio of air to fuel.
    AirFuelRatio,
    /// kg/s.
    MassFlow,
    /// m³/s.
    VolumeFlow,
    /// K.
    Temperature,
    /// rad.
    Angle,
    /// 0…1.
    Fraction,
    /// Plain count.
    Count,
    /// V.
    Voltage,
}

macro_rules! plain_roles {
    ($($variant:ident $key:literal $label:literal $kind:ident),* $(,)?) => {
        const PLAIN: &[(Role, &str, &str, Kind)] = &[$((Role::$variant, $key, $label, Kind::$kind)),*];
    };
}

plain_roles! {
    Time "time" "time" Time,
    Speed "speed" "engine speed" RotationalSpeed,
    Torque "torque" "torque" Torque,
    CellForce "cell_force" "load-cell force" Force,
    BrakePower "brake_power" "brake power" Power,
    ManifoldPressure "manifold_pressure" "manifold pressure, absolute" AbsolutePressure,
    Boost "boost" "boost, above ambient" GaugePressure,
    LambdaTarget "lambda_target" "lambda aimed at" Lambda,
    ManifoldTarget "manifold_target" "manifold pressure aimed at" AbsolutePressure,
    FuelFlow "fuel_flow" "fuel mass flow" MassFlow,
    FuelVolumeFlow "fuel_volume_flow" "fuel volume flow" VolumeFlow,
    AirFlow "air_flow" "air mass flow" MassFlow,
    AirVolumeFlow "air_volume_flow" "air volume flow" VolumeFlow,
    IntakeAirTemperature "intake_air_temperature" "intake air temperature" Temperature,
    ChargeTemperature "charge_temperature" "charge temperature" Temperature,
    CoolantInTemperature "coolant_in_temperature" "coolant in" Temperature,
    CoolantTemperature "coolant_temperature" "coolant temperature" Temperature,
    OilTemperature "oil_temperature" "oil temperature" Temperature,
    FuelTemperature "fuel_temperature" "fuel temperature" Temperature,
    OilPressure "oil_pressure" "oil pressure" GaugePressure,
    FuelPressure "fuel_pressure" "fuel pressure" GaugePressure,
    CrankcasePressure "crankcase_pressure" "crankcase pressure" GaugePressure,
    ExhaustPressure "exhaust_pressure" "exhaust back pressure" GaugePressure,
    SparkAdvance "spark_advance" "spark advance" Angle,
    Throttle "throttle" "throttle" Fraction,
    KnockRetard "knock_retard" "spark taken out by knock" Angle,
    BlowerSpeed "blower_speed" "blower speed" RotationalSpeed,
    Barometer "barometer" "barometer, station" AbsolutePressure,
    Humidity "humidity" "relative humidity" Fraction,
    VapourPressure "vapour_pressure" "vapour pressure" AbsolutePressure,
    BlowBy "blow_by" "blow-by" VolumeFlow,
    AbsorberTemperature "absorber_temperature" "brake water temperature" Temperature,
    Voltage "voltage" "supply voltage" Voltage,
}

impl Role {
    /// Every role without an index, in the order in which choices are offered.
    pub fn plain() -> impl Iterator<Item = Role> {
        PLAIN.iter().map(|row| row.0)
    }

    /// The stable key used in files and flags: `speed`, `lambda_1`, `exhaust_temperature_3`.
    pub fn key(&self) -> String {
        match self {
            Role::Lambda(n) => format!("lambda_{n}"),
            Role::AirFuelRatio(n) => format!("air_fuel_ratio_{n}"),
            Role::ExhaustTemperature(n) => format!("exhaust_temperature_{n}"),
            Role::Knock(n) => format!("knock_{n}"),
            other => PLAIN.iter().find(|row| row.0 == *other).map_or("", |row| row.1).to_owned(),
        }
    }

    /// The role of a key, or `None` if there is no such role. `lambda` alone means bank 1.
    pub fn from_key(key: &str) -> Option<Role> {
        if let Some(row) = PLAIN.iter().find(|row| row.1 == key) {
            return Some(row.0);
        }
        let (stem, index) = match key.rsplit_once('_') {
            Some((stem, digits)) if digits.bytes().all(|b| b.is_ascii_digit()) => (stem, digits.parse().ok()?),
            _ => (key, 1),
        };
        match stem {
            "lambda" => Some(Role::Lambda(index)),
            "air_fuel_ratio" => Some(Role::AirFuelRatio(index)),
            "exhaust_temperature" => Some(Role::ExhaustTemperature(index)),
            "knock" => Some(Role::Knock(index)),
            _ => None,
        }
    }

    /// What a person reads: "engine speed", "lambda, bank 2".
    pub fn label(&self) -> String {
        match self {
            Role::Lambda(n) => format!("lambda, bank {n}"),
            Role::AirFuelRatio(n) => format!("air–fuel ratio, bank {n}"),
            Role::ExhaustTemperature(n) => format!("exhaust temperature, cylinder {n}"),
            Role::Knock(0) => "knock".to_owned(),
            Role::Knock(n) => format!("knock, cylinder {n}"),
            other => PLAIN.iter().find(|row| row.0 == *other).map_or("", |row| row.2).to_owned(),
        }
    }

    /// The kind of quantity, which decides the units that fit.
    pub fn kind(&self) -> Kind {
        match self {
            Role::Lambda(_) => Kind::Lambda,
            Role::AirFuelRatio(_) => Kind::AirFuelRatio,
            Role::ExhaustTemperature(_) => Kind::Temperature,
            Role::Knock(_) => Kind::Count,
            other => PLAIN.iter().find(|row| row.0 == *other).map_or(Kind::Count, |row| row.3),
        }
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.key())
    }
}

impl Serialize for Role {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_str(&self.key())
    }
}

impl<'de> Deserialize<'de> for Role {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let key = String::deserialize(d)?;
        Role::from_key(&key).ok_or_else(|| serde::de::Error::custom(format!("no channel role is called `{key}`")))
    }
}
