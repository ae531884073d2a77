//! From the text of a build file to a [`Build`], with the place of every key.

use super::fault::{BuildFileError, Fault};
use super::{VERSION, value};
use crate::build::each;
use crate::build::section::Section;
use crate::build::{Build, CheckedAngle, Input, Kind, Lobe, Origin, Takes, check, sections};
use quantity::written::{nearest, place};
use std::collections::BTreeMap;
use std::ops::Range;
use toml_edit::{Document, Item, TableLike};

/// The engine that a text of the present version describes.
pub(super) fn read(text: &str) -> Result<Build, BuildFileError> {
    let mut reader = Reader { text, faults: Vec::new(), places: BTreeMap::new() };
    let document = match Document::parse(text) {
        Ok(document) => document,
        Err(error) => {
            let what = error.message().trim().replace('\n', ", ");
            reader.fault(error.span(), "", what, "TOML: sections in [brackets], key = \"value\" below", None);
            return Err(BuildFileError { faults: reader.faults });
        }
    };
    let mut build = reader.root(document.as_table());
    each::take_means(&mut build);
    if reader.faults.is_empty() {
        for clash in check(&build) {
            let span = reader.place_of(&clash.key);
            reader.fault(span, &clash.key, clash.what, "", None);
        }
    }
    if reader.faults.is_empty() {
        return Ok(build);
    }
    reader.faults.sort_by_key(|f| (f.line, f.column));
    Err(BuildFileError { faults: reader.faults })
}

struct Reader<'t> {
    text: &'t str,
    faults: Vec<Fault>,
    places: BTreeMap<String, Range<usize>>,
}

type Span = Option<Range<usize>>;

impl Reader<'_> {
    fn fault(&mut self, span: Span, key: &str, found: String, expected: &str, suggestion: Option<String>) {
        let (line, column) = place(self.text, span.map_or(0, |s| s.start));
        self.faults.push(Fault { line, column, key: key.to_owned(), found, expected: expected.to_owned(), suggestion });
    }

    /// The place of a key, or of the nearest section around it.
    fn place_of(&self, key: &str) -> Span {
        let mut key = key;
        loop {
            if let Some(span) = self.places.get(key) {
                return Some(span.clone());
            }
            key = key.rsplit_once('.')?.0;
        }
    }

    fn root(&mut self, root: &dyn TableLike) -> Build {
        let mut build = Build::default();
        match root.get("plateau_build").map(|item| (item.as_integer(), item.span())) {
            Some((Some(VERSION), _)) => {}
            Some((found, span)) => {
                let found = found.map_or("no whole number".to_owned(), |v| format!("version {v}"));
                let hint = "a later version of this program may have written it".to_owned();
                self.fault(span, "plateau_build", found, &format!("version 1 or {VERSION}"), Some(hint));
            }
            None => {
                let hint = Some(format!("write plateau_build = {VERSION} in the first line"));
                self.fault(
                    None,
                    "plateau_build",
                    "the file does not state its version".to_owned(),
                    "its version",
                    hint,
                );
            }
        }
        for (name, item) in root.iter() {
            if name == "plateau_build" {
                continue;
            }
            let span = root.key(name).and_then(toml_edit::Key::span).or_else(|| item.span());
            if let Some(span) = item.span().or_else(|| span.clone()) {
                self.places.insert(name.to_owned(), span);
            }
            match name {
                "engine" => self.table(name, item, &mut build.engine),
                "block" => self.block(item, &mut build),
                "rod" => self.table(name, item, &mut build.rod),
                "piston" => self.table(name, item, &mut build.piston),
                "gasket" => self.table(name, item, &mut build.gasket),
                "head" => self.table(name, item, &mut build.head),
                "compression" => self.table(name, item, &mut build.compression),
                "readings" => self.table(name, item, &mut build.readings),
                "cam" => self.table(name, item, &mut build.cam),
                "intake" => self.table(name, item, &mut build.intake),
                "exhaust" => self.table(name, item, &mut build.exhaust),
                "fuel" => self.table(name, item, &mut build.fuel),
                "ambient" => self.table(name, item, &mut build.ambient),
                "blower" => self.table(name, item, build.blower.get_or_insert_default()),
                "turbo" => self.table(name, item, build.turbo.get_or_insert_default()),
                "lobe" => self.pair(name, item, &mut [&mut build.lobe.intake, &mut build.lobe.exhaust], lobe_extra),
                "valve_train" => {
                    let pair = &mut build.valve_train;
                    self.pair(name, item, &mut [&mut pair.intake, &mut pair.exhaust], no_extra);
                }
                "spring" => {
                    let pair = &mut build.spring;
                    self.pair(name, item, &mut [&mut pair.intake, &mut pair.exhaust], no_extra);
                }
                "flow" => {
                    self.repeated(name, item, &mut build.flow);
                    self.flow_words(&build);
                }
                "schedule" => self.repeated(name, item, &mut build.schedule),
                _ => {
                    let known = sections();
                    let near = nearest(name, known.iter().map(|s| s.0.split('.').next().unwrap_or(s.0)));
                    let expected = "a section of the build file";
                    let hint = near.map(|n| format!("did you mean [{n}]?"));
                    self.fault(span, name, format!("there is no section `{name}`"), expected, hint);
                }
            }
        }
        build
    }

    fn flow_words(&mut self, build: &Build) {
        for (n, port) in build.flow.iter().enumerate() {
            let key = format!("flow.{}.valve", n + 1);
            let found = match port.valve.as_deref() {
                Some("intake" | "exhaust") => continue,
                Some(other) => format!("`{other}`"),
                None => "no valve is named".to_owned(),
            };
            let span = self.place_of(&key);
            self.fault(span, &key, found, "\"intake\" or \"exhaust\"", None);
        }
    }

    fn block(&mut self, item: &Item, build: &mut Build) {
        self.table_with("block", item, &mut build.block, |reader, block, key, full, item| {
            let lists = match (key, numbers(item)) {
                ("firing_order", Some(order)) => {
                    block.firing_order = order;
                    return;
                }
                ("banks", _) => item.as_array().and_then(|banks| {
                    banks.iter().map(|bank| numbers(&Item::Value(bank.clone()))).collect::<Option<Vec<_>>>()
                }),
                _ => None,
            };
            match lists {
                Some(banks) => block.banks = banks,
                None => {
                    let expected = if key == "banks" {
                        "lists of cylinder numbers, such as [[1, 3, 5, 7], [2, 4, 6, 8]]"
                    } else {
                        "a list of cylinder numbers, such as [1, 3, 4, 2]"
                    };
                    reader.fault(item.span(), full, format!("{} stands here", said(item)), expected, None);
                }
            }
        });
    }

    fn pair<S: Section>(
        &mut self,
        name: &str,
        item: &Item,
        sides: &mut [&mut S; 2],
        extra: impl Fn(&mut Self, &mut S, &str, &str, &Item) + Copy,
    ) {
        let Some(table) = item.as_table_like() else {
            self.no_table(name, item);
            return;
        };
        for (side, inner) in table.iter() {
            let full = format!("{name}.{side}");
            let span = table.key(side).and_then(toml_edit::Key::span).or_else(|| inner.span());
            if let Some(span) = inner.span().or_else(|| span.clone()) {
                self.places.insert(full.clone(), span);
            }
            match side {
                "intake" => self.table_with(&full, inner, sides[0], extra),
                "exhaust" => self.table_with(&full, inner, sides[1], extra),
                _ => {
                    let expected = format!("[{name}.intake] or [{name}.exhaust]");
                    self.fault(span, &full, format!("`{side}` stands below `{name}`"), &expected, None);
                }
            }
        }
    }

    fn repeated<S: Section>(&mut self, name: &str, item: &Item, out: &mut Vec<S>) {
        let Some(tables) = item.as_array_of_tables() else {
            let hint = Some(format!("write [[{name}]], once for each"));
            self.fault(item.span(), name, "a single section".to_owned(), "a list of sections", hint);
            return;
        };
        for (n, table) in tables.iter().enumerate() {
            let full = format!("{name}.{}", n + 1);
            if let Some(span) = table.span() {
                self.places.insert(full.clone(), span);
            }
            let mut section = S::default();
            self.fields(&full, table, &mut section, no_extra);
            out.push(section);
        }
    }

    fn table<S: Section>(&mut self, name: &str, item: &Item, out: &mut S) {
        self.table_with(name, item, out, no_extra);
    }

    fn table_with<S: Section>(
        &mut self,
        name: &str,
        item: &Item,
        out: &mut S,
        extra: impl Fn(&mut Self, &mut S, &str, &str, &Item),
    ) {
        match item.as_table_like() {
            Some(table) => self.fields(name, table, out, extra),
            None => self.no_table(name, item),
        }
    }

    fn no_table(&mut self, name: &str, item: &Item) {
        let hint = Some(format!("write [{name}] and its keys below it"));
        self.fault(item.span(), name, format!("{} stands here", said(item)), "a section", hint);
    }

    fn fields<S: Section>(
        &mut self,
        name: &str,
        table: &dyn TableLike,
        out: &mut S,
        extra: impl Fn(&mut Self, &mut S, &str, &str, &Item),
    ) {
        for (key, item) in table.iter() {
            let full = format!("{name}.{key}");
            let key_span = table.key(key).and_then(toml_edit::Key::span);
            let Some(field) = S::fields().iter().find(|f| f.key == key) else {
                let near = nearest(key, S::fields().iter().map(|f| f.key)).map(str::to_owned);
                let elsewhere = || {
                    sections().into_iter().find(|(_, fields, _)| fields.iter().any(|f| f.key == key)).map(|(s, ..)| s)
                };
                let hint = match near {
                    Some(near) => Some(format!("did you mean `{near}`?")),
                    None => elsewhere().map(|section| format!("`{key}` belongs in [{section}]")),
                };
                self.fault(
                    key_span,
                    &full,
                    format!("there is no key `{key}` here"),
                    &format!("a key of [{name}]"),
                    hint,
                );
                continue;
            };
            if let Some(span) = item.span() {
                self.places.insert(full.clone(), span);
            }
            match field.takes {
                Takes::Value(kind) if self.is_each(out, key, item) => {
                    let list = item.as_table_like().and_then(|t| t.get("each")).unwrap_or(item);
                    self.list(kind, &full, list, out.values_mut(&format!("{key}_each")));
                }
                Takes::Value(kind) => {
                    let read = self.input(kind, &full, item);
                    if let (Some(place), Some(read)) = (out.value_mut(key), read) {
                        *place = Some(read);
                    }
                }
                Takes::Values(kind) => self.list(kind, &full, item, out.values_mut(key)),
                Takes::Words => match item.as_str().filter(|s| !s.trim().is_empty()) {
                    Some(words) => {
                        if let Some(place) = out.words_mut(key) {
                            *place = Some(words.trim().to_owned());
                        }
                    }
                    None => self.fault(
                        item.span(),
                        &full,
                        format!("{} stands here", said(item)),
                        "words in quotation marks",
                        None,
                    ),
                },
                Takes::Count => match item.as_integer().and_then(|n| u32::try_from(n).ok()).filter(|n| *n > 0) {
                    Some(count) => {
                        if let Some(place) = out.count_mut(key) {
                            *place = Some(count);
                        }
                    }
                    None => {
                        self.fault(
                            item.span(),
                            &full,
                            format!("{} stands here", said(item)),
                            "a whole number above zero",
                            None,
                        );
                    }
                },
                Takes::Checked | Takes::Counts | Takes::CountLists => extra(self, out, key, &full, item),
            }
        }
    }

    /// Several values into their place, once.
    fn list(&mut self, kind: Kind, full: &str, item: &Item, place: Option<&mut Vec<Input>>) {
        let Some(place) = place else { return };
        if !place.is_empty() {
            let found = "each cylinder is stated twice, here and under the other of the two keys".to_owned();
            self.fault(item.span(), full, found, "one list", Some("leave one of the two out".to_owned()));
        } else if let Some(read) = self.inputs(kind, full, item) {
            *place = read;
        }
    }

    /// Whether a key that takes one value holds a list of one for each cylinder.
    fn is_each<S: Section>(&self, out: &mut S, key: &str, item: &Item) -> bool {
        let list = item.is_array() || item.as_table_like().is_some_and(|t| t.contains_key("each"));
        list && out.values_mut(&format!("{key}_each")).is_some()
    }

    /// One value: a text, a plain number where the kind has no unit, or the table form.
    fn input(&mut self, kind: Kind, full: &str, item: &Item) -> Option<Input> {
        if let Some(table) = item.as_table_like() {
            return self.long_form(kind, full, table, item.span());
        }
        let text = match (item.as_str(), kind) {
            (Some(text), _) => text.to_owned(),
            (None, Kind::Number | Kind::Nominal | Kind::Lambda)
                if item.as_float().is_some() || item.as_integer().is_some() =>
            {
                item.as_value().map(|v| v.clone().decorated("", "").to_string()).unwrap_or_default()
            }
            (None, _) => {
                let bare = item.as_float().is_some() || item.as_integer().is_some();
                let hint = bare.then(|| "put it in quotation marks with its unit".to_owned());
                let found = if bare {
                    format!("{} stands without a unit", said(item))
                } else {
                    format!("{} stands here", said(item))
                };
                self.fault(item.span(), full, found, kind.expected(), hint);
                return None;
            }
        };
        self.typed(kind, full, &text, item.span())
    }

    fn typed(&mut self, kind: Kind, full: &str, text: &str, span: Span) -> Option<Input> {
        match value::read(kind, text) {
            Ok(input) => Some(input),
            Err(why) => {
                let found = match value::other_dimension(kind, text) {
                    Some(other) => format!("\"{text}\" is a {other}"),
                    None => format!("\"{text}\": {why}"),
                };
                self.fault(span, full, found, kind.expected(), None);
                None
            }
        }
    }

    /// `{ value = "4.030 in", u = "0.0003 in", origin = "measured", instrument = "…", by = "…", when = "…" }`
    fn long_form(&mut self, kind: Kind, full: &str, table: &dyn TableLike, span: Span) -> Option<Input> {
        const KEYS: [&str; 9] = ["value", "u", "plus_minus", "origin", "instrument", "by", "when", "source", "why"];
        for (key, _) in table.iter() {
            if !KEYS.contains(&key) {
                let hint = nearest(key, KEYS).map(|n| format!("did you mean `{n}`?"));
                let at = table.key(key).and_then(toml_edit::Key::span);
                self.fault(
                    at,
                    full,
                    format!("there is no key `{key}` here"),
                    &format!("one of {}", KEYS.join(", ")),
                    hint,
                );
                return None;
            }
        }
        let word = |key: &str| table.get(key).and_then(Item::as_str).map(str::to_owned);
        let Some(item) = table.get("value") else {
            self.fault(span, full, "there is no `value`".to_owned(), kind.expected(), None);
            return None;
        };
        let mut input = self.input(kind, full, item)?;
        for (key, factor) in [("u", 1.0), ("plus_minus", 0.5)] {
            if let Some(item) = table.get(key) {
                // An uncertainty has no zero or sign of its own: it is read as the ± of the value.
                let text = item.as_str().map_or_else(|| item.to_string().trim().to_owned(), str::to_owned);
                let figure = input.text.split('±').next().unwrap_or_default().trim().to_owned();
                let with = self.typed(kind, full, &format!("{figure} ± {text}"), item.span())?;
                input.u = 2.0 * factor * with.u;
            }
        }
        let origin = match (word("origin").as_deref(), word("instrument"), word("by"), word("source"), word("why")) {
            (Some("measured"), Some(instrument), by, _, _) => {
                Ok(Origin::Measured { instrument, by, when: word("when") })
            }
            (None, Some(instrument), by, _, _) => Ok(Origin::Measured { instrument, by, when: word("when") }),
            (Some("claimed"), _, Some(by), _, _) => Ok(Origin::Claimed { by }),
            (Some("published"), _, _, Some(source), _) => Ok(Origin::Published { source }),
            (Some("assumed"), _, _, _, Some(why)) => Ok(Origin::Assumed { why }),
            (None, None, None, None, None) => Ok(input.origin.clone()),
            (Some("measured"), None, ..) => Err("measured, and no instrument is named"),
            (Some("claimed"), ..) => Err("claimed, and `by` does not say by whom"),
            (Some("published"), ..) => Err("published, and `source` does not say where"),
            (Some("assumed"), ..) => Err("assumed, and `why` does not say why"),
            _ => Err("the origin is not clear"),
        };
        match origin {
            Ok(origin) => input.origin = origin,
            Err(why) => {
                let expected = "origin = \"measured\" with instrument, \"claimed\" with by, \"published\" with source or \
                                \"assumed\" with why";
                self.fault(table.get("origin").and_then(Item::span).or(span), full, why.to_owned(), expected, None);
                return None;
            }
        }
        Some(input)
    }

    fn inputs(&mut self, kind: Kind, full: &str, item: &Item) -> Option<Vec<Input>> {
        if let Some(text) = item.as_str() {
            return match value::several(kind, text) {
                Ok(inputs) => Some(inputs),
                Err(why) => {
                    let found = format!("\"{text}\": {why}");
                    self.fault(
                        item.span(),
                        full,
                        found,
                        "several numbers and their unit, such as \"0.100 0.200 in\"",
                        None,
                    );
                    None
                }
            };
        }
        let Some(list) = item.as_array() else {
            self.fault(
                item.span(),
                full,
                format!("{} stands here", said(item)),
                "a list, or several numbers and their unit",
                None,
            );
            return None;
        };
        list.iter().map(|v| self.input(kind, full, &Item::Value(v.clone()))).collect()
    }
}

fn no_extra<S>(_: &mut Reader<'_>, _: &mut S, _: &str, _: &str, _: &Item) {}

fn lobe_extra(reader: &mut Reader<'_>, lobe: &mut Lobe, key: &str, full: &str, item: &Item) {
    let texts: Option<Vec<(String, Span)>> = match (item.as_str(), item.as_array()) {
        (Some(text), _) => Some(vec![(text.to_owned(), item.span())]),
        (_, Some(list)) => list.iter().map(|v| Some((v.as_str()?.to_owned(), v.span()))).collect(),
        _ => None,
    };
    let expected = match key {
        "duration" => "crank degrees at a check lift, such as \"224 deg @ 0.050 in\"",
        "opens" => "an event at a check lift, such as \"31 deg BTDC @ 0.050 in\"",
        _ => "an event at a check lift, such as \"63 deg ABDC @ 0.050 in\"",
    };
    let Some(texts) = texts else {
        reader.fault(item.span(), full, format!("{} stands here", said(item)), expected, None);
        return;
    };
    let mut read: Vec<CheckedAngle> = Vec::new();
    for (text, span) in texts {
        match value::checked(&text, key != "duration") {
            Ok(checked) => read.push(checked),
            Err(why) => reader.fault(span.or_else(|| item.span()), full, format!("\"{text}\": {why}"), expected, None),
        }
    }
    match key {
        "duration" => lobe.duration = read,
        "opens" => lobe.opens = read,
        _ => lobe.closes = read,
    }
}

fn numbers(item: &Item) -> Option<Vec<u32>> {
    item.as_array()?.iter().map(|v| v.as_integer().and_then(|n| u32::try_from(n).ok())).collect()
}

/// What stands in the file: "12.5", "true", "a list".
fn said(item: &Item) -> String {
    match item.as_value() {
        Some(v) if v.is_array() => "a list".to_owned(),
        Some(v) => v.clone().decorated("", "").to_string(),
        None => format!("a {}", item.type_name()),
    }
}
