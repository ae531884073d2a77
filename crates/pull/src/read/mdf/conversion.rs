//! From the number in a record to the number that is meant (CC blocks).

use super::source::{Block, Fault, Source, f64_at, u16_at};
use super::text::text;

/// How a raw number becomes a value.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Conversion {
    /// The raw number is the value.
    None,
    /// offset + factor · raw.
    Linear { offset: f64, factor: f64 },
    /// (p1·x² + p2·x + p3) / (p4·x² + p5·x + p6).
    Rational([f64; 6]),
    /// Key and value, keys rising. Beyond the ends the end value holds, as the standard says.
    /// Without interpolation the nearest key counts, the lower one half way.
    Table { rows: Vec<(f64, f64)>, interpolate: bool },
    /// From, to, value; and the value outside all ranges. The upper end belongs to the range for
    /// whole numbers and not for real ones.
    Ranges { rows: Vec<(f64, f64, f64)>, otherwise: f64 },
}

/// A conversion as found, with what must be said about it.
pub(super) struct Found {
    pub(super) conversion: Conversion,
    pub(super) unit: Option<String>,
    /// Raw numbers are kept, for this reason.
    pub(super) kept_raw: Option<KeptRaw>,
}

/// Why the raw numbers are kept.
pub(super) enum KeptRaw {
    /// The conversion gives words; the number behind them is kept.
    Words,
    /// The conversion is of a kind that is not read.
    NotRead(String),
    /// The conversion block is damaged.
    Damaged(Fault),
}

/// Reads the conversion at an offset; 0 is "none".
pub(super) fn conversion(source: &Source<'_>, at: u64) -> Found {
    let plain = |kept_raw| Found { conversion: Conversion::None, unit: None, kept_raw };
    if at == 0 {
        return plain(None);
    }
    let block = match source.block(at, &[b"CC"]) {
        Ok(block) => block,
        Err(fault) => return plain(Some(KeptRaw::Damaged(fault))),
    };
    let unit = text(source, block.link(1));
    match parse(&block) {
        Ok(Ok(conversion)) => Found { conversion, unit, kept_raw: None },
        Ok(Err(kept)) => Found { conversion: Conversion::None, unit, kept_raw: Some(kept) },
        Err(fault) => Found { conversion: Conversion::None, unit, kept_raw: Some(KeptRaw::Damaged(fault)) },
    }
}

fn parse(block: &Block<'_>) -> Result<Result<Conversion, KeptRaw>, Fault> {
    const VALUES_AT: usize = 24;
    let kind = *block.body.first().ok_or_else(|| block.too_short(VALUES_AT))?;
    let count = usize::from(u16_at(block.body, 6).ok_or_else(|| block.too_short(VALUES_AT))?);
    if block.body.len() < VALUES_AT + 8 * count {
        return Err(block.too_short(VALUES_AT + 8 * count));
    }
    let values: Vec<f64> = (0..count).filter_map(|i| f64_at(block.body, VALUES_AT + 8 * i)).collect();
    let wrong_count = |expected: &str| Fault {
        at: block.at,
        found: format!("a conversion of kind {kind} with {count} numbers"),
        expected: expected.to_owned(),
    };
    Ok(match kind {
        0 => Ok(Conversion::None),
        1 => match values[..] {
            [offset, factor, ..] => Ok(Conversion::Linear { offset, factor }),
            _ => return Err(wrong_count("2 numbers")),
        },
        2 => match values.first_chunk::<6>() {
            Some(p) => Ok(Conversion::Rational(*p)),
            None => return Err(wrong_count("6 numbers")),
        },
        4 | 5 => {
            let rows: Vec<(f64, f64)> = values.chunks_exact(2).map(|p| (p[0], p[1])).collect();
            if rows.is_empty() {
                return Err(wrong_count("pairs of numbers"));
            }
            if rows.windows(2).all(|w| w[0].0 < w[1].0) {
                Ok(Conversion::Table { rows, interpolate: kind == 4 })
            } else {
                Err(KeptRaw::NotRead("a table whose keys do not rise".to_owned()))
            }
        }
        6 => {
            let rows = values.chunks_exact(3).map(|p| (p[0], p[1], p[2])).collect();
            match values.last() {
                Some(otherwise) if count % 3 == 1 => Ok(Conversion::Ranges { rows, otherwise: *otherwise }),
                _ => return Err(wrong_count("three numbers per range and one for all else")),
            }
        }
        7 | 8 => Err(KeptRaw::Words),
        3 => Err(KeptRaw::NotRead("a formula in words".to_owned())),
        9 | 10 => Err(KeptRaw::NotRead("a table from text".to_owned())),
        11 => Err(KeptRaw::NotRead("a table of bit fields".to_owned())),
        other => Err(KeptRaw::NotRead(format!("a conversion of kind {other}"))),
    })
}

impl Conversion {
    /// Converts all values in place. `whole_numbers` says whether the raw data are integers.
    pub(super) fn apply(&self, values: &mut [f64], whole_numbers: bool) {
        match self {
            Conversion::None => {}
            Conversion::Linear { offset, factor } => values.iter_mut().for_each(|v| *v = *v * factor + offset),
            Conversion::Rational([a, b, c, d, e, f]) => {
                values.iter_mut().for_each(|v| *v = (a * *v * *v + b * *v + c) / (d * *v * *v + e * *v + f));
            }
            Conversion::Table { rows, interpolate } => {
                values.iter_mut().for_each(|v| *v = look_up(rows, *v, *interpolate));
            }
            Conversion::Ranges { rows, otherwise } => values.iter_mut().for_each(|v| {
                let hit = |(from, to, _): &&(f64, f64, f64)| *v >= *from && (*v < *to || (whole_numbers && *v == *to));
                *v = if v.is_nan() { f64::NAN } else { rows.iter().find(hit).map_or(*otherwise, |row| row.2) };
            }),
        }
    }
}

fn look_up(rows: &[(f64, f64)], x: f64, interpolate: bool) -> f64 {
    if x.is_nan() {
        return f64::NAN;
    }
    let above = rows.partition_point(|row| row.0 < x);
    if above == 0 {
        return rows[0].1;
    }
    if above == rows.len() {
        return rows[above - 1].1;
    }
    let ((x0, y0), (x1, y1)) = (rows[above - 1], rows[above]);
    if interpolate {
        (y1 - y0) / (x1 - x0) * (x - x0) + y0
    } else if x1 - x < x - x0 {
        y1
    } else {
        y0
    }
}

#[cfg(test)]
mod tests {
    use super::Conversion;

    /// Worked by hand from the rules of the standard (from memory).
    #[test]
    fn tables_hold_their_ends_and_take_the_lower_key_half_way() {
        let rows = vec![(0.0, 10.0), (2.0, 30.0), (4.0, 40.0)];
        let mut values = [-1.0, 0.0, 1.0, 2.0, 2.5, 3.5, 9.0];
        Conversion::Table { rows: rows.clone(), interpolate: true }.apply(&mut values, false);
        assert_eq!(values, [10.0, 10.0, 20.0, 30.0, 32.5, 37.5, 40.0]);
        let mut values = [-1.0, 0.9, 1.0, 1.1, 3.0, 3.5, 9.0];
        Conversion::Table { rows, interpolate: false }.apply(&mut values, false);
        assert_eq!(values, [10.0, 10.0, 10.0, 30.0, 30.0, 40.0, 40.0]);
    }

    #[test]
    fn the_upper_end_of_a_range_belongs_to_it_for_whole_numbers_only() {
        let ranges = Conversion::Ranges { rows: vec![(0.0, 2.0, 5.0), (3.0, 4.0, 6.0)], otherwise: -1.0 };
        let mut values = [0.0, 2.0, 3.0, 4.0, 7.0];
        ranges.apply(&mut values, true);
        assert_eq!(values, [5.0, 5.0, 6.0, 6.0, -1.0]);
        let mut values = [0.0, 2.0, 2.5, 4.0];
        ranges.apply(&mut values, false);
        assert_eq!(values, [5.0, -1.0, -1.0, -1.0]);
    }
}
