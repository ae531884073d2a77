//! Bounded access to the bytes of a file: fields, blocks, links. No offset leads out of the bytes.

use crate::log::{Problem, Severity};
use std::collections::HashSet;

/// Length of a block's head: mark, reserved bytes, length, number of links.
pub(super) const HEAD: usize = 24;

/// From this number of problems on, problems of one code are counted as one.
const MOST_PROBLEMS: usize = 200;
/// Places of one problem are listed up to about this many bytes.
const LONGEST_PLACE: usize = 400;

/// The bytes of a file and what has been met in them.
pub(super) struct Source<'a> {
    pub(super) bytes: &'a [u8],
    /// Bits of the identification block that say what a writer left undone; 0 for a finished file.
    pub(super) undone: u16,
    seen: HashSet<u64>,
    pub(super) problems: Vec<Problem>,
}

/// One block of the file: `##` and two letters, links to other blocks, then a body.
pub(super) struct Block<'a> {
    pub(super) at: u64,
    pub(super) id: [u8; 2],
    links: &'a [u8],
    pub(super) body: &'a [u8],
    /// The stated length runs past the end of the file; the body is what there is.
    pub(super) cut_short: bool,
}

/// What is wrong with a block: found and expected, as a sentence each.
#[derive(Debug, Clone)]
pub(super) struct Fault {
    pub(super) at: u64,
    pub(super) found: String,
    pub(super) expected: String,
}

impl<'a> Source<'a> {
    pub(super) fn new(bytes: &'a [u8], undone: u16) -> Self {
        Self { bytes, undone, seen: HashSet::new(), problems: Vec::new() }
    }

    /// Whether this block is met for the first time. Data groups, channels and data blocks belong
    /// to one parent each; a second visit is a circle or a damaged link.
    pub(super) fn first_visit(&mut self, at: u64) -> bool {
        self.seen.insert(at)
    }

    /// The block at an offset, if it is whole enough to be used and one of the kinds expected.
    ///
    /// A body may be cut short by the end of the file only for blocks that hold data (DT, DV, DI, RD, DZ).
    pub(super) fn block(&self, at: u64, kinds: &[&[u8; 2]]) -> Result<Block<'a>, Fault> {
        let expected = || format!("a block {}", kinds.iter().map(|k| show_id(k)).collect::<Vec<_>>().join(" or "));
        let fault = |found: String| Fault { at, found, expected: expected() };
        let start = usize::try_from(at).ok().filter(|s| *s >= 64 && *s < self.bytes.len());
        let Some(start) = start else {
            return Err(fault(format!("a link to byte {at} in a file of {} bytes", self.bytes.len())));
        };
        let rest = &self.bytes[start..];
        if rest.len() < HEAD {
            return Err(fault(format!("the end of the file after {} bytes", rest.len())));
        }
        if &rest[..2] != b"##" {
            return Err(fault(format!("the bytes {}", show_bytes(&rest[..4]))));
        }
        let id = [rest[2], rest[3]];
        if !kinds.iter().any(|k| **k == id) {
            return Err(fault(format!("a block {}", show_id(&id))));
        }
        let holds_data = matches!(&id, b"DT" | b"DV" | b"DI" | b"RD" | b"DZ");
        let mut length = u64_at(rest, 8).unwrap_or(0);
        let links = u64_at(rest, 16).unwrap_or(0);
        if holds_data && self.undone & UNDONE_LAST_DATA_LENGTH != 0 && self.runs_to_the_end(rest, length) {
            length = rest.len() as u64;
        }
        let Some(head) = links.checked_mul(8).and_then(|l| l.checked_add(HEAD as u64)).filter(|h| *h <= length) else {
            return Err(fault(format!("a block {} of {length} bytes with {links} links", show_id(&id))));
        };
        let cut_short = length > rest.len() as u64;
        if head > rest.len() as u64 || (cut_short && !holds_data) {
            return Err(fault(format!(
                "a block {} of {length} bytes, of which the file holds {}",
                show_id(&id),
                rest.len()
            )));
        }
        let head = head as usize;
        let end = length.min(rest.len() as u64) as usize;
        Ok(Block { at, id, links: &rest[HEAD..head], body: &rest[head..end], cut_short })
    }

    /// In an unfinished file: whether a data block's length was never written, so that it runs to the end.
    fn runs_to_the_end(&self, rest: &[u8], length: u64) -> bool {
        if length <= HEAD as u64 || length > rest.len() as u64 {
            return true;
        }
        let next = (length as usize).next_multiple_of(8);
        rest.get(next..next + 2).is_none_or(|mark| mark != b"##")
    }

    /// Adds a problem, or counts it with an equal one already there and names its place beside the others.
    pub(super) fn add(&mut self, problem: Problem) {
        let crowded = self.problems.len() >= MOST_PROBLEMS;
        let same = |p: &&mut Problem| {
            p.code == problem.code
                && (crowded || (p.what == problem.what && p.found == problem.found && p.expected == problem.expected))
        };
        let Some(same) = self.problems.iter_mut().find(same) else {
            self.problems.push(problem);
            return;
        };
        same.count += problem.count;
        if let (Some(places), Some(place)) = (&mut same.place, problem.place) {
            if places.len() < LONGEST_PLACE {
                places.push_str(", ");
                places.push_str(&place);
            } else if !places.ends_with(" …") {
                places.push_str(" …");
            }
        }
    }

    /// Adds a problem about a damaged or missing block.
    pub(super) fn add_fault(&mut self, code: &str, what: &str, effect: &str, fault: &Fault) {
        self.add(Problem {
            severity: Severity::Loss,
            code: code.to_owned(),
            what: what.to_owned(),
            place: Some(format!("byte {}", fault.at)),
            found: Some(fault.found.clone()),
            expected: Some(fault.expected.clone()),
            effect: Some(effect.to_owned()),
            next: Some("copy the file again from the dyno, or export the log as CSV".to_owned()),
            count: 1,
        });
    }

    /// Adds something worth knowing.
    pub(super) fn note(&mut self, severity: Severity, code: &str, what: String, place: String, effect: &str) {
        self.add(Problem {
            severity,
            code: code.to_owned(),
            what,
            place: Some(place),
            found: None,
            expected: None,
            effect: Some(effect.to_owned()),
            next: None,
            count: 1,
        });
    }
}

/// Bit of the identification block: the length of the last data block was not written.
pub(super) const UNDONE_LAST_DATA_LENGTH: u16 = 1 << 2;
/// Bit of the identification block: the number of rows was not written.
pub(super) const UNDONE_ROW_COUNT: u16 = 1;

impl Block<'_> {
    pub(super) fn link_count(&self) -> usize {
        self.links.len() / 8
    }

    /// A link by position; 0 is "none". A link the block does not have is also "none".
    pub(super) fn link(&self, index: usize) -> u64 {
        u64_at(self.links, index * 8).unwrap_or(0)
    }

    /// A fault for a body that is too short for the fields it must hold.
    pub(super) fn too_short(&self, needed: usize) -> Fault {
        Fault {
            at: self.at,
            found: format!("a block {} with {} bytes after its links", show_id(&self.id), self.body.len()),
            expected: format!("at least {needed} bytes"),
        }
    }
}

pub(super) fn u64_at(bytes: &[u8], at: usize) -> Option<u64> {
    Some(u64::from_le_bytes(*bytes.get(at..)?.first_chunk()?))
}

pub(super) fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_le_bytes(*bytes.get(at..)?.first_chunk()?))
}

pub(super) fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_le_bytes(*bytes.get(at..)?.first_chunk()?))
}

pub(super) fn f64_at(bytes: &[u8], at: usize) -> Option<f64> {
    u64_at(bytes, at).map(f64::from_bits)
}

pub(super) fn show_id(id: &[u8; 2]) -> String {
    if id.iter().all(u8::is_ascii_alphanumeric) {
        format!("{}{}", char::from(id[0]), char::from(id[1]))
    } else {
        format!("with the letters {}", show_bytes(id))
    }
}

pub(super) fn show_bytes(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect::<Vec<_>>().join(" ")
}
