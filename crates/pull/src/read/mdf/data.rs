//! The records of a group as one run of bytes: plain blocks, lists of blocks, compressed blocks.

use super::source::{Block, Fault, Source, show_id, u32_at, u64_at};
use flate2::{Decompress, FlushDecompress, Status};
use std::borrow::Cow;

/// Most bytes that deflate makes of one (its format allows 1,032; rounded up).
const DEFLATE_GROWTH: u64 = 1_040;

/// The bytes of a group, up to the first block that cannot be read.
pub(super) fn gather<'a>(source: &mut Source<'a>, at: u64) -> Cow<'a, [u8]> {
    let mut bytes = Cow::Borrowed(&[][..]);
    if at != 0
        && let Err(fault) = follow(source, at, &mut bytes)
    {
        source.add_fault(
            "mdf_data_lost",
            "A block of measured data cannot be read.",
            "the rows before it are kept, it and the rows after it are left out",
            &fault,
        );
    }
    bytes
}

fn follow<'a>(source: &mut Source<'a>, at: u64, out: &mut Cow<'a, [u8]>) -> Result<(), Fault> {
    let block = visit(source, at, &[b"DT", b"DV", b"RD", b"DZ", b"DL", b"LD", b"HL"])?;
    match &block.id {
        b"HL" => match block.link(0) {
            0 => Ok(()),
            list => {
                let block = visit(source, list, &[b"DL", b"LD"])?;
                follow_list(source, block, out)
            }
        },
        b"DL" | b"LD" => follow_list(source, block, out),
        _ => append(source, &block, out),
    }
}

/// A list: a link to the next list, then links to blocks, and either one length for all blocks or an
/// offset for each.
fn follow_list<'a>(source: &mut Source<'a>, first: Block<'a>, out: &mut Cow<'a, [u8]>) -> Result<(), Fault> {
    let mut list = first;
    loop {
        let flags = *list.body.first().ok_or_else(|| list.too_short(8))?;
        let count = u32_at(list.body, 4).ok_or_else(|| list.too_short(8))? as usize;
        let with_validity = &list.id == b"LD" && flags & 0x80 != 0;
        if with_validity {
            return Err(Fault {
                at: list.at,
                found: "a list with validity bits in blocks of their own".to_owned(),
                expected: "validity bits within the records".to_owned(),
            });
        }
        if count > list.link_count().saturating_sub(1) {
            return Err(Fault {
                at: list.at,
                found: format!("a list of {count} blocks with {} links", list.link_count()),
                expected: "one link per block and one to the next list".to_owned(),
            });
        }
        for i in 0..count {
            let link = list.link(i + 1);
            if link == 0 {
                continue; // a place kept free by the writer
            }
            if flags & 1 == 0 {
                let stated = u64_at(list.body, 8 + 8 * i).ok_or_else(|| list.too_short(16 + 8 * i))?;
                if stated != out.len() as u64 {
                    return Err(Fault {
                        at: list.at,
                        found: format!("block {} of the list at offset {}", i + 1, out.len()),
                        expected: format!("offset {stated}, as the list states"),
                    });
                }
            }
            let block = visit(source, link, &[b"DT", b"DV", b"RD", b"DZ"])?;
            append(source, &block, out)?;
        }
        match list.link(0) {
            0 => return Ok(()),
            next => list = visit(source, next, &[b"DL", b"LD"])?,
        }
    }
}

fn append<'a>(source: &mut Source<'a>, block: &Block<'a>, out: &mut Cow<'a, [u8]>) -> Result<(), Fault> {
    if &block.id == b"DZ" {
        return inflate(block, out.to_mut());
    }
    if out.is_empty() {
        *out = Cow::Borrowed(block.body);
    } else {
        out.to_mut().extend_from_slice(block.body);
    }
    if block.cut_short && source.undone == 0 {
        return Err(Fault {
            at: block.at,
            found: format!("the end of the file after {} bytes of the block {}", block.body.len(), show_id(&block.id)),
            expected: "the whole block".to_owned(),
        });
    }
    Ok(())
}

/// A compressed block: what it was, how it was turned, its length before and after, the deflate stream.
fn inflate(block: &Block<'_>, out: &mut Vec<u8>) -> Result<(), Fault> {
    const DATA_AT: usize = 24;
    let fault = |found: String, expected: &str| Fault { at: block.at, found, expected: expected.to_owned() };
    let (Some(width), Some(length), Some(packed)) =
        (u32_at(block.body, 4), u64_at(block.body, 8), u64_at(block.body, 16))
    else {
        return Err(block.too_short(DATA_AT));
    };
    if !matches!(&block.body[..2], b"DT" | b"DV" | b"RD") {
        return Err(fault("a compressed block of another kind".to_owned(), "compressed measured data"));
    }
    let turned = match block.body[2] {
        0 => false,
        1 => true,
        other => return Err(fault(format!("compression of kind {other}"), "deflate (0) or turned deflate (1)")),
    };
    let there = &block.body[DATA_AT.min(block.body.len())..];
    if length > packed.saturating_mul(DEFLATE_GROWTH) {
        return Err(fault(
            format!("{packed} compressed bytes said to hold {length}"),
            "a length that deflate can reach",
        ));
    }
    let stream = &there[..there.len().min(usize::try_from(packed).unwrap_or(usize::MAX))];
    let (bytes, end) = unpack(stream, length);
    match end {
        End::Whole if bytes.len() as u64 == length => {
            if turned && width > 1 {
                turn_back(&bytes, width as usize, out);
            } else {
                out.extend_from_slice(&bytes);
            }
            Ok(())
        }
        End::CutShort if (stream.len() as u64) < packed => {
            // What was unpacked is the beginning of the block; rows can be made of it unless it was turned.
            if !turned {
                out.extend_from_slice(&bytes);
            }
            Err(fault(
                format!("the end of the file after {} of {packed} compressed bytes", stream.len()),
                "the whole block",
            ))
        }
        End::Damaged => {
            Err(fault("a compressed block that does not unpack".to_owned(), "a deflate stream with a right checksum"))
        }
        End::TooLong => {
            Err(fault(format!("more than {length} bytes after unpacking"), "the length that the block states"))
        }
        End::Whole | End::CutShort => {
            Err(fault(format!("{} bytes after unpacking", bytes.len()), "the length that the block states"))
        }
    }
}

enum End {
    Whole,
    CutShort,
    Damaged,
    TooLong,
}

/// Unpacks a zlib stream of a stated length. Memory grows with what comes out, never past the stated length.
fn unpack(stream: &[u8], length: u64) -> (Vec<u8>, End) {
    const STEP: usize = 1 << 16;
    let Ok(length) = usize::try_from(length) else { return (Vec::new(), End::Damaged) };
    let mut inflater = Decompress::new(true);
    let mut bytes: Vec<u8> = Vec::with_capacity(length.min(stream.len().saturating_mul(4)).max(1));
    loop {
        if bytes.len() == bytes.capacity() {
            // One byte of room beyond the stated length shows a stream that is longer than it says.
            let room = length.saturating_add(1).saturating_sub(bytes.len());
            bytes.reserve(room.min(bytes.len().max(STEP)));
        }
        let (read_before, written_before) = (inflater.total_in(), inflater.total_out());
        let rest = &stream[(read_before as usize).min(stream.len())..];
        match inflater.decompress_vec(rest, &mut bytes, FlushDecompress::None) {
            Err(_) => return (bytes, End::Damaged),
            Ok(Status::StreamEnd) => return (bytes, End::Whole),
            Ok(_) if bytes.len() > length => return (bytes, End::TooLong),
            Ok(_) if inflater.total_in() == read_before && inflater.total_out() == written_before => {
                return (bytes, End::CutShort);
            }
            Ok(_) => {}
        }
    }
}

/// Undoes the turning of rows and columns; bytes that did not fill a row stand at the end unturned.
fn turn_back(bytes: &[u8], width: usize, out: &mut Vec<u8>) {
    let rows = bytes.len() / width;
    let (turned, rest) = bytes.split_at(rows * width);
    out.reserve(bytes.len());
    for row in 0..rows {
        for column in 0..width {
            out.push(turned[column * rows + row]);
        }
    }
    out.extend_from_slice(rest);
}

fn visit<'a>(source: &mut Source<'a>, at: u64, kinds: &[&[u8; 2]]) -> Result<Block<'a>, Fault> {
    let block = source.block(at, kinds)?;
    if source.first_visit(at) {
        Ok(block)
    } else {
        Err(Fault {
            at,
            found: format!("a second link to the same block {}", show_id(&block.id)),
            expected: "each block of data in one place".to_owned(),
        })
    }
}
