//! Measuring sheets: places to read, rows worked out from them, verdicts, and what goes into the build.
//!
//! A sheet is a template ([`Template`], a TOML text) laid out for the counts of one engine ([`Layout`]):
//! columns (cylinders, journals, ports) by rows (heights and axes, lifts). Each place has a key such as
//! "cylinder 3/bottom/along". [`evaluate()`] takes the readings and gives every place its value at 20 °C,
//! its uncertainty and its verdict, works out the rows below, and says what to do about a reading that is
//! out. [`into_build()`] hands the results on to the build file with their origin.
//!
//! Formulas are named in templates and are functions here ([`formulas()`]); a template cannot calculate by
//! itself. Templates that come with the program are in [`shipped()`]; a shop writes more as text.
//!
//! Left out: form between the places read. What is said of a slip ("a tipped gauge") is a hint from common
//! practice, not a finding.

mod ask;
mod carry;
mod evaluate;
pub(crate) mod fields;
mod figures;
mod formula;
mod into_build;
mod judge;
mod layout;
mod number;
mod pick;
mod read;
mod read_rest;
mod read_rows;
mod resolve;
mod result;
mod shape;
mod shipped;
mod template;
mod uncertain;
mod write_build;

pub use carry::{Finished, Suggested, suggest_counts, suggest_given};
pub use evaluate::{PlacedReading, evaluate};
pub use formula::{FormulaInfo, Parameter, formulas};
pub use into_build::{BuildValue, PortTable, into_build};
pub use layout::{Column, DerivedRow, Layout, LayoutError, Row};
pub use read::TemplateError;
pub use result::{
    Ask, Cell, CellState, DerivedResult, ExpectedLimits, Judgement, LimitFrom, Neighbours, Progress, Shape, ShapeLine,
    ShapePoint, SheetResult, Taint, UncertaintyPart,
};
pub use shipped::{SHIPPED_FILES, shipped};
pub use template::{
    BuildForm, BuildSpec, ColumnSet, CountSpec, DerivedSpec, GivenSpec, Group, Hint, HintWhen, LimitSpec, Near,
    PartSpec, RowSpec, Scope, ShapeSpec, Template,
};
pub use write_build::{Change, WriteError, Written, write_into_build};
