//! The grid of a sheet: places by rows and columns, worked-out figures under them, beside them and below.

use super::bars;
use super::shape;
use super::spots::{Spot, numbers};
use super::units::plain;
use crate::marks;
use maud::{Markup, html};
use notebook::SheetState;
use record::sheet::{DerivedRow, Row, Scope};
use std::collections::BTreeMap;

/// What the grid is drawn from.
pub(super) struct Grid<'a> {
    state: &'a SheetState,
    spots: &'a BTreeMap<String, Spot>,
    /// Place in hand.
    current: &'a str,
    /// Address of the sheet.
    here: &'a str,
    bars: Vec<(bars::Between, i32)>,
}

impl<'a> Grid<'a> {
    /// The grid of a sheet.
    pub(super) fn of(
        state: &'a SheetState,
        spots: &'a BTreeMap<String, Spot>,
        current: &'a str,
        here: &'a str,
    ) -> Self {
        let mut bars: Vec<(bars::Between, i32)> = Vec::new();
        for spot in spots.values().filter(|s| !s.limits.open()) {
            let key = (spot.limits, spot.decimals);
            if !bars.contains(&key) {
                bars.push(key);
            }
        }
        Self { state, spots, current, here, bars }
    }

    /// Large bars that the panel can show, each once: limits and decimals.
    pub(super) fn bars(&self) -> &[(bars::Between, i32)] {
        &self.bars
    }

    /// The grid.
    pub(super) fn markup(&self) -> Markup {
        let layout = &self.state.layout;
        let beside: Vec<&DerivedRow> = layout.derived.iter().filter(|d| d.scope == Scope::Row).collect();
        let below: Vec<&DerivedRow> = layout.derived.iter().filter(|d| d.scope == Scope::Sheet).collect();
        let under: Vec<&DerivedRow> = layout.derived.iter().filter(|d| d.scope == Scope::Column).collect();
        let many = match layout.columns.len() {
            0..=4 => "few",
            5..=8 => "some",
            _ => "many",
        };
        html! {
            div #sheet-grid {
                div.box tabindex="0" role="region" aria-label="Readings" {
                    table class=(format!("mgrid {many}")) {
                        thead { (self.head(&beside)) }
                        @for group in self.groups() { (self.group(&group, &beside)) }
                        @if !under.is_empty() { tbody.figures { @for row in &under { (self.figure_row(row, beside.len())) } } }
                    }
                }
                @if !below.is_empty() { (self.below(&below)) }
            }
        }
    }

    fn head(&self, beside: &[&DerivedRow]) -> Markup {
        let px_per_m = shape::magnification(&self.state.result.shapes);
        let has_shape = px_per_m > 0.0 && !self.state.result.shapes.is_empty();
        html! {
            tr {
                @if has_shape {
                    td.rl.first {
                        b { "Shape" }
                        span { (shape::factor_words(px_per_m)) }
                        @if let Some(shape) = self.state.result.shapes.first() {
                            @for (side, line) in ["left", "right"].iter().zip(&shape.lines) { span { (side) ": " (line.name) } }
                        }
                    }
                } @else { td {} }
                @for column in &self.state.layout.columns {
                    th.hd scope="col" {
                        b { (column.head) }
                        @if has_shape {
                            @if let Some(shape) = self.state.result.shapes.iter().find(|s| s.column == column.key) { (shape::picture(shape, px_per_m)) }
                        }
                    }
                }
                @for row in beside { th.hd scope="col" { b { (row.name) } @if !row.note.is_empty() { small { (row.note) } } } }
            }
        }
    }

    /// Rows that stand together.
    fn groups(&self) -> Vec<Vec<(usize, &Row)>> {
        let mut groups: Vec<Vec<(usize, &Row)>> = Vec::new();
        for (at, row) in self.state.layout.rows.iter().enumerate() {
            match groups.last_mut() {
                Some(group)
                    if !row.group.is_empty() && group.last().is_some_and(|(_, last)| last.group == row.group) =>
                {
                    group.push((at, row))
                }
                // Rows of no group and one kind (a lift table) stand close together.
                Some(group)
                    if row.group.is_empty()
                        && group.last().is_some_and(|(_, last)| last.group.is_empty() && last.spec == row.spec) =>
                {
                    group.push((at, row))
                }
                _ => groups.push(vec![(at, row)]),
            }
        }
        groups
    }

    fn group(&self, group: &[(usize, &Row)], beside: &[&DerivedRow]) -> Markup {
        let counted = group.len() > 1 && group[0].1.group.is_empty();
        html! {
            tbody.counted[counted] {
                @for (n, (at, row)) in group.iter().enumerate() {
                    tr {
                        th.rl scope="row" { (self.row_head(row, n == 0)) }
                        @for (column, place) in row.places.iter().enumerate() {
                            td data-column=(column) {
                                @if let Some(spot) = place.as_ref().and_then(|p| self.spots.get(p)) { (self.cell(spot, false)) }
                            }
                        }
                        @for (n, figure) in beside.iter().enumerate() {
                            td.beside data-column=(row.places.len() + n) {
                                @if let Some(spot) = figure.places.get(*at).and_then(Option::as_ref).and_then(|p| self.spots.get(p)) { (self.cell(spot, true)) }
                            }
                        }
                    }
                }
            }
        }
    }

    fn row_head(&self, row: &Row, first: bool) -> Markup {
        let other_unit = row.unit != self.state.result.unit && !row.unit.is_empty();
        html! {
            @if row.group_name.is_empty() {
                b { (row.name) }
            } @else {
                @if first { b { (row.group_name) } @if !row.group_under.is_empty() { small { (row.group_under) } } }
                @else { span.away { (row.group_name) } }
                span.axis { (row.name) }
            }
            @if other_unit { small { (row.unit) } }
            @if row.optional { small { "if wanted" } }
        }
    }

    fn figure_row(&self, row: &DerivedRow, beside: usize) -> Markup {
        let spots: Vec<Option<&Spot>> = row.places.iter().map(|p| p.as_ref().and_then(|p| self.spots.get(p))).collect();
        let limits: Vec<&str> = spots.iter().flatten().filter_map(|s| self.limits_text(s)).collect();
        // Where every column has the same limits they stand once at the head.
        let common = limits.first().filter(|first| limits.iter().all(|l| l == *first));
        let other_unit = row.unit != self.state.result.unit && !row.unit.is_empty();
        html! {
            tr {
                th.rl scope="row" {
                    b { (row.name) }
                    @if let Some(common) = common { small { (common) } }
                    @if other_unit { small { (row.unit) } }
                }
                @for (column, spot) in spots.iter().enumerate() {
                    td data-column=(column) { @if let Some(spot) = spot { (self.cell(spot, true)) } }
                }
                @for _ in 0..beside { td {} }
            }
        }
    }

    fn limits_text(&self, spot: &Spot) -> Option<&str> {
        let figure = self.state.result.figure(&spot.place)?;
        figure.judgement.as_ref().map(|j| j.limits.as_str())
    }

    fn below(&self, rows: &[&DerivedRow]) -> Markup {
        html! {
            ul.overall aria-label="Over the whole sheet" {
                @for row in rows {
                    @if let Some(spot) = row.places.first().and_then(Option::as_ref).and_then(|p| self.spots.get(p)) {
                        li {
                            span.rl { b { (row.name) } @if let Some(limits) = self.limits_text(spot) { small { (limits) } } @if !row.note.is_empty() { small { (row.note) } } }
                            (self.cell(spot, true))
                        }
                    }
                }
            }
        }
    }

    /// A cell: a link that takes the place in hand, with all that a script needs to know of it.
    fn cell(&self, spot: &Spot, figure: bool) -> Markup {
        let here = spot.place == self.current;
        let quiet = if spot.number.starts_with(&spot.prefix) { spot.prefix.as_str() } else { "" };
        let bold = &spot.number[quiet.len()..];
        let class = [
            ("cell", true),
            ("figure", figure),
            ("out", spot.verdict == "outside"),
            ("cant", spot.verdict == "cannot"),
            ("blank", spot.state == "empty"),
            ("word", matches!(spot.state, "word" | "not_read" | "unusable")),
            ("two", !spot.two.is_empty()),
            ("tainted", spot.taint.is_some() && spot.state != "empty"),
            ("held", spot.kept.is_some()),
            ("cur", here),
        ];
        let class: Vec<&str> = class.iter().filter(|(_, on)| *on).map(|(name, _)| *name).collect();
        let bar = self.bars.iter().position(|b| *b == (spot.limits, spot.decimals));
        let two = (!spot.two.is_empty()).then(|| two_json(&spot.two));
        let standing = spot.standing.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ");
        html! {
            a class=(class.join(" ")) href=(self.address(&spot.place)) aria-current=[here.then_some("true")] aria-label=(spot.label())
                data-place=(spot.place) data-name=(spot.name) data-unit=(spot.unit) data-state=(spot.state) data-number=(spot.number) data-typed=(spot.typed)
                data-order=[spot.order] data-decimals=(spot.decimals) data-prefix=(spot.prefix)
                data-lo=[spot.limits.low.map(plain)] data-hi=[spot.limits.high.map(plain)]
                data-verdict=(spot.verdict) data-beyond=(spot.beyond) data-say=(spot.say) data-limit=(spot.limit_words) data-was=(spot.was.join("\n"))
                data-near=(numbers(&spot.near)) data-standing=(standing) data-two=[two] data-ask=[spot.asks.then_some("")]
                data-optional=[spot.optional.then_some("")] data-bar=[bar] data-instrument=[spot.instrument] data-usual=[spot.usual.then_some("")] {
                span.v {
                    @if spot.state == "empty" { @if figure { "\u{2014}" } @else { "\u{b7}\u{b7}" } }
                    @else { @if !quiet.is_empty() { i { (quiet) } } (bold) }
                }
                @if !spot.two.is_empty() { span.cellmark { (marks::asks()) "two" } }
                @else if spot.verdict == "cannot" && spot.kept.is_none() && !figure { span.cellmark { (marks::asks()) } }
                @else if spot.taint.is_some() && spot.state != "empty" { span.cellmark.taint { (marks::flag()) span.away { "instrument overdue or not known" } } }
                @if spot.state != "empty" || !figure { (bars::small(spot.limits, spot.drawn, figure)) }
            }
        }
    }

    fn address(&self, place: &str) -> String {
        format!("{}?place={}", self.here, crate::accounts::escape(place))
    }
}

fn two_json(two: &[(String, String)]) -> String {
    let list: Vec<serde_json::Value> =
        two.iter().map(|(typed, by)| serde_json::json!({ "typed": typed, "by": by })).collect();
    serde_json::Value::Array(list).to_string()
}
