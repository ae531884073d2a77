//! Backing a shop up while it is in use: one file, read back and compared before it gets its name.

use crate::Store;
use crate::archive::{self, CopyFault, FORM, MANIFEST, Manifest, MissingFile, Part, README, README_TEXT};
use crate::changes;
use crate::db::{DATABASE, Fault};
use crate::entry::ShopHash;
use crate::error::StoreError;
use crate::files::{KEPT, sync_folder};
use crate::schema;
use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};
use serde::{Deserialize, Serialize};
use std::fs::{self, File};
use std::io::{BufReader, BufWriter, Write};
use std::path::{Path, PathBuf};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

const DOING: &str = "writing a backup";
/// How the names of files that are being written begin.
const LEFT_OVER: &str = ".plateau-backup-";
const PART_ENDING: &str = ".part";
const DATABASE_ENDING: &str = ".sqlite3";

/// What a backup holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct BackupReport {
    /// The file.
    pub path: PathBuf,
    /// Its size, bytes.
    pub bytes: u64,
    /// When the database was read, RFC 3339 in UTC; later entries are not in it.
    pub made_at: String,
    /// Files in it.
    pub files: usize,
    /// The newest entry in it.
    pub newest: Option<ShopHash>,
    /// Files that the shop names and that were missing or damaged, so that they are not in it.
    pub missing: Vec<MissingFile>,
}

impl Store {
    /// Writes a backup of the whole shop into one file. The shop may be written to meanwhile: the backup holds it as it
    /// stood at one moment. Sessions are left out; whoever was signed in signs in again after a restore.
    ///
    /// The file is a zip, nothing in it compressed. It is written beside its place under another name, read back, every
    /// part compared with its SHA-256, synced, and only then renamed. `progress` is called with bytes done and bytes
    /// to do.
    ///
    /// # Errors
    /// [`StoreError::BackupThere`] if there is a file already and `replace` is not set, [`StoreError::BackupInside`] if
    /// it would lie in the shop's own folder, [`StoreError::BackupUnlike`] if it reads back otherwise than it was
    /// written, [`StoreError::DatabaseDamaged`], and those of disk and database. No file is left then, and one that was
    /// there stays.
    pub fn backup(
        &self,
        path: &Path,
        replace: bool,
        progress: &mut dyn FnMut(u64, u64),
    ) -> Result<BackupReport, StoreError> {
        if path.exists() && !replace {
            return Err(StoreError::BackupThere { path: path.to_owned() });
        }
        let folder = match path.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        let (of_shop, of_backup) = (self.inner.dir.canonicalize(), folder.canonicalize());
        let of_backup = of_backup.map_err(|e| StoreError::io(folder, DOING, e))?;
        if of_shop.is_ok_and(|shop| of_backup.starts_with(shop)) {
            return Err(StoreError::BackupInside { path: path.to_owned(), dir: self.inner.dir.clone() });
        }
        clear_left_over(folder)?;
        let id = uuid::Uuid::now_v7();
        let beside = |ending: &str| Temporary(folder.join(format!("{LEFT_OVER}{id}{ending}")));
        let (snapshot, part) = (beside(DATABASE_ENDING), beside(PART_ENDING));
        let manifest = self.write_parts(&snapshot.0, &part.0, progress)?;
        let bytes = fs::metadata(&part.0).map_err(|e| StoreError::io(&part.0, DOING, e))?.len();
        drop(snapshot);
        fs::rename(&part.0, path).map_err(|e| StoreError::io(path, DOING, e))?;
        sync_folder(folder)?;
        Ok(BackupReport {
            path: path.to_owned(),
            bytes,
            made_at: manifest.made_at,
            files: manifest.files.len(),
            newest: manifest.newest,
            missing: manifest.missing,
        })
    }

    /// Writes the zip at `part`, with the database copied to `snapshot` first, and reads it back.
    fn write_parts(
        &self,
        snapshot: &Path,
        part: &Path,
        progress: &mut dyn FnMut(u64, u64),
    ) -> Result<Manifest, StoreError> {
        let fault = |e| StoreError::io(part, DOING, e);
        let file = File::create_new(part).map_err(fault)?;
        // The lock tells other processes that somebody is still writing; it ends with the process.
        file.lock().map_err(fault)?;
        let made_at = changes::now();
        let (named, newest) = self.snapshot(snapshot)?;
        let size = fs::metadata(snapshot).map_err(|e| StoreError::io(snapshot, DOING, e))?.len();
        // Written once and read back once.
        let all = 2 * (size + named.iter().map(|(_, size)| size).sum::<u64>());
        let mut done = 0;

        let mut zip = ZipWriter::new(BufWriter::with_capacity(1 << 20, file));
        let mut add = |name: &str, size: u64, from: &mut dyn std::io::Read| -> Result<Part, StoreError> {
            let zip_fault = |e| archive::writing(part, DOING, e);
            zip.start_file(name, options(size)).map_err(zip_fault)?;
            let (size, sha256) = archive::copy(&mut &mut *from, &mut zip).map_err(|fault| match fault {
                CopyFault::Writing(e) => StoreError::io(part, DOING, e),
                CopyFault::Reading(e) => StoreError::io(Path::new(name), DOING, e),
            })?;
            done += size;
            progress(done, all);
            Ok(Part { name: name.to_owned(), size, sha256 })
        };
        add(README, README_TEXT.len() as u64, &mut README_TEXT.as_bytes())?;
        let mut from = File::open(snapshot).map_err(|e| StoreError::io(snapshot, DOING, e))?;
        let database = add(DATABASE, size, &mut from)?;
        let mut manifest = Manifest {
            plateau_backup: FORM,
            made_at,
            schema: schema::SCHEMA_VERSION,
            newest,
            database,
            files: Vec::new(),
            missing: Vec::new(),
        };
        for (sha256, size) in named {
            // Looked at before it goes in: one damaged file must not stop the others from being saved.
            if let Err(why) = self.verify_file(&sha256, size) {
                manifest.missing.push(MissingFile { sha256, why });
                continue;
            }
            let path = self.file_path(&sha256)?;
            let mut from = File::open(&path).map_err(|e| StoreError::io(&path, DOING, e))?;
            let part = add(&format!("{KEPT}/{}/{sha256}", &sha256[..2]), size, &mut from)?;
            if part.sha256 != sha256 {
                return Err(StoreError::FileDamaged { sha256, found: part.sha256, size: part.size });
            }
            manifest.files.push(part);
        }
        let text = serde_json::to_vec_pretty(&manifest).map_err(|e| fault(e.into()))?;
        add(MANIFEST, text.len() as u64, &mut text.as_slice())?;
        let mut written = zip.finish().map_err(|e| archive::writing(part, DOING, e))?;
        written.flush().map_err(fault)?;
        written.get_ref().sync_all().map_err(fault)?;
        drop(written);
        read_back(part, &manifest, &mut |bytes| progress(done + bytes, all))?;
        Ok(manifest)
    }

    /// Copies the database as it stands at one moment, and says which files it names.
    fn snapshot(&self, to: &Path) -> Result<(Vec<Named>, Option<ShopHash>), StoreError> {
        let found = self.inner.read("copying the database", |db| {
            let mut kept = db.prepare("SELECT sha256, size FROM files ORDER BY sha256")?;
            let kept = kept.query_map([], |r| Ok((r.get(0)?, r.get::<_, i64>(1)?.max(0) as u64)))?;
            let kept = kept.collect::<Result<Vec<_>, _>>()?;
            // The same read transaction: copy and list are of one moment.
            let mut copy = Connection::open(to).map_err(|e| on_copy(to, e))?;
            copy.execute_batch("PRAGMA synchronous = OFF").map_err(|e| on_copy(to, e))?;
            loop {
                let step = Backup::new(db, &mut copy).and_then(|backup| backup.step(-1)).map_err(|e| on_copy(to, e))?;
                match step {
                    StepResult::Done => break,
                    _ => std::thread::sleep(std::time::Duration::from_millis(50)),
                }
            }
            Ok((kept, copy))
        })?;
        let (kept, copy) = found;
        let newest = (|| -> Result<Option<ShopHash>, Fault> {
            // A file of its own, without a log beside it, and nobody signed in.
            copy.execute_batch("PRAGMA journal_mode = DELETE; PRAGMA secure_delete = ON; DELETE FROM sessions;")?;
            let said: String = copy.query_row("PRAGMA quick_check(1)", [], |r| r.get(0))?;
            if said != "ok" {
                return Err(StoreError::DatabaseDamaged { path: self.inner.database.clone(), why: said }.into());
            }
            let mut newest = copy.prepare("SELECT seq, hash FROM entries ORDER BY seq DESC LIMIT 1")?;
            let newest = newest.query_map([], |r| Ok(ShopHash { seq: r.get(0)?, hash: r.get(1)? }))?.next();
            Ok(newest.transpose()?)
        })()
        .map_err(|fault| fault.sort(to, DOING))?;
        drop(copy);
        Ok((kept, newest))
    }

    /// Says in words what is wrong with a kept file.
    fn verify_file(&self, sha256: &str, size: u64) -> Result<(), String> {
        let path = self.file_path(sha256).map_err(|e| e.to_string())?;
        let found = File::open(&path).and_then(|mut file| archive::measure(&mut file));
        match found {
            Ok((_, found)) if found == sha256 => Ok(()),
            Ok((found_size, found)) => Err(format!("damaged: {found_size} bytes for {size}, SHA-256 {found}")),
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => Err("missing".to_owned()),
            Err(e) => Err(format!("cannot be read: {e}")),
        }
    }
}

fn on_copy(to: &Path, error: rusqlite::Error) -> Fault {
    StoreError::db(to, DOING, error).into()
}

/// SHA-256 and size of a file that the database names.
type Named = (String, u64);

/// A file that goes when it is no longer needed, unless it was renamed.
struct Temporary(PathBuf);

impl Drop for Temporary {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.0);
    }
}

/// Takes away what a backup that was killed has left in a folder. One that a living process writes is locked and stays.
fn clear_left_over(folder: &Path) -> Result<(), StoreError> {
    let fault = |e| StoreError::io(folder, DOING, e);
    for entry in fs::read_dir(folder).map_err(fault)? {
        let path = entry.map_err(fault)?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if !name.starts_with(LEFT_OVER) || !name.ends_with(PART_ENDING) {
            continue;
        }
        let free = File::open(&path).is_ok_and(|file| file.try_lock().is_ok());
        if free {
            // Somebody else may be clearing too. The last to go is the one by which the others are found.
            for ending in [DATABASE_ENDING, ".sqlite3-journal", ".sqlite3-wal", ".sqlite3-shm"] {
                let _ = fs::remove_file(path.with_file_name(name.replace(PART_ENDING, ending)));
            }
            let _ = fs::remove_file(&path);
        }
    }
    Ok(())
}

/// Stored as it is; with long sizes where they are needed.
fn options(size: u64) -> SimpleFileOptions {
    SimpleFileOptions::default()
        .compression_method(CompressionMethod::Stored)
        .large_file(size >= u64::from(u32::MAX) - (1 << 20))
        .unix_permissions(0o644)
}

/// Reads a backup back and compares every part.
fn read_back(path: &Path, manifest: &Manifest, progress: &mut dyn FnMut(u64)) -> Result<(), StoreError> {
    let differs = |name: &str, found: String, expected: String| StoreError::BackupUnlike {
        path: path.to_owned(),
        part: name.to_owned(),
        found,
        expected,
    };
    let file = File::open(path).map_err(|e| StoreError::io(path, DOING, e))?;
    let unreadable = |name: &str, why: String| differs(name, why, "a part that can be read".to_owned());
    let mut zip = ZipArchive::new(BufReader::new(file)).map_err(|e| unreadable("list of parts", e.to_string()))?;
    // README, database and manifest besides the files.
    if zip.len() != manifest.files.len() + 3 {
        return Err(differs("list of parts", format!("{} parts", zip.len()), format!("{}", manifest.files.len() + 3)));
    }
    let mut done = 0;
    for part in std::iter::once(&manifest.database).chain(&manifest.files) {
        let mut from = zip.by_name(&part.name).map_err(|e| unreadable(&part.name, e.to_string()))?;
        let (size, sha256) = archive::measure(&mut from).map_err(|e| unreadable(&part.name, e.to_string()))?;
        if (size, &sha256) != (part.size, &part.sha256) {
            let told = |size: u64, sha256: &str| format!("{size} bytes, SHA-256 {sha256}");
            return Err(differs(&part.name, told(size, &sha256), told(part.size, &part.sha256)));
        }
        done += size;
        progress(done);
    }
    Ok(())
}
