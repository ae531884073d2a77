//! A log as the guards see it: raw channels without the values of faulty sensors, and what follows from them.

use super::rules::When;
use super::{PullSpan, num::median};
use crate::log::Table;
use crate::role::Role;
use crate::setup::Setup;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// Above the barometer by more than this an engine counts as boosted, Pa.
const BOOSTED_PA: f64 = 10_000.0;

/// Channels with their values.
pub(super) type Channels<'v> = Vec<(Role, Cow<'v, [f64]>)>;

/// The log, its pulls, and what is known of each row.
pub(super) struct View<'a> {
    pub(super) table: &'a Table,
    pub(super) setup: &'a Setup,
    pub(super) pulls: Vec<PullSpan>,
    pub(super) time: &'a [f64],
    pub(super) rpm: Vec<f64>,
    /// Usual time between rows, s.
    pub(super) step_s: f64,
    /// Index into `pulls` by row.
    pub(super) pull_of: Vec<Option<usize>>,
    faulty: BTreeMap<Role, Vec<bool>>,
    pub(super) barometer: Option<Vec<f64>>,
    /// Absolute pressure in the manifold.
    pub(super) manifold: Option<Vec<f64>>,
    /// The role that manifold pressure came from.
    pub(super) manifold_role: Role,
    /// Manifold pressure above the barometer.
    pub(super) boost: Option<Vec<f64>>,
    throttle: Option<Vec<f64>>,
    /// `None` when it cannot be told.
    pub(super) boosted: Option<bool>,
}

impl<'a> View<'a> {
    pub(super) fn new(table: &'a Table, pulls: &[PullSpan], setup: &'a Setup) -> Option<View<'a>> {
        let rows = table.rows();
        let speed = table.values(Role::Speed)?;
        let rpm = speed.iter().map(|w| w * 30.0 / std::f64::consts::PI).collect();
        let pulls: Vec<PullSpan> = pulls
            .iter()
            .map(|p| PullSpan { from_row: p.from_row.min(rows), to_row: p.to_row.min(rows), ..*p })
            .filter(|p| p.from_row < p.to_row)
            .collect();
        let mut pull_of = vec![None; rows];
        for (i, pull) in pulls.iter().enumerate() {
            pull_of[pull.from_row..pull.to_row].fill(Some(i));
        }
        // A long log gives its usual step from some thousands of its rows.
        let every = rows / 8_192 + 1;
        let steps: Vec<f64> =
            table.time_s.windows(2).step_by(every).map(|w| w[1] - w[0]).filter(|s| *s > 0.0).collect();
        Some(View {
            table,
            setup,
            pulls,
            time: &table.time_s,
            rpm,
            step_s: median(steps).unwrap_or(0.0),
            pull_of,
            faulty: BTreeMap::new(),
            barometer: None,
            manifold: None,
            manifold_role: Role::ManifoldPressure,
            boost: None,
            throttle: None,
            boosted: None,
        })
    }

    /// Marks rows of a channel as not to be believed.
    pub(super) fn distrust(&mut self, role: Role, rows: Vec<bool>) {
        if role == Role::Speed {
            self.rpm.iter_mut().zip(&rows).filter(|(_, bad)| **bad).for_each(|(v, _)| *v = f64::NAN);
        }
        self.faulty.insert(role, rows);
    }

    /// A channel without the values of a faulty sensor.
    pub(super) fn values(&self, role: Role) -> Option<Cow<'_, [f64]>> {
        let mut values = Cow::Borrowed(self.table.values(role)?);
        if let Some(bad) = self.faulty.get(&role) {
            values.to_mut().iter_mut().zip(bad).filter(|(_, bad)| **bad).for_each(|(v, _)| *v = f64::NAN);
        }
        Some(values)
    }

    /// Lambda of each bank, and whether an air–fuel ratio had to be left out for want of the fuel's own.
    pub(super) fn lambdas(&self) -> (Channels<'_>, bool) {
        let stoich = self.setup.fuel_stoich.as_ref().map(|k| k.value).filter(|v| *v > 0.0);
        let mut banks: Channels<'_> = Vec::new();
        let mut left_out = false;
        for role in self.roles(|r| matches!(r, Role::Lambda(_))) {
            banks.extend(self.values(role).map(|v| (role, v)));
        }
        for role in self.roles(|r| matches!(r, Role::AirFuelRatio(_))) {
            let Role::AirFuelRatio(bank) = role else { continue };
            if banks.iter().any(|b| b.0 == Role::Lambda(bank)) {
                continue;
            }
            match stoich {
                Some(stoich) => banks.extend(self.values(role).map(|v| (role, v.iter().map(|a| a / stoich).collect()))),
                None => left_out = true,
            }
        }
        (banks, left_out)
    }

    /// Roles in the log that fit, each once.
    pub(super) fn roles(&self, fits: impl Fn(&Role) -> bool) -> Vec<Role> {
        let mut roles: Vec<Role> = self.table.channels.iter().filter_map(|c| c.role).filter(|r| fits(r)).collect();
        roles.sort_unstable();
        roles.dedup();
        roles
    }

    /// Works out barometer, manifold pressure, boost and load; to be called when sensor faults are known.
    pub(super) fn settle_induction(&mut self) {
        let rows = self.table.rows();
        self.barometer = self
            .values(Role::Barometer)
            .filter(|v| v.iter().any(|x| x.is_finite()))
            .map(|v| held(v.into_owned()))
            .or_else(|| self.setup.barometer_pa.as_ref().map(|known| vec![known.value; rows]));
        let together = |a: &Option<Vec<f64>>, b: &Option<Vec<f64>>, f: fn(f64, f64) -> f64| -> Option<Vec<f64>> {
            Some(a.as_ref()?.iter().zip(b.as_ref()?).map(|(a, b)| f(*a, *b)).collect())
        };
        let logged_boost = self.values(Role::Boost).map(Cow::into_owned);
        self.manifold = self.values(Role::ManifoldPressure).map(Cow::into_owned);
        if self.manifold.is_none() && logged_boost.is_some() {
            self.manifold = together(&logged_boost, &self.barometer, |boost, air| boost + air);
            self.manifold_role = Role::Boost;
        }
        self.boost = logged_boost.or_else(|| together(&self.manifold, &self.barometer, |p, air| p - air));
        self.throttle = self.values(Role::Throttle).map(Cow::into_owned);
        let in_pulls = |values: &Vec<f64>, limit: f64| {
            let judged = || values.iter().zip(&self.pull_of).filter(|(v, pull)| pull.is_some() && v.is_finite());
            let above = judged().filter(|(v, _)| **v > limit).count();
            above * 20 > judged().count()
        };
        self.boosted = match (&self.boost, &self.manifold) {
            (Some(boost), _) => Some(in_pulls(boost, BOOSTED_PA)),
            // Without a barometer: no place where engines are run has more air than this.
            (None, Some(manifold)) => Some(in_pulls(manifold, 105_000.0 + BOOSTED_PA)),
            (None, None) => self.setup.blower_ratio.is_some().then_some(true),
        };
    }

    /// Load of a row: manifold pressure over barometer, else throttle, else full within a pull.
    pub(super) fn load(&self, row: usize) -> f64 {
        if let (Some(manifold), Some(air)) = (&self.manifold, &self.barometer)
            && (manifold[row] / air[row]).is_finite()
        {
            return manifold[row] / air[row];
        }
        match &self.throttle {
            Some(throttle) if throttle[row].is_finite() => throttle[row],
            _ if self.pull_of[row].is_some() => 1.0,
            _ => f64::NAN,
        }
    }

    /// Whether the throttle is open beyond a fraction; a pull without a throttle channel counts as full throttle.
    pub(super) fn throttle_above(&self, row: usize, fraction: f64) -> bool {
        match &self.throttle {
            Some(throttle) if throttle[row].is_finite() => throttle[row] > fraction,
            _ => self.pull_of[row].is_some(),
        }
    }

    /// Whether a throttle channel can be used.
    pub(super) fn has_throttle(&self) -> bool {
        self.throttle.is_some()
    }

    /// Whether a condition holds in a row.
    pub(super) fn holds(&self, when: When, row: usize) -> bool {
        match when {
            When::InPull => self.pull_of[row].is_some(),
            When::LoadAbove(share) => self.load(row) > share,
            When::SpeedAbove(rad_s) => self.rpm[row] > rad_s * 30.0 / std::f64::consts::PI,
            When::ThrottleAbove(share) => self.throttle_above(row, share),
            When::Boosted => self.boosted == Some(true),
            When::NotBoosted => self.boosted != Some(true),
        }
    }

    /// Time since the pull of this row began, s; endless outside pulls.
    pub(super) fn since_pull_start_s(&self, row: usize) -> f64 {
        self.pull_of[row].map_or(f64::INFINITY, |p| self.time[row] - self.time[self.pulls[p].from_row])
    }

    /// The first tenth of a pull, at least five rows.
    pub(super) fn start_rows(&self, pull: &PullSpan) -> std::ops::Range<usize> {
        let rows = ((pull.to_row - pull.from_row) / 10).max(5);
        pull.from_row..(pull.from_row + rows).min(pull.to_row)
    }
}

/// Gaps filled with the last value before them; a barometer changes slowly.
fn held(mut values: Vec<f64>) -> Vec<f64> {
    let mut last = values.iter().copied().find(|v| v.is_finite()).unwrap_or(f64::NAN);
    for v in &mut values {
        if v.is_finite() {
            last = *v;
        } else {
            *v = last;
        }
    }
    values
}
