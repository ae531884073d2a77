//! What a rule is: the channel, the condition, two levels with hold times, and when it counts.

use super::parse::{self, RulesError};
use crate::role::{Kind, Role};
use quantity::Dimension;

/// The rules that come with the tool.
const SHIPPED: &str = include_str!("../../../../data/guards/default.toml");

/// A set of guard rules.
#[derive(Debug, Clone, PartialEq)]
pub struct Rules {
    /// The rules, in the order of the file.
    pub rules: Vec<Rule>,
    /// What a sensor can show at all.
    pub sensors: Vec<Sensor>,
    /// Lambda to aim at where the log has no channel for it.
    pub targets: Vec<Target>,
    /// Keys of rules that are switched off.
    pub off: Vec<String>,
    /// Where they were read from, in words; printed with what a run hangs on. Empty for a text without a name.
    pub name: String,
}

/// One rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Stable key: `lambda_lean`.
    pub key: String,
    /// The channels it looks at.
    pub on: On,
    /// The condition.
    pub check: Check,
    /// Two to four words for the picture; `{by}` and `{worst}` are filled in.
    pub words: String,
    /// What is so, as part of a sentence: "lambda is above its target".
    pub what: String,
    /// What to look at.
    pub look: String,
    /// When the rule counts; all of them must hold.
    pub when: Vec<When>,
    /// Rows at the start of a pull that are not judged, s: the lag of the sensor.
    pub settle_s: f64,
    /// A stated number to aim at, SI, where the log has no channel for it.
    pub target: Option<Stated>,
    /// Level "look at it".
    pub warn: Option<Limit>,
    /// Level "the pull should have been stopped".
    pub abort: Option<Limit>,
    /// Where the limit comes from.
    pub source: String,
}

/// A number with its text.
#[derive(Debug, Clone, PartialEq)]
pub struct Stated {
    /// SI value.
    pub si: f64,
    /// As typed.
    pub text: String,
}

/// A limit, how long it must be passed, and when it counts beyond the rule's own conditions.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// SI value; with `per_1000_rpm` the value at each 1,000 rpm.
    pub si: f64,
    /// The limit grows with engine speed.
    pub per_1000_rpm: bool,
    /// Added to the limit, SI.
    pub plus_si: f64,
    /// As typed.
    pub text: String,
    /// Hold time, s.
    pub hold_s: f64,
    /// Further conditions.
    pub when: Vec<When>,
}

impl Limit {
    /// The limit at an engine speed.
    pub fn at(&self, rpm: f64) -> f64 {
        self.plus_si + if self.per_1000_rpm { self.si * rpm / 1000.0 } else { self.si }
    }
}

/// The channels a rule looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum On {
    /// One channel.
    One(Role),
    /// Each lambda bank by itself.
    EachLambda,
    /// Each cylinder's exhaust temperature by itself.
    EachExhaust,
    /// Every knock channel by itself.
    EachKnock,
}

impl On {
    /// The key in the file.
    pub fn key(&self) -> String {
        match self {
            On::One(role) => role.key(),
            On::EachLambda => "lambda".to_owned(),
            On::EachExhaust => "exhaust_temperature".to_owned(),
            On::EachKnock => "knock".to_owned(),
        }
    }

    /// What a person reads.
    pub fn label(&self) -> String {
        match self {
            On::One(role) => role.label(),
            On::EachLambda => "lambda".to_owned(),
            On::EachExhaust => "exhaust temperature".to_owned(),
            On::EachKnock => "knock".to_owned(),
        }
    }

    /// The channels of a key; `None` if there is no such role.
    pub fn from_key(key: &str) -> Option<On> {
        match key {
            "lambda" => Some(On::EachLambda),
            "exhaust_temperature" => Some(On::EachExhaust),
            "knock" => Some(On::EachKnock),
            other => Role::from_key(other).map(On::One),
        }
    }

    /// Kind of quantity.
    pub fn kind(&self) -> Kind {
        match self {
            On::One(role) => role.kind(),
            On::EachLambda => Kind::Lambda,
            On::EachExhaust => Kind::Temperature,
            On::EachKnock => Kind::Count,
        }
    }
}

/// The condition of a rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Check {
    /// Value above the limit.
    Above,
    /// Value below the limit.
    Below,
    /// Value above its target by more than the limit.
    AboveTarget,
    /// Value below its target by more than the limit.
    BelowTarget,
    /// Fallen by more than the limit within a time.
    Drop {
        /// The time, s.
        within_s: f64,
    },
    /// Risen by more than the limit within a time.
    Rise {
        /// The time, s.
        within_s: f64,
    },
    /// Hottest less coldest cylinder above the limit.
    Spread,
    /// Below its value at the start of the pull by more than the limit.
    BelowStart,
    /// As `BelowStart`, for the value less boost: what the injectors see.
    BelowStartOverBoost,
    /// Blower speed short of engine speed times drive ratio by more than the limit (a fraction).
    RatioShort,
    /// Boost fallen from its highest by more than the limit (a fraction), where blower speed is not logged.
    BoostFalls,
    /// More events within one second than the limit.
    Events,
    /// At the start of a pull away from the start of the first pull by more than the limit.
    Drift,
    /// Torque lost within a span of speed by more than the limit (a fraction). The abort level
    /// counts only where lambda or manifold pressure is disturbed too.
    TorqueLoss {
        /// The span, rpm.
        within_rpm: f64,
    },
    /// Torque below the pull before at the same speed by more than the limit (a fraction).
    ShortOfLast,
    /// Manifold pressure below the barometer by more than the limit.
    BelowBarometer,
    /// Torque standing still, before against after the pulls, by more than the limit.
    ZeroShift,
}

impl Check {
    /// Names in the file, with the default of their parameter.
    pub(super) const NAMES: &[(&str, Check)] = &[
        ("above", Check::Above),
        ("below", Check::Below),
        ("above_target", Check::AboveTarget),
        ("below_target", Check::BelowTarget),
        ("drop", Check::Drop { within_s: 0.5 }),
        ("rise", Check::Rise { within_s: 0.5 }),
        ("spread", Check::Spread),
        ("below_start", Check::BelowStart),
        ("below_start_over_boost", Check::BelowStartOverBoost),
        ("ratio_short", Check::RatioShort),
        ("boost_falls", Check::BoostFalls),
        ("events", Check::Events),
        ("drift", Check::Drift),
        ("torque_loss", Check::TorqueLoss { within_rpm: 200.0 }),
        ("short_of_last", Check::ShortOfLast),
        ("below_barometer", Check::BelowBarometer),
        ("zero_shift", Check::ZeroShift),
    ];

    /// Whether the measure is a share of something rather than in the channel's own unit.
    pub fn is_share(&self) -> bool {
        matches!(self, Check::RatioShort | Check::BoostFalls | Check::TorqueLoss { .. } | Check::ShortOfLast)
    }

    /// Whether the measure is the channel's value itself, not a difference.
    pub fn is_value(&self) -> bool {
        matches!(self, Check::Above | Check::Below | Check::Events)
    }
}

/// When a rule counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum When {
    /// Within a pull.
    InPull,
    /// Load (manifold pressure over barometer, else throttle) above a fraction.
    LoadAbove(f64),
    /// Engine speed above, rad/s.
    SpeedAbove(f64),
    /// Throttle above a fraction.
    ThrottleAbove(f64),
    /// An engine that runs above the barometer in its pulls.
    Boosted,
    /// An engine that does not.
    NotBoosted,
}

/// What a sensor can show at all, and how its faults look.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensor {
    /// The channels.
    pub on: On,
    /// Lowest value that is possible, SI.
    pub lowest: Option<Stated>,
    /// Highest value that is possible, SI.
    pub highest: Option<Stated>,
    /// Lowest value that is possible in a pull, SI: an open thermocouple often reads the room.
    pub lowest_in_pull: Option<Stated>,
    /// Exactly the same number for longer than this while the speed changes by 500 rpm is a stuck sensor, s.
    pub stuck_s: Option<f64>,
    /// No value for longer than this in a pull is a dropout, s.
    pub dropout_s: Option<f64>,
    /// Where the limits come from.
    pub source: String,
}

/// Lambda to aim at, over load.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// Words of the fuel as stated that this row is meant for; empty for every fuel.
    pub fuels: Vec<String>,
    /// For boosted engines, or for those that are not.
    pub boosted: bool,
    /// (load, lambda), rising in load; straight lines between, ends held.
    pub points: Vec<(f64, f64)>,
    /// Where the numbers come from.
    pub source: String,
}

impl Rules {
    /// The rules that come with the tool: examples of common practice, without a source, to be edited.
    pub fn shipped() -> Rules {
        // A test reads the file; this cannot fail in a build that passed its tests.
        let rules = parse::rules(SHIPPED).unwrap_or_else(|e| panic!("the shipped guard rules cannot be read: {e}"));
        Rules { name: "the rules that come with the tool".to_owned(), ..rules }
    }

    /// The text of [`Rules::shipped`].
    pub fn shipped_text() -> &'static str {
        SHIPPED
    }

    /// The rules that come with the tool with a shop's text put over them. `name` says where the text
    /// stands. A text that switches off a rule that nobody knows is refused: it is most likely a slip.
    ///
    /// # Errors
    /// [`RulesError`] with line, column, what was found and what was expected.
    pub fn over_shipped(text: &str, name: &str) -> Result<Rules, RulesError> {
        let ours = Rules::shipped();
        let shop = parse::rules_over(text, &ours)?;
        Ok(ours.overridden_by(Rules { name: name.to_owned(), ..shop }))
    }

    /// The rules that are not switched off.
    pub fn in_force(&self) -> impl Iterator<Item = &Rule> {
        self.rules.iter().filter(|rule| !self.off.contains(&rule.key))
    }

    /// Where the rules come from and which are switched off, in one line.
    pub fn words(&self) -> String {
        match self.off.as_slice() {
            [] => self.name.clone(),
            off => format!("{}; switched off: {}", self.name, off.join(", ")),
        }
    }

    /// Reads rules from TOML.
    ///
    /// # Errors
    /// [`RulesError`] with line, column, what was found and what was expected.
    pub fn parse(text: &str) -> Result<Rules, RulesError> {
        parse::rules(text)
    }

    /// These rules with the shop's own put over them: a rule with the same key replaces ours, others are
    /// added; so do sensors by channel; the shop's targets are asked first, and rules it switches off are off.
    #[must_use]
    pub fn overridden_by(mut self, other: Rules) -> Rules {
        for rule in other.rules {
            match self.rules.iter_mut().find(|r| r.key == rule.key) {
                Some(ours) => {
                    self.off.retain(|key| *key != rule.key);
                    *ours = rule;
                }
                None => self.rules.push(rule),
            }
        }
        for sensor in other.sensors {
            match self.sensors.iter_mut().find(|s| s.on == sensor.on) {
                Some(ours) => *ours = sensor,
                None => self.sensors.push(sensor),
            }
        }
        for key in other.off {
            if !self.off.contains(&key) {
                self.off.push(key);
            }
        }
        self.name = match (other.name.as_str(), self.name.as_str()) {
            (over, "") => over.to_owned(),
            ("", under) => format!("rules without a name over {under}"),
            (over, under) => format!("{over} over {under}"),
        };
        let mut targets = other.targets;
        targets.append(&mut self.targets);
        self.targets = targets;
        self
    }
}

impl Target {
    /// Lambda at a load.
    pub fn at(&self, load: f64) -> f64 {
        let above = self.points.partition_point(|p| p.0 < load);
        match (above.checked_sub(1).and_then(|i| self.points.get(i)), self.points.get(above)) {
            (Some(a), Some(b)) => a.1 + (b.1 - a.1) * (load - a.0) / (b.0 - a.0),
            (Some(end), None) | (None, Some(end)) => end.1,
            (None, None) => f64::NAN,
        }
    }
}

/// The kind of unit that a limit of a rule is written in.
pub(super) fn dimension(kind: Kind, check: Check) -> Dimension {
    if check.is_share() {
        return Dimension::Fraction;
    }
    match kind {
        Kind::Time => Dimension::Time,
        Kind::RotationalSpeed => Dimension::RotationalSpeed,
        Kind::Torque => Dimension::Torque,
        Kind::Force => Dimension::Force,
        Kind::Power => Dimension::Power,
        Kind::AbsolutePressure | Kind::GaugePressure => Dimension::Pressure,
        Kind::Lambda => Dimension::Lambda,
        Kind::AirFuelRatio => Dimension::AirFuelRatio,
        Kind::MassFlow => Dimension::MassFlow,
        Kind::VolumeFlow => Dimension::VolumeFlow,
        Kind::Temperature if check.is_value() => Dimension::Temperature,
        Kind::Temperature => Dimension::TemperatureDifference,
        Kind::Angle => Dimension::Angle,
        Kind::Fraction => Dimension::Fraction,
        Kind::Count => Dimension::Count,
        Kind::Voltage => Dimension::Voltage,
    }
}
