//! Collects what comes out of a test: figures, verdicts, suggestions, warnings.

use super::TestBefore;
use super::check::Fault;
use super::judged::{Cell, Figure, Judged, Row, SourceTag, Suggestion, VerdictLine, Warning, WarningKind};
use super::numbers::{Est, list, show};
use super::patterns::Sign;
use super::table::Table;
use quantity::{Dimension, Limits, Verdict, verdict};

/// A condition that takes one side of a verdict away.
#[derive(Debug, Clone, Copy)]
pub(super) struct Hold<'a> {
    /// "Inside" cannot be said.
    pub(super) inside: bool,
    /// "Outside" cannot be said.
    pub(super) outside: bool,
    /// Why.
    pub(super) why: &'a str,
}

/// Collects what comes out of a test.
pub(super) struct Writer<'a> {
    pub(super) table: &'a Table,
    test: &'static str,
    out: Judged,
}

impl<'a> Writer<'a> {
    pub(super) fn new(test: &TestBefore, table: &'a Table) -> Self {
        let out = Judged {
            test: test.key().to_owned(),
            name: test.name().to_owned(),
            rows: Vec::new(),
            figures: Vec::new(),
            verdicts: Vec::new(),
            suggestions: Vec::new(),
            warnings: Vec::new(),
        };
        Self { table, test: test.key(), out }
    }

    pub(super) fn done(self) -> Judged {
        self.out
    }

    pub(super) fn fault(&mut self, fault: &Fault) {
        self.warn(WarningKind::NotPossible, fault.to_string());
    }

    pub(super) fn warn(&mut self, kind: WarningKind, words: impl Into<String>) {
        self.out.warnings.push(Warning { kind, words: words.into() });
    }

    /// One warning for everything that was not noted.
    pub(super) fn not_noted(&mut self, fields: &[(&str, bool)]) {
        let missing: Vec<String> = fields.iter().filter(|(_, noted)| !noted).map(|(f, _)| (*f).to_owned()).collect();
        if !missing.is_empty() {
            self.warn(WarningKind::NotNoted, format!("Not noted: {}.", missing.join(", ")));
        }
    }

    pub(super) fn row(&mut self, place: impl Into<String>, cells: Vec<Cell>) {
        self.out.rows.push(Row { place: place.into(), cells });
    }

    pub(super) fn figure(&mut self, key: &str, label: &str, dimension: Dimension, si: f64, u: Option<f64>, note: &str) {
        if !si.is_finite() {
            return;
        }
        let u_si = u.filter(|u| u.is_finite());
        let text = show(dimension, si, u_si);
        let (key, label, note) = (key.to_owned(), label.to_owned(), note.to_owned());
        self.out.figures.push(Figure { key, label, dimension, si, u_si, text, note });
    }

    /// Holds a value against every limit that the table has for this figure.
    pub(super) fn limits(&mut self, figure: &str, place: &str, value: Est, hold: Option<Hold<'_>>) {
        let table = self.table;
        for limit in table.limits(self.test, figure) {
            let limits = Limits { lower: limit.min_si, upper: limit.max_si };
            let line = Line { figure, place, value, limits, hold };
            self.line(line, limit.dimension, &limit.words, &limit.source, limit.do_not_run);
        }
    }

    /// Holds a value against limits that do not stand in the table.
    pub(super) fn line(
        &mut self,
        line: Line<'_>,
        dimension: Dimension,
        words: &str,
        source: &SourceTag,
        do_not_run: bool,
    ) {
        let Line { figure, place, value, limits, hold } = line;
        let plain = verdict(value.value, value.u, limits);
        let taken = hold.filter(|h| match plain {
            Verdict::Inside => h.inside,
            Verdict::Outside => h.outside,
            Verdict::CannotTell => false,
        });
        let verdict = if taken.is_some() { Verdict::CannotTell } else { plain };
        let said = match verdict {
            Verdict::Inside => "inside",
            Verdict::Outside => "outside",
            Verdict::CannotTell => "cannot tell",
        };
        let why = match (taken, plain) {
            (Some(hold), _) => format!(", {}", hold.why),
            (None, Verdict::CannotTell) => ", the limit lies within the uncertainty".to_owned(),
            _ => String::new(),
        };
        let at = if place.is_empty() { String::new() } else { format!("{}: ", capital(place)) };
        let shown = show(dimension, value.value, Some(value.u));
        self.out.verdicts.push(VerdictLine {
            figure: figure.to_owned(),
            place: place.to_owned(),
            dimension,
            si: value.value,
            u_si: value.u,
            limit: words.to_owned(),
            lower_si: limits.lower,
            upper_si: limits.upper,
            verdict,
            words: format!("{at}{shown}; {words}: {said}{why}."),
            source: source.clone(),
            do_not_run,
        });
    }

    /// Everything that the table says about a sign.
    pub(super) fn sign(&mut self, sign: Sign, cylinders: &[u32], because: &str) {
        suggestions(self.table, sign, cylinders, because, &mut self.out.suggestions);
    }
}

/// A value with the limits it is held against.
pub(super) struct Line<'a> {
    pub(super) figure: &'a str,
    pub(super) place: &'a str,
    pub(super) value: Est,
    pub(super) limits: Limits,
    pub(super) hold: Option<Hold<'a>>,
}

/// What the table says about a sign.
pub(super) fn suggestions(table: &Table, sign: Sign, cylinders: &[u32], because: &str, out: &mut Vec<Suggestion>) {
    for pattern in table.patterns(sign.key()) {
        let named = |text: &str| text.replace("{cylinders}", &list(cylinders));
        out.push(Suggestion {
            sign: sign.key().to_owned(),
            words: named(&pattern.words),
            because: because.to_owned(),
            look: named(&pattern.look),
            sure: pattern.sure,
            source: pattern.source.clone(),
            cylinders: cylinders.to_vec(),
            do_not_run: pattern.do_not_run,
            nothing_wrong: pattern.nothing_wrong,
        });
    }
}

pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}
