//! Weather of a pull and the factor that follows from it.
//!
//! What the person states wins over what the log shows, and that is said. A log's barometer is taken as
//! station pressure; one that does not fit the stated height of the cell is questioned, never changed.
//! Without pressure, temperature or humidity there is no correction: the run stays as observed.

use crate::analysis::{Correction, Weather};
use crate::cell::{CellFile, Known};
use crate::figures::mean_of;
use crate::log::Table;
use crate::role::Role;
use crate::setup::Setup;
use gas::atmosphere::barometer_doubt;
use gas::correction::{
    AirUncertainty, AmbientAir, Decision, HumidityUncertainty, Standard, decide, factor, factor_uncertainty,
    factor_uncertainty_from_humidity, is_extrapolated, range_remarks, range_verdict,
};
use gas::humid_air::{Surface, saturation_pressure_pa, vapour_pressure_pa};

/// Mean weather over rows of a log, with what the person stated.
pub fn weather(table: &Table, rows: (usize, usize), setup: &Setup, cell: &CellFile) -> Weather {
    let mut w = Weather::default();
    let channel = |role: Role| table.values(role).and_then(|v| mean_of(&v[rows.0..rows.1]));
    let mut pick = |name: &str, stated: &Option<Known>, role: Role| -> Option<f64> {
        match (stated, channel(role)) {
            (Some(k), from_log) => {
                w.origins.push(match from_log {
                    Some(_) => format!("{name}: {} (overrules the log's channel)", k.origin),
                    None => format!("{name}: {}", k.origin),
                });
                Some(k.value)
            }
            (None, Some(v)) => {
                w.origins.push(format!("{name}: the log's channel, mean over the pull"));
                Some(v)
            }
            (None, None) => {
                w.origins.push(format!("{name}: not known"));
                None
            }
        }
    };
    w.barometer_pa = pick("barometer", &setup.barometer_pa, Role::Barometer);
    w.air_temperature_k = pick("intake air temperature", &setup.air_temperature_k, Role::IntakeAirTemperature);
    let humidity_known = setup.humidity.is_some() || channel(Role::Humidity).is_some();
    if setup.vapour_pressure_pa.is_some() || (channel(Role::VapourPressure).is_some() && !humidity_known) {
        w.vapour_pressure_pa = pick("vapour pressure", &setup.vapour_pressure_pa, Role::VapourPressure);
        if let (Some(v), Some(t)) = (w.vapour_pressure_pa, w.air_temperature_k) {
            w.humidity = saturation_pressure_pa(t, Surface::Water).ok().map(|s| v / s);
        }
    } else {
        w.humidity = pick("humidity", &setup.humidity, Role::Humidity);
        if let (Some(h), Some(t)) = (w.humidity, w.air_temperature_k) {
            match vapour_pressure_pa(h, t, Surface::Water) {
                Ok(v) => w.vapour_pressure_pa = Some(v),
                Err(e) => w.doubts.push(e.to_string()),
            }
        }
    }
    if let (Some(p), Some(v)) = (w.barometer_pa, w.vapour_pressure_pa) {
        w.dry_pressure_pa = Some(p - v);
    }
    if let (Some(p), Some(h)) = (w.barometer_pa, cell.altitude_m)
        && let Some(doubt) = barometer_doubt(p, h)
    {
        w.doubts.push(doubt.to_string());
    }
    w
}

/// The air of a weather; `None` if one of the three numbers is missing or they fit no air.
pub fn air(w: &Weather) -> Option<AmbientAir> {
    AmbientAir::new(w.barometer_pa?, w.air_temperature_k?, w.vapour_pressure_pa?).ok()
}

/// Which correction is applied for the mean weather of a run, the factor's uncertainty, and all that must
/// be said beside it. The relative uncertainties of the factor from pressure, temperature and humidity come
/// second.
pub fn correction(w: &Weather, setup: &Setup, cell: &CellFile) -> (Correction, [f64; 3]) {
    let asked = setup.standard;
    let mut c = Correction {
        asked,
        applied: asked,
        words: asked.wording().to_owned(),
        reference: asked.reference().to_owned(),
        factor: 1.0,
        u_factor: 0.0,
        range: asked.factor_range(),
        range_verdict: None,
        notes: Vec::new(),
        all: Vec::new(),
    };
    let air = air(w);
    if let Some(air) = &air {
        for s in Standard::ALL {
            if s != Standard::Observed
                && !s.needs_friction()
                && let Ok(f) = factor(s, air)
            {
                c.all.push((s, s.label().to_owned(), f));
            }
        }
    }
    let observed = |c: &mut Correction, why: String| {
        c.applied = Standard::Observed;
        c.words = Standard::Observed.wording().to_owned();
        // What would have been said beside a corrected figure no longer applies.
        c.notes = vec![why];
    };
    if asked == Standard::Observed {
        return (c, [0.0; 3]);
    }
    match decide(asked, setup.induction) {
        Decision::DoNotApply { why } => {
            observed(&mut c, why.to_owned());
            return (c, [0.0; 3]);
        }
        Decision::ApplyFlagged { why } => c.notes.push(why.to_owned()),
        Decision::Apply => {}
    }
    let Some(air) = air else {
        let missing = [
            ("the barometer", w.barometer_pa),
            ("the intake air temperature", w.air_temperature_k),
            ("the humidity", w.vapour_pressure_pa),
        ]
        .iter()
        .filter(|m| m.1.is_none())
        .map(|m| m.0)
        .collect::<Vec<_>>()
        .join(" and ");
        let what = if missing.is_empty() {
            "the weather stated fits no air".to_owned()
        } else {
            format!("{missing} not known")
        };
        observed(&mut c, format!("Not corrected: {what}. State it, and the run is corrected."));
        return (c, [0.0; 3]);
    };
    if asked.needs_friction() && (setup.friction_fmep_pa.is_none() || setup.displacement_m3.is_none()) {
        observed(
            &mut c,
            format!("Not corrected: {} needs the friction pressure and the displacement of the engine.", asked.label()),
        );
        return (c, [0.0; 3]);
    }
    // Humidity and temperature come from one place, and one thermometer's error enters both the temperature
    // term and the vapour pressure with the same sign; a vapour pressure stated as such stands on its own.
    let u = &cell.uncertainty;
    let from_humidity = w.origins.iter().any(|o| o.starts_with("humidity"));
    let parts = if from_humidity {
        factor_uncertainty_from_humidity(
            asked,
            &air,
            &HumidityUncertainty { pressure_pa: u.pressure_pa, temperature_k: u.temperature_k, humidity: u.humidity },
        )
    } else {
        factor_uncertainty(
            asked,
            &air,
            &AirUncertainty {
                pressure_pa: u.pressure_pa,
                temperature_k: u.temperature_k,
                vapour_pressure_pa: stated_vapour_u(w, setup, u.humidity),
            },
        )
    };
    let (f, parts) = match (factor(asked, &air), parts) {
        (Ok(f), Ok(parts)) => (f, parts),
        (Err(e), _) | (_, Err(e)) => {
            observed(&mut c, format!("Not corrected: {e}."));
            return (c, [0.0; 3]);
        }
    };
    c.factor = f;
    c.u_factor = parts.total;
    c.range_verdict = range_verdict(asked, f, parts.total).map(|v| {
        match v {
            quantity::Verdict::Inside => "inside",
            quantity::Verdict::Outside => "outside",
            quantity::Verdict::CannotTell => "cannot_tell",
        }
        .to_owned()
    });
    if is_extrapolated(f) {
        c.notes.push(format!("The factor {f:.4} is outside 0.93 to 1.07: the corrected figures are extrapolated."));
    }
    c.notes.extend(range_remarks(asked, &air));
    if setup.marine_or_aircraft
        && let Some(caution) = asked.caution()
    {
        c.notes.push(caution.to_owned());
    }
    (c, [parts.from_pressure.abs() / f, parts.from_temperature.abs() / f, parts.from_vapour.abs() / f])
}

/// Standard uncertainty of a vapour pressure stated or logged as such, Pa: the stated one, else what the
/// cell's hygrometer would leave unsure at saturation pressure.
fn stated_vapour_u(w: &Weather, setup: &Setup, u_humidity: f64) -> f64 {
    let stated = setup.vapour_pressure_pa.as_ref().and_then(|k| k.u);
    stated
        .or_else(|| Some(u_humidity * saturation_pressure_pa(w.air_temperature_k?, Surface::Water).ok()?))
        .unwrap_or(0.0)
}
