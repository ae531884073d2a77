//! The inputs of a build on their way into the arithmetic.
//!
//! Model: a figure is a function that asks for its inputs by key. What it asked for is what the figure
//! hangs on; moving each of those inputs by its uncertainty gives the figure's own
//! ([`crate::propagate`]). An input that the build does not state is taken from the table of
//! assumptions, if that has it, and is listed. Left out: correlation between inputs.

use super::{Build, Input};
use crate::assumptions;
use crate::cam::LiftCurve;
use crate::cam::lift_table::TableFit;
use crate::propagate::{Estimate, try_propagate};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// Why a figure is not there.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Lack {
    /// An input is not stated, and there is no assumption for it.
    #[error("not stated: {}", keys.join(", "))]
    Missing {
        /// Keys of the build file.
        keys: Vec<String>,
    },
    /// The arithmetic refuses the inputs, with the reason.
    #[error("{0}")]
    Refused(String),
}

impl Lack {
    pub(crate) fn missing(key: impl Into<String>) -> Self {
        Self::Missing { keys: vec![key.into()] }
    }
}

macro_rules! refused_by {
    ($($error:ty),*) => { $(impl From<$error> for Lack {
        fn from(error: $error) -> Self { Self::Refused(error.to_string()) }
    })* };
}
refused_by!(
    crate::refused::Refused,
    crate::cam::CamError,
    crate::valve_train::ValveTrainError,
    crate::piston_to_valve::PistonToValveError,
    crate::flow_bench::FlowError,
    crate::blower::BlowerError,
    crate::fuel::FuelError,
    crate::tuned_length::LengthError
);

/// An assumption that a figure needed.
#[derive(Debug, Clone, PartialEq)]
pub struct UsedAssumption {
    /// Key of the input it stands in for.
    pub key: String,
    /// Value with spread, in words.
    pub text: String,
    /// Why it was taken.
    pub why: String,
    /// Tag of its source.
    pub source: String,
}

/// A figure with what it hangs on.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Value and standard uncertainty, SI (angles as the function gives them).
    pub estimate: Estimate,
    /// Keys of the inputs it hangs on, with each one's share of the variance, largest share first.
    pub hangs_on: Vec<(String, f64)>,
    /// Why the uncertainty is not known, if it is not; `estimate.u` is then not a number.
    pub note: Option<String>,
}

/// Reads inputs of one build and remembers which.
#[derive(Debug)]
pub struct Facts<'a> {
    build: &'a Build,
    moved: RefCell<BTreeMap<String, f64>>,
    asked: RefCell<Vec<String>>,
    read: RefCell<BTreeSet<String>>,
    used: RefCell<BTreeMap<String, UsedAssumption>>,
    pub(super) curves: RefCell<BTreeMap<Vec<u64>, Result<LiftCurve, Lack>>>,
    pub(super) fits: RefCell<BTreeMap<&'static str, Result<TableFit, Lack>>>,
}

impl<'a> Facts<'a> {
    /// Over a build.
    pub fn new(build: &'a Build) -> Self {
        Self {
            build,
            moved: RefCell::default(),
            asked: RefCell::default(),
            read: RefCell::default(),
            used: RefCell::default(),
            curves: RefCell::default(),
            fits: RefCell::default(),
        }
    }

    /// Over a build with some inputs, stated or assumed, put at other values (SI), as to see what hangs on them.
    pub fn with_moved(build: &'a Build, moved: &[(&str, f64)]) -> Self {
        let facts = Self::new(build);
        facts.moved.borrow_mut().extend(moved.iter().map(|&(key, value)| (key.to_owned(), value)));
        facts
    }

    /// Keys of every input asked for so far, stated or assumed, in the order of asking.
    pub fn asked(&self) -> Vec<String> {
        self.asked.borrow().clone()
    }

    /// The build.
    pub fn build(&self) -> &'a Build {
        self.build
    }

    /// An input as stated or, failing that, as assumed.
    ///
    /// # Errors
    /// [`Lack::Missing`] when it is neither.
    pub fn input(&self, key: &str) -> Result<Input, Lack> {
        if let Some(stated) = self.build.value(key) {
            self.read.borrow_mut().insert(key.to_owned());
            return Ok(stated.clone());
        }
        let assumed = assumptions::find(key).ok_or_else(|| Lack::missing(key))?;
        self.note(key, &assumed.input.text, &assumed.why, &assumed.source);
        Ok(assumed.input.clone())
    }

    /// The SI value of [`Facts::input`], moved while an uncertainty is worked out.
    ///
    /// # Errors
    /// As [`Facts::input`].
    pub fn get(&self, key: &str) -> Result<f64, Lack> {
        let input = self.input(key)?;
        let mut asked = self.asked.borrow_mut();
        if !asked.iter().any(|k| k == key) {
            asked.push(key.to_owned());
        }
        Ok(self.moved.borrow().get(key).copied().unwrap_or(input.si))
    }

    /// The value when the build states it; an assumption does not count.
    pub fn stated(&self, key: &str) -> Option<f64> {
        self.build.value(key)?;
        self.get(key).ok()
    }

    /// Several inputs at once, so that all missing ones are named together.
    ///
    /// # Errors
    /// [`Lack::Missing`] with every key that is missing.
    pub fn all<const N: usize>(&self, keys: [&str; N]) -> Result<[f64; N], Lack> {
        let mut values = [0.0; N];
        let mut missing = Vec::new();
        for (value, key) in values.iter_mut().zip(keys) {
            match self.get(key) {
                Ok(found) => *value = found,
                Err(_) => missing.push(key.to_owned()),
            }
        }
        if missing.is_empty() { Ok(values) } else { Err(Lack::Missing { keys: missing }) }
    }

    /// Whether a stated value was asked for so far, by whatever figure.
    pub fn was_read(&self, key: &str) -> bool {
        self.read.borrow().contains(key)
    }

    /// Cylinders.
    ///
    /// # Errors
    /// [`Lack::Missing`] when not stated.
    pub fn cylinders(&self) -> Result<u32, Lack> {
        self.build.block.cylinders.ok_or_else(|| Lack::missing("block.cylinders"))
    }

    /// Adds an assumption that is not in the table, such as the ramp of a card's curve.
    pub(crate) fn note(&self, key: &str, text: &str, why: &str, source: &str) {
        // While inputs are moved, the words would belong to a value that nobody stated.
        if !self.moved.borrow().is_empty() {
            return;
        }
        let entry = UsedAssumption {
            key: key.to_owned(),
            text: text.to_owned(),
            why: why.to_owned(),
            source: source.to_owned(),
        };
        self.used.borrow_mut().insert(format!("{key} {text}"), entry);
    }

    /// Every assumption that was needed so far, by key.
    pub fn assumptions(&self) -> Vec<UsedAssumption> {
        self.used.borrow().values().cloned().collect()
    }

    /// A figure with its uncertainty and what it hangs on.
    ///
    /// # Errors
    /// What the function returns at the values themselves. Where it refuses one uncertainty away from
    /// them, the value is given and [`Found::note`] says why its uncertainty is not known.
    pub fn figure(&self, of: impl Fn(&Self) -> Result<f64, Lack>) -> Result<Found, Lack> {
        self.asked.borrow_mut().clear();
        self.moved.borrow_mut().clear();
        let value = of(self)?;
        if !value.is_finite() {
            return Err(Lack::Refused("the inputs give no finite number".to_owned()));
        }
        let keys = self.asked.borrow().clone();
        let pairs: Vec<(f64, f64)> =
            keys.iter().map(|key| self.input(key).map(|i| (i.si, i.u))).collect::<Result<_, _>>()?;
        let moved = |x: &[f64]| {
            let mut moved = self.moved.borrow_mut();
            for ((key, at), (unmoved, _)) in keys.iter().zip(x).zip(&pairs) {
                if at == unmoved {
                    moved.remove(key);
                } else {
                    moved.insert(key.clone(), *at);
                }
            }
            drop(moved);
            of(self)
        };
        let result = try_propagate(moved, &pairs);
        self.moved.borrow_mut().clear();
        Ok(match result {
            Ok((_, u, shares)) => {
                let mut hangs_on: Vec<(String, f64)> = keys.into_iter().zip(shares).collect();
                hangs_on.sort_by(|a, b| b.1.total_cmp(&a.1));
                Found { estimate: Estimate { value, u }, hangs_on, note: None }
            }
            Err(lack) => Found {
                estimate: Estimate { value, u: f64::NAN },
                hangs_on: keys.into_iter().map(|key| (key, f64::NAN)).collect(),
                note: Some(format!("its uncertainty is not known: one uncertainty away, {lack}")),
            },
        })
    }
}
