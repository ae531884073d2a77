//! From bytes to records, and from records to columns.

use super::source::{Fault, Source, u32_at};
use super::tree::{Channel, DataGroup, Number, Place, RecordKind, Validity};
use crate::log::Severity;
use std::borrow::Cow;
use std::collections::HashMap;

/// The records of each kind of a data group, without record ids, back to back.
pub(super) fn split<'a>(source: &mut Source<'_>, group: &DataGroup, bytes: Cow<'a, [u8]>) -> Vec<Cow<'a, [u8]>> {
    let mut runs: Vec<Cow<'a, [u8]>> = group.kinds.iter().map(|_| Cow::Borrowed(&[][..])).collect();
    if group.id_bytes == 0 {
        if group.kinds.len() > 1 {
            source.add_fault(
                "mdf_records_mixed",
                "Several kinds of record stand in one data group without record ids.",
                "all rows are given to the first channel group",
                &Fault {
                    at: group.at,
                    found: format!("{} channel groups", group.kinds.len()),
                    expected: "one".to_owned(),
                },
            );
        }
        if let Some(first) = runs.first_mut() {
            *first = bytes;
        }
        return runs;
    }
    if !matches!(group.id_bytes, 1 | 2 | 4 | 8) {
        source.add_fault(
            "mdf_records_lost",
            "The records of a data group cannot be told apart.",
            "its rows are left out",
            &Fault {
                at: group.at,
                found: format!("record ids of {} bytes", group.id_bytes),
                expected: "0, 1, 2, 4 or 8".to_owned(),
            },
        );
        return runs;
    }
    if let Err(fault) = tell_apart(group, &bytes, &mut runs, source.undone != 0) {
        source.add_fault(
            "mdf_records_lost",
            "The records of a data group cannot be told apart to the end.",
            "the rows before this place are kept, the rest is left out",
            &fault,
        );
    }
    runs
}

fn tell_apart(group: &DataGroup, bytes: &[u8], runs: &mut [Cow<'_, [u8]>], unfinished: bool) -> Result<(), Fault> {
    let mut at = 0;
    let mut by_id = HashMap::new();
    for (which, kind) in group.kinds.iter().enumerate() {
        by_id.entry(kind.record_id).or_insert(which);
    }
    let fault = |at: usize, found: String, expected: &str| Fault {
        at: group.data,
        found: format!("{found} at byte {at} of the group's data"),
        expected: expected.to_owned(),
    };
    while at < bytes.len() {
        let mut id = [0; 8];
        let Some(written) = bytes.get(at..at + group.id_bytes) else {
            return if unfinished { Ok(()) } else { Err(fault(at, "the end of the data".to_owned(), "a record id")) };
        };
        id[..group.id_bytes].copy_from_slice(written);
        let id = u64::from_le_bytes(id);
        let Some(which) = by_id.get(&id).copied() else {
            return Err(fault(at, format!("record id {id}"), "an id that a channel group bears"));
        };
        let kind = &group.kinds[which];
        let from = at + group.id_bytes;
        let length = if kind.varying {
            u32_at(bytes, from).map(|n| n as usize + 4)
        } else {
            Some(kind.data_bytes + kind.validity_bytes)
        };
        match length.and_then(|n| bytes.get(from..from + n)) {
            Some(record) => {
                if !kind.varying {
                    runs[which].to_mut().extend_from_slice(record);
                }
                at = from + record.len();
            }
            None if unfinished => return Ok(()),
            None => return Err(fault(at, "a record that is cut short".to_owned(), "a whole record")),
        }
    }
    Ok(())
}

/// Why a channel of numbers gives no column.
pub(super) fn unreadable(kind: &RecordKind, channel: &Channel) -> Option<String> {
    let Place::Record { byte, bit, bits } = channel.place else { return None };
    let allowed = match channel.number {
        Number::Real { .. } => bit == 0 && matches!(bits, 16 | 32 | 64),
        _ => bit < 8 && (1..=64).contains(&bits),
    };
    if !allowed {
        return Some(format!("a number of {bits} bits from bit {bit}"));
    }
    let width = (bit + bits).div_ceil(8) as usize;
    (byte.saturating_add(width) > kind.data_bytes).then(|| {
        format!("a number at bytes {byte} to {} of a record of {} bytes", byte.saturating_add(width), kind.data_bytes)
    })
}

/// A column of a kind of record.
pub(super) struct Column {
    /// Values after conversion.
    pub(super) values: Vec<f64>,
    pub(super) missing: usize,
    /// Whole numbers too large for a double to hold to the last digit.
    pub(super) rounded: usize,
}

pub(super) fn column(kind: &RecordKind, channel: &Channel, records: &[u8], rows: usize) -> Column {
    let size = kind.data_bytes + kind.validity_bytes;
    let mut values: Vec<f64> = match channel.place {
        Place::RowNumber => (0..rows).map(|row| row as f64).collect(),
        Place::Record { byte, bit, bits } => {
            let width = (bit + bits).div_ceil(8) as usize;
            let cells = records.chunks_exact(size).take(rows).map(|record| &record[byte..byte + width]);
            match channel.number {
                Number::Unsigned { big_endian } => {
                    let mask = if bits == 64 { u64::MAX } else { (1 << bits) - 1 };
                    cells.map(|cell| ((wide(cell, big_endian) >> bit) as u64 & mask) as f64).collect()
                }
                Number::Signed { big_endian } => cells
                    .map(|cell| {
                        let low = (wide(cell, big_endian) >> bit) as u64;
                        (((low << (64 - bits)) as i64) >> (64 - bits)) as f64
                    })
                    .collect(),
                Number::Real { big_endian } => cells
                    .map(|cell| {
                        let low = wide(cell, big_endian) as u64;
                        match bits {
                            64 => f64::from_bits(low),
                            32 => f64::from(f32::from_bits(low as u32)),
                            _ => half(low as u16),
                        }
                    })
                    .collect(),
            }
        }
    };
    let whole_numbers = !matches!(channel.number, Number::Real { .. });
    let rounded = if whole_numbers { values.iter().filter(|v| v.abs() > 9_007_199_254_740_992.0).count() } else { 0 };
    channel.conversion.apply(&mut values, whole_numbers);
    match channel.validity {
        Validity::All => {}
        Validity::None => values.fill(f64::NAN),
        Validity::Bit(bit) => {
            let at = kind.data_bytes + (bit / 8) as usize;
            if at < size {
                for (value, record) in values.iter_mut().zip(records.chunks_exact(size)) {
                    if record[at] >> (bit % 8) & 1 != 0 {
                        *value = f64::NAN;
                    }
                }
            }
        }
    }
    let missing = values.iter().filter(|v| v.is_nan()).count();
    Column { values, missing, rounded }
}

/// How many rows to take, out of how many found; says so when it is not what the file states.
pub(super) fn rows(source: &mut Source<'_>, kind: &RecordKind, found: usize, leftover: usize, counted: bool) -> usize {
    let place =
        kind.name.as_ref().map_or(format!("channel group at byte {}", kind.at), |n| format!("channel group \"{n}\""));
    let stated = usize::try_from(kind.rows_stated).unwrap_or(usize::MAX);
    let mut say = |code: &str, what: &str, found: String, expected: String, effect: &str| {
        source.add(crate::log::Problem {
            severity: Severity::Loss,
            code: code.to_owned(),
            what: what.to_owned(),
            place: Some(place.clone()),
            found: Some(found),
            expected: Some(expected),
            effect: Some(effect.to_owned()),
            next: None,
            count: 1,
        });
    };
    if !counted {
        return found;
    }
    if found < stated {
        say(
            "mdf_rows_missing",
            "The file holds fewer rows than it states.",
            format!("{found} whole rows"),
            format!("{stated} rows"),
            "the rows that are whole are kept",
        );
    } else if found > stated {
        say(
            "mdf_rows_uncounted",
            "The file holds more rows than it states.",
            format!("{found} rows"),
            format!("{stated} rows"),
            "the rows beyond the stated number are left out",
        );
    } else if leftover > 0 {
        say(
            "mdf_bytes_left",
            "Bytes are left over after the last row.",
            format!("{leftover} bytes"),
            "none".to_owned(),
            "they are left out",
        );
    }
    found.min(stated)
}

fn wide(cell: &[u8], big_endian: bool) -> u128 {
    let shift_in = |n: u128, b: &u8| (n << 8) | u128::from(*b);
    if big_endian { cell.iter().fold(0, shift_in) } else { cell.iter().rev().fold(0, shift_in) }
}

/// A real number of 16 bits: sign, 5 bits of exponent, 10 bits of fraction (IEEE 754).
fn half(bits: u16) -> f64 {
    let sign = if bits >> 15 == 1 { -1.0 } else { 1.0 };
    let (exponent, fraction) = (i32::from(bits >> 10 & 0x1f), f64::from(bits & 0x3ff));
    match exponent {
        0 => sign * fraction * 2f64.powi(-24),
        31 if fraction == 0.0 => sign * f64::INFINITY,
        31 => f64::NAN,
        _ => sign * (1024.0 + fraction) * 2f64.powi(exponent - 25),
    }
}

#[cfg(test)]
mod tests {
    use super::{half, wide};

    #[test]
    fn half_precision_numbers_of_ieee_754() {
        // IEEE 754-2008, binary16: 1, −2, largest 65504, smallest normal 2^-14, smallest 2^-24.
        let cases = [(0x3c00, 1.0), (0xc000, -2.0), (0x7bff, 65504.0), (0x0400, 2f64.powi(-14)), (1, 2f64.powi(-24))];
        for (bits, value) in cases {
            assert_eq!(half(bits), value);
        }
        assert!(half(0x7e00).is_nan() && half(0x7c00).is_infinite());
    }

    #[test]
    fn bytes_in_both_orders() {
        assert_eq!(wide(&[1, 2, 3], false), 0x03_0201);
        assert_eq!(wide(&[1, 2, 3], true), 0x01_0203);
    }
}
