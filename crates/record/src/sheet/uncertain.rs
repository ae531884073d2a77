//! A value whose uncertainty remembers where it comes from.
//!
//! Model: first-order propagation (GUM, JCGM 100:2008, clause 5; from memory) with named sources. Two values
//! that share a source, such as one instrument's calibration, move together in it; a difference of two
//! readings of one gauge therefore loses what the gauge is off by. Each source is moved by one standard
//! uncertainty up and down, in all inputs at once.
//! Left out: second-order terms.

use engine::spread::studentised_range_95;
use std::collections::BTreeMap;

/// A value and the signed share of each source in it (one standard uncertainty of the source).
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Uncertain {
    pub(crate) value: f64,
    pub(crate) parts: BTreeMap<String, f64>,
}

impl Uncertain {
    pub(crate) fn exact(value: f64) -> Self {
        Self { value, parts: BTreeMap::new() }
    }

    /// A value with one source of its own.
    pub(crate) fn with_own(value: f64, u: f64, source: String) -> Self {
        let mut parts = BTreeMap::new();
        if u != 0.0 {
            parts.insert(source, u);
        }
        Self { value, parts }
    }

    /// Standard uncertainty.
    pub(crate) fn u(&self) -> f64 {
        self.parts.values().map(|part| part * part).sum::<f64>().sqrt()
    }
}

/// A formula of uncertain inputs.
///
/// # Errors
/// What the formula says, at the values or one standard uncertainty away from them.
pub(crate) fn propagate(
    inputs: &[&Uncertain],
    f: impl Fn(&[f64]) -> Result<f64, String>,
) -> Result<Uncertain, String> {
    let at: Vec<f64> = inputs.iter().map(|i| i.value).collect();
    let value = finite(f(&at)?)?;
    let mut sources: Vec<&String> = inputs.iter().flat_map(|i| i.parts.keys()).collect();
    sources.sort_unstable();
    sources.dedup();
    let mut parts = BTreeMap::new();
    for source in sources {
        let moved = |sign: f64| -> Result<f64, String> {
            let x: Vec<f64> =
                inputs.iter().map(|i| i.value + sign * i.parts.get(source).copied().unwrap_or(0.0)).collect();
            finite(f(&x)?)
        };
        let part = 0.5 * (moved(1.0)? - moved(-1.0)?);
        if part != 0.0 {
            parts.insert(source.clone(), part);
        }
    }
    Ok(Uncertain { value, parts })
}

fn finite(value: f64) -> Result<f64, String> {
    if value.is_finite() { Ok(value) } else { Err("the figure is no finite number".to_owned()) }
}

/// What each input does not share with any other of them: the noise that widens a range.
fn own(inputs: &[&Uncertain]) -> Vec<f64> {
    let shared = |source: &String| inputs.iter().filter(|i| i.parts.contains_key(source)).count() > 1;
    inputs
        .iter()
        .map(|i| i.parts.iter().filter(|(source, _)| !shared(source)).map(|(_, p)| p * p).sum::<f64>().sqrt())
        .collect()
}

/// A range found among `inputs` (all those among which greatest and least were sought): its value with the
/// reach of the studentised range, halved to a standard uncertainty. The noise is the inputs' mean noise.
pub(crate) fn range_of(value: f64, inputs: &[&Uncertain], source: &str) -> Uncertain {
    let noise = own(inputs);
    let mean_square = noise.iter().map(|n| n * n).sum::<f64>() / noise.len() as f64;
    let reach = studentised_range_95(inputs.len()) * mean_square.sqrt();
    Uncertain::with_own(value, 0.5 * reach, source.to_owned())
}
