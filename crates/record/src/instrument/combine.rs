//! The uncertainty of one reading.
//!
//! Model: GUM, JCGM 100:2008, clauses 4 and 5 (from memory): standard uncertainties of independent parts add
//! in quadrature. Parts: what the instrument is off by (type B, from the register), the step of the last digit
//! (uniform, step/√12), repeated readings (type A, s/√n), and for lengths the temperature: a length grows by
//! its expansion times the difference from 20 °C, and a steel gauge that lies with the part grows with it.
//! A length is brought to 20 °C; the doubt of the temperature and of both expansions stays.
//! Left out: degrees of freedom (k = 2 stands for 95 %), tilt and form.
//!
//! # Source
//! ISO 1 for 20 °C (from memory).

use super::expansion::Expansion;
use crate::InstrumentUsed;

/// 20 °C, K.
const REFERENCE_K: f64 = 293.15;

/// Temperature of a part with its material and that of the gauge beside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartTemperature<'a> {
    /// Temperature of the part, K.
    pub part_k: f64,
    /// Standard uncertainty of that, K.
    pub u_k: f64,
    /// What the part is made of.
    pub part: &'a Expansion,
    /// What the gauge or its setting standard is made of; none for one kept at 20 °C.
    pub gauge: Option<&'a Expansion>,
}

/// A part of an uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Where it comes from, in words.
    pub what: String,
    /// Name of its source. Readings that name the same source are off by it together.
    pub source: String,
    /// One standard uncertainty of the source in the reading, SI, with sign.
    pub u_si: f64,
}

/// A reading brought to 20 °C with its uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct Combined {
    /// As read, SI; the mean of repeated readings.
    pub shown_si: f64,
    /// At 20 °C, SI.
    pub value_si: f64,
    /// Its parts.
    pub parts: Vec<Part>,
}

impl Combined {
    /// Standard uncertainty (k = 1), SI.
    pub fn u_si(&self) -> f64 {
        self.parts.iter().map(|p| p.u_si * p.u_si).sum::<f64>().sqrt()
    }
}

/// Combines the uncertainty of readings of one place: one, or repeats of it.
///
/// `step_si` is the step of the last digit written; a coarser scale of the instrument counts before it.
/// `stated_u_si` is what the person stated behind "±" (k = 1); it counts in place of instrument and digit. `own`
/// names the place: sources that no other reading has are named after it. `temperature` only for lengths.
pub fn combine(
    readings_si: &[f64],
    step_si: f64,
    stated_u_si: Option<f64>,
    instrument: Option<&InstrumentUsed>,
    temperature: Option<PartTemperature<'_>>,
    own: &str,
) -> Combined {
    let n = readings_si.len() as f64;
    let shown_si = readings_si.iter().sum::<f64>() / n;
    let mut parts = Vec::new();
    let mut add = |what: &str, source: String, u_si: f64| {
        if u_si != 0.0 {
            parts.push(Part { what: what.to_owned(), source, u_si });
        }
    };
    if let Some(u_si) = stated_u_si {
        add("stated", format!("stated {own}"), u_si);
    } else {
        let scale_si = instrument.and_then(|i| i.step_si).unwrap_or(0.0).max(step_si);
        add("last digit", format!("digit {own}"), scale_si / 12f64.sqrt() / n.sqrt());
        if let Some(used) = instrument {
            let (repeat, shared) = instrument_parts(used, shown_si);
            add(&used.name, format!("reading {own}"), repeat / n.sqrt());
            add(&used.name, format!("instrument {}", used.key), shared);
        }
    }
    if readings_si.len() > 1 {
        let squares: f64 = readings_si.iter().map(|r| (r - shown_si).powi(2)).sum();
        // Readings that repeat better than the instrument is known to do not prove it better.
        add("repeated readings", format!("repeats {own}"), (squares / (n - 1.0) / n).sqrt());
    }
    let mut value_si = shown_si;
    if let Some(t) = temperature {
        let warmer_k = t.part_k - REFERENCE_K;
        let gauge_per_k = t.gauge.map_or(0.0, |g| g.per_k);
        let growth = |part_per_k: f64, gauge_per_k: f64, warmer_k: f64| {
            (1.0 + gauge_per_k * warmer_k) / (1.0 + part_per_k * warmer_k)
        };
        value_si = shown_si * growth(t.part.per_k, gauge_per_k, warmer_k);
        // Small shares: first order is enough.
        add("temperature of the part", "temperature".to_owned(), shown_si * (gauge_per_k - t.part.per_k) * t.u_k);
        add(
            &format!("expansion of {}", t.part.names[0]),
            format!("expansion {}", t.part.names[0]),
            -shown_si * warmer_k * t.part.u_per_k,
        );
        if let Some(gauge) = t.gauge.filter(|g| !std::ptr::eq(*g, t.part)) {
            add(
                &format!("expansion of {}", gauge.names[0]),
                format!("expansion {}", gauge.names[0]),
                shown_si * warmer_k * gauge.u_per_k,
            );
        }
    }
    Combined { shown_si, value_si, parts }
}

/// What differs from reading to reading, and what all readings of one setting share.
fn instrument_parts(used: &InstrumentUsed, shown_si: f64) -> (f64, f64) {
    let (mut repeat2, mut shared2) = (0.0, 0.0);
    let pairs = [
        (used.u_si, used.u_repeat_si),
        (used.u_share.map(|s| s * shown_si.abs()), used.u_repeat_share.map(|s| s * shown_si.abs())),
    ];
    for (whole, repeat) in pairs {
        let Some(whole) = whole else { continue };
        let repeat = repeat.map_or(whole, |r| r.min(whole));
        repeat2 += repeat * repeat;
        shared2 += (whole * whole - repeat * repeat).max(0.0);
    }
    (repeat2.sqrt(), shared2.sqrt())
}
