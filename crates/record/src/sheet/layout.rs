//! A template laid out for the counts of one engine.

use super::template::{RowSpec, Scope, Template};
use crate::{SheetBegun, Stated};
use quantity::Dimension;
use std::collections::BTreeMap;

/// Places of a sheet: ordered rows by ordered columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Columns, in order.
    pub columns: Vec<Column>,
    /// Rows to read, in order.
    pub rows: Vec<Row>,
    /// Worked-out rows, in order, without the hidden ones.
    pub derived: Vec<DerivedRow>,
}

/// A column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its key, the first part of its places: "cylinder 3".
    pub key: String,
    /// Head over it: "Cylinder 3".
    pub head: String,
    /// Key of its set: "cylinder".
    pub set: String,
    /// Its number in the set, from 1.
    pub number: u32,
}

/// A row to read.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Key of its group; empty where it stands alone.
    pub group: String,
    /// Name of its group: "Bottom"; empty where it stands alone.
    pub group_name: String,
    /// What stands under the name of the group: "105 mm".
    pub group_under: String,
    /// Key of its kind: "along", "lift".
    pub spec: String,
    /// Its own key: "along", "lift 3".
    pub key: String,
    /// What a person reads: "along", "0.300 in".
    pub name: String,
    /// Kind of quantity.
    pub kind: Dimension,
    /// Unit in which bare numbers are typed here.
    pub unit: String,
    /// Units to choose from.
    pub units: Vec<String>,
    /// Kind of instrument expected.
    pub instrument: String,
    /// The value at which it is read, SI: a lift, an angle, a height.
    pub at_si: Option<f64>,
    /// Whether it may stay empty.
    pub optional: bool,
    /// Key of the limit feature that judges it, if the tables do.
    pub feature: Option<String>,
    /// Place in each column; none where the column does not have this row.
    pub places: Vec<Option<String>>,
}

/// A worked-out row.
#[derive(Debug, Clone, PartialEq)]
pub struct DerivedRow {
    /// Its key: "taper".
    pub key: String,
    /// What a person reads: "Taper".
    pub name: String,
    /// A remark under it.
    pub note: String,
    /// Over what it is worked out.
    pub scope: Scope,
    /// Kind of quantity.
    pub kind: Dimension,
    /// Unit it is shown in.
    pub unit: String,
    /// Key of the limit feature that judges it, if the tables do.
    pub feature: Option<String>,
    /// Place in each column for [`Scope::Column`], in each row for [`Scope::Row`], one for [`Scope::Sheet`].
    pub places: Vec<Option<String>>,
}

/// Why a template cannot be laid out.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum LayoutError {
    /// A count is not given.
    #[error("how many {name} are there: the sheet \"{sheet}\" needs the count `{key}`, {least} to {most}")]
    CountMissing {
        /// Title of the sheet.
        sheet: String,
        /// Key of the count.
        key: String,
        /// Its name.
        name: String,
        /// Least.
        least: u32,
        /// Most.
        most: u32,
    },
    /// A count cannot be.
    #[error("{found} {name}: the sheet \"{sheet}\" takes {least} to {most}")]
    CountNotPossible {
        /// Title of the sheet.
        sheet: String,
        /// Its name.
        name: String,
        /// What was given.
        found: u32,
        /// Least.
        least: u32,
        /// Most.
        most: u32,
    },
}

impl Layout {
    /// Every place to read, row by row.
    pub fn places(&self) -> impl Iterator<Item = (&Row, &Column, &str)> {
        self.rows.iter().flat_map(move |row| {
            row.places
                .iter()
                .zip(&self.columns)
                .filter_map(move |(place, column)| Some((row, column, place.as_deref()?)))
        })
    }

    /// Row and column of a place.
    pub fn find(&self, place: &str) -> Option<(&Row, &Column)> {
        self.places().find(|(_, _, key)| *key == place).map(|(row, column, _)| (row, column))
    }

    /// What a person calls a place: "Cylinder 3, bottom, along".
    pub fn words(&self, place: &str) -> Option<String> {
        if let Some((row, column)) = self.find(place) {
            let mut said = column.head.clone();
            for part in [&row.group_name, &row.name] {
                if !part.is_empty() {
                    said.push_str(", ");
                    said.push_str(&lower_first(part));
                }
            }
            return Some(said);
        }
        self.derived.iter().find_map(|row| {
            let at = row.places.iter().position(|p| p.as_deref() == Some(place))?;
            let of = match row.scope {
                Scope::Column => self.columns.get(at).map(|column| column.head.clone()),
                Scope::Row => self.rows.get(at).map(|row| row.name.clone()),
                Scope::Sheet => None,
            };
            Some(match of {
                Some(of) => format!("{of}, {}", lower_first(&row.name)),
                None => row.name.clone(),
            })
        })
    }
}

/// "Bottom" → "bottom"; "LSA" stays.
fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    match (chars.next(), chars.next()) {
        (Some(first), Some(second)) if first.is_uppercase() && second.is_lowercase() => {
            let rest = &text[first.len_utf8()..];
            first.to_lowercase().chain(rest.chars()).collect()
        }
        _ => text.to_owned(),
    }
}

impl Template {
    /// Lays the sheet out for counts, with the usual values given and the usual unit.
    ///
    /// # Errors
    /// [`LayoutError`] for a count that is missing or cannot be.
    pub fn layout(&self, counts: &BTreeMap<String, u32>) -> Result<Layout, LayoutError> {
        let unit = self.units.first().cloned().unwrap_or_default();
        self.lay_out(counts, &BTreeMap::new(), &unit)
    }

    /// Lays out a sheet that was begun.
    ///
    /// # Errors
    /// As [`Template::layout`].
    pub fn layout_of(&self, begun: &SheetBegun) -> Result<Layout, LayoutError> {
        self.lay_out(&begun.counts, &begun.given, &begun.unit)
    }

    /// A given value: what the sheet was given, for the column or for all, or else what is usual.
    pub(crate) fn given_value(
        &self,
        given: &BTreeMap<String, Stated>,
        key: &str,
        column: Option<&str>,
    ) -> Option<Stated> {
        let own = column.and_then(|column| given.get(&format!("{key}/{column}")));
        if let Some(stated) = own.or_else(|| given.get(key)) {
            return Some(stated.clone());
        }
        let spec = self.given(key)?;
        Stated::read(spec.usual.as_ref()?, spec.kind, spec.units.first().map(String::as_str)).ok()
    }

    fn lay_out(
        &self,
        counts: &BTreeMap<String, u32>,
        given: &BTreeMap<String, Stated>,
        unit: &str,
    ) -> Result<Layout, LayoutError> {
        let how_many = |key: &Option<String>| match key {
            None => Ok(1),
            Some(key) => self.count(counts, key),
        };
        let mut columns = Vec::new();
        for set in &self.columns {
            for number in 1..=how_many(&set.count)? {
                let key = match set.count {
                    Some(_) => format!("{} {number}", set.key),
                    None => set.key.clone(),
                };
                let head = set.head.replace("{n}", &number.to_string());
                columns.push(Column { key, head, set: set.key.clone(), number });
            }
        }
        let mut rows = Vec::new();
        for group in &self.groups {
            let said = group.under.as_ref().and_then(|key| self.given_value(given, key, None));
            let group_under = said.map_or(String::new(), |stated| stated.text);
            for spec in group.rows.iter().filter_map(|key| self.row(key)) {
                for number in 1..=how_many(&spec.count)? {
                    let at_si = spec.at.as_ref().and_then(|(from, step)| {
                        let from = self.given_value(given, from, None)?;
                        Some(from.si + f64::from(number - 1) * self.given_value(given, step, None)?.si)
                    });
                    let key = match spec.count {
                        Some(_) => format!("{} {number}", spec.key),
                        None => spec.key.clone(),
                    };
                    let places = columns
                        .iter()
                        .map(|column| {
                            let here = spec.within.is_empty() || spec.within.contains(&column.set);
                            here.then(|| match group.key.is_empty() {
                                true => format!("{}/{key}", column.key),
                                false => format!("{}/{}/{key}", column.key, group.key),
                            })
                        })
                        .collect();
                    let at = at_si.map_or(String::new(), |si| self.said_at(spec, si, given, unit));
                    rows.push(Row {
                        group: group.key.clone(),
                        group_name: group.name.clone(),
                        group_under: group_under.clone(),
                        spec: spec.key.clone(),
                        key,
                        name: spec.name.replace("{n}", &number.to_string()).replace("{at}", &at),
                        kind: spec.kind,
                        unit: self.unit_beside(unit, &spec.units).to_owned(),
                        units: spec.units.clone(),
                        instrument: spec.instrument.clone(),
                        at_si,
                        optional: spec.optional,
                        feature: spec.limit.as_ref().and_then(|limit| limit.feature.clone()),
                        places,
                    });
                }
            }
        }
        let derived = self.derived.iter().filter(|d| !d.hidden).map(|d| {
            let places = match d.scope {
                Scope::Column => columns
                    .iter()
                    .map(|c| (d.within.is_empty() || d.within.contains(&c.set)).then(|| format!("{}/{}", c.key, d.key)))
                    .collect(),
                Scope::Row => rows.iter().map(|row| Some(format!("{}/{}", row_key(row), d.key))).collect(),
                Scope::Sheet => vec![Some(d.key.clone())],
            };
            DerivedRow {
                key: d.key.clone(),
                name: d.name.clone(),
                note: d.note.clone(),
                scope: d.scope,
                kind: d.kind,
                unit: self.unit_beside(unit, &d.units).to_owned(),
                feature: d.limit.as_ref().and_then(|limit| limit.feature.clone()),
                places,
            }
        });
        let derived = derived.collect();
        Ok(Layout { columns, rows, derived })
    }

    fn count(&self, counts: &BTreeMap<String, u32>, key: &str) -> Result<u32, LayoutError> {
        // A template that was read has every count that it uses.
        let Some(spec) = self.counts.iter().find(|count| count.key == key) else { return Ok(0) };
        let (least, most, name, sheet) = (spec.least, spec.most, spec.name.clone(), self.title.clone());
        match counts.get(key) {
            None => Err(LayoutError::CountMissing { sheet, key: key.to_owned(), name, least, most }),
            Some(found) if !(least..=most).contains(found) => {
                Err(LayoutError::CountNotPossible { sheet, name, found: *found, least, most })
            }
            Some(found) => Ok(*found),
        }
    }

    /// "0.300 in": in the unit of the first value, as it was given.
    fn said_at(&self, spec: &RowSpec, si: f64, given: &BTreeMap<String, Stated>, unit: &str) -> String {
        let Some((from, step)) = &spec.at else { return String::new() };
        let Some(of) = self.given(from) else { return String::new() };
        let [first, step] = [from, step].map(|key| self.given_value(given, key, None));
        let digits = [&first, &step].map(|stated| stated.as_ref().map_or(0.0, |s| s.step_si));
        let own = first.as_ref().and_then(super::number::stated_unit);
        let unit = own.unwrap_or_else(|| self.unit_beside(unit, &of.units));
        super::number::with_unit(si, digits[0].min(digits[1]), of.kind, unit)
    }
}

/// Key of a row within a column: "bottom/along", "lift 3".
pub(crate) fn row_key(row: &Row) -> String {
    if row.group.is_empty() { row.key.clone() } else { format!("{}/{}", row.group, row.key) }
}
