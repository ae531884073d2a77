//! The tree of a file: data groups (DG), channel groups (CG), channels (CN).

use super::conversion::{Conversion, KeptRaw, conversion};
use super::source::{Fault, Source, show_id, u16_at, u32_at, u64_at};
use super::text::text;
use crate::log::Severity;

/// A data group: one stretch of records, of one kind (sorted) or of several (unsorted).
pub(super) struct DataGroup {
    pub(super) at: u64,
    /// Bytes of the record id before each record; 0 in a sorted group.
    pub(super) id_bytes: usize,
    /// Link to the data.
    pub(super) data: u64,
    pub(super) kinds: Vec<RecordKind>,
}

/// A channel group: one kind of record.
pub(super) struct RecordKind {
    pub(super) at: u64,
    pub(super) record_id: u64,
    /// Rows as stated.
    pub(super) rows_stated: u64,
    /// Holds values of varying length (VLSD) and no records of fixed length.
    pub(super) varying: bool,
    pub(super) data_bytes: usize,
    pub(super) validity_bytes: usize,
    pub(super) name: Option<String>,
    /// The channel group whose time this one shares (4.20), or 0.
    pub(super) time_from: u64,
    pub(super) channels: Vec<Channel>,
}

/// A channel that holds numbers.
pub(super) struct Channel {
    pub(super) name: String,
    pub(super) unit: Option<String>,
    pub(super) place: Place,
    pub(super) number: Number,
    pub(super) conversion: Conversion,
    /// Time, by the writer's own word.
    pub(super) is_time: bool,
    pub(super) validity: Validity,
}

/// Where a number stands.
pub(super) enum Place {
    /// In the record.
    Record { byte: usize, bit: u32, bits: u32 },
    /// Nowhere: the number is the row's own, counted from 0.
    RowNumber,
}

/// How a number is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Number {
    Unsigned { big_endian: bool },
    Signed { big_endian: bool },
    Real { big_endian: bool },
}

/// Which values count.
#[derive(Clone, Copy)]
pub(super) enum Validity {
    All,
    None,
    /// Not where this bit of the validity bytes is set.
    Bit(u32),
}

/// Walks all data groups from the first.
pub(super) fn data_groups(source: &mut Source<'_>, first: u64) -> Vec<DataGroup> {
    let mut groups = Vec::new();
    let mut at = first;
    while at != 0 {
        let block = match once(source, at, &[b"DG"]) {
            Ok(block) => block,
            Err(fault) => {
                source.add_fault(
                    "mdf_group_lost",
                    "A data group cannot be read.",
                    "it and the groups after it are left out",
                    &fault,
                );
                break;
            }
        };
        let id_bytes = usize::from(block.body.first().copied().unwrap_or(0));
        let kinds = record_kinds(source, block.link(1));
        groups.push(DataGroup { at, id_bytes, data: block.link(2), kinds });
        at = block.link(0);
    }
    groups
}

fn record_kinds(source: &mut Source<'_>, first: u64) -> Vec<RecordKind> {
    let mut kinds = Vec::new();
    let mut at = first;
    while at != 0 {
        let read =
            once(source, at, &[b"CG"]).and_then(|block| record_kind(source, &block).map(|kind| (kind, block.link(0))));
        match read {
            Ok((kind, next)) => {
                kinds.push(kind);
                at = next;
            }
            Err(fault) => {
                source.add_fault(
                    "mdf_group_lost",
                    "A channel group cannot be read.",
                    "it and the channel groups after it are left out",
                    &fault,
                );
                break;
            }
        }
    }
    kinds
}

fn record_kind(source: &mut Source<'_>, block: &super::source::Block<'_>) -> Result<RecordKind, Fault> {
    let field = |value: Option<u64>| value.ok_or_else(|| block.too_short(32));
    let record_id = field(u64_at(block.body, 0))?;
    let rows_stated = field(u64_at(block.body, 8))?;
    let flags = field(u16_at(block.body, 16).map(u64::from))?;
    let data_bytes = field(u32_at(block.body, 24).map(u64::from))? as usize;
    let validity_bytes = field(u32_at(block.body, 28).map(u64::from))? as usize;
    let varying = flags & 1 != 0;
    let channels = if varying { Vec::new() } else { channels(source, block.link(1)) };
    Ok(RecordKind {
        at: block.at,
        record_id,
        rows_stated,
        varying,
        data_bytes,
        validity_bytes,
        name: text(source, block.link(2)),
        time_from: if flags & 8 != 0 { block.link(6) } else { 0 },
        channels,
    })
}

fn channels(source: &mut Source<'_>, first: u64) -> Vec<Channel> {
    let mut channels = Vec::new();
    // Channels yet to be read; parts of a structure are taken before what follows the structure.
    let mut waiting = vec![first];
    while let Some(at) = waiting.pop() {
        if at == 0 {
            continue;
        }
        let block = match once(source, at, &[b"CN"]) {
            Ok(block) => block,
            Err(fault) => {
                source.add_fault(
                    "mdf_channel_lost",
                    "A channel cannot be read.",
                    "it and the channels listed after it are left out",
                    &fault,
                );
                continue;
            }
        };
        waiting.push(block.link(0));
        let parts = block.link(1);
        let is_structure = parts != 0 && source.block(parts, &[b"CN"]).is_ok();
        if is_structure {
            waiting.push(parts);
        }
        if let Some(channel) = channel(source, &block, parts != 0, is_structure) {
            channels.push(channel);
        }
    }
    channels
}

fn channel(
    source: &mut Source<'_>,
    block: &super::source::Block<'_>,
    composed: bool,
    is_structure: bool,
) -> Option<Channel> {
    let written = text(source, block.link(2));
    if written.is_none() {
        source.note(
            Severity::Note,
            "mdf_name_missing",
            "A channel has no name that can be read.".to_owned(),
            format!("byte {}", block.at),
            "it is named after its place in the file",
        );
    }
    let name = written.unwrap_or_else(|| format!("channel at byte {}", block.at));
    let place = format!("channel \"{name}\"");
    let fields =
        (|| Some((u32_at(block.body, 4)?, u32_at(block.body, 8)?, u32_at(block.body, 12)?, u32_at(block.body, 16)?)))();
    let Some((byte, bits, flags, validity_bit)) = fields else {
        source.add_fault(
            "mdf_channel_lost",
            "A channel's description is too short.",
            "the channel is left out",
            &block.too_short(20),
        );
        return None;
    };
    let (kind, sync, data_type, bit) = (block.body[0], block.body[1], block.body[2], u32::from(block.body[3]));
    let mut skip = |what: &str| {
        if !is_structure {
            source.note(
                Severity::Note,
                "mdf_channel_skipped",
                format!("A channel that holds {what} is not read."),
                place.clone(),
                "the channel is left out",
            );
        }
        None
    };
    if composed && !is_structure {
        return skip("an array of values");
    }
    let number = match (kind, data_type) {
        (1, _) => return skip("values of varying length"),
        (4, _) => return skip("times into an attached recording"),
        (5, _) => return skip("byte strings"),
        (3 | 6, _) => Number::Unsigned { big_endian: false },
        (0 | 2, 0 | 1) => Number::Unsigned { big_endian: data_type == 1 },
        (0 | 2, 2 | 3) => Number::Signed { big_endian: data_type == 3 },
        (0 | 2, 4 | 5) => Number::Real { big_endian: data_type == 5 },
        (0 | 2, 6..=9 | 17) => return skip("text"),
        (0 | 2, 10) => return skip("byte strings"),
        (0 | 2, 11 | 12) => return skip("attached media"),
        (0 | 2, 13 | 14) => return skip("bus dates or times"),
        (0 | 2, 15 | 16) => return skip("complex numbers"),
        _ => return skip("data of an unknown kind"),
    };
    let is_master = matches!(kind, 2 | 3);
    if is_master && sync != 1 {
        let over = match sync {
            2 => "angle",
            3 => "distance",
            4 => "row number",
            _ => "something unknown",
        };
        source.note(
            Severity::Loss,
            "mdf_master_not_time",
            format!("A group of channels runs over {over}, not over time."),
            place.clone(),
            "the channel is kept as a plain column; its group has no time",
        );
    }
    let found = conversion(source, block.link(4));
    let converted = found.kept_raw.is_none();
    match found.kept_raw {
        None => {}
        Some(KeptRaw::Words) => source.note(
            Severity::Note,
            "mdf_numbers_for_words",
            "A channel stands for words; the number behind each word is kept.".to_owned(),
            place.clone(),
            "the words are not read",
        ),
        Some(KeptRaw::NotRead(what)) => source.note(
            Severity::Loss,
            "mdf_conversion_not_read",
            format!("A channel is converted by {what}, which is not read."),
            place.clone(),
            "the raw numbers of the file are kept and their unit is left open",
        ),
        Some(KeptRaw::Damaged(fault)) => source.add_fault(
            "mdf_conversion_lost",
            "The conversion of a channel cannot be read.",
            &format!("the raw numbers of \"{name}\" are kept and their unit is left open"),
            &fault,
        ),
    }
    // A unit belongs to the converted value; a raw number has none that is known.
    let unit = if converted { text(source, block.link(6)).or(found.unit) } else { None };
    Some(Channel {
        name,
        unit,
        place: if matches!(kind, 3 | 6) { Place::RowNumber } else { Place::Record { byte: byte as usize, bit, bits } },
        number,
        conversion: found.conversion,
        is_time: is_master && sync == 1 && converted,
        validity: match flags {
            f if f & 1 != 0 => Validity::None,
            f if f & 2 != 0 => Validity::Bit(validity_bit),
            _ => Validity::All,
        },
    })
}

/// A block that belongs to one parent only.
fn once<'a>(source: &mut Source<'a>, at: u64, kinds: &[&[u8; 2]]) -> Result<super::source::Block<'a>, Fault> {
    let block = source.block(at, kinds)?;
    if source.first_visit(at) {
        Ok(block)
    } else {
        Err(Fault {
            at,
            found: format!("a second link to the same block {}", show_id(&block.id)),
            expected: "each block in one place of the tree".to_owned(),
        })
    }
}
