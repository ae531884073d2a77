//! The invented runs.

pub mod hill_climb;
pub mod signals;
pub mod spacer;
pub mod trade;

use crate::air::{Air, Form};
use crate::cell::Cell;
use crate::story::{Dirt, Engine, NM_PER_LB_FT, Running, Story};

/// Every invented run.
pub fn all() -> Vec<Story> {
    let mut stories = trade::all();
    stories.extend(spacer::all());
    stories.extend(hill_climb::all());
    stories
}

/// The run of a key.
pub fn by_key(key: &str) -> Option<Story> {
    all().into_iter().find(|s| s.key == key)
}

/// An engine by displacement in in³ and stroke in inches.
pub(crate) fn engine_in(displacement_in3: f64, stroke_in: f64, cylinders: u32, fuel: &str) -> Engine {
    Engine {
        displacement: format!("{displacement_in3} in3"),
        displacement_m3: displacement_in3 * 16.387_064e-6,
        stroke: if stroke_in > 0.0 { format!("{stroke_in} in") } else { String::new() },
        cylinders,
        fuel: fuel.to_owned(),
        held_absolute: false,
        marine: false,
        blower_ratio: None,
    }
}

/// Three sweeps at 300 rpm/s in one log, begun 100 rpm below the first point and ended `beyond_rpm` above the last.
pub(crate) fn running(truth: &[(f64, f64)], beyond_rpm: f64) -> Running {
    let (first, last) = (truth[0].0, truth[truth.len() - 1].0);
    Running {
        from_rpm: first - 100.0,
        to_rpm: last + beyond_rpm,
        rate_rpm_s: 300.0,
        pulls: 3,
        scales: Vec::new(),
        log_per_pull: false,
        aborted_at_rpm: None,
        only_aborted: false,
        hold: None,
        rate_hz: 100.0,
        warm_up: true,
    }
}

/// A story from a list of (rpm, corrected lb-ft), with the usual dirt and no channels yet.
pub(crate) fn from_lb_ft(
    key: &str,
    title: &str,
    engine: Engine,
    points: &[(f64, f64)],
    (air, band): (Air, (f64, f64)),
    (beyond_rpm, cell): (f64, Cell),
) -> Story {
    let truth: Vec<(f64, f64)> = points.iter().map(|(rpm, lb_ft)| (*rpm, lb_ft * NM_PER_LB_FT)).collect();
    Story {
        key: key.to_owned(),
        title: title.to_owned(),
        engine,
        running: running(&truth, beyond_rpm),
        truth,
        torque_bumps: Vec::new(),
        form: Form::J1349,
        air,
        air_rise_k: 0.6,
        band,
        signals: Vec::new(),
        dirt: Dirt::default(),
        cell,
    }
}
