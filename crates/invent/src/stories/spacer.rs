//! Story 7: a spacer tried A-B-A on a circle-track engine, three pulls each.
//!
//! Told by nine mean powers over 4,800 to 7,200 rpm. The shape of the curve is filled in; each pull is scaled so that
//! its mean power over the band is the listed one.

use super::signals::{aspirated, f, flat};
use super::{engine_in, from_lb_ft};
use crate::air::Air;
use crate::cell::north;
use crate::story::{Signal, Story, W_PER_HP};

/// Band of the test, rpm.
pub const BAND: (f64, f64) = (4800.0, 7200.0);
/// Mean power of each pull, hp: without, with, and again without the spacer.
pub const MEAN_HP: [(&str, [f64; 3]); 3] =
    [("spacer-a1", [471.2, 472.9, 471.5]), ("spacer-b", [473.0, 474.4, 472.6]), ("spacer-a2", [472.8, 471.9, 473.4])];

/// The three runs.
pub fn all() -> Vec<Story> {
    MEAN_HP.iter().map(|(key, means)| one(key, means)).collect()
}

fn one(key: &str, means_hp: &[f64; 3]) -> Story {
    let points = [
        (4600., 414.),
        (4800., 420.),
        (5200., 428.),
        (5600., 430.),
        (6000., 425.),
        (6400., 413.),
        (6800., 396.),
        (7200., 374.),
        (7300., 367.),
    ];
    let title = match key {
        "spacer-b" => "the spacer that did nothing, with spacer",
        "spacer-a2" => "the spacer that did nothing, again without",
        _ => "the spacer that did nothing, without",
    };
    let engine = engine_in(358.2, 3.350, 8, "race gasoline");
    let mut story = from_lb_ft(key, title, engine, &points, (Air::us(29.18, 73., 44.), BAND), (60., north()));
    let truth_hp = story.band_mean_power_w(BAND.0, BAND.1) / W_PER_HP;
    story.running.scales = means_hp.iter().map(|hp| hp / truth_hp).collect();
    // Little noise: the story is in the scatter of the pulls.
    story.dirt.noise_rel = 0.001;
    story.dirt.resonance_rel = 0.0;
    story.dirt.zero_drift_nm = 0.0;
    story.air_rise_k = 0.0;
    story.signals = aspirated(&story, 2, 0.87);
    story.signals.retain(|s| s.key != "oil_temperature");
    story.signals.push(Signal { drift: 1.5, ..flat("oil_temperature", f(212.0), f(211.0), 0.1) });
    story
}
