//! Logs kept byte for byte, named by the SHA-256 of their content.
//!
//! Writing: a temporary in `tmp/`, locked while it grows, synced, renamed to its name, and the
//! folder synced. The name is the check: reading computes it again. SHA-256 is FIPS 180-4.

use crate::Store;
use crate::error::StoreError;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fs::{self, File, TryLockError};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// Folder of the kept files.
pub(crate) const KEPT: &str = "files";
/// Folder of the files being written.
pub(crate) const TEMPORARY: &str = "tmp";

/// A file that the shop keeps.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FileRef {
    /// SHA-256 of the content, lower-case hexadecimal.
    pub sha256: String,
    /// Size, bytes.
    pub size: u64,
    /// Name it came with, without folders.
    pub name: String,
}

impl FileRef {
    /// What keeping these bytes under this name will give. Touches no disk.
    pub fn of(name: &str, bytes: &[u8]) -> Self {
        Self { sha256: hash(bytes), size: bytes.len() as u64, name: name.to_owned() }
    }
}

impl Store {
    /// Keeps a file byte for byte and returns its address. Keeping the same bytes again does nothing,
    /// except that a copy found damaged is put right.
    ///
    /// When this returns, the bytes are on the disk. A file that no run names does no harm.
    ///
    /// # Errors
    /// [`StoreError::DiskFull`], [`StoreError::ReadOnly`], [`StoreError::Io`]; nothing is kept then.
    pub fn keep_file(&self, name: &str, bytes: &[u8]) -> Result<FileRef, StoreError> {
        let file = FileRef::of(name, bytes);
        let path = self.file_path(&file.sha256)?;
        if let Ok(there) = fs::read(&path)
            && there == bytes
        {
            // It may have been renamed by a process that was killed before it could sync the folders.
            sync_way(&self.inner.dir, &path)?;
            return Ok(file);
        }
        let folder = path.parent().unwrap_or(&self.inner.dir);
        fs::create_dir_all(folder).map_err(|e| StoreError::io(folder, "keeping a log", e))?;
        write_whole(&self.inner.dir, &path, bytes)?;
        sync_way(&self.inner.dir, &path)?;
        Ok(file)
    }

    /// The bytes of a kept file, after checking that they are the ones that were kept.
    ///
    /// # Errors
    /// [`StoreError::FileMissing`], [`StoreError::FileDamaged`], [`StoreError::BadHash`], [`StoreError::Io`].
    pub fn read_file(&self, sha256: &str) -> Result<Vec<u8>, StoreError> {
        let path = self.file_path(sha256)?;
        let bytes = match fs::read(&path) {
            Ok(bytes) => bytes,
            Err(e) if e.kind() == ErrorKind::NotFound => {
                return Err(StoreError::FileMissing { sha256: sha256.to_owned() });
            }
            Err(e) => return Err(StoreError::Io { path, doing: "reading a kept log", source: e }),
        };
        let found = hash(&bytes);
        if found != sha256 {
            return Err(StoreError::FileDamaged { sha256: sha256.to_owned(), found, size: bytes.len() as u64 });
        }
        Ok(bytes)
    }

    /// Where a content address lives.
    pub(crate) fn file_path(&self, sha256: &str) -> Result<PathBuf, StoreError> {
        let well_formed = sha256.len() == 64 && sha256.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        if !well_formed {
            return Err(StoreError::BadHash { found: sha256.to_owned() });
        }
        Ok(self.inner.dir.join(KEPT).join(&sha256[..2]).join(sha256))
    }
}

/// SHA-256 in lower-case hexadecimal.
pub(crate) fn hash(bytes: &[u8]) -> String {
    hexadecimal(&Sha256::digest(bytes))
}

/// Bytes as lower-case hexadecimal digits.
pub(crate) fn hexadecimal(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::with_capacity(2 * bytes.len()), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Writes a file so that its name never stands for half of it.
pub(crate) fn write_whole(dir: &Path, path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    loop {
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let temporary =
            dir.join(TEMPORARY).join(format!("{}-{}-{count}.part", std::process::id(), uuid::Uuid::now_v7()));
        let fault = |e| StoreError::io(&temporary, "keeping a log", e);
        let mut file = File::create_new(&temporary).map_err(fault)?;
        // The lock tells other processes that somebody is still writing; it ends with the process.
        file.lock().map_err(fault)?;
        let written = file.write_all(bytes).and_then(|()| file.sync_all());
        if let Err(e) = written {
            let _ = fs::remove_file(&temporary);
            return Err(fault(e));
        }
        match fs::rename(&temporary, path) {
            Ok(()) => return Ok(()),
            // A shop opened between making and locking took the file for a left-over: once more.
            Err(e) if e.kind() == ErrorKind::NotFound && !temporary.exists() => {}
            Err(e) => {
                let _ = fs::remove_file(&temporary);
                return Err(StoreError::io(path, "keeping a log", e));
            }
        }
    }
}

/// Takes away temporaries whose writer is gone. A file that a living process writes is locked and stays.
pub(crate) fn clear_temporaries(dir: &Path) -> Result<(), StoreError> {
    let doing = "clearing half-written files";
    let folder = dir.join(TEMPORARY);
    fs::create_dir_all(&folder).map_err(|e| StoreError::io(&folder, doing, e))?;
    for entry in fs::read_dir(&folder).map_err(|e| StoreError::io(&folder, doing, e))? {
        let path = entry.map_err(|e| StoreError::io(&folder, doing, e))?.path();
        let file = match File::open(&path) {
            Ok(file) => file,
            Err(e) if e.kind() == ErrorKind::NotFound => continue,
            Err(e) => return Err(StoreError::io(&path, doing, e)),
        };
        match file.try_lock() {
            Ok(()) => match fs::remove_file(&path) {
                Err(e) if e.kind() != ErrorKind::NotFound => return Err(StoreError::io(&path, doing, e)),
                _ => {}
            },
            Err(TryLockError::WouldBlock) => {}
            Err(TryLockError::Error(e)) => return Err(StoreError::io(&path, doing, e)),
        }
    }
    Ok(())
}

/// Syncs every folder on the way to a kept file, so that its name survives a power cut.
fn sync_way(dir: &Path, path: &Path) -> Result<(), StoreError> {
    for folder in path.ancestors().skip(1) {
        sync_folder(folder)?;
        if folder == dir {
            break;
        }
    }
    Ok(())
}

/// Syncs a folder. On systems where a folder cannot be opened for this, renames are durable by themselves.
pub(crate) fn sync_folder(folder: &Path) -> Result<(), StoreError> {
    #[cfg(unix)]
    File::open(folder)
        .and_then(|f| f.sync_all())
        .map_err(|e| StoreError::io(folder, "syncing a folder of the shop", e))?;
    #[cfg(not(unix))]
    let _ = folder;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Expected: validation/sha256, NIST's example messages of FIPS 180-4 and its family.
    #[test]
    fn sha_256_gives_the_digests_of_the_standards_examples() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../validation/sha256/vectors.csv");
        let table = fs::read_to_string(path).unwrap();
        let mut count = 0;
        for line in table.lines().skip(1) {
            let [message, repeated, digest] = line.split(',').collect::<Vec<_>>()[..] else { panic!("{line}") };
            assert_eq!(hash(message.repeat(repeated.parse().unwrap()).as_bytes()), digest, "{line}");
            count += 1;
        }
        assert_eq!(count, 5);
    }
}
