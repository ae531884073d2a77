//! What a template says.

use quantity::Dimension;
use std::collections::BTreeMap;

/// A measuring sheet before anybody has measured: places, worked-out rows, limits, hints.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// Its key: "bores".
    pub key: String,
    /// What a person reads: "Cylinder bores".
    pub title: String,
    /// What it is for, in a sentence.
    pub about: String,
    /// How it is measured, one step each.
    pub how: Vec<String>,
    /// Kind of most readings.
    pub kind: Dimension,
    /// Units to choose from for that kind, the usual one first. Lists of rows run beside it: whoever chooses the
    /// second here gets the second there.
    pub units: Vec<String>,
    /// Kind of instrument that is expected: "bore gauge".
    pub instrument: String,
    /// What the part is made of, for temperature.
    pub part: Option<PartSpec>,
    /// What is counted before the sheet begins.
    pub counts: Vec<CountSpec>,
    /// Values that the sheet needs and does not read.
    pub given: Vec<GivenSpec>,
    /// Sets of columns, in order.
    pub columns: Vec<ColumnSet>,
    /// Kinds of rows, by key.
    pub rows: Vec<RowSpec>,
    /// Groups of rows, in order.
    pub groups: Vec<Group>,
    /// Worked-out rows, in order; a later one may use an earlier one.
    pub derived: Vec<DerivedSpec>,
    /// What to say about a place or worked-out row.
    pub hints: Vec<Hint>,
    /// The picture of the shape, where there is one.
    pub shape: Option<ShapeSpec>,
    /// What goes into the build.
    pub build: Vec<BuildSpec>,
    /// The text it was read from.
    pub text: String,
}

/// What the part is made of, and when it is of something else.
#[derive(Debug, Clone, PartialEq)]
pub struct PartSpec {
    /// Material in the table of expansions: "grey iron".
    pub material: String,
    /// The material that the sheet names ("2618 forged") counts where the table knows it.
    pub named: bool,
    /// Material under a condition of the sheet: "aluminium block" → "aluminium".
    pub when: BTreeMap<String, String>,
}

/// Something that is counted.
#[derive(Debug, Clone, PartialEq)]
pub struct CountSpec {
    /// Its key: "cylinders".
    pub key: String,
    /// What a person reads.
    pub name: String,
    /// What is proposed.
    pub usual: u32,
    /// Least.
    pub least: u32,
    /// Most.
    pub most: u32,
    /// Key of the build file that knows it: "block.cylinders".
    pub build: Option<String>,
}

/// A value that the sheet needs and does not read.
#[derive(Debug, Clone, PartialEq)]
pub struct GivenSpec {
    /// Its key: "piston". For one column: "piston/cylinder 3".
    pub key: String,
    /// What a person reads.
    pub name: String,
    /// Kind of quantity.
    pub kind: Dimension,
    /// Units to choose from.
    pub units: Vec<String>,
    /// Whether each column may have its own.
    pub each: bool,
    /// Value that counts where none is given: "0.050 in".
    pub usual: Option<String>,
    /// Key of the build file that knows it.
    pub build: Option<String>,
    /// Another sheet that knows it: template and worked-out row or row, "bores" and "derived.mean".
    pub sheet: Option<(String, String)>,
    /// What is to be known.
    pub note: String,
}

/// A set of columns: cylinders, journals, ports.
#[derive(Debug, Clone, PartialEq)]
pub struct ColumnSet {
    /// Its key: "cylinder". Columns are "cylinder 1", "cylinder 2"; without a count just the key.
    pub key: String,
    /// Head over a column, `{n}` for its number: "Cylinder {n}".
    pub head: String,
    /// The count that says how many.
    pub count: Option<String>,
}

/// A kind of row.
#[derive(Debug, Clone, PartialEq)]
pub struct RowSpec {
    /// Its key: "along", or "lift" for rows that are counted, which are then "lift 1", "lift 2".
    pub key: String,
    /// What a person reads; `{n}` is the number, `{at}` the value at which it is read.
    pub name: String,
    /// Kind of quantity, where it is not the sheet's.
    pub kind: Dimension,
    /// Units to choose from.
    pub units: Vec<String>,
    /// Kind of instrument, where it is not the sheet's.
    pub instrument: String,
    /// The count that says how many.
    pub count: Option<String>,
    /// Given values: first value at which it is read, and step to the next.
    pub at: Option<(String, String)>,
    /// Sets of columns that have it; empty for all.
    pub within: Vec<String>,
    /// Whether it may stay empty: it does not count in what is still to be read.
    pub optional: bool,
    /// Its limit.
    pub limit: Option<LimitSpec>,
    /// Readings to compare one with.
    pub near: Near,
    /// Words for those: "in this bore".
    pub near_words: String,
}

/// Which readings a reading is compared with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Near {
    /// The others of its column.
    Column,
    /// The same row in the other columns of its set.
    Row,
    /// None.
    None,
}

/// A group of rows with a head.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Its key: "bottom"; empty where its rows stand alone.
    pub key: String,
    /// What a person reads: "Bottom".
    pub name: String,
    /// A given value under the name: the height at which it is read.
    pub under: Option<String>,
    /// Keys of its rows.
    pub rows: Vec<String>,
}

/// Where a limit comes from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LimitSpec {
    /// Key of the feature in the limit tables.
    pub feature: Option<String>,
    /// What figures per size are multiplied by: a reference such as "derived.mean".
    pub size: Option<String>,
    /// A given value that is the least allowed on this sheet; counts before the tables.
    pub min: Option<String>,
    /// A given value that is aimed at.
    pub aim: Option<String>,
    /// A given value that is the greatest allowed.
    pub max: Option<String>,
    /// Half of a window about what is aimed at: a given value.
    pub within: Option<String>,
}

/// Over what a worked-out row is worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// One for each column.
    Column,
    /// One for each row.
    Row,
    /// One for the sheet.
    Sheet,
}

/// A worked-out row.
#[derive(Debug, Clone, PartialEq)]
pub struct DerivedSpec {
    /// Its key: "taper".
    pub key: String,
    /// What a person reads.
    pub name: String,
    /// Name of the formula.
    pub formula: String,
    /// Over what.
    pub scope: Scope,
    /// Sets of columns; empty for all.
    pub within: Vec<String>,
    /// What each parameter of the formula is: "*/along", "given.piston", "derived.mean@intake".
    pub from: BTreeMap<String, String>,
    /// Kind of the result.
    pub kind: Dimension,
    /// Units to choose from.
    pub units: Vec<String>,
    /// Its limit.
    pub limit: Option<LimitSpec>,
    /// Whether it is worked out only to be used by others.
    pub hidden: bool,
    /// A remark under the name: "diametral, cold".
    pub note: String,
}

/// When a hint is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HintWhen {
    /// Outside, over.
    Over,
    /// Outside, under.
    Under,
    /// Outside on either side.
    Out,
    /// The verdict cannot be told.
    CannotTell,
}

/// What to say about a place or worked-out row.
#[derive(Debug, Clone, PartialEq)]
pub struct Hint {
    /// Key of a row or of a worked-out row; "*" for every row.
    pub on: String,
    /// When.
    pub when: HintWhen,
    /// The likely slip, said only where the reading stands apart from its neighbours.
    pub slip: String,
    /// The next step if it stands.
    pub next: String,
}

/// The picture of the shape of a column: one line for each of these rows, a point for each group.
#[derive(Debug, Clone, PartialEq)]
pub struct ShapeSpec {
    /// Rows that become lines: "across", "along".
    pub lines: Vec<String>,
}

/// How a result is written into the build.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BuildForm {
    /// One value of the whole sheet, or of a named column.
    One,
    /// A list, one for each column.
    Each,
    /// Values of the rows of one column, in one text: "78 152 211 cfm".
    Rows,
    /// Values at which those rows were read.
    At,
    /// An angle with its check lift: "224 deg @ 0.050 in".
    Checked,
    /// A table for each port: lifts, flows, test pressure.
    Ports,
}

/// What goes into the build.
#[derive(Debug, Clone, PartialEq)]
pub struct BuildSpec {
    /// Key of the build file: "block.bore".
    pub key: String,
    /// What is written: a reference such as "derived.mean".
    pub value: String,
    /// How.
    pub form: BuildForm,
    /// Unit to write it in, where it is not the sheet's.
    pub unit: Option<String>,
    /// Sets of columns; empty for all.
    pub within: Vec<String>,
    /// Given value that is the check lift of [`BuildForm::Checked`].
    pub check: Option<String>,
    /// Given values that go into each table of [`BuildForm::Ports`]: field and given key.
    pub with: BTreeMap<String, String>,
}

impl Template {
    /// The kind of row of a key.
    pub fn row(&self, key: &str) -> Option<&RowSpec> {
        self.rows.iter().find(|row| row.key == key)
    }

    /// The given value of a key.
    pub fn given(&self, key: &str) -> Option<&GivenSpec> {
        self.given.iter().find(|given| given.key == key)
    }

    /// The worked-out row of a key.
    pub fn derived(&self, key: &str) -> Option<&DerivedSpec> {
        self.derived.iter().find(|derived| derived.key == key)
    }

    /// The set of columns of a key.
    pub fn column_set(&self, key: &str) -> Option<&ColumnSet> {
        self.columns.iter().find(|set| set.key == key)
    }

    /// The counts as proposed.
    pub fn usual_counts(&self) -> BTreeMap<String, u32> {
        self.counts.iter().map(|count| (count.key.clone(), count.usual)).collect()
    }

    /// The unit of one list that goes with the unit chosen for the sheet.
    pub(crate) fn unit_beside<'a>(&self, chosen: &str, units: &'a [String]) -> &'a str {
        let at = self.units.iter().position(|unit| unit == chosen).unwrap_or(0);
        units.get(at).or(units.last()).map_or("", String::as_str)
    }
}
