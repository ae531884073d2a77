//! What cannot be as written.

use super::kinds_pressure::LeakReading;
use super::numbers::usable;
use super::{
    BlowBy, Borescope, CoolingPressure, Cranking, CylinderBalance, LeakDown, LeakDownAircraft, OilPressure, Plugs,
    TestBefore, Vacuum,
};
use crate::Stated;
use quantity::Dimension;
use std::collections::BTreeMap;

/// Something that cannot be as written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{place}: {found}; {expected}. {then}")]
pub struct Fault {
    /// Where: "cylinder 3, last stroke".
    pub place: String,
    /// What was found.
    pub found: String,
    /// What was expected.
    pub expected: String,
    /// What happens to it.
    pub then: String,
}

/// What a value may be.
#[derive(Clone, Copy)]
enum May {
    /// Anything finite.
    Any,
    /// Zero or more.
    NotNegative,
    /// More than zero.
    Positive,
    /// Between 0 and 1.
    Share,
}

struct Checks {
    found: Vec<Fault>,
}

impl Checks {
    fn value(&mut self, place: &str, stated: Option<&Stated>, dimension: Dimension, may: May) {
        let Some(stated) = stated else { return };
        let expected = if !usable(stated, dimension) {
            format!("a {dimension} is expected")
        } else {
            match may {
                May::NotNegative if stated.si < 0.0 => "zero or more is expected".to_owned(),
                May::Positive if stated.si <= 0.0 => "more than zero is expected".to_owned(),
                May::Share if !(0.0..=1.0).contains(&stated.si) => "0 to 100 % is expected".to_owned(),
                _ => return,
            }
        };
        self.found.push(Fault {
            place: place.to_owned(),
            found: format!("\"{}\" is written", stated.text),
            expected,
            then: "It stays in the record and is not counted".to_owned(),
        });
    }

    /// Cylinder numbers: counted from 1, each once.
    fn cylinders(&mut self, numbers: impl Iterator<Item = u32>) {
        let mut times: BTreeMap<u32, usize> = BTreeMap::new();
        for number in numbers {
            *times.entry(number).or_default() += 1;
        }
        for (number, times) in times {
            let mut fault = |found: String, expected: &str| {
                self.found.push(Fault {
                    place: format!("cylinder {number}"),
                    found,
                    expected: expected.to_owned(),
                    then: "None of these readings is counted".to_owned(),
                });
            };
            if number == 0 || number > MOST_CYLINDERS {
                fault(format!("cylinder {number} is written"), "cylinders count from 1 to 64");
            } else if times > 1 {
                fault(format!("it stands {times} times"), "each cylinder stands once");
            }
        }
    }
}

/// More cylinders than any engine that comes in; a number above it is a slip.
const MOST_CYLINDERS: u32 = 64;

/// Rows whose cylinder number can be and stands once.
pub(super) fn once<T>(rows: &[T], number: fn(&T) -> u32) -> Vec<&T> {
    let good = |row: &&T| {
        let n = number(row);
        (1..=MOST_CYLINDERS).contains(&n) && rows.iter().filter(|other| number(other) == n).count() == 1
    };
    rows.iter().filter(good).collect()
}

/// A pressure above the air that can be: more than zero.
pub(super) fn positive(stated: Option<&Stated>, dimension: Dimension) -> Option<&Stated> {
    stated.filter(|s| usable(s, dimension) && s.si > 0.0)
}

pub(super) fn not_negative(stated: Option<&Stated>, dimension: Dimension) -> Option<&Stated> {
    stated.filter(|s| usable(s, dimension) && s.si >= 0.0)
}

pub(super) fn share(stated: &Stated) -> Option<&Stated> {
    Some(stated).filter(|s| usable(s, Dimension::Fraction) && (0.0..=1.0).contains(&s.si))
}

pub(super) fn faults(test: &TestBefore) -> Vec<Fault> {
    let mut checks = Checks { found: Vec::new() };
    match test {
        TestBefore::Cranking(t) => cranking(&mut checks, t),
        TestBefore::LeakDown(t) => leak_down(&mut checks, t),
        TestBefore::LeakDownAircraft(t) => aircraft(&mut checks, t),
        TestBefore::OilPressure(t) => oil(&mut checks, t),
        TestBefore::Vacuum(t) => vacuum(&mut checks, t),
        TestBefore::CoolingPressure(t) => cooling(&mut checks, t),
        TestBefore::BlowBy(t) => blow_by(&mut checks, t),
        TestBefore::CylinderBalance(t) => balance(&mut checks, t),
        TestBefore::Plugs(t) => plugs(&mut checks, t),
        TestBefore::Borescope(t) => borescope(&mut checks, t),
        TestBefore::Noise(_) | TestBefore::FilterDebris(_) | TestBefore::Other { .. } => {}
    }
    checks.found
}

fn cranking(c: &mut Checks, t: &Cranking) {
    c.cylinders(t.cylinders.iter().map(|x| x.cylinder));
    for x in &t.cylinders {
        let at = |what: &str| format!("cylinder {}, {what}", x.cylinder);
        c.value(&at("first stroke"), x.first.as_ref(), Dimension::Pressure, May::NotNegative);
        c.value(&at("last stroke"), x.last.as_ref(), Dimension::Pressure, May::NotNegative);
        c.value(&at("with oil"), x.wet.as_ref(), Dimension::Pressure, May::NotNegative);
    }
    c.value("cranking speed", t.speed.as_ref(), Dimension::RotationalSpeed, May::Positive);
    c.value("oil temperature", t.oil_temperature.as_ref(), Dimension::Temperature, May::Positive);
    c.value("barometer", t.station_pressure.as_ref(), Dimension::Pressure, May::Positive);
    c.value("height", t.altitude.as_ref(), Dimension::Length, May::Any);
    c.value("oil poured in", t.wet_oil.as_ref(), Dimension::Volume, May::NotNegative);
}

fn leak_down(c: &mut Checks, t: &LeakDown) {
    c.cylinders(t.cylinders.iter().map(|x| x.cylinder));
    for x in &t.cylinders {
        let at = |what: &str| format!("cylinder {}, {what}", x.cylinder);
        match &x.reading {
            None => {}
            Some(LeakReading::Lost(s)) => c.value(&at("lost"), Some(s), Dimension::Fraction, May::Share),
            Some(LeakReading::Held(s)) => c.value(&at("held"), Some(s), Dimension::Fraction, May::Share),
            Some(LeakReading::Gauges { supply, cylinder }) => {
                c.value(&at("supply"), Some(supply), Dimension::Pressure, May::Positive);
                c.value(&at("behind the orifice"), Some(cylinder), Dimension::Pressure, May::NotNegative);
                if usable(supply, Dimension::Pressure)
                    && usable(cylinder, Dimension::Pressure)
                    && cylinder.si > supply.si
                {
                    c.found.push(Fault {
                        place: format!("cylinder {}", x.cylinder),
                        found: format!("{} behind the orifice and {} before it", cylinder.text, supply.text),
                        expected: "the supply is the higher one".to_owned(),
                        then: "The reading is not counted; look whether the gauges are mixed up".to_owned(),
                    });
                }
            }
        }
    }
    c.value("supply", t.supply.as_ref(), Dimension::Pressure, May::Positive);
    c.value("orifice", t.orifice.as_ref(), Dimension::Length, May::Positive);
}

fn aircraft(c: &mut Checks, t: &LeakDownAircraft) {
    c.cylinders(t.cylinders.iter().map(|x| x.cylinder));
    for x in &t.cylinders {
        c.value(&format!("cylinder {}, held", x.cylinder), x.held.as_ref(), Dimension::Pressure, May::NotNegative);
    }
    c.value("supply", t.supply.as_ref(), Dimension::Pressure, May::Positive);
    c.value("orifice", t.orifice.as_ref(), Dimension::Length, May::Positive);
    c.value("bore", t.bore.as_ref(), Dimension::Length, May::Positive);
}

fn oil(c: &mut Checks, t: &OilPressure) {
    for (n, point) in t.points.iter().enumerate() {
        c.value(&format!("point {}, speed", n + 1), Some(&point.speed), Dimension::RotationalSpeed, May::Positive);
        c.value(&format!("point {}, pressure", n + 1), Some(&point.pressure), Dimension::Pressure, May::NotNegative);
    }
    c.value("oil temperature", t.oil_temperature.as_ref(), Dimension::Temperature, May::Positive);
}

fn vacuum(c: &mut Checks, t: &Vacuum) {
    for (place, reading) in
        [("vacuum at idle", &t.idle), ("vacuum when reached", &t.held_first), ("vacuum after holding", &t.held_later)]
    {
        c.value(place, reading.as_ref(), Dimension::Pressure, May::Any);
        if let Some(s) = reading.as_ref().filter(|s| usable(s, Dimension::Pressure) && s.si > 0.0) {
            c.found.push(Fault {
                place: place.to_owned(),
                found: format!("\"{}\" counts as a pressure above the air", s.text),
                expected: "a vacuum is expected, as in \"17 inHg vac\"".to_owned(),
                then: "It stays in the record and is not counted".to_owned(),
            });
        }
    }
    c.value("flick", t.flick.as_ref(), Dimension::Pressure, May::Any);
    c.value("idle speed", t.idle_speed.as_ref(), Dimension::RotationalSpeed, May::Positive);
    c.value("speed held", t.held_speed.as_ref(), Dimension::RotationalSpeed, May::Positive);
    c.value("barometer", t.station_pressure.as_ref(), Dimension::Pressure, May::Positive);
    c.value("height", t.altitude.as_ref(), Dimension::Length, May::Any);
}

fn cooling(c: &mut Checks, t: &CoolingPressure) {
    c.value("pressure at the start", t.start.as_ref(), Dimension::Pressure, May::Positive);
    c.value("pressure at the end", t.end.as_ref(), Dimension::Pressure, May::NotNegative);
    c.value("time", t.time.as_ref(), Dimension::Time, May::Positive);
}

fn blow_by(c: &mut Checks, t: &BlowBy) {
    for (n, pull) in t.pulls.iter().enumerate() {
        c.value(&format!("pull {}, speed", n + 1), pull.speed.as_ref(), Dimension::RotationalSpeed, May::Positive);
        c.value(&format!("pull {}, flow", n + 1), Some(&pull.flow), Dimension::VolumeFlow, May::NotNegative);
    }
}

fn balance(c: &mut Checks, t: &CylinderBalance) {
    c.cylinders(t.cylinders.iter().map(|x| x.cylinder));
    for x in &t.cylinders {
        c.value(&format!("cylinder {}, drop", x.cylinder), Some(&x.drop), Dimension::RotationalSpeed, May::NotNegative);
    }
    c.value("idle speed", t.idle_speed.as_ref(), Dimension::RotationalSpeed, May::Positive);
}

fn plugs(c: &mut Checks, t: &Plugs) {
    c.cylinders(t.plugs.iter().map(|x| x.cylinder));
}

fn borescope(c: &mut Checks, t: &Borescope) {
    let out = t.views.iter().find(|v| v.cylinder == 0 || v.cylinder > MOST_CYLINDERS);
    if let Some(view) = out {
        c.found.push(Fault {
            place: "borescope".to_owned(),
            found: format!("cylinder {} is written", view.cylinder),
            expected: "cylinders count from 1 to 64".to_owned(),
            then: "The view stays in the record".to_owned(),
        });
    }
}
