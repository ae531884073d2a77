//! Reading ASAM MDF 4 files, the open standard for measurement logs.
//!
//! The structure of the standard (blocks, links, fields) is written down from memory; what is read
//! is checked value by value against the readings of the Python package asammdf (`validation/mdf`).
//!
//! Read: versions 4.00 to 4.20; sorted and unsorted groups; data in one block, in lists, compressed
//! by deflate, turned or not; several groups at different rates; whole and real numbers of either byte
//! order and any bit width; validity bits; linear, rational, table and range conversions; files that
//! their writer did not finish, as far as they are whole.
//!
//! Left out, and said so in the problems: text, byte strings, arrays, media, values of varying length;
//! conversions by formula or from text (the raw numbers are kept); groups that run over angle, distance
//! or row number have no time column; attachments and events; MDF 3 and older.
//!
//! Nothing in a file is trusted: links are checked against the bytes, no block is visited twice, and
//! memory grows only with the data that are there.

mod conversion;
mod data;
mod records;
mod source;
mod text;
mod tree;

use crate::log::{RawColumn, RawGroup, RawLog, Severity};
use crate::read::Progress;
use rayon::prelude::*;
use source::{Source, UNDONE_ROW_COUNT, u16_at, u64_at};
use std::collections::HashMap;
use tree::{Channel, RecordKind};

/// Bytes of the identification block.
const IDENTIFICATION: usize = 64;

/// Most values that one byte of data can hold (one per bit), for a bound on memory.
const VALUES_PER_BYTE: usize = 8;

/// Why nothing can be read of an MDF file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum MdfError {
    /// The file ends within its first block.
    #[error("the file ends after {bytes} bytes; an MDF file has at least 168. Copy it again from the dyno")]
    TooShort {
        /// Length of the file.
        bytes: usize,
    },
    /// The file does not begin as an MDF file does.
    #[error(
        "the file begins with \"{found}\"; an MDF file begins with \"MDF\" or \"UnFinMF\". If it is text, name it .csv"
    )]
    NotMdf {
        /// First bytes, printable ones as text.
        found: String,
    },
    /// The file is MDF, of a version that is not read.
    #[error(
        "the file is MDF version {version}; versions 4.00 to 4.20 are read. Convert it to MDF 4, or export it as CSV"
    )]
    Version {
        /// Version as written.
        version: String,
    },
    /// The block that leads to all others is damaged.
    #[error(
        "the header at byte 64 cannot be read: found {found}, expected {expected}. Copy the file again from the dyno"
    )]
    Header {
        /// What stands there.
        found: String,
        /// What should.
        expected: String,
    },
    /// The tree holds no channel with a number in it.
    #[error("no channel with numbers was found in the file{because}")]
    NoChannels {
        /// The first problem met, as ": …", or nothing.
        because: String,
    },
}

/// Whether bytes begin as an MDF file of any version does.
pub fn looks_like_mdf(bytes: &[u8]) -> bool {
    bytes.starts_with(b"MDF     ") || bytes.starts_with(b"UnFinMF ")
}

/// Reads an MDF 4 file.
///
/// Each channel group gives one [`RawGroup`], with its master channel as time column; groups of
/// version 4.20 that share another group's time are joined to it. Values are after conversion, in the
/// unit the file names. Names are made unique over the whole log, time columns apart.
///
/// # Errors
/// [`MdfError`] if nothing can be read. Everything less than that is in the problems of the log.
///
/// # Checked by
/// `mdf_against_asammdf` (all values of 23 files), `fuzz_mdf` (damaged files neither panic nor hang).
pub fn read(name: &str, bytes: &[u8], progress: &(dyn Fn(Progress) + Sync)) -> Result<RawLog, MdfError> {
    let (version, undone) = identify(bytes)?;
    let mut source = Source::new(bytes, undone);
    let header = source
        .block(64, &[b"HD"])
        .map_err(|fault| MdfError::Header { found: fault.found, expected: fault.expected })?;
    let mut facts = facts(&source, &header, bytes);
    if undone != 0 || bytes.starts_with(b"UnFin") {
        source.note(
            Severity::Loss,
            "mdf_unfinished",
            "The program that wrote the file did not finish it.".to_owned(),
            "bytes 0 to 63".to_owned(),
            "what is whole is read; the last rows may be missing",
        );
    }
    let tree = tree::data_groups(&mut source, header.link(0));
    let total = bytes.len();
    let mut done = 0;
    let mut groups: Vec<(u64, u64, RawGroup)> = Vec::new();
    let mut names = HashMap::new();
    for data_group in tree {
        let data = data::gather(&mut source, data_group.data);
        done += data.len();
        let runs = records::split(&mut source, &data_group, data);
        for (kind, run) in data_group.kinds.iter().zip(&runs) {
            if kind.varying || kind.channels.is_empty() {
                continue;
            }
            if let Some(group) = group(&mut source, kind, run, undone & UNDONE_ROW_COUNT == 0, &mut names) {
                facts.push((format!("group {}", groups.len() + 1), describe(kind, &group)));
                groups.push((kind.at, kind.time_from, group));
            }
        }
        progress(Progress { done: done.min(total), total });
    }
    let groups = join_shared_time(&mut source, groups);
    if groups.iter().all(|g| g.columns.is_empty()) {
        let because = source.problems.iter().find(|p| p.severity > Severity::Note).map_or(String::new(), |p| {
            format!(": {}{}", p.what, p.place.as_ref().map_or(String::new(), |place| format!(" ({place})")))
        });
        return Err(MdfError::NoChannels { because });
    }
    progress(Progress { done: total, total });
    let state = if undone != 0 || bytes.starts_with(b"UnFin") { ", unfinished" } else { "" };
    Ok(RawLog {
        name: name.to_owned(),
        dialect: format!("MDF {version}{state}"),
        facts,
        groups,
        problems: source.problems,
    })
}

/// Version in words and the bits of what the writer left undone.
fn identify(bytes: &[u8]) -> Result<(String, u16), MdfError> {
    if !looks_like_mdf(bytes) {
        let found: String = bytes
            .iter()
            .take(8)
            .map(|b| if b.is_ascii_graphic() || *b == b' ' { char::from(*b) } else { '.' })
            .collect();
        return Err(if bytes.is_empty() { MdfError::TooShort { bytes: 0 } } else { MdfError::NotMdf { found } });
    }
    let too_short = || MdfError::TooShort { bytes: bytes.len() };
    let number = u16_at(bytes, 28).ok_or_else(too_short)?;
    if !(400..=420).contains(&number) {
        let written: String = bytes[8..16].iter().map(|b| char::from(*b)).filter(char::is_ascii_graphic).collect();
        let version = if written.is_empty() { format!("{}.{:02}", number / 100, number % 100) } else { written };
        return Err(MdfError::Version { version });
    }
    let undone = if bytes.starts_with(b"UnFin") { u16_at(bytes, 60).ok_or_else(too_short)? } else { 0 };
    if bytes.len() < IDENTIFICATION + 104 {
        return Err(too_short());
    }
    Ok((format!("{}.{:02}", number / 100, number % 100), undone))
}

/// What the header says: program, start of the measurement, comment.
fn facts(source: &Source<'_>, header: &source::Block<'_>, bytes: &[u8]) -> Vec<(String, String)> {
    let mut facts = Vec::new();
    let program: String =
        bytes[16..24].iter().map(|b| char::from(*b)).filter(|c| c.is_ascii_graphic() || *c == ' ').collect();
    if !program.trim().is_empty() {
        facts.push(("written by".to_owned(), program.trim().to_owned()));
    }
    let start = u64_at(header.body, 0).filter(|ns| *ns != 0);
    if let Some(start) = start.and_then(|ns| jiff::Timestamp::from_nanosecond(i128::from(ns)).ok()) {
        let local = header.body.get(12).is_some_and(|flags| flags & 1 != 0);
        let text = start.strftime("%Y-%m-%d %H:%M:%S").to_string();
        facts.push(("start".to_owned(), format!("{text}{}", if local { " local time" } else { " UTC" })));
    }
    if let Some(comment) = text::text(source, header.link(5)) {
        facts.push(("comment".to_owned(), comment));
    }
    facts
}

/// One channel group as columns; `None` if its records hold no bytes.
fn group(
    source: &mut Source<'_>,
    kind: &RecordKind,
    run: &[u8],
    counted: bool,
    names: &mut HashMap<String, usize>,
) -> Option<RawGroup> {
    let size = kind.data_bytes + kind.validity_bytes;
    if size == 0 {
        source.note(
            Severity::Loss,
            "mdf_group_without_bytes",
            "A channel group has records without bytes.".to_owned(),
            format!("channel group at byte {}", kind.at),
            "the group is left out",
        );
        return None;
    }
    let found = run.len() / size;
    let rows = records::rows(source, kind, found, run.len() % size, counted);
    let budget = run.len().saturating_mul(VALUES_PER_BYTE) + 16 * rows;
    let mut readable: Vec<&Channel> = Vec::new();
    for channel in &kind.channels {
        let place = format!("channel \"{}\"", channel.name);
        if let Some(why) = records::unreadable(kind, channel) {
            source.note(
                Severity::Loss,
                "mdf_channel_outside",
                format!("A channel is described as {why}, which is not possible."),
                place,
                "the channel is left out",
            );
        } else if (readable.len() + 1).saturating_mul(rows) > budget {
            source.note(
                Severity::Loss,
                "mdf_too_many_channels",
                "A channel group names more channels than its records have bits.".to_owned(),
                place,
                "the channel is left out",
            );
        } else {
            if let tree::Validity::Bit(bit) = channel.validity
                && bit as usize / 8 >= kind.validity_bytes
            {
                source.note(
                    Severity::Loss,
                    "mdf_validity_outside",
                    "The validity bit of a channel stands outside the record.".to_owned(),
                    place,
                    "all its values are taken as valid",
                );
            }
            readable.push(channel);
        }
    }
    let columns: Vec<records::Column> =
        readable.par_iter().map(|channel| records::column(kind, channel, run, rows)).collect();
    for (channel, column) in readable.iter().zip(&columns) {
        if column.rounded > 0 {
            source.note(
                Severity::Note,
                "mdf_whole_number_rounded",
                format!("{} values are whole numbers above 9,007,199,254,740,992.", column.rounded),
                format!("channel \"{}\"", channel.name),
                "they are rounded to about 16 digits",
            );
        }
    }
    let time_column = readable.iter().position(|channel| channel.is_time);
    let columns = readable
        .iter()
        .zip(columns)
        .map(|(channel, column)| RawColumn {
            name: if channel.is_time { channel.name.clone() } else { unique(names, &channel.name) },
            unit_text: channel.unit.clone().or_else(|| channel.is_time.then(|| "s".to_owned())),
            values: column.values,
            missing: column.missing,
            unreadable: 0,
        })
        .collect();
    Some(RawGroup { rows, rows_found: found, columns, time_column })
}

/// The name, or the name with " (2)" and so on if it was given before.
fn unique(names: &mut HashMap<String, usize>, name: &str) -> String {
    let mut count = names.get(name).copied().unwrap_or(0) + 1;
    let mut unique = if count == 1 { name.to_owned() } else { format!("{name} ({count})") };
    while count > 1 && names.contains_key(&unique) {
        count += 1;
        unique = format!("{name} ({count})");
    }
    names.insert(name.to_owned(), count);
    if unique != name {
        names.insert(unique.clone(), 1);
    }
    unique
}

fn describe(kind: &RecordKind, group: &RawGroup) -> String {
    let name = kind.name.as_ref().map_or(String::new(), |n| format!("{n}: "));
    format!("{name}{} rows, {} channels", group.rows, group.columns.len())
}

/// Joins groups that name another group as the keeper of their time (4.20) to that group.
fn join_shared_time(source: &mut Source<'_>, groups: Vec<(u64, u64, RawGroup)>) -> Vec<RawGroup> {
    let mut joined: Vec<(u64, RawGroup)> = Vec::new();
    let mut waiting = Vec::new();
    for (at, time_from, group) in groups {
        if time_from == 0 { joined.push((at, group)) } else { waiting.push((at, time_from, group)) }
    }
    for (at, time_from, group) in waiting {
        match joined.iter_mut().find(|(keeper, g)| *keeper == time_from && g.rows == group.rows) {
            Some((_, keeper)) => keeper.columns.extend(group.columns),
            None => {
                source.note(
                    Severity::Loss,
                    "mdf_time_not_shared",
                    "A channel group names another as the keeper of its time, and the two do not fit.".to_owned(),
                    format!("channel group at byte {at}"),
                    "the group has no time",
                );
                joined.push((at, group));
            }
        }
    }
    joined.into_iter().map(|(_, group)| group).collect()
}
