//! A shop's folder from a backup, into an empty place only.

use crate::Store;
use crate::archive::{self, CopyFault, FORM, MANIFEST, Manifest, MissingFile, Part};
use crate::check::CheckReport;
use crate::db::{DATABASE, make_folder};
use crate::entry::ShopHash;
use crate::error::StoreError;
use crate::files::{KEPT, TEMPORARY, sync_folder};
use crate::schema::SCHEMA_VERSION;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::BufReader;
use std::path::Path;
use zip::ZipArchive;

const DOING: &str = "restoring a backup";

/// What came back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct RestoreReport {
    /// When the backup was made, RFC 3339 in UTC.
    pub made_at: String,
    /// The newest entry by the backup's list of contents.
    pub newest: Option<ShopHash>,
    /// Files that were missing or damaged already when the backup was made.
    pub missing: Vec<MissingFile>,
    /// The check of the restored shop, as [`Store::check`] makes it.
    pub check: CheckReport,
}

impl RestoreReport {
    /// Everything that the backup held is there: the check found nothing but what was missing already, and the newest
    /// entry is the one of the list of contents.
    pub fn is_whole(&self) -> bool {
        let known: BTreeSet<&str> = self.missing.iter().map(|m| m.sha256.as_str()).collect();
        self.check.bad_rows.is_empty()
            && self.check.database.is_empty()
            && self.check.damaged.iter().all(|d| known.contains(d.sha256.as_str()))
            && self.check.newest == self.newest
    }
}

impl Store {
    /// Makes a shop's folder from a backup, in an empty or missing folder, and checks all of it. One that an earlier try
    /// has begun to fill is filled further.
    ///
    /// Each part is compared with its SHA-256 before it gets its name; the database comes last, so that a folder that was
    /// filled by half is not taken for a shop.
    ///
    /// # Errors
    /// [`StoreError::NotABackup`] if the file is no backup or was cut short, [`StoreError::NewerSchema`] if a newer
    /// version of the program made it, [`StoreError::NotEmpty`] if the folder holds anything,
    /// [`StoreError::BackupDiffers`] if a part is damaged, and those of disk and database.
    pub fn restore(
        from: &Path,
        into: &Path,
        progress: &mut dyn FnMut(u64, u64),
    ) -> Result<(Store, RestoreReport), StoreError> {
        let file = File::open(from).map_err(|e| StoreError::io(from, DOING, e))?;
        let not_one = |why: String| StoreError::NotABackup { path: from.to_owned(), why };
        let mut zip = ZipArchive::new(BufReader::new(file)).map_err(|e| not_one(e.to_string()))?;
        let manifest = manifest(&mut zip).map_err(not_one)?;
        if manifest.plateau_backup > FORM || manifest.schema > SCHEMA_VERSION {
            return Err(StoreError::NewerSchema {
                dir: from.to_owned(),
                found: manifest.schema,
                known: SCHEMA_VERSION,
            });
        }
        empty(into)?;
        make_folder(into)?;
        let all = manifest.database.size + manifest.files.iter().map(|part| part.size).sum::<u64>();
        let mut done = 0;
        let mut folders = BTreeSet::new();
        for part in &manifest.files {
            let path = into.join(KEPT).join(&part.sha256[..2]).join(&part.sha256);
            // Filled by an earlier try.
            let there = File::open(&path).and_then(|mut f| archive::measure(&mut f)).is_ok_and(|f| f.1 == part.sha256);
            if !there {
                let folder = path.parent().unwrap_or(into);
                fs::create_dir_all(folder).map_err(|e| StoreError::io(folder, DOING, e))?;
                extract(&mut zip, from, part, into, &path)?;
                folders.insert(folder.to_owned());
            }
            done += part.size;
            progress(done, all);
        }
        for folder in folders.iter().map(|f| f.as_path()).chain([into.join(KEPT).as_path(), into]) {
            sync_folder(folder)?;
        }
        extract(&mut zip, from, &manifest.database, into, &into.join(DATABASE))?;
        sync_folder(into)?;
        progress(all, all);
        let store = Store::open_existing(into)?;
        let check = store.check()?;
        let Manifest { made_at, newest, missing, .. } = manifest;
        Ok((store, RestoreReport { made_at, newest, missing, check }))
    }
}

/// The list of contents, with every name in it looked at: nothing is ever written elsewhere than in the folder.
fn manifest(zip: &mut ZipArchive<BufReader<File>>) -> Result<Manifest, String> {
    let part = zip.by_name(MANIFEST).map_err(|_| format!("it holds no {MANIFEST}"))?;
    let manifest: Manifest =
        serde_json::from_reader(BufReader::new(part)).map_err(|e| format!("{MANIFEST} cannot be read: {e}"))?;
    let hash = |text: &str| text.len() == 64 && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
    if manifest.database.name != DATABASE {
        return Err(format!("{MANIFEST} names `{}` for the database", manifest.database.name));
    }
    for part in &manifest.files {
        if !hash(&part.sha256) || part.name != format!("{KEPT}/{}/{}", &part.sha256[..2], part.sha256) {
            return Err(format!("{MANIFEST} names a file `{}`", part.name));
        }
    }
    Ok(manifest)
}

/// Refuses a folder that holds anything but what a try before this one left.
fn empty(into: &Path) -> Result<(), StoreError> {
    if !into.exists() {
        return Ok(());
    }
    for entry in fs::read_dir(into).map_err(|e| StoreError::io(into, DOING, e))? {
        let name = entry.map_err(|e| StoreError::io(into, DOING, e))?.file_name();
        let name = name.to_string_lossy();
        if name != KEPT && name != TEMPORARY && name != "lost+found" {
            return Err(StoreError::NotEmpty { dir: into.to_owned(), found: name.into_owned() });
        }
    }
    Ok(())
}

/// Writes one part to its place, by way of `tmp/`.
fn extract(
    zip: &mut ZipArchive<BufReader<File>>,
    from: &Path,
    part: &Part,
    into: &Path,
    to: &Path,
) -> Result<(), StoreError> {
    let differs = |found: String| StoreError::BackupDiffers {
        path: from.to_owned(),
        part: part.name.clone(),
        found,
        expected: format!("{} bytes, SHA-256 {}", part.size, part.sha256),
    };
    let mut source = zip.by_name(&part.name).map_err(|e| differs(e.to_string()))?;
    let temporary = into.join(TEMPORARY).join(format!("restore-{}.part", uuid::Uuid::now_v7()));
    let fault = |e| StoreError::io(&temporary, DOING, e);
    let mut file = File::create_new(&temporary).map_err(fault)?;
    let copied = match archive::copy(&mut source, &mut file) {
        Ok((size, sha256)) if (size, &sha256) == (part.size, &part.sha256) => file.sync_all().map_err(fault),
        Ok((size, sha256)) => Err(differs(format!("{size} bytes, SHA-256 {sha256}"))),
        Err(CopyFault::Reading(e)) => Err(differs(e.to_string())),
        Err(CopyFault::Writing(e)) => Err(fault(e)),
    };
    drop(file);
    let moved = copied.and_then(|()| fs::rename(&temporary, to).map_err(|e| StoreError::io(to, DOING, e)));
    if moved.is_err() {
        let _ = fs::remove_file(&temporary);
    }
    moved
}
