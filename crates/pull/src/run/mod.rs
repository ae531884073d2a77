//! A run, read from end to end: logs in, [`Analysis`] out.

mod channels;
mod error;
mod flags;
mod judge;
mod one_pull;

pub use error::AnalyseError;
pub use judge::rejudge;

use crate::align::one_table;
use crate::analysis::{Analysis, InertiaUse, LagUse, LogFacts, PullKind, PullResult, Weather};
use crate::bins::Grid;
use crate::brake::{self, TorqueSource, load_cell};
use crate::budget::System;
use crate::cell::CellFile;
use crate::curve::pool;
use crate::cut::{Cut, cut};
use crate::figures::{mean_of, tested_span};
use crate::guard::{PullSpan, Rules, watch};
use crate::log::{Log, Table};
use crate::role::Role;
use crate::setup::{Band, Setup};
use crate::weather;
use gas::correction::{FrictionTorque, Standard, corrected_torque_nm};
use one_pull::OnePull;
use rayon::prelude::*;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// One log made ready: its table, torque at the brake, pulls.
struct Ready<'a> {
    table: Cow<'a, Table>,
    rpm: Vec<f64>,
    brake_nm: Cow<'a, [f64]>,
    source: TorqueSource,
}

/// Reads a run: finds the pulls in its logs, brings torque to the crank, corrects it, pools it, and works
/// out the figures, the repeatability and the flags.
///
/// # Errors
/// [`AnalyseError`] when a log has no engine speed or no torque, or when no pull is found in any log.
/// Everything else that is not as it should be is in the result's problems, remarks and notes.
pub fn analyse(logs: &[Log], cell: &CellFile, setup: &Setup, rules: &Rules) -> Result<Analysis, AnalyseError> {
    let load_cell = cell.load_cell.as_ref().and_then(load_cell::evaluate);
    let mut ready = Vec::with_capacity(logs.len());
    let mut problems = Vec::new();
    for log in logs {
        problems.extend(log.problems.iter().cloned());
        let table = one_table(log).ok_or_else(|| AnalyseError::no_speed(log))?;
        let rpm = brake::speed_rpm(&table).ok_or_else(|| AnalyseError::no_speed(log))?;
        let (shown, source) = match &table {
            Cow::Borrowed(t) => brake::shown_torque_nm(t, cell),
            Cow::Owned(t) => brake::shown_torque_nm(t, cell).map(|(v, s)| (Cow::Owned(v.into_owned()), s)),
        }
        .ok_or_else(|| AnalyseError::no_torque(log))?;
        let brake_nm = match &load_cell {
            Some(r) if r.applied => Cow::Owned(shown.iter().map(|t| load_cell::true_torque_nm(r, *t)).collect()),
            _ => shown,
        };
        ready.push(Ready { table, rpm, brake_nm, source });
    }

    let mut cuts: Vec<(usize, Cut)> = Vec::new();
    let mut not_pulls = Vec::new();
    for (i, r) in ready.iter().enumerate() {
        let found = cut(&r.table, &r.brake_nm, i);
        cuts.extend(found.pulls.into_iter().map(|c| (i, c)));
        not_pulls.extend(found.rest);
    }
    if cuts.is_empty() {
        return Err(AnalyseError::NoPull { logs: logs.iter().map(|l| l.name.clone()).collect(), rest: not_pulls });
    }

    let (lags, lag_uses) = settle_lags(&ready, &cuts, cell, setup);
    let grid = Grid::covering(
        cuts.iter().map(|c| c.1.from_rpm).fold(f64::INFINITY, f64::min) - setup.grid_rpm,
        cuts.iter().map(|c| c.1.to_rpm).fold(f64::NEG_INFINITY, f64::max) + setup.grid_rpm,
        setup.grid_rpm,
    );
    let inertia = cell.inertia.as_ref().map(|k| k.value);
    let read_pulls = || -> Vec<OnePull> {
        cuts.par_iter()
            .map(|(log, c)| {
                let r = &ready[*log];
                let mut p = one_pull::read(*log, c, r, grid, setup, &lags, inertia);
                p.weather = weather::weather(&r.table, (c.from_row, c.to_row), setup, cell);
                p
            })
            .collect()
    };
    let ((all_flags, unjudged), pulls) = rayon::join(|| guard_logs(&ready, &cuts, setup, rules), read_pulls);

    let left_out = left_out(&pulls, setup);
    let used: Vec<usize> = (0..pulls.len()).filter(|i| left_out[*i].is_none()).collect();
    // When every pull is left out the weather shown is that of all of them.
    let weather_of: Vec<&Weather> = if used.is_empty() { (0..pulls.len()).collect() } else { used.clone() }
        .into_iter()
        .map(|i| &pulls[i].weather)
        .collect();
    let mean_weather = mean_weather(&weather_of);
    let (mut correction, mut factor_rel) = weather::correction(&mean_weather, setup, cell);

    // Corrected curve of every pull, each with its own weather.
    let corrected: Vec<(crate::curve::PullCurve, f64)> =
        pulls.iter().map(|p| correct(p, correction.applied, &mean_weather, setup, grid)).collect();
    let factors: Vec<f64> = used.iter().map(|i| corrected[*i].1).collect();
    if let Some(f) = mean_of(&factors) {
        // The parts were worked out for the plain factor; a form with friction spreads them over torque.
        let plain = correction.factor;
        correction.factor = f;
        if plain > 0.0 && correction.applied.needs_friction() {
            factor_rel = factor_rel.map(|u| u * plain / f);
        }
    }

    let added: Vec<f64> = used.iter().map(|i| pulls[*i].inertia_mean_nm).collect();
    let inertia_mean = if inertia.is_some() { mean_of(&added).unwrap_or(0.0) } else { 0.0 };
    let cell_u = cell_uncertainties(cell);
    let system = System { cell: cell_u, factor_rel, inertia_nm: inertia_mean };

    let used_curves: Vec<_> = used.iter().map(|i| &corrected[*i].0).collect();
    let curve = pool(&used_curves, grid, smoothing(&pulls, &used, setup), |_, t| system.torque_nm(t));
    let observed_curves: Vec<_> = used.iter().map(|i| &pulls[*i].observed).collect();
    let observed_system = System { factor_rel: [0.0; 3], ..system };
    let observed = pool(&observed_curves, grid, smoothing(&pulls, &used, setup), |_, t| observed_system.torque_nm(t));
    let channels = channels::pool(&pulls, &used, grid, &all_flags);

    let tested = tested_span(&curve);
    let band = setup.band.or(tested).unwrap_or(Band { from_rpm: grid.rpm(0), to_rpm: grid.rpm(grid.points - 1) });
    let mut results: Vec<PullResult> = Vec::with_capacity(pulls.len());
    for (i, p) in pulls.into_iter().enumerate() {
        let (c, factor) = &corrected[i];
        results.push(p.result(i + 1, c, *factor, left_out[i].clone()));
    }
    let mut remarks = remarks(&results, &mean_weather, &ready, cell);
    if inertia.is_none() && results.iter().any(|p| p.rate_rpm_s > 20.0 && p.left_out.is_none()) {
        remarks.push(
            "Inertia torque is not added: the moment of inertia is not stated. A sweep reads low by J times its acceleration."
                .to_owned(),
        );
    }
    let label = match inertia {
        Some(j) => format!("inertia torque added, {j:.2} kg·m²"),
        None => "inertia torque not added".to_owned(),
    };
    let analysis = Analysis {
        logs: logs.iter().map(facts).collect(),
        setup: setup.clone(),
        pulls: results,
        not_pulls,
        curve,
        observed,
        weather: mean_weather,
        correction,
        load_cell,
        inertia: InertiaUse { inertia_kg_m2: inertia, label, mean_added_nm: inertia_mean },
        lags: lag_uses,
        channels,
        band,
        band_stated: setup.band.is_some(),
        figures: Default::default(),
        repeat: Default::default(),
        flags: flags::settle(all_flags),
        unjudged,
        guards: rules.words(),
        budget: Vec::new(),
        dyno: cell.name.clone(),
        problems,
        remarks,
        figure_remarks: Vec::new(),
        system,
    };
    Ok(judge::judged(analysis))
}

/// Flags of all logs on their raw channels, and the rules that could not be judged.
fn guard_logs(
    ready: &[Ready<'_>],
    cuts: &[(usize, Cut)],
    setup: &Setup,
    rules: &Rules,
) -> (Vec<crate::guard::Flag>, Vec<String>) {
    let (mut all_flags, mut unjudged) = (Vec::new(), Vec::new());
    for (i, r) in ready.iter().enumerate() {
        let spans: Vec<PullSpan> = cuts
            .iter()
            .enumerate()
            .filter(|(_, (log, _))| *log == i)
            .map(|(k, (_, c))| PullSpan {
                number: k + 1,
                from_row: c.from_row,
                to_row: c.to_row,
                up: c.kind != PullKind::SweepDown,
            })
            .collect();
        let (flags, not_judged) = watch(&r.table, &spans, setup, rules);
        all_flags.extend(flags);
        unjudged.extend(not_judged);
    }
    unjudged.sort();
    unjudged.dedup();
    (all_flags, unjudged)
}

/// Width named beside the curve: that of the regression, 0 when the curve is made of holds.
fn smoothing(pulls: &[OnePull], used: &[usize], setup: &Setup) -> f64 {
    let held = used.iter().all(|i| matches!(pulls[*i].kind, PullKind::StepTest | PullKind::Hold));
    if held && !used.is_empty() { 0.0 } else { setup.half_width_rpm }
}

/// The cell's uncertainties; those stated with the inertia or the arm itself win.
fn cell_uncertainties(cell: &CellFile) -> crate::cell::Uncertainties {
    let mut u = cell.uncertainty;
    if let Some(j) = &cell.inertia
        && let Some(uj) = j.u
        && j.value > 0.0
    {
        u.inertia_rel = uj / j.value;
    }
    if let Some(arm) = &cell.arm
        && let Some(ua) = arm.u
        && arm.value > 0.0
    {
        u.arm_rel = ua / arm.value;
    }
    u
}

/// Why each pull is left out, if it is: by a person, because it was stopped early, or because the run has
/// pulls of another kind that are pooled.
fn left_out(pulls: &[OnePull], setup: &Setup) -> Vec<Option<String>> {
    let count = |kind: PullKind| pulls.iter().filter(|p| p.kind == kind && p.aborted.is_none()).count();
    let order = [PullKind::SweepUp, PullKind::StepTest, PullKind::SweepDown, PullKind::Hold];
    let pooled = order.into_iter().find(|k| count(*k) > 0).unwrap_or(PullKind::SweepUp);
    pulls
        .iter()
        .enumerate()
        .map(|(i, p)| {
            if let Some(why) = setup.left_out.get(&(i + 1)) {
                return Some(format!("left out by the operator: {why}"));
            }
            if let Some(why) = &p.aborted {
                return Some(why.clone());
            }
            (p.kind != pooled).then(|| match p.kind {
                PullKind::SweepDown => "speed falls: kept for finding lags, not pooled with sweeps up".to_owned(),
                PullKind::StepTest => "held points are not pooled with sweeps".to_owned(),
                PullKind::Hold => "one held speed is no curve: shown, not pooled".to_owned(),
                PullKind::SweepUp => "a sweep is not pooled with held points".to_owned(),
            })
        })
        .collect()
}

/// Corrected curve of one pull and its (mean) factor.
fn correct(p: &OnePull, applied: Standard, run: &Weather, setup: &Setup, grid: Grid) -> (crate::curve::PullCurve, f64) {
    let mut c = p.observed.clone();
    if applied == Standard::Observed {
        return (c, 1.0);
    }
    // A pull without weather of its own takes the run's.
    let Some(air) = weather::air(&p.weather).or_else(|| weather::air(run)) else { return (c, 1.0) };
    let friction = match (&setup.friction_fmep_pa, &setup.displacement_m3) {
        (Some(f), Some(v)) => {
            FrictionTorque::from_fmep(f.value, v.value, setup.four_stroke).ok().map(FrictionTorque::nm)
        }
        _ => None,
    };
    let (mut before, mut after) = (0.0, 0.0);
    for i in 0..grid.points {
        let t = c.torque_nm[i];
        if !t.is_finite() {
            continue;
        }
        if let Ok(corrected) = corrected_torque_nm(applied, &air, t, friction) {
            before += t;
            after += corrected;
            c.u_nm[i] *= corrected / t;
            c.torque_nm[i] = corrected;
        }
    }
    let factor = if before > 0.0 { after / before } else { 1.0 };
    c.noise_nm *= factor;
    c.end_slope = c.end_slope.map(|(s, u)| (s * factor, u * factor));
    (c, factor)
}

/// Mean of the pulls' weathers; origins and doubts of the first, doubts joined.
fn mean_weather(all: &[&Weather]) -> Weather {
    let mean = |f: fn(&Weather) -> Option<f64>| {
        let v: Vec<f64> = all.iter().filter_map(|w| f(w)).collect();
        mean_of(&v)
    };
    let mut doubts: Vec<String> = all.iter().flat_map(|w| w.doubts.iter().cloned()).collect();
    doubts.sort();
    // Pulls of one run differ in a digit; one sentence of a kind is enough.
    doubts.dedup_by(|a, b| a.get(..20) == b.get(..20));
    Weather {
        barometer_pa: mean(|w| w.barometer_pa),
        air_temperature_k: mean(|w| w.air_temperature_k),
        vapour_pressure_pa: mean(|w| w.vapour_pressure_pa),
        humidity: mean(|w| w.humidity),
        dry_pressure_pa: mean(|w| w.dry_pressure_pa),
        origins: all.first().map(|w| w.origins.clone()).unwrap_or_default(),
        doubts,
    }
}

/// Lags by role: stated in the set-up, found by laying sweeps over each other, or from the cell file.
fn settle_lags(
    ready: &[Ready<'_>],
    cuts: &[(usize, Cut)],
    cell: &CellFile,
    setup: &Setup,
) -> (BTreeMap<Role, f64>, Vec<LagUse>) {
    let mut lags: BTreeMap<Role, (f64, &str)> = BTreeMap::new();
    for note in cell.channels.values() {
        if let (Some(role), Some(lag)) = (note.role, note.lag_s) {
            lags.insert(role, (lag, "stated"));
        }
    }
    if setup.find_lags {
        for (i, r) in ready.iter().enumerate() {
            let pair = cuts.iter().zip(cuts.iter().skip(1)).find(|((la, a), (lb, b))| {
                *la == i && *lb == i && a.kind == PullKind::SweepUp && b.kind == PullKind::SweepDown
            });
            let Some(((_, up), (_, down))) = pair else { continue };
            for c in &r.table.channels {
                let Some(role) = c.role.filter(|r| *r != Role::Time && *r != Role::Speed) else { continue };
                let rows = ((up.from_row, up.to_row), (down.from_row, down.to_row));
                if let Some(lag) = brake::lag::find(&r.table.time_s, &r.rpm, &c.si, rows.0, rows.1) {
                    lags.insert(role, (lag, "found"));
                }
            }
        }
    }
    for (key, lag) in &setup.lags_s {
        if let Some(role) = Role::from_key(key) {
            lags.insert(role, (*lag, "stated"));
        }
    }
    let uses = lags
        .iter()
        .map(|(role, (lag_s, how))| LagUse { role: role.key(), lag_s: *lag_s, how: (*how).to_owned() })
        .collect();
    (lags.into_iter().map(|(r, (l, _))| (r, l)).collect(), uses)
}

/// Plain sentences about how the run was read.
fn remarks(pulls: &[PullResult], w: &Weather, ready: &[Ready<'_>], cell: &CellFile) -> Vec<String> {
    let mut out = Vec::new();
    out.extend(w.doubts.iter().cloned());
    if ready.iter().any(|r| r.source == TorqueSource::PowerOverSpeed) {
        out.push("The log has no torque: it was worked out from brake power and speed.".to_owned());
    }
    if ready.iter().any(|r| r.source == TorqueSource::ForceTimesArm)
        && let Some(arm) = &cell.arm
    {
        out.push(format!("Torque is load-cell force times an arm of {}.", arm.text));
    }
    let used: Vec<&PullResult> = pulls.iter().filter(|p| p.left_out.is_none()).collect();
    if used.is_empty() {
        out.push("Every pull is left out: there is no curve.".to_owned());
    }
    let rates: Vec<f64> = used.iter().map(|p| p.rate_rpm_s).filter(|r| *r > 0.0).collect();
    let (lo, hi) = rates.iter().fold((f64::INFINITY, 0.0f64), |(a, b), r| (a.min(*r), b.max(*r)));
    if hi > 1.2 * lo {
        out.push(format!("The pulls were run at different rates, {lo:.0} to {hi:.0} rpm/s."));
    }
    if used.iter().any(|p| matches!(p.kind, PullKind::StepTest)) {
        out.push("Held points are averaged and joined by straight lines; between them nothing was run.".to_owned());
    }
    out
}

fn facts(log: &Log) -> LogFacts {
    LogFacts {
        name: log.name.clone(),
        dialect: log.dialect.clone(),
        rows_found: log.rows_found,
        rows_kept: log.rows_kept,
        channels: log
            .groups
            .iter()
            .flat_map(|g| g.channels.iter())
            .map(|c| (c.name.clone(), c.unit_text.clone(), c.role.map(|r| r.key())))
            .collect(),
        duration_s: log.groups.iter().filter_map(|g| Some(g.time_s.last()? - g.time_s.first()?)).fold(0.0, f64::max),
    }
}

#[cfg(test)]
mod tests;
