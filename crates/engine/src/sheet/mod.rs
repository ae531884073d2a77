//! The sheet: every figure that a build gives by arithmetic, and what it hangs on.
//!
//! A figure that cannot be worked out is listed with the reason and the missing inputs; it never stands
//! there as zero. Every assumption that a figure needed is listed. Keys end in their SI unit
//! (`_m`, `_m3`, `_gauge_pa`, `_deg` crank degrees, `_cam_deg` cam degrees, `_share`; none for plain numbers).
//!
//! Figures and readings are held against the limits for the use, with where each limit comes from.
//!
//! Left out: how the engine runs.

mod air;
mod bottom;
mod cam;
mod cylinders;
mod fuel;
mod limits;
pub mod pictures;
mod ports;
mod text;
mod unused;
mod valves;

pub use limits::{LimitLine, use_of};
pub use text::{figure_text, sheet_text};

use crate::build::{Build, Facts, Lack, UsedAssumption};
use crate::limits::{Layers, shipped};
use quantity::Dimension;
use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

/// Every figure of a build.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheet {
    /// Name of the engine, as the build states it.
    pub engine: String,
    /// Groups of figures; in JSON an object by their keys.
    #[serde(serialize_with = "by_key")]
    pub sections: Vec<SheetSection>,
    /// Figures and readings against the limits for the use.
    pub limits: Vec<LimitLine>,
    /// What was assumed for want of a statement.
    pub assumptions: Vec<AssumptionLine>,
    /// What could not be worked out, and why.
    pub not_worked_out: Vec<NotWorkedOut>,
    /// Facts that do not fit each other without excluding each other.
    pub notices: Vec<String>,
}

/// A group of figures.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetSection {
    /// Key: "compression".
    pub key: &'static str,
    /// Title for print.
    pub title: &'static str,
    /// The figures.
    pub figures: Vec<Figure>,
}

/// One figure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// Key with its unit: "quench_m".
    #[serde(skip)]
    pub key: String,
    /// What a person reads.
    pub label: String,
    /// The value in the unit of the key.
    pub value: f64,
    /// Standard uncertainty (k = 1); `None` where it is not known or the figure is an edge of a band.
    pub u: Option<f64>,
    /// Inputs it hangs on, the largest share of the variance first.
    pub hangs_on: Vec<HangsOn>,
    /// What belongs to the figure: a check lift, a speed, a caution.
    pub note: Option<String>,
}

/// An input behind a figure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HangsOn {
    /// Key of the build file, or of the table of assumptions.
    pub key: String,
    /// Its share of the variance, 0 … 1; `None` where that is not known.
    pub share: Option<f64>,
}

/// An assumption, as listed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AssumptionLine {
    /// Key it stands in for.
    pub key: String,
    /// Value and spread (95 %).
    pub text: String,
    /// Why.
    pub why: String,
    /// Tag of the source: C common practice without source, M from memory, D definition.
    pub source: String,
}

/// A figure that is not there.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NotWorkedOut {
    /// Key of the figure.
    pub key: String,
    /// What a person reads.
    pub label: String,
    /// Keys of the build file to state; empty when something else is in the way.
    pub missing: Vec<String>,
    /// Why.
    pub why: String,
}

impl Sheet {
    /// A figure by its key.
    pub fn figure(&self, key: &str) -> Option<&Figure> {
        self.sections.iter().flat_map(|s| &s.figures).find(|f| f.key == key)
    }
}

fn by_key<S: Serializer>(sections: &[SheetSection], serializer: S) -> Result<S::Ok, S::Error> {
    struct Figures<'a>(&'a [Figure]);
    impl Serialize for Figures<'_> {
        fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
            let mut map = serializer.serialize_map(Some(self.0.len()))?;
            for figure in self.0 {
                map.serialize_entry(&figure.key, figure)?;
            }
            map.end()
        }
    }
    let mut map = serializer.serialize_map(Some(sections.len()))?;
    for section in sections {
        map.serialize_entry(section.key, &Figures(&section.figures))?;
    }
    map.end()
}

/// The sheet with the limits that are shipped.
pub fn sheet(build: &Build) -> Sheet {
    sheet_with(build, &Layers::over(shipped()))
}

/// Works out everything that a build gives, and holds it against the limits given. It does not check the build ([`crate::build::check()`] does, and
/// reading a file does): a figure whose inputs clash is listed as not worked out.
pub fn sheet_with(build: &Build, layers: &Layers<'_>) -> Sheet {
    let facts = Facts::new(build);
    let mut work = Work { facts: &facts, sections: Vec::new(), lacks: Vec::new(), notices: Vec::new() };
    bottom::size(&mut work);
    bottom::compression(&mut work);
    bottom::target(&mut work);
    cylinders::cylinders(&mut work);
    bottom::motion(&mut work);
    bottom::masses(&mut work);
    cam::timing(&mut work);
    valves::lift(&mut work);
    valves::clearance(&mut work);
    valves::springs(&mut work);
    ports::ports(&mut work);
    air::blower(&mut work);
    air::turbo(&mut work);
    fuel::fuel(&mut work);
    fuel::lengths(&mut work);
    limits::readings(&mut work);
    let limits = match limits::Asked::of(build, layers) {
        Ok(asked) => {
            limits::wanted(&mut work, &asked);
            limits::verdicts(&mut work, &asked)
        }
        Err(why) => {
            work.notices.push(why);
            Vec::new()
        }
    };
    work.notices.extend(unused::notice(&facts));
    let Work { sections, lacks, notices, .. } = work;
    let line =
        |used: UsedAssumption| AssumptionLine { key: used.key, text: used.text, why: used.why, source: used.source };
    Sheet {
        engine: build.engine.name.clone().unwrap_or_else(|| "engine without a name".to_owned()),
        sections: sections.into_iter().filter(|s| !s.figures.is_empty()).collect(),
        limits,
        assumptions: facts.assumptions().into_iter().map(line).collect(),
        not_worked_out: lacks,
        notices,
    }
}

/// Figures on their way onto the sheet.
struct Work<'a> {
    facts: &'a Facts<'a>,
    sections: Vec<SheetSection>,
    lacks: Vec<NotWorkedOut>,
    notices: Vec<String>,
}

type Of = Result<f64, Lack>;

impl Work<'_> {
    fn section(&mut self, key: &'static str, title: &'static str) {
        self.sections.push(SheetSection { key, title, figures: Vec::new() });
    }

    /// A figure by its function; what is missing is listed.
    fn add(&mut self, key: &str, label: &str, of: impl Fn(&Facts<'_>) -> Of) -> Option<f64> {
        self.add_with(key, label, None, of)
    }

    fn add_with(&mut self, key: &str, label: &str, note: Option<String>, of: impl Fn(&Facts<'_>) -> Of) -> Option<f64> {
        match self.facts.figure(of) {
            Ok(found) => {
                let number = |x: f64| x.is_finite().then_some(x);
                // Nothing but tables behind it: their scatter is not carried through.
                let known = !found.hangs_on.is_empty();
                let notes: Vec<String> = note.into_iter().chain(found.note).collect();
                self.put(Figure {
                    key: key.to_owned(),
                    label: label.to_owned(),
                    value: found.estimate.value,
                    u: number(found.estimate.u).filter(|_| known),
                    hangs_on: found.hangs_on.into_iter().map(|(key, s)| HangsOn { key, share: number(s) }).collect(),
                    note: (!notes.is_empty()).then(|| notes.join("; ")),
                });
                Some(found.estimate.value)
            }
            Err(lack) => {
                self.lack(key, label, &lack);
                None
            }
        }
    }

    /// Adds what the readings of a lobe table make of a figure's uncertainty.
    fn doubt(&mut self, key: &str, u: f64, table: String) {
        let figure = self.sections.iter_mut().flat_map(|s| &mut s.figures).find(|f| f.key == key);
        if let Some(figure) = figure {
            figure.u = Some(figure.u.unwrap_or(0.0).hypot(u));
            for behind in &mut figure.hangs_on {
                behind.share = None;
            }
            figure.hangs_on.insert(0, HangsOn { key: table, share: None });
        }
    }

    /// An edge of a band: no uncertainty of its own.
    fn edge(&mut self, key: &str, label: &str, note: &str, value: f64, hangs_on: &[String]) {
        self.put(Figure {
            key: key.to_owned(),
            label: label.to_owned(),
            value,
            u: None,
            hangs_on: hangs_on.iter().map(|key| HangsOn { key: key.clone(), share: None }).collect(),
            note: Some(note.to_owned()),
        });
    }

    fn put(&mut self, figure: Figure) {
        if let Some(section) = self.sections.last_mut() {
            section.figures.push(figure);
        }
    }

    fn lack(&mut self, key: &str, label: &str, lack: &Lack) {
        let missing = match lack {
            Lack::Missing { keys } => keys.clone(),
            Lack::Refused(_) => Vec::new(),
        };
        self.lacks.push(NotWorkedOut { key: key.to_owned(), label: label.to_owned(), missing, why: lack.to_string() });
    }
}

/// What the unit at the end of a key measures: the unit as print shows it comes from the unit system.
pub fn dimension_of(key: &str) -> Dimension {
    const ENDS: [(&str, Dimension); 19] = [
        ("_m3_s", Dimension::VolumeFlow),
        ("_kg_m3", Dimension::Density),
        ("_m_s2", Dimension::Acceleration),
        ("_kg_s", Dimension::MassFlow),
        ("_j_kg", Dimension::SpecificEnergy),
        ("_m_s", Dimension::Velocity),
        ("_n_m", Dimension::SpringRate),
        ("_m3", Dimension::Volume),
        ("_m2", Dimension::Area),
        ("_m", Dimension::Length),
        ("_kg", Dimension::Mass),
        ("_n", Dimension::Force),
        ("_pa", Dimension::Pressure),
        ("_w", Dimension::Power),
        ("_k", Dimension::Temperature),
        ("_rpm", Dimension::RotationalSpeed),
        ("_deg", Dimension::Angle),
        ("_hz", Dimension::Frequency),
        ("_share", Dimension::Fraction),
    ];
    ENDS.iter().find(|(end, _)| key.ends_with(end)).map_or(Dimension::Count, |(_, dimension)| *dimension)
}
