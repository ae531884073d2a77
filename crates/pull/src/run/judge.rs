//! Figures and repeatability over a band, from the curves of an analysis: another band needs no log.

use crate::analysis::{Analysis, BudgetLine, PullResult, Repeat};
use crate::curve::PullCurve;
use crate::figures::{Inputs, band_mean, figures, flows, grid_of, power_w};
use crate::setup::Band;
use crate::stats::{few_pulls_factor, mean, sample_sd, slope};
use gas::humid_air::density_kg_m3;

/// The same run judged over another band.
pub fn rejudge(analysis: &Analysis, band: Band) -> Analysis {
    judged(Analysis { band, ..analysis.clone() })
}

/// Fills in everything that depends on the band.
pub(super) fn judged(mut a: Analysis) -> Analysis {
    let grid = grid_of(&a.curve);
    for p in &mut a.pulls {
        p.band_mean_torque_nm = band_mean(grid, &p.torque_nm, a.band, |_, t| t);
        p.band_mean_power_w = band_mean(grid, &p.torque_nm, a.band, |n, t| power_w(t, n));
    }
    let curves: Vec<PullCurve> = used(&a)
        .map(|p| PullCurve {
            torque_nm: p.torque_nm.clone(),
            u_nm: p.u_torque_nm.clone(),
            noise_nm: p.noise_nm,
            end_slope: p.end_slope,
        })
        .collect();
    let refs: Vec<&PullCurve> = curves.iter().collect();
    let w = &a.weather;
    let density = match (w.barometer_pa, w.air_temperature_k, w.vapour_pressure_pa) {
        (Some(p), Some(t), Some(v)) => Some(density_kg_m3(p, t, v)),
        _ => None,
    };
    let top_rpm = used(&a).map(|p| p.to_rpm).fold(0.0, f64::max);
    let (f, remarks) = figures(&Inputs {
        curve: &a.curve,
        observed: &a.observed,
        pulls: &refs,
        band: a.band,
        system: &a.system,
        setup: &a.setup,
        flows: flows(&a.channels, density),
        top_rpm,
    });
    a.repeat = repeat(&a);
    a.budget = budget(&a, f.mean_torque_nm.map(|m| m.value));
    a.figures = f;
    a.figure_remarks = remarks;
    a
}

fn used(a: &Analysis) -> impl Iterator<Item = &PullResult> {
    a.pulls.iter().filter(|p| p.left_out.is_none())
}

/// Parts of the uncertainty of the band-mean torque.
fn budget(a: &Analysis, mean_nm: Option<f64>) -> Vec<BudgetLine> {
    let Some(t) = mean_nm else { return Vec::new() };
    let mut lines = a.system.lines(t);
    let means: Vec<f64> = used(a).filter_map(|p| p.band_mean_torque_nm).collect();
    if let (Some(k), Some(sd)) = (few_pulls_factor(means.len()), sample_sd(&means)) {
        lines.push(BudgetLine {
            name: "between pulls".to_owned(),
            u_nm: k * sd / (means.len() as f64).sqrt(),
            input: format!("standard deviation {sd:.2} N·m of {} pulls, Student's share {k:.2}", means.len()),
            kind: 'A',
        });
    } else {
        lines.push(BudgetLine {
            name: "between pulls".to_owned(),
            u_nm: 0.0,
            input: "not known: one pull".to_owned(),
            kind: 'A',
        });
    }
    lines
}

/// How well the pulls in use repeat over the band.
fn repeat(a: &Analysis) -> Repeat {
    let grid = grid_of(&a.curve);
    let pulls: Vec<&PullResult> = used(a).collect();
    let mut r = Repeat { pulls: pulls.len(), limit: a.setup.repeat_limit, ..Repeat::default() };
    let mut spreads = Vec::new();
    for i in 0..grid.points {
        let there: Vec<f64> = pulls.iter().map(|p| p.torque_nm[i]).filter(|v| v.is_finite()).collect();
        r.sd_nm.push(sample_sd(&there).unwrap_or(f64::NAN));
        let n = grid.rpm(i);
        if there.len() >= 2 && there.len() == pulls.len() && n >= a.band.from_rpm && n <= a.band.to_rpm {
            let (lo, hi) = there.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(x, y), v| (x.min(*v), y.max(*v)));
            spreads.push((n, (hi - lo) / mean(&there)));
        }
    }
    let means: Vec<f64> = pulls.iter().filter_map(|p| p.band_mean_torque_nm).collect();
    r.sd_band_mean_nm = sample_sd(&means);
    if pulls.len() < 2 || spreads.is_empty() {
        r.verdict = Some("cannot_tell".to_owned());
        return r;
    }
    let mean_spread = mean(&spreads.iter().map(|s| s.1).collect::<Vec<_>>());
    r.mean_spread = Some(mean_spread);
    r.worst_spread = spreads.iter().copied().max_by(|x, y| x.1.total_cmp(&y.1)).map(|(n, s)| (s, n));
    // What noise alone would show as spread: two standard uncertainties of a pull's curve, as a share of torque.
    let noise: Vec<f64> = (0..grid.points)
        .map(|i| a.curve.u_within_nm[i] * (pulls.len() as f64).sqrt() / a.curve.torque_nm[i])
        .filter(|v| v.is_finite())
        .collect();
    let unsure = if noise.is_empty() { 0.0 } else { mean(&noise) };
    r.verdict = Some(
        if (mean_spread - r.limit).abs() < unsure {
            "cannot_tell"
        } else if mean_spread < r.limit {
            "inside"
        } else {
            "outside"
        }
        .to_owned(),
    );
    if means.len() == pulls.len() {
        let order: Vec<f64> = pulls.iter().map(|p| p.number as f64).collect();
        r.drift_per_pull_nm = slope(&order, &means);
        let against = |f: fn(&PullResult) -> Option<f64>| {
            let x: Option<Vec<f64>> = pulls.iter().map(|p| f(p)).collect();
            x.and_then(|x| {
                let spread = sample_sd(&x)?;
                // Half a kelvin of spread carries no slope worth printing.
                (spread > 0.5).then(|| slope(&x, &means)).flatten().map(|s| s.0)
            })
        };
        r.drift_per_oil_k = against(|p| p.oil_temperature_k);
        r.drift_per_air_k = against(|p| p.air_temperature_k);
    }
    r
}
