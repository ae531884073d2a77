//! Lambda, air–fuel ratio, and the fuel that leads from one to the other.
//!
//! A meter shows an air–fuel ratio for the fuel it believes in. 12.8:1 is rich on gasoline and very
//! lean on ethanol; lambda is the same thought for both. The step needs the fuel's ratio.

use super::{KindError, positive, quantity};
use crate::Origin;

quantity! {
    /// Air over the air that the fuel needs: below 1 rich, above 1 lean.
    Lambda, Lambda, "lambda", "λ, or an air–fuel ratio with its fuel (12.8:1 AFR on gasoline)";
    from_value value "1" 1.0,;
    {
        const BARE: Option<&'static str> = Some("λ");
        fn impossible(si: f64) -> Option<&'static str> {
            (!(0.2..=5.0).contains(&si)).then_some(
                "lambda lies between 0.2 and 5; an air–fuel ratio is written with its fuel, as 12.8:1 AFR on gasoline",
            )
        }
    }
}

quantity! {
    /// Mass of air over mass of fuel. It means nothing before the fuel is named.
    AirFuelRatio, AirFuelRatio, "an air–fuel ratio", "AFR or :1";
    from_by_mass by_mass "kg/kg" 1.0,;
    {
        const BARE: Option<&'static str> = None;
        fn impossible(si: f64) -> Option<&'static str> { positive(si, "an air–fuel ratio is above zero") }
    }
}

/// A fuel whose ratio is known here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fuel {
    /// Gasoline without ethanol.
    Gasoline,
    /// Gasoline with a tenth of ethanol.
    E10,
    /// A true 85 % of ethanol. Pump fuel of that name varies: measure it.
    E85,
    /// Pure ethanol.
    Ethanol,
    /// Pure methanol.
    Methanol,
}

impl Fuel {
    /// Every fuel known here.
    pub const ALL: [Fuel; 5] = [Self::Gasoline, Self::E10, Self::E85, Self::Ethanol, Self::Methanol];

    /// What a person calls it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Gasoline => "gasoline",
            Self::E10 => "E10",
            Self::E85 => "E85",
            Self::Ethanol => "ethanol",
            Self::Methanol => "methanol",
        }
    }

    /// The fuel that a text names, or `None`. "Gas" is no name: it is gasoline here and a gas there.
    pub fn from_name(text: &str) -> Option<Self> {
        match text.trim().to_lowercase().as_str() {
            "gasoline" | "petrol" | "e0" => Some(Self::Gasoline),
            "e10" => Some(Self::E10),
            "e85" => Some(Self::E85),
            "ethanol" | "e100" => Some(Self::Ethanol),
            "methanol" | "m100" => Some(Self::Methanol),
            _ => None,
        }
    }

    /// The ratio at which nothing is left over.
    ///
    /// Gasoline 14.7 (14.6 to 14.7, from memory); ethanol 9.0 and methanol 6.47 follow from their
    /// formulae C₂H₅OH and CH₃OH in air with 23.2 % oxygen by mass; the blends by mass between them.
    pub fn stoichiometric(self) -> StoichiometricRatio {
        let (ratio, origin) = match self {
            Self::Gasoline => (14.7, Origin::Assumed { why: "gasoline, 14.6 to 14.7 from memory".to_owned() }),
            Self::E10 => (14.1, Origin::Computed { from: "gasoline and a tenth of ethanol by mass".to_owned() }),
            Self::E85 => (9.8, Origin::Computed { from: "a true 85 % of ethanol by mass".to_owned() }),
            Self::Ethanol => (9.0, Origin::Computed { from: "the formula of ethanol".to_owned() }),
            Self::Methanol => (6.47, Origin::Computed { from: "the formula of methanol".to_owned() }),
        };
        StoichiometricRatio { ratio, origin }
    }
}

/// The air–fuel ratio of a fuel at which nothing is left over, and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct StoichiometricRatio {
    ratio: f64,
    origin: Origin,
}

impl StoichiometricRatio {
    /// A ratio by mass, such as from a fuel sheet. Range 1 … 40 (hydrogen needs 34).
    ///
    /// # Errors
    /// [`KindError::NotPossible`] outside the range.
    pub fn new(ratio: f64, origin: Origin) -> Result<Self, KindError> {
        if (1.0..=40.0).contains(&ratio) {
            return Ok(Self { ratio, origin });
        }
        Err(KindError::NotPossible {
            what: "a stoichiometric air–fuel ratio",
            value: ratio,
            unit: "kg/kg",
            why: "the fuels of engines lie between 1 and 40",
        })
    }

    /// The ratio by mass.
    pub fn by_mass(&self) -> f64 {
        self.ratio
    }

    /// Where it comes from.
    pub fn origin(&self) -> &Origin {
        &self.origin
    }
}

impl AirFuelRatio {
    /// Lambda with this fuel.
    pub fn lambda(self, fuel: &StoichiometricRatio) -> Lambda {
        Lambda::from_value(self.by_mass() / fuel.ratio)
    }
}

impl Lambda {
    /// The air–fuel ratio with this fuel.
    pub fn air_fuel_ratio(self, fuel: &StoichiometricRatio) -> AirFuelRatio {
        AirFuelRatio::from_by_mass(self.value() * fuel.ratio)
    }
}
