//! Formulas that templates name.
//!
//! Each takes readings, given values and earlier figures by the names of its parameters and gives one value
//! with its uncertainty, and words where a number does not say it all. The arithmetic of engines is that of
//! the crate `engine`.

mod basic;
mod form;
mod lobe;
mod ports;
mod space;
mod weights;

use super::uncertain::Uncertain;
use crate::Id;

/// A formula that templates may name.
#[derive(Debug, Clone)]
pub struct FormulaInfo {
    /// Its name.
    pub name: &'static str,
    /// What it gives.
    pub about: &'static str,
    /// What it takes.
    pub parameters: Vec<Parameter>,
    /// With part of the readings it gives a figure that more readings can only make greater (a range, a
    /// greatest one): beyond its limit counts, within does not yet.
    pub grows: bool,
    pub(crate) run: Run,
}

/// A parameter of a formula.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Parameter {
    /// Its name.
    pub name: &'static str,
    /// What it is.
    pub about: &'static str,
    /// Whether it may be left out.
    pub optional: bool,
}

pub(crate) type Run = fn(&Args<'_>) -> Result<Outcome, String>;

/// What a formula gives.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Outcome {
    pub(crate) value: Uncertain,
    pub(crate) words: String,
}

impl Outcome {
    fn plain(value: Uncertain) -> Self {
        Self { value, words: String::new() }
    }
}

/// One value that goes into a formula.
#[derive(Debug, Clone)]
pub(crate) struct Item {
    pub(crate) value: Uncertain,
    /// The value at which it was read, SI.
    pub(crate) at: Option<f64>,
    /// Key and name of its group.
    pub(crate) group: (String, String),
    /// Key and name of its row.
    pub(crate) row: (String, String),
    /// Where its column stands.
    pub(crate) column: usize,
    /// Head of its column.
    pub(crate) head: String,
    /// What is wrong with its reading, if anything.
    pub(crate) taint: Option<String>,
    /// The readings behind it.
    pub(crate) ids: Vec<Id>,
}

/// What a parameter got.
#[derive(Debug, Clone, Default)]
pub(crate) struct Got {
    pub(crate) name: String,
    pub(crate) items: Vec<Item>,
    /// How many there should be.
    pub(crate) needed: usize,
    /// What is missing, in words.
    pub(crate) missing: Vec<String>,
}

/// Everything a formula gets.
pub(crate) struct Args<'a> {
    pub(crate) got: &'a [Got],
    /// Name for a source of uncertainty of the figure's own.
    pub(crate) source: &'a str,
    /// Unit of the sheet, for words about lengths.
    pub(crate) say: &'a dyn Fn(f64) -> String,
}

impl Args<'_> {
    /// All values of a parameter; none where it was left out.
    fn all(&self, name: &str) -> &[Item] {
        self.got.iter().find(|g| g.name == name).map_or(&[], |g| &g.items)
    }

    /// At least one value.
    fn some(&self, name: &str) -> Result<&[Item], String> {
        let items = self.all(name);
        if items.is_empty() { Err(format!("no {}", name.replace('_', " "))) } else { Ok(items) }
    }

    /// Exactly one value.
    fn one(&self, name: &str) -> Result<&Uncertain, String> {
        match self.some(name)? {
            [one] => Ok(&one.value),
            many => Err(format!("{} values for {}, one is expected", many.len(), name.replace('_', " "))),
        }
    }

    /// One value, if it is there.
    fn maybe(&self, name: &str) -> Result<Option<&Uncertain>, String> {
        if self.all(name).is_empty() { Ok(None) } else { self.one(name).map(Some) }
    }
}

fn values(items: &[Item]) -> Vec<&Uncertain> {
    items.iter().map(|i| &i.value).collect()
}

const fn needs(name: &'static str, about: &'static str) -> Parameter {
    Parameter { name, about, optional: false }
}

const fn may(name: &'static str, about: &'static str) -> Parameter {
    Parameter { name, about, optional: true }
}

fn formula(name: &'static str, about: &'static str, parameters: &[Parameter], grows: bool, run: Run) -> FormulaInfo {
    FormulaInfo { name, about, parameters: parameters.to_vec(), grows, run }
}

/// Every formula, for the guide and for checking templates.
pub fn formulas() -> &'static [FormulaInfo] {
    static ALL: std::sync::LazyLock<Vec<FormulaInfo>> = std::sync::LazyLock::new(|| {
        [basic::list(), form::list(), space::list(), lobe::list(), ports::list(), weights::list()].concat()
    });
    &ALL
}

pub(crate) fn find(name: &str) -> Option<&'static FormulaInfo> {
    formulas().iter().find(|f| f.name == name)
}
