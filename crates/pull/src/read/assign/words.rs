//! What a column may stand for, by the words of its name.
//!
//! Generic words of the trade in English, German, French, Spanish and Italian (common practice, no
//! source). A phrase matches when all of its words are in the name; the phrase with the most words
//! wins. Words of four letters and more match as beginnings (`temp` in "temperature"), shorter ones
//! only whole. A name alone is never enough to be sure: [`super::propose()`] asks the unit as well.

use crate::role::Role;

/// What the words of a name suggest.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Suggestion {
    /// Roles the words allow, the likelier first; the unit decides between them.
    pub(crate) roles: Vec<Role>,
    /// The words that led there.
    pub(crate) words: String,
    /// The values may already be corrected to some standard air.
    pub(crate) corrected: bool,
    /// The name itself says the unit (`RPM`, `AFR`, `Lambda`).
    pub(crate) unit: Option<&'static str>,
    /// The name says that a pressure is absolute or above ambient.
    pub(crate) absolute: Option<bool>,
    /// The name is the plain `MAP`, which means an absolute pressure in the trade.
    pub(crate) map: bool,
}

/// The words of a name: lower case, letters without marks, split at case, digits and signs.
pub(crate) fn words(name: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut word = String::new();
    let mut before = ' ';
    let chars: Vec<char> = name.chars().collect();
    for (at, &c) in chars.iter().enumerate() {
        let next_lower = chars.get(at + 1).is_some_and(|n| n.is_lowercase());
        let camel =
            c.is_uppercase() && (before.is_lowercase() || (before.is_uppercase() && next_lower && word.len() > 1));
        let digits = c.is_ascii_digit() != before.is_ascii_digit() && before.is_alphanumeric();
        if !c.is_alphanumeric() || camel || digits {
            if !word.is_empty() {
                out.push(std::mem::take(&mut word));
            }
            before = ' ';
        }
        if c.is_alphanumeric() {
            for lower in c.to_lowercase() {
                match lower {
                    'ä' => word.push_str("ae"),
                    'ö' => word.push_str("oe"),
                    'ü' => word.push_str("ue"),
                    'ß' => word.push_str("ss"),
                    'é' | 'è' | 'ê' | 'ë' => word.push('e'),
                    'á' | 'à' | 'â' => word.push('a'),
                    'í' | 'ì' | 'î' => word.push('i'),
                    'ó' | 'ò' | 'ô' => word.push('o'),
                    'ú' | 'ù' | 'û' => word.push('u'),
                    'ç' => word.push('c'),
                    'ñ' => word.push('n'),
                    'λ' => word.push_str("lambda"),
                    other => word.push(other),
                }
            }
            before = c;
        }
    }
    if !word.is_empty() {
        out.push(word);
    }
    // "O2" and the like belong together again.
    if let Some(at) = out.windows(2).position(|w| w[0] == "o" && w[1] == "2") {
        out.splice(at..at + 2, ["o2".to_owned()]);
    }
    out
}

/// Phrases by the group of roles they suggest. The first role is the one taken when no unit decides.
const PHRASES: &[(&[Role], &str)] = &[
    (
        &[Role::Time],
        "time|elapsed time|timestamp|elapsed|zeit|uhrzeit|laufzeit|temps|tiempo|tempo|seconds|clock|hora|heure",
    ),
    (
        &[Role::Speed],
        "rpm|speed|engine speed|engine rpm|eng speed|crank speed|drehzahl|motordrehzahl|nmot|n mot|regime|regime moteur|regimen|giri|giri motore|revs|revoluciones|tacho|umdrehungen",
    ),
    (
        &[Role::Torque],
        "torque|brake torque|engine torque|tq|trq|drehmoment|moment|couple|couple moteur|par|par motor|coppia|coppia motore",
    ),
    (&[Role::CellForce], "load cell|cell force|force|kraft|brake load|load force|fuerza|forza"),
    (&[Role::BrakePower], "power|brake power|engine power|hp|bhp|leistung|bremsleistung|puissance|potencia|potenza|kw"),
    (
        &[Role::ManifoldPressure, Role::Boost],
        "map|manifold|manifold press|manifold absolute press|man press|intake press|inlet press|intake manifold press|saugrohrdruck|saugrohr druck|pres admission|pres admision|collecteur|pressione collettore|pressione aspirazione",
    ),
    (
        &[Role::Boost, Role::ManifoldPressure],
        "boost|boost press|ladedruck|charge press|pression suralimentation|suralimentation|sobrealimentacion|sovralimentazione",
    ),
    (&[Role::Lambda(1)], "lambda|lam|lambda sensor|wideband lambda|o2 lambda"),
    (
        &[Role::LambdaTarget],
        "lambda target|target lambda|lambda setpoint|lambda set|lambda aim|lambda soll|lambdasoll|lambda cible|lambda objetivo|lambda command|lambda cmd",
    ),
    (
        &[Role::ManifoldTarget],
        "map target|target map|boost target|target boost|manifold target|map setpoint|boost setpoint|ladedruck soll|boost aim|map aim",
    ),
    (&[Role::AirFuelRatio(1)], "afr|air fuel|air fuel ratio|wideband afr"),
    (
        &[Role::FuelFlow, Role::FuelVolumeFlow],
        "fuel flow|fuel rate|fuel mass|fuel mass flow|fuel consumption|fuelflow|kraftstoffverbrauch|verbrauch|kraftstoff massenstrom|debit carburant|caudal combustible|consumo|portata carburante",
    ),
    (
        &[Role::FuelFlow, Role::FuelVolumeFlow, Role::FuelPressure, Role::FuelTemperature],
        "fuel|kraftstoff|carburant|combustible|carburante",
    ),
    (
        &[Role::AirFlow, Role::AirVolumeFlow],
        "air flow|airflow|maf|air mass|air mass flow|air meter|luftmasse|luftmassenstrom|luftdurchsatz|debit air|caudal aire|portata aria",
    ),
    (&[Role::IntakeAirTemperature, Role::AirFlow, Role::AirVolumeFlow], "air|intake air|inlet air|luft"),
    (
        &[Role::IntakeAirTemperature],
        "iat|mat|air temp|intake air temp|inlet air temp|intake temp|inlet temp|t air|ansaugluft|ansauglufttemperatur|lufttemperatur|luft temp|temp air|temp aire|temp admision|temp admission|temp aria|temp aspirazione",
    ),
    (
        &[Role::ChargeTemperature],
        "charge temp|charge air temp|charge air|post cooler temp|after cooler temp|aftercooler temp|intercooler out temp|manifold temp|ladeluft|ladelufttemperatur",
    ),
    (
        &[Role::CoolantInTemperature],
        "coolant in|water in|coolant in temp|water in temp|coolant inlet|water inlet|coolant inlet temp|water inlet temp|kuehlmittel ein|kuehlwasser ein",
    ),
    (
        &[Role::CoolantTemperature],
        "coolant|coolant temp|water|water temp|coolant out|water out|coolant out temp|water out temp|clt|ect|coolant outlet|kuehlmittel|kuehlwasser|wasser|wassertemperatur|temp eau|eau|temp agua|agua|temp acqua|acqua|refrigerante",
    ),
    (&[Role::OilTemperature, Role::OilPressure], "oil|oel|huile|aceite|olio"),
    (&[Role::OilTemperature], "oil temp|t oil|oeltemp|oel temp|temp huile|temp aceite|temp olio"),
    (&[Role::OilPressure], "oil press|p oil|oeldruck|oel druck|pres huile|pres aceite|pres olio|oilpress"),
    (&[Role::FuelTemperature], "fuel temp|t fuel|kraftstofftemp|kraftstoff temp|temp carburant|temp combustible"),
    (
        &[Role::FuelPressure],
        "fuel press|p fuel|rail press|kraftstoffdruck|kraftstoff druck|pres carburant|pres combustible|pres carburante",
    ),
    (&[Role::ExhaustTemperature(1), Role::ExhaustPressure], "exhaust|abgas|echappement|escape|scarico"),
    (
        &[Role::ExhaustTemperature(1)],
        "egt|exhaust temp|exhaust gas temp|exh temp|t exh|abgastemp|abgas temp|temp echappement|temp escape|temp scarico|tgas",
    ),
    (
        &[Role::ExhaustPressure],
        "exhaust press|back press|exhaust back press|exh press|backpress|emap|abgasgegendruck|abgas druck|contre pression|contropressione",
    ),
    (
        &[Role::CrankcasePressure],
        "crankcase|crankcase press|crank case press|crank case|kurbelgehaeuse|kurbelgehaeusedruck|pres carter",
    ),
    (
        &[Role::SparkAdvance],
        "spark|spark advance|spark timing|ignition|ignition timing|ignition advance|ign|ign adv|ign timing|timing|advance|zuendung|zuendwinkel|zuendzeitpunkt|zzp|avance|avance allumage|avance encendido|anticipo",
    ),
    (
        &[Role::Throttle],
        "throttle|throttle position|throttle pos|tps|drosselklappe|gasstellung|papillon|mariposa|farfalla",
    ),
    (&[Role::Knock(0), Role::KnockRetard], "knock|knock level|knock count|klopfen|klopf|cliquetis|picado|detonazione"),
    (&[Role::KnockRetard], "knock retard|knock ret|knock pulled|klopfregelung|retard|retrait allumage"),
    (
        &[Role::BlowerSpeed],
        "blower speed|blower rpm|supercharger speed|supercharger rpm|compressor speed|compressor rpm|lader drehzahl|laderdrehzahl|turbo speed|turbo rpm|blower",
    ),
    (
        &[Role::Barometer],
        "baro|baro press|barometer|barometric|barometric press|luftdruck|atm press|ambient press|atmospheric press|amb press|pres atmos|presion atmosferica|pression atmospherique|pressione atmosferica",
    ),
    (
        &[Role::Humidity],
        "humidity|rh|relative humidity|rel hum|hum|luftfeuchte|feuchte|luftfeuchtigkeit|humidite|humedad|umidita",
    ),
    (&[Role::VapourPressure], "vapour press|vapor press|vap press|dampfdruck|vapour|vapor"),
    (&[Role::BlowBy], "blow by|blowby"),
    (
        &[Role::AbsorberTemperature],
        "brake water|brake water temp|absorber temp|brake temp|dyno water|dyno water temp|absorber water|absorber|bremswasser",
    ),
    (
        &[Role::Voltage],
        "voltage|battery|battery voltage|batt|vbat|supply voltage|bordspannung|spannung|tension batterie|tension",
    ),
];

/// Words that make a name something else than its other words say.
const NOT_ME: &[(&str, &[Role])] = &[
    ("inj", &[Role::Time, Role::FuelFlow]),
    ("dwell", &[Role::Time]),
    ("duty", &[Role::FuelFlow]),
    ("ignition", &[Role::Time]),
    ("vehicle", &[Role::Speed]),
    ("road", &[Role::Speed]),
    ("wheel", &[Role::Speed, Role::Torque, Role::BrakePower]),
    ("roller", &[Role::Speed]),
    ("fan", &[Role::Speed]),
    ("pump", &[Role::Speed]),
    ("wind", &[Role::Speed]),
    ("turbo", &[Role::Speed]),
    ("blower", &[Role::Speed]),
    ("supercharger", &[Role::Speed]),
    ("lader", &[Role::Speed]),
    (
        "target",
        &[
            Role::Speed,
            Role::Torque,
            Role::BrakePower,
            Role::Lambda(1),
            Role::AirFuelRatio(1),
            Role::Boost,
            Role::ManifoldPressure,
            Role::Throttle,
        ],
    ),
    (
        "setpoint",
        &[
            Role::Speed,
            Role::Torque,
            Role::BrakePower,
            Role::Lambda(1),
            Role::Boost,
            Role::ManifoldPressure,
            Role::Throttle,
        ],
    ),
    ("soll", &[Role::Speed, Role::Torque, Role::BrakePower, Role::Lambda(1), Role::Boost]),
    ("demand", &[Role::Speed, Role::Torque, Role::BrakePower, Role::Throttle]),
    ("request", &[Role::Speed, Role::Torque, Role::BrakePower]),
    ("limit", &[Role::Speed, Role::Torque, Role::BrakePower]),
    ("specific", &[Role::BrakePower, Role::FuelFlow]),
    ("trim", &[Role::FuelFlow, Role::Lambda(1)]),
];

/// What the words of a name suggest; nothing for names without known words.
pub(crate) fn suggest(name: &str) -> Suggestion {
    let all = words(name);
    let numbers: Vec<u8> = all.iter().filter_map(|w| w.parse().ok()).collect();
    let has = |phrase_word: &str| {
        all.iter().any(|w| {
            w == phrase_word
                || (phrase_word.len() >= 4 && w.starts_with(phrase_word))
                || (phrase_word.len() >= 7 && w.contains(phrase_word))
        })
    };
    let single = |letter: &str| all.len() == 1 && all[0] == letter;
    let mut best: Option<(usize, usize, &[Role], &str)> = None;
    let not: Vec<&[Role]> = NOT_ME.iter().filter(|(word, _)| has(word)).map(|(_, roles)| *roles).collect();
    for (roles, phrases) in PHRASES {
        if not.iter().any(|others| others.contains(&roles[0])) {
            continue;
        }
        for phrase in phrases.split('|') {
            let count = phrase.split(' ').count();
            if phrase.split(' ').all(has) && best.is_none_or(|b| (count, phrase.len()) > (b.0, b.1)) {
                best = Some((count, phrase.len(), roles, phrase));
            }
        }
    }
    let mut out = Suggestion::default();
    if let Some((_, _, roles, phrase)) = best {
        out.roles = roles.to_vec();
        out.words = phrase.to_owned();
    } else if single("t") {
        out.roles = vec![Role::Time];
        out.words = "t".to_owned();
    } else if single("n") {
        out.roles = vec![Role::Speed];
        out.words = "n".to_owned();
    }
    let bank = numbers.iter().copied().find(|n| (1..=24).contains(n));
    let side = if has("right") || has("rechts") || all.iter().any(|w| w == "r" || w == "b") { Some(2) } else { None };
    for role in &mut out.roles {
        match role {
            Role::Lambda(n) | Role::AirFuelRatio(n) => *n = bank.or(side).unwrap_or(1),
            Role::ExhaustTemperature(n) => *n = bank.unwrap_or(1),
            Role::Knock(n) => *n = bank.unwrap_or(0),
            _ => {}
        }
    }
    out.corrected =
        ["corrected", "corr", "korr", "cor", "sae", "std", "din", "jis", "ece", "corrige", "corregido", "corretto"]
            .iter()
            .any(|w| all.iter().any(|word| word == w || (w.len() > 4 && word.starts_with(w))));
    out.unit = match out.roles.first() {
        Some(Role::Speed | Role::BlowerSpeed) if has("rpm") => Some("rpm"),
        Some(Role::AirFuelRatio(_)) => Some("AFR"),
        Some(Role::Lambda(_) | Role::LambdaTarget) => Some("lambda"),
        _ => None,
    };
    out.absolute = if all.iter().any(|w| matches!(w.as_str(), "abs" | "absolute" | "absolut")) {
        Some(true)
    } else if all.iter().any(|w| matches!(w.as_str(), "gauge" | "gage" | "rel" | "relative" | "relativ")) {
        Some(false)
    } else {
        None
    };
    out.map = all.iter().any(|w| w == "map");
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_split_into_words() {
        assert_eq!(words("OilTemp_degC"), ["oil", "temp", "deg", "c"]);
        assert_eq!(words("EGT1"), ["egt", "1"]);
        assert_eq!(words("Öldruck"), ["oeldruck"]);
        assert_eq!(words("EngineRPM"), ["engine", "rpm"]);
        assert_eq!(words("O2 left"), ["o2", "left"]);
        assert_eq!(words("nMot"), ["n", "mot"]);
    }

    #[test]
    fn names_suggest_roles() {
        let role = |name: &str| suggest(name).roles.first().map(Role::key).unwrap_or_default();
        for (name, key) in [
            ("Time", "time"),
            ("t", "time"),
            ("Zeit", "time"),
            ("Temps", "time"),
            ("Inj time", ""),
            ("RPM", "speed"),
            ("Engine Speed", "speed"),
            ("Motordrehzahl", "speed"),
            ("n", "speed"),
            ("Régime moteur", "speed"),
            ("Vehicle speed", ""),
            ("Blower RPM", "blower_speed"),
            ("Torque", "torque"),
            ("Drehmoment", "torque"),
            ("Par motor", "torque"),
            ("Coppia", "torque"),
            ("Power", "brake_power"),
            ("Leistung", "brake_power"),
            ("MAP", "manifold_pressure"),
            ("Boost", "boost"),
            ("Ladedruck", "boost"),
            ("Lambda 2", "lambda_2"),
            ("Lambda target", "lambda_target"),
            ("AFR", "air_fuel_ratio_1"),
            ("Fuel flow", "fuel_flow"),
            ("MAF", "air_flow"),
            ("IAT", "intake_air_temperature"),
            ("Coolant in", "coolant_in_temperature"),
            ("Coolant out", "coolant_temperature"),
            ("Water temp", "coolant_temperature"),
            ("Öltemperatur", "oil_temperature"),
            ("Oil Pressure", "oil_pressure"),
            ("EGT 3", "exhaust_temperature_3"),
            ("Back pressure", "exhaust_pressure"),
            ("Spark advance", "spark_advance"),
            ("TPS", "throttle"),
            ("Knock", "knock_0"),
            ("Knock retard", "knock_retard"),
            ("Baro", "barometer"),
            ("Luftdruck", "barometer"),
            ("Rel. humidity", "humidity"),
            ("Vapour pressure", "vapour_pressure"),
            ("Blow-by", "blow_by"),
            ("Brake water temp", "absorber_temperature"),
            ("Battery", "voltage"),
            ("Marker", ""),
        ] {
            assert_eq!(role(name), key, "{name}");
        }
        assert!(suggest("Torque corrected").corrected);
    }
}
