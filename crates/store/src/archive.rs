//! What a backup consists of: one zip, nothing in it compressed, that unpacks into a shop's folder.
//!
//! ```text
//! README.txt      what it is, and how to get everything out without this program
//! shop.sqlite3    the database as it stood at one moment
//! files/ab/<sha>  every file that the database names
//! manifest.json   sizes and SHA-256 of all of them; the last, so that a zip cut short has none
//! ```

use crate::entry::ShopHash;
use crate::error::StoreError;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::io::{self, Read, Write};
use std::path::Path;

/// Name of the list of contents.
pub(crate) const MANIFEST: &str = "manifest.json";
/// Name of the page for whoever finds the file in ten years.
pub(crate) const README: &str = "README.txt";
/// Number of this form of backup.
pub(crate) const FORM: i64 = 1;
/// Bytes copied at a time.
const BLOCK: usize = 256 * 1024;

/// What the page says.
pub(crate) const README_TEXT: &str = "\
A shop's folder, written by `plateau backup`.

To get everything back:    plateau restore THIS-FILE --into AN-EMPTY-FOLDER
Without Plateau:           unzip it. Nothing is compressed.

shop.sqlite3    an SQLite database: any SQLite program opens it
files/          logs, photos and papers as they came, each named by its SHA-256;
                the names they came with are in the tables run_files and entry_files
manifest.json   size and SHA-256 of every part
";

/// A part of a backup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Part {
    /// Its name in the zip.
    pub(crate) name: String,
    /// Its size, bytes.
    pub(crate) size: u64,
    /// SHA-256, lower-case hexadecimal.
    pub(crate) sha256: String,
}

/// The list of contents.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Manifest {
    /// [`FORM`].
    pub(crate) plateau_backup: i64,
    /// When the database was read, RFC 3339 in UTC.
    pub(crate) made_at: String,
    /// Schema number of the database.
    pub(crate) schema: i64,
    /// The newest entry.
    pub(crate) newest: Option<ShopHash>,
    /// The database.
    pub(crate) database: Part,
    /// The files.
    pub(crate) files: Vec<Part>,
    /// Files that the database names and that were missing or damaged already when the backup was made.
    pub(crate) missing: Vec<MissingFile>,
}

/// A file that could not be put into a backup, since it was missing from the shop or damaged.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MissingFile {
    /// SHA-256 that its content should have.
    pub sha256: String,
    /// What was found.
    pub why: String,
}

/// Hashes what goes through it, and counts it.
pub(crate) struct Hashing {
    hasher: Sha256,
    size: u64,
}

impl Hashing {
    pub(crate) fn new() -> Self {
        Self { hasher: Sha256::new(), size: 0 }
    }

    pub(crate) fn take(&mut self, bytes: &[u8]) {
        self.hasher.update(bytes);
        self.size += bytes.len() as u64;
    }

    /// Size and SHA-256 of everything that went through.
    pub(crate) fn end(self) -> (u64, String) {
        (self.size, crate::files::hexadecimal(&self.hasher.finalize()))
    }
}

/// Where copying failed: at the place read from, or at the place written to.
pub(crate) enum CopyFault {
    Reading(io::Error),
    Writing(io::Error),
}

/// Copies everything, hashing it on the way; gives size and SHA-256.
pub(crate) fn copy(from: &mut impl Read, to: &mut impl Write) -> Result<(u64, String), CopyFault> {
    let mut hashing = Hashing::new();
    let mut block = vec![0; BLOCK];
    loop {
        match from.read(&mut block) {
            Ok(0) => return Ok(hashing.end()),
            Ok(n) => {
                hashing.take(&block[..n]);
                to.write_all(&block[..n]).map_err(CopyFault::Writing)?;
            }
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(CopyFault::Reading(e)),
        }
    }
}

/// Size and SHA-256 of what is read.
pub(crate) fn measure(from: &mut impl Read) -> io::Result<(u64, String)> {
    copy(from, &mut io::sink()).map_err(|fault| match fault {
        CopyFault::Reading(e) | CopyFault::Writing(e) => e,
    })
}

/// An error of the zip library about a file being written.
pub(crate) fn writing(path: &Path, doing: &'static str, error: zip::result::ZipError) -> StoreError {
    match error {
        zip::result::ZipError::Io(e) => StoreError::io(path, doing, e),
        other => StoreError::Io { path: path.to_owned(), doing, source: io::Error::other(other.to_string()) },
    }
}
