//! The small file per dyno: "how this cell writes", in TOML.
//!
//! Numbers stand as text with their unit (`inertia = "0.42 kg·m²"`), the way a person types them; an
//! uncertainty follows after `±`. Writing keeps the comments and the order of the file that stood
//! there. Keys that nobody knows are errors with a suggestion, so that a typing slip is not passed over.
//!
//! ```toml
//! name = "North cell"
//! altitude = "240 m"
//! inertia = "0.42 kg·m² ± 0.02 kg·m²"
//! arm = "0.3500 m"
//!
//! [log]
//! decimal = ","
//! rate = "100 Hz"
//!
//! [load_cell]
//! when = "2026-04-08 07:50"
//! apply = true
//! points = [{ applied = "100 N·m", up = "99.8 N·m", down = "100.3 N·m" }]
//!
//! [uncertainty]
//! torque = "0.15 %"
//!
//! [channels."Torque"]
//! role = "torque"
//! unit = "N·m"
//! lag = "0.15 s"
//! ```

use crate::cell::{CellFile, ChannelNote, Known, LoadCellCheck, LoadCellPoint, Uncertainties};
use crate::role::Role;
use quantity::written::nearest_within;
use quantity::{Dimension, Origin, find_unit_in};
use toml_edit::{Array, DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// Why a cell file cannot be read. Nothing of the text is used.
pub type CellFileError = quantity::written::TextError;

/// Reads a cell file.
///
/// # Errors
/// [`CellFileError`] with line, column and, where one is near, a suggestion.
pub fn parse(text: &str) -> Result<CellFile, CellFileError> {
    let doc = toml_edit::Document::parse(text)
        .map_err(|error| CellFileError::at(text, error.span(), error.message().to_owned(), None))?;
    let r = Reader { text };
    let root = doc.as_table();
    r.known(root, &["name", "altitude", "inertia", "arm", "log", "load_cell", "uncertainty", "channels"])?;
    let mut cell = CellFile {
        name: r.string(root, "name")?.unwrap_or_default(),
        altitude_m: r.number(root, "altitude", Dimension::Length)?.map(|k| k.value),
        inertia: r.number(root, "inertia", Dimension::Inertia)?,
        arm: r.number(root, "arm", Dimension::Length)?,
        ..CellFile::default()
    };
    if let Some(table) = r.table(root, "log")? {
        r.known(table, &["decimal", "rate", "date_order"])?;
        if let Some(mark) = r.string(table, "decimal")? {
            cell.decimal = match mark.as_str() {
                "." | "point" => Some('.'),
                "," | "comma" => Some(','),
                _ => {
                    return Err(r.wrong(
                        table,
                        "decimal",
                        format!("`{mark}` is no decimal mark"),
                        "write \".\" or \",\"",
                    ));
                }
            };
        }
        cell.rate_hz = r.number(table, "rate", Dimension::Frequency)?.map(|k| k.value);
        if let Some(order) = r.string(table, "date_order")? {
            if crate::read::DateOrder::from_key(&order).is_none() {
                return Err(r.wrong(
                    table,
                    "date_order",
                    format!("`{order}` is no order of day and month"),
                    "write \"dmy\", \"mdy\" or \"ymd\"",
                ));
            }
            cell.date_order = Some(order);
        }
    }
    if let Some(table) = r.table(root, "load_cell")? {
        cell.load_cell = Some(r.load_cell(table)?);
    }
    if let Some(table) = r.table(root, "uncertainty")? {
        cell.uncertainty = r.uncertainty(table)?;
    }
    if let Some(table) = r.table(root, "channels")? {
        for (name, item) in table.iter() {
            let note = item.as_table_like().ok_or_else(|| {
                r.wrong(
                    table,
                    name,
                    format!("channel \"{name}\" is no table"),
                    "write [channels.\"NAME\"] with role, unit, lag",
                )
            })?;
            r.known(note, &["role", "unit", "lag"])?;
            let mut out = ChannelNote { unit: r.string(note, "unit")?, ..ChannelNote::default() };
            match r.string(note, "role")?.as_deref() {
                None => {}
                Some("none") => out.ignored = true,
                Some(key) => match Role::from_key(key) {
                    Some(role) => out.role = Some(role),
                    None => {
                        let keys: Vec<String> = Role::plain().map(|r| r.key()).collect();
                        let near = near(key, keys.iter().map(String::as_str));
                        let hint =
                            near.map_or("see the list of roles in docs".to_owned(), |n| format!("perhaps `{n}`"));
                        return Err(r.wrong(note, "role", format!("no role is called `{key}`"), &hint));
                    }
                },
            }
            out.lag_s = r.number(note, "lag", Dimension::Time)?.map(|k| k.value);
            cell.channels.insert(name.to_owned(), out);
        }
    }
    Ok(cell)
}

/// The known word nearest to a text, if it is near: a third of its letters, one at least. Of several, the first by
/// the alphabet.
fn near<'a>(text: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let mut known: Vec<&str> = known.collect();
    known.sort_unstable();
    nearest_within(text, known, (text.chars().count() / 3).max(1))
}

struct Reader<'a> {
    text: &'a str,
}

impl Reader<'_> {
    fn wrong(&self, table: &dyn TableLike, key: &str, what: String, suggestion: &str) -> CellFileError {
        let span = table.get_key_value(key).and_then(|(k, item)| item.span().or_else(|| k.span()));
        CellFileError::at(self.text, span, what, Some(suggestion.to_owned()))
    }

    /// Refuses keys that are not known.
    fn known(&self, table: &dyn TableLike, keys: &[&str]) -> Result<(), CellFileError> {
        for (key, _) in table.iter() {
            if !keys.contains(&key) {
                let span = table.get_key_value(key).and_then(|(k, item)| k.span().or_else(|| item.span()));
                let suggestion = match near(key, keys.iter().copied()) {
                    Some(near) => format!("perhaps `{near}`"),
                    None => format!("known here are {}", keys.join(", ")),
                };
                let what = format!("no key is called `{key}`");
                return Err(CellFileError::at(self.text, span, what, Some(suggestion)));
            }
        }
        Ok(())
    }

    fn string(&self, table: &dyn TableLike, key: &str) -> Result<Option<String>, CellFileError> {
        match table.get(key) {
            None => Ok(None),
            Some(item) => match item.as_str() {
                Some(text) => Ok(Some(text.to_owned())),
                None => Err(self.wrong(table, key, format!("`{key}` is no text"), "put it in quotes, with its unit")),
            },
        }
    }

    fn table<'t>(&self, table: &'t dyn TableLike, key: &str) -> Result<Option<&'t dyn TableLike>, CellFileError> {
        match table.get(key) {
            None => Ok(None),
            Some(item) => item.as_table_like().map(Some).ok_or_else(|| {
                self.wrong(table, key, format!("`{key}` is no table"), &format!("write [{key}] on a line of its own"))
            }),
        }
    }

    /// A number with its unit, and perhaps `± u`.
    fn number(&self, table: &dyn TableLike, key: &str, wanted: Dimension) -> Result<Option<Known>, CellFileError> {
        let Some(text) = self.string(table, key)? else { return Ok(None) };
        let wrong = |what: String, suggestion: &str| self.wrong(table, key, what, suggestion);
        let (main, spread) = match text.split_once('±').or_else(|| text.split_once("+-")) {
            Some((main, spread)) => (main.trim(), Some(spread.trim())),
            None => (text.trim(), None),
        };
        let one = |part: &str, fallback: &str| -> Result<(f64, f64), CellFileError> {
            let example =
                format!("write a number and a unit of {}, such as \"1 {}\"", wanted.name(), wanted.si_symbol());
            let end = part
                .char_indices()
                .find(|(at, c)| !(c.is_ascii_digit() || *c == '.' || (*at == 0 && matches!(c, '-' | '+'))))
                .map_or(part.len(), |(at, _)| at);
            let value: f64 =
                part[..end].parse().map_err(|_| wrong(format!("`{part}` does not begin with a number"), &example))?;
            let unit = if part[end..].trim().is_empty() { fallback } else { part[end..].trim() };
            if unit.is_empty() {
                return Err(wrong(format!("`{part}` has no unit"), &example));
            }
            let unit = find_unit_in(unit, wanted).map_err(|error| wrong(error.to_string(), &example))?;
            Ok((unit.to_si(value), value.abs() * unit.scale.abs()))
        };
        let (value, _) = one(main, "")?;
        let u = match spread {
            Some(text) => {
                let unit = main.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+')).trim();
                Some(one(text, unit)?.1)
            }
            None => None,
        };
        let origin = Origin::Claimed { by: "the cell file".to_owned() };
        Ok(Some(Known { value, u, text: text.clone(), origin }))
    }

    fn load_cell(&self, table: &dyn TableLike) -> Result<LoadCellCheck, CellFileError> {
        self.known(table, &["when", "apply", "points"])?;
        let mut out = LoadCellCheck {
            when: self.string(table, "when")?.unwrap_or_default(),
            apply: match table.get("apply") {
                None => false,
                Some(item) => item.as_bool().ok_or_else(|| {
                    self.wrong(table, "apply", "`apply` is neither true nor false".to_owned(), "write true or false")
                })?,
            },
            points: Vec::new(),
        };
        let hint = "write points = [{ applied = \"100 N·m\", up = \"99.8 N·m\", down = \"100.3 N·m\" }]";
        let wrong = |what: &str| self.wrong(table, "points", what.to_owned(), hint);
        let tables: Vec<&dyn TableLike> = match table.get("points") {
            None => Vec::new(),
            Some(Item::ArrayOfTables(all)) => all.iter().map(|t| t as &dyn TableLike).collect(),
            Some(item) => {
                let array = item.as_array().ok_or_else(|| wrong("`points` is no list"))?;
                let tables: Option<Vec<&dyn TableLike>> =
                    array.iter().map(|v| v.as_inline_table().map(|t| t as &dyn TableLike)).collect();
                tables.ok_or_else(|| wrong("a point is no table"))?
            }
        };
        for point in tables {
            self.known(point, &["applied", "up", "down"])?;
            let torque = |key: &str| Ok(self.number(point, key, Dimension::Torque)?.map(|k| k.value));
            out.points.push(LoadCellPoint {
                applied_nm: torque("applied")?.ok_or_else(|| wrong("a point does not say what was applied"))?,
                up_nm: torque("up")?,
                down_nm: torque("down")?,
            });
        }
        Ok(out)
    }

    fn uncertainty(&self, table: &dyn TableLike) -> Result<Uncertainties, CellFileError> {
        self.known(
            table,
            &["torque", "torque_zero", "arm", "speed", "pressure", "temperature", "humidity", "inertia"],
        )?;
        let mut out = Uncertainties::default();
        let set = |key: &str, wanted: Dimension, target: &mut f64| -> Result<(), CellFileError> {
            if let Some(known) = self.number(table, key, wanted)? {
                if known.value < 0.0 {
                    return Err(self.wrong(
                        table,
                        key,
                        format!("`{}` is below zero", known.text),
                        "an uncertainty is zero or more",
                    ));
                }
                *target = known.value;
            }
            Ok(())
        };
        set("torque", Dimension::Fraction, &mut out.torque_rel)?;
        set("torque_zero", Dimension::Torque, &mut out.torque_zero_nm)?;
        set("arm", Dimension::Fraction, &mut out.arm_rel)?;
        set("speed", Dimension::Fraction, &mut out.speed_rel)?;
        set("pressure", Dimension::Pressure, &mut out.pressure_pa)?;
        set("temperature", Dimension::TemperatureDifference, &mut out.temperature_k)?;
        set("humidity", Dimension::Fraction, &mut out.humidity)?;
        set("inertia", Dimension::Fraction, &mut out.inertia_rel)?;
        Ok(out)
    }
}

/// A number as short as it can be written without losing anything.
fn short(value: f64) -> String {
    let rounded = format!("{value:.12e}").parse::<f64>().unwrap_or(value);
    format!("{rounded}")
}

fn known_text(known: &Known, unit: &str) -> String {
    if known.text.trim().is_empty() {
        match known.u {
            Some(u) => format!("{} {unit} ± {} {unit}", short(known.value), short(u)),
            None => format!("{} {unit}", short(known.value)),
        }
    } else {
        known.text.clone()
    }
}

/// Writes a cell file. With `old_text`, comments, order and unchanged values of the old file stay.
///
/// An old text that cannot be read as TOML is not used; the caller keeps it aside.
pub fn write(cell: &CellFile, old_text: Option<&str>) -> String {
    let mut doc: DocumentMut = old_text.and_then(|text| text.parse().ok()).unwrap_or_default();
    let old = old_text.and_then(|text| parse(text).ok()).unwrap_or_default();
    let root = doc.as_table_mut();
    put(root, "name", (!cell.name.is_empty()).then(|| cell.name.clone()), cell.name == old.name);
    put(root, "altitude", cell.altitude_m.map(|v| format!("{} m", short(v))), cell.altitude_m == old.altitude_m);
    put(root, "inertia", cell.inertia.as_ref().map(|k| known_text(k, "kg·m²")), cell.inertia == old.inertia);
    put(root, "arm", cell.arm.as_ref().map(|k| known_text(k, "m")), cell.arm == old.arm);
    let log_known = cell.decimal.is_some() || cell.rate_hz.is_some() || cell.date_order.is_some();
    if let Some(table) = section(root, "log", log_known) {
        put(table, "decimal", cell.decimal.map(String::from), cell.decimal == old.decimal);
        put(table, "rate", cell.rate_hz.map(|v| format!("{} Hz", short(v))), cell.rate_hz == old.rate_hz);
        put(table, "date_order", cell.date_order.clone(), cell.date_order == old.date_order);
    }
    if cell.load_cell != old.load_cell {
        root.remove("load_cell");
        if let (Some(check), Some(table)) = (&cell.load_cell, section(root, "load_cell", cell.load_cell.is_some())) {
            put(table, "when", Some(check.when.clone()), false);
            table.insert("apply", toml_edit::value(check.apply));
            let mut points = Array::new();
            for point in &check.points {
                let mut row = InlineTable::new();
                row.insert("applied", format!("{} N·m", short(point.applied_nm)).into());
                for (key, value) in [("up", point.up_nm), ("down", point.down_nm)] {
                    if let Some(value) = value {
                        row.insert(key, format!("{} N·m", short(value)).into());
                    }
                }
                let mut row = Value::InlineTable(row);
                row.decor_mut().set_prefix("\n  ");
                points.push_formatted(row);
            }
            points.set_trailing("\n");
            table.insert("points", toml_edit::value(points));
        }
    }
    let (u, before) = (cell.uncertainty, old.uncertainty);
    if let Some(table) = section(root, "uncertainty", u != Uncertainties::default()) {
        let percent = |v: f64| Some(format!("{} %", short(v * 100.0)));
        put(table, "torque", percent(u.torque_rel), u.torque_rel == before.torque_rel);
        put(
            table,
            "torque_zero",
            Some(format!("{} N·m", short(u.torque_zero_nm))),
            u.torque_zero_nm == before.torque_zero_nm,
        );
        put(table, "arm", percent(u.arm_rel), u.arm_rel == before.arm_rel);
        put(table, "speed", percent(u.speed_rel), u.speed_rel == before.speed_rel);
        put(table, "pressure", Some(format!("{} Pa", short(u.pressure_pa))), u.pressure_pa == before.pressure_pa);
        put(
            table,
            "temperature",
            Some(format!("{} K", short(u.temperature_k))),
            u.temperature_k == before.temperature_k,
        );
        put(table, "humidity", percent(u.humidity), u.humidity == before.humidity);
        put(table, "inertia", percent(u.inertia_rel), u.inertia_rel == before.inertia_rel);
    }
    if let Some(table) = section(root, "channels", !cell.channels.is_empty()) {
        if table.is_empty() {
            table.set_implicit(true);
        }
        let gone: Vec<String> =
            table.iter().map(|(k, _)| k.to_owned()).filter(|k| !cell.channels.contains_key(k)).collect();
        for key in gone {
            table.remove(&key);
        }
        for (name, note) in &cell.channels {
            let known = old.channels.get(name);
            let Some(entry) = section(table, name, true) else { continue };
            let role = |n: &ChannelNote| if n.ignored { Some("none".to_owned()) } else { n.role.map(|r| r.key()) };
            put(entry, "role", role(note), known.is_some_and(|k| role(k) == role(note)));
            put(entry, "unit", note.unit.clone(), known.is_some_and(|k| k.unit == note.unit));
            put(
                entry,
                "lag",
                note.lag_s.map(|v| format!("{} s", short(v))),
                known.is_some_and(|k| k.lag_s == note.lag_s),
            );
        }
    }
    doc.to_string()
}

/// The table of a name; made if it is wanted and not there.
fn section<'t>(table: &'t mut Table, name: &str, wanted: bool) -> Option<&'t mut Table> {
    if !table.contains_key(name) {
        if !wanted {
            return None;
        }
        table.insert(name, Item::Table(Table::new()));
    }
    if table.get(name).is_some_and(|item| item.as_inline_table().is_some()) {
        let item = table.remove(name)?;
        table.insert(name, Item::Table(item.into_table().ok()?));
    }
    table.get_mut(name)?.as_table_mut()
}

/// Sets, keeps or takes out one text value; the decoration of an old value stays.
fn put(table: &mut Table, key: &str, value: Option<String>, unchanged: bool) {
    match value {
        None => {
            table.remove(key);
        }
        Some(_) if unchanged && table.contains_key(key) => {}
        // Default uncertainties need not be written out.
        Some(_) if unchanged && !table.contains_key(key) => {}
        Some(text) => match table.get_mut(key).and_then(Item::as_value_mut) {
            Some(old) => {
                let decor = old.decor().clone();
                *old = text.into();
                *old.decor_mut() = decor;
            }
            None => {
                table.insert(key, toml_edit::value(text));
            }
        },
    }
}
