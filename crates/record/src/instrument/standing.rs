//! Whether an instrument's calibration counted on a day.

use super::Instrument;
use crate::InstrumentUsed;
use jiff::civil::Date;

/// How an instrument stood on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// The calibration counted. Its last day, where one is stated.
    InDate {
        /// Last day on which it counts.
        due: Option<Date>,
    },
    /// It had run out.
    Overdue {
        /// Days since the last day on which it counted.
        days: i64,
    },
    /// There was none by that day.
    NeverCalibrated,
}

impl std::fmt::Display for Standing {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::InDate { due: Some(due) } => write!(f, "in date to {due}"),
            Self::InDate { due: None } => f.write_str("calibrated, no end stated"),
            Self::Overdue { days: 1 } => f.write_str("overdue by 1 day"),
            Self::Overdue { days } => write!(f, "overdue by {days} days"),
            Self::NeverCalibrated => f.write_str("never calibrated"),
        }
    }
}

/// An instrument as it goes into an entry of a day: with the last calibration made by then.
pub fn used(instrument: &Instrument, on: Date) -> InstrumentUsed {
    let last = instrument.calibrations.iter().rev().find(|c| c.on <= on);
    InstrumentUsed {
        key: instrument.key.clone(),
        name: instrument.name.clone(),
        kind: instrument.kind.clone(),
        step_si: instrument.step_si,
        u_si: instrument.u_si,
        u_share: instrument.u_share,
        u_repeat_si: instrument.u_repeat_si,
        u_repeat_share: instrument.u_repeat_share,
        calibrated: last.map(|c| c.on.to_string()),
        due: last.and_then(|c| c.due(instrument.interval)).map(|due| due.to_string()),
        set_on: String::new(),
    }
}

/// How an instrument of an entry stood on a day. A day in the entry that cannot be read counts as none.
pub fn standing(used: &InstrumentUsed, on: Date) -> Standing {
    let day = |text: &Option<String>| text.as_ref().and_then(|t| t.parse::<Date>().ok());
    match day(&used.calibrated) {
        Some(calibrated) if calibrated <= on => {}
        _ => return Standing::NeverCalibrated,
    }
    match (day(&used.due), &used.due) {
        (None, None) => Standing::InDate { due: None },
        (Some(due), _) if on <= due => Standing::InDate { due: Some(due) },
        (Some(due), _) => Standing::Overdue { days: i64::from((on - due).get_days()) },
        // An end that cannot be read is no end in the shop's favour.
        (None, Some(_)) => Standing::NeverCalibrated,
    }
}

/// The day of a time as the writer's clock showed it: "2026-03-18T09:12:00+01:00" is the 18th.
pub fn day_of(at: &str) -> Option<Date> {
    at.get(..10)?.parse().ok()
}
