//! What references of a template mean at a spot of a sheet.

use super::evaluate::Working;
use super::formula::{Got, Item};
use super::judge::Spot;
use super::layout::{Column, Row, row_key};
use super::pick::{ColumnPick, Reference, Source};
use super::result::CellState;
use super::template::Scope;
use super::uncertain::Uncertain;

impl Working<'_> {
    /// The value of a reference, where it means one.
    pub(super) fn value_of(&self, reference: &str, spot: Spot<'_>, within: &[String]) -> Option<f64> {
        match self.resolve(reference, spot, within).items.as_slice() {
            [one] => Some(one.value.value),
            _ => None,
        }
    }

    /// What a reference of a template means at a spot of the sheet.
    pub(super) fn resolve(&self, text: &str, spot: Spot<'_>, within: &[String]) -> Got {
        let Ok(reference) = Reference::parse(text) else { return Got::default() };
        let layout = self.layout;
        let columns: Vec<&Column> = match (&reference.column, spot.column) {
            (Some(ColumnPick::All(set)), _) => layout.columns.iter().filter(|c| c.set == *set).collect(),
            (Some(ColumnPick::Number(set, n)), _) => {
                layout.columns.iter().filter(|c| c.set == *set && c.number == *n).collect()
            }
            (Some(ColumnPick::Same(set)), at) => {
                let number = at.map_or(1, |c| c.number);
                layout.columns.iter().filter(|c| c.set == *set && c.number == number).collect()
            }
            (None, Some(column)) => vec![column],
            (None, None) => layout.columns.iter().filter(|c| within.is_empty() || within.contains(&c.set)).collect(),
        };
        let mut got = Got::default();
        match &reference.source {
            Source::Given(key) => self.given(&mut got, key, reference.column.is_some(), spot, &columns),
            Source::Derived(key) => self.figures_of(&mut got, key, spot, &columns),
            Source::At => {
                for row in layout.rows.iter().filter(|r| r.at_si.is_some()) {
                    if let Some(si) = row.at_si {
                        got.items.push(plain_item(Uncertain::exact(si), row));
                    }
                }
                got.needed = got.items.len();
            }
            Source::Row => {
                if let Some(row) = spot.row {
                    self.readings(&mut got, std::iter::once(row), &columns);
                }
            }
            Source::Places(pattern) => {
                let rows = layout.rows.iter().filter(|r| pattern.fits(&r.group, &r.key));
                self.readings(&mut got, rows, &columns);
            }
        }
        got
    }

    fn given(&self, got: &mut Got, key: &str, by_column: bool, spot: Spot<'_>, columns: &[&Column]) {
        let Some(spec) = self.sizes.template.given(key) else { return };
        let wanted: Vec<Option<&Column>> =
            if by_column { columns.iter().map(|c| Some(*c)).collect() } else { vec![spot.column] };
        for column in wanted {
            got.needed += 1;
            let of = column.map(|c| c.key.as_str());
            match self.sizes.template.given_value(&self.sizes.begun.given, key, of) {
                Some(stated) if stated.dimension == spec.kind => {
                    // A value of its own is another measurement than the one for all.
                    let own = of.filter(|c| self.sizes.begun.given.contains_key(&format!("{key}/{c}")));
                    let source = own.map_or_else(|| format!("given {key}"), |c| format!("given {key}/{c}"));
                    got.items.push(Item {
                        value: Uncertain::with_own(stated.si, stated.u_or_step(), source),
                        at: None,
                        group: (String::new(), String::new()),
                        row: (key.to_owned(), spec.name.clone()),
                        column: 0,
                        head: column.map_or(String::new(), |c| c.head.clone()),
                        taint: None,
                        ids: Vec::new(),
                    });
                }
                Some(stated) => got.missing.push(format!("{}: {} is no {}", spec.name, stated.text, spec.kind)),
                None => got.missing.push(format!("not given: {}", lower(&spec.name))),
            }
        }
    }

    fn figures_of(&self, got: &mut Got, key: &str, spot: Spot<'_>, columns: &[&Column]) {
        let Some(spec) = self.sizes.template.derived(key) else { return };
        let places: Vec<String> = match spec.scope {
            Scope::Sheet => vec![key.to_owned()],
            Scope::Column => columns
                .iter()
                .filter(|c| spec.within.is_empty() || spec.within.contains(&c.set))
                .map(|c| format!("{}/{key}", c.key))
                .collect(),
            Scope::Row => match spot.row {
                Some(row) => vec![format!("{}/{key}", row_key(row))],
                None => self.layout.rows.iter().map(|row| format!("{}/{key}", row_key(row))).collect(),
            },
        };
        let places_of = places.len();
        for place in places {
            got.needed += 1;
            match self.values.get(&place) {
                Some(item) => got.items.push(item.clone()),
                None => {
                    let figure = self.figures.iter().find(|f| f.place == place);
                    let why = figure.and_then(|f| f.missing.clone());
                    let why = why.unwrap_or_else(|| format!("no {}", lower(&spec.name)));
                    // Among several columns it counts which one it is.
                    let head = figure.and_then(|f| f.column.as_ref()).filter(|_| places_of > 1);
                    let head = head.and_then(|key| self.layout.columns.iter().find(|c| c.key == *key));
                    got.missing.push(head.map_or(why.clone(), |c| format!("{}: {why}", c.head)));
                }
            }
        }
    }

    fn readings<'r>(&self, got: &mut Got, rows: impl Iterator<Item = &'r Row>, columns: &[&Column]) {
        let (mut read, mut all) = (0, 0);
        for row in rows {
            for (column, place) in self.layout.columns.iter().zip(&row.places) {
                let Some(place) = place.as_ref().filter(|_| columns.iter().any(|c| c.key == column.key)) else {
                    continue;
                };
                match self.items.get(place) {
                    Some(item) => {
                        got.items.push(item.clone());
                        (read, all) = (read + 1, all + 1);
                    }
                    None if row.optional => {}
                    None => {
                        all += 1;
                        if let Some(CellState::NotRead(why)) = self.cells.get(place).map(|c| &c.state) {
                            let name = self.layout.words(place).unwrap_or_else(|| place.clone());
                            got.missing.push(format!("{name} could not be read: {why}"));
                        }
                    }
                }
            }
        }
        got.needed += all;
        if read < all && got.missing.is_empty() {
            got.missing.push(if all == 1 { "not read yet".to_owned() } else { format!("{read} of {all} read") });
        }
    }
}

fn plain_item(value: Uncertain, row: &Row) -> Item {
    Item {
        value,
        at: row.at_si,
        group: (row.group.clone(), row.group_name.clone()),
        row: (row.key.clone(), row.name.clone()),
        column: 0,
        head: String::new(),
        taint: None,
        ids: Vec::new(),
    }
}

fn lower(name: &str) -> String {
    let mut chars = name.chars();
    match (chars.next(), chars.next()) {
        (Some(first), Some(second)) if second.is_lowercase() => {
            first.to_lowercase().chain(name.chars().skip(1)).collect()
        }
        _ => name.to_owned(),
    }
}
