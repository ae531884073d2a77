//! A test in one line, readings as typed.

use super::TestBefore;
use super::kinds_pressure::LeakReading;
use super::numbers::and;
use crate::Stated;

/// "Cranking compression: cylinder 1 168 psi, cylinder 2 170 psi".
pub(super) fn of(test: &TestBefore) -> String {
    let text = |s: &Option<Stated>| s.as_ref().map_or("no reading".to_owned(), |s| s.text.clone());
    let parts: Vec<String> = match test {
        TestBefore::Cranking(t) => t
            .cylinders
            .iter()
            .map(|x| match &x.wet {
                Some(wet) => format!("cylinder {} {}, with oil {}", x.cylinder, text(&x.last), wet.text),
                None => format!("cylinder {} {}", x.cylinder, text(&x.last)),
            })
            .collect(),
        TestBefore::LeakDown(t) => t
            .cylinders
            .iter()
            .map(|x| {
                let reading = match &x.reading {
                    None => "no reading".to_owned(),
                    Some(LeakReading::Lost(s)) => format!("{} lost", s.text),
                    Some(LeakReading::Held(s)) => format!("{} held", s.text),
                    Some(LeakReading::Gauges { supply, cylinder }) => {
                        format!("{} of {}", cylinder.text, supply.text)
                    }
                };
                let air: Vec<String> = x.air_at.iter().map(|at| at.name().to_owned()).collect();
                let air = if air.is_empty() { String::new() } else { format!(" ({})", and(&air)) };
                format!("cylinder {} {reading}{air}", x.cylinder)
            })
            .collect(),
        TestBefore::LeakDownAircraft(t) => {
            t.cylinders.iter().map(|x| format!("cylinder {} {} held", x.cylinder, text(&x.held))).collect()
        }
        TestBefore::OilPressure(t) => t
            .points
            .iter()
            .map(|p| format!("{} at {}{}", p.pressure.text, p.speed.text, if p.idle { " (idle)" } else { "" }))
            .collect(),
        TestBefore::Vacuum(t) => vec![format!("{} at idle", text(&t.idle))],
        TestBefore::Noise(t) => t.heard.iter().map(|n| n.words.clone()).collect(),
        TestBefore::Borescope(t) => t
            .views
            .iter()
            .filter(|v| !v.seen.is_empty() || !v.words.is_empty())
            .map(|v| {
                let seen = v.seen.iter().map(|s| s.name().to_owned());
                let words = (!v.words.is_empty()).then(|| v.words.clone());
                let all: Vec<String> = seen.chain(words).collect();
                format!("cylinder {}, {} {}", v.cylinder, v.place.name(), and(&all))
            })
            .collect(),
        TestBefore::FilterDebris(t) => {
            let found = t.found.iter().map(|d| format!("{} {}", d.amount.name(), d.kind.name()));
            found.chain((t.water == Some(true)).then(|| "water in the oil".to_owned())).collect()
        }
        TestBefore::Plugs(t) => t
            .plugs
            .iter()
            .map(|p| {
                let marks = p.marks.iter().map(|m| m.name().to_owned());
                let all: Vec<String> = p.colour.map(|c| c.name().to_owned()).into_iter().chain(marks).collect();
                format!("cylinder {} {}", p.cylinder, if all.is_empty() { "–".to_owned() } else { and(&all) })
            })
            .collect(),
        TestBefore::CoolingPressure(t) => {
            let pressure = t.start.as_ref().map(|_| format!("{} to {}", text(&t.start), text(&t.end)));
            let gas = t.gas.map(|g| match g {
                super::GasTest::NoChange => "no combustion gas".to_owned(),
                super::GasTest::Changed => "combustion gas".to_owned(),
            });
            pressure.into_iter().chain(gas).collect()
        }
        TestBefore::BlowBy(t) => t.pulls.iter().map(|p| p.flow.text.clone()).collect(),
        TestBefore::CylinderBalance(t) => {
            t.cylinders.iter().map(|x| format!("cylinder {} drops {}", x.cylinder, x.drop.text)).collect()
        }
        TestBefore::Other { words, .. } => vec![words.clone()],
    };
    let said = if parts.is_empty() { nothing(test).to_owned() } else { parts.join(", ") };
    let remark = remark(test).trim();
    if remark.is_empty() { format!("{}: {said}", test.name()) } else { format!("{}: {said}. {remark}", test.name()) }
}

fn nothing(test: &TestBefore) -> &'static str {
    match test {
        TestBefore::Noise(_) => "nothing heard",
        TestBefore::FilterDebris(_) => "nothing found",
        _ => "no reading",
    }
}

fn remark(test: &TestBefore) -> &str {
    match test {
        TestBefore::Cranking(t) => &t.remark,
        TestBefore::LeakDown(t) => &t.remark,
        TestBefore::LeakDownAircraft(t) => &t.remark,
        TestBefore::OilPressure(t) => &t.remark,
        TestBefore::Vacuum(t) => &t.remark,
        TestBefore::Noise(t) => &t.remark,
        TestBefore::Borescope(t) => &t.remark,
        TestBefore::FilterDebris(t) => &t.remark,
        TestBefore::Plugs(t) => &t.remark,
        TestBefore::CoolingPressure(t) => &t.remark,
        TestBefore::BlowBy(t) => &t.remark,
        TestBefore::CylinderBalance(t) => &t.remark,
        TestBefore::Other { .. } => "",
    }
}
