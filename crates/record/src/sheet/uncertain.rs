//! A value whose uncertainty remembers where it comes from.
//!
//! Model: first-order propagation (GUM, JCGM 100:2008, clause 5; from memory) with named sources. Two values
//! that share a source, such as one instrument's calibration, move together in it; a difference of two
//! readings of one gauge therefore loses what the gauge is off by. Each source is moved by one standard
//! uncertainty up and down, in all inputs at once.
//! Left out: second-order terms.

use engine::spread::studentised_range_95;
use std::collections::BTreeMap;
use std::sync::OnceLock;

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
pub(crate) fn propagate(inputs: &[&Uncertain], f: impl Fn(&[f64]) -> Result<f64, String>) -> Result<Uncertain, String> {
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
    let reach = range_factor(inputs.len()) * mean_square.sqrt();
    Uncertain::with_own(value, 0.5 * reach, source.to_owned())
}

/// The factor of `n` readings, worked out once: a sheet asks for the same few again and again.
fn range_factor(n: usize) -> f64 {
    static KEPT: [OnceLock<f64>; 128] = [const { OnceLock::new() }; 128];
    match KEPT.get(n) {
        Some(kept) => *kept.get_or_init(|| studentised_range_95(n)),
        None => studentised_range_95(n),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows of a file of `validation/uncertainty`: value and standard uncertainty by name.
    fn file(text: &str) -> BTreeMap<String, (f64, f64)> {
        let row = |line: &str| {
            let mut parts = line.split(',');
            let name = parts.next().unwrap().to_owned();
            let mut number = || parts.next().unwrap().parse().unwrap();
            (name, (number(), number()))
        };
        text.lines().skip(1).map(row).collect()
    }

    /// JCGM 100:2008, H.1: independent inputs. The printed uncertainty is rounded to 1 nm.
    #[test]
    fn the_end_gauge_of_the_guide() {
        let given = file(include_str!("../../../../validation/uncertainty/h1_end_gauge.csv"));
        let names = [
            "standard_nm",
            "difference_nm",
            "expansion_per_k",
            "temperature_off_20_k",
            "expansion_difference_per_k",
            "temperature_difference_k",
        ];
        let inputs: Vec<Uncertain> =
            names.iter().map(|n| Uncertain::with_own(given[*n].0, given[*n].1, (*n).to_owned())).collect();
        let inputs: Vec<&Uncertain> = inputs.iter().collect();
        let found = propagate(&inputs, |x| Ok(x[0] + x[1] - x[0] * (x[4] * x[3] + x[2] * x[5]))).unwrap();
        let (value, u) = given["result_nm"];
        assert!((found.value - value).abs() < 0.5, "{}", found.value);
        assert!((found.u() - u).abs() < 0.5, "{}", found.u());
        // Parts as printed; the guide cuts 16.68 to 16.6.
        for (source, part) in [
            ("standard_nm", 25.0),
            ("difference_nm", 9.7),
            ("expansion_difference_per_k", 2.9),
            ("temperature_difference_k", 16.6),
        ] {
            assert!((found.parts[source].abs() - part).abs() < 0.1, "{source}: {}", found.parts[source]);
        }
    }

    /// JCGM 100:2008, H.2: correlated readings, here as shared sources. Printed to three decimals; the printed
    /// correlation coefficients have two digits.
    #[test]
    fn the_correlated_readings_of_the_guide() {
        let given = file(include_str!("../../../../validation/uncertainty/h2_correlated.csv"));
        let r = |name: &str| given[&format!("correlation_{name}")].0;
        let (rvi, rvp, rip) = (r("voltage_current"), r("voltage_phase"), r("current_phase"));
        // Correlated numbers from independent ones: the triangular root of the correlation matrix.
        let l22 = (1.0 - rvi * rvi).sqrt();
        let l32 = (rip - rvi * rvp) / l22;
        let l33 = (1.0 - rvp * rvp - l32 * l32).sqrt();
        let rows = [vec![1.0], vec![rvi, l22], vec![rvp, l32, l33]];
        let input = |name: &str, row: &[f64]| Uncertain {
            value: given[name].0,
            parts: row.iter().enumerate().map(|(k, w)| (format!("source {k}"), w * given[name].1)).collect(),
        };
        let v = input("voltage_v", &rows[0]);
        let i = input("current_a", &rows[1]);
        let phase = input("phase_rad", &rows[2]);
        for (name, of) in [
            ("resistance_ohm", (|x: &[f64]| Ok(x[0] / x[1] * x[2].cos())) as fn(&[f64]) -> Result<f64, String>),
            ("reactance_ohm", |x| Ok(x[0] / x[1] * x[2].sin())),
            ("impedance_ohm", |x| Ok(x[0] / x[1])),
        ] {
            let found = propagate(&[&v, &i, &phase], of).unwrap();
            let (value, u) = given[name];
            assert!((found.value - value).abs() < 0.01, "{name}: {}", found.value);
            assert!((found.u() - u).abs() < 0.003, "{name}: {}", found.u());
        }
    }

    #[test]
    fn a_shared_source_cancels_in_a_difference() {
        let gauge = |value: f64, own: &str| Uncertain {
            value,
            parts: [("gauge".to_owned(), 3.0), (own.to_owned(), 4.0)].into(),
        };
        let found = propagate(&[&gauge(10.0, "a"), &gauge(7.0, "b")], |x| Ok(x[0] - x[1])).unwrap();
        assert!((found.u() - 32f64.sqrt()).abs() < 1e-12);
        let sum = propagate(&[&gauge(10.0, "a"), &gauge(7.0, "b")], |x| Ok(x[0] + x[1])).unwrap();
        assert!((sum.u() - (36.0 + 32.0f64).sqrt()).abs() < 1e-12);
    }
}
