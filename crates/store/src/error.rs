//! What can go wrong in the store, in words for the person at the desk.

use crate::id::RunId;
use std::path::{Path, PathBuf};

/// An error of the store. Each says what happened to the data and what to do next.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// The folder holds something, but no shop.
    #[error(
        "{} is not a shop folder: it holds `{found}` and no shop.sqlite3; nothing was written\n  go on    name an empty folder, or one that Plateau has made",
        dir.display()
    )]
    NotAShop {
        /// The folder.
        dir: PathBuf,
        /// The first thing found in it.
        found: String,
    },
    /// There is no shop in the folder, and none was to be made.
    #[error("there is no shop in {}\n  go on    check the folder; `keep` or `serve` make a new shop in an empty one", dir.display())]
    NoShop {
        /// The folder.
        dir: PathBuf,
    },
    /// Written by a newer version of the program.
    #[error(
        "{} was written by a newer Plateau (schema {found}, this one knows up to {known}); nothing was changed\n  go on    use the newer Plateau for this shop",
        dir.display()
    )]
    NewerSchema {
        /// The folder.
        dir: PathBuf,
        /// Schema number found.
        found: i64,
        /// Highest schema number known here.
        known: i64,
    },
    /// Somebody changed the run in between.
    #[error(
        "run {run} was changed by somebody else in between (expected revision {expected}, found {found}); your change was not saved\n  go on    look at the run again, then repeat the change"
    )]
    Conflict {
        /// The run.
        run: RunId,
        /// Revision the caller had seen.
        expected: i64,
        /// Revision that stands in the store.
        found: i64,
    },
    /// No such run.
    #[error("there is no run {run} in this shop")]
    NoRun {
        /// The run, as asked for.
        run: String,
    },
    /// The id belongs to another run with other logs.
    #[error(
        "the id {run} already belongs to another run with other logs; nothing was saved\n  go on    take the logs in again, they will get a new id"
    )]
    IdTaken {
        /// The id.
        run: RunId,
    },
    /// The id belongs to another entry.
    #[error(
        "the id {id} already belongs to another entry, which says something else; nothing was saved\n  go on    write the entry again, it will get a new id"
    )]
    EntryIdTaken {
        /// The id.
        id: String,
    },
    /// An entry of a job that nobody opened.
    #[error(
        "there is no job {job} in this shop; the entry {id} and those sent with it were not saved\n  go on    send the entry that opens the job first"
    )]
    NoJob {
        /// The job.
        job: String,
        /// The entry.
        id: String,
    },
    /// An entry that opens a job that is open.
    #[error(
        "the job {job} was opened before; the entry {id}, which opens it once more, and those sent with it were not saved\n  go on    open a job of its own, or write into the one that is there"
    )]
    JobThere {
        /// The job.
        job: String,
        /// The entry.
        id: String,
    },
    /// No such entry.
    #[error("there is no entry {entry} in this shop")]
    NoEntry {
        /// The entry, as asked for.
        entry: String,
    },
    /// Somebody wrote the text in between.
    #[error(
        "the {kind} `{key}` was written by somebody else in between (expected revision {expected}, found {found}); your text was not saved\n  go on    look at it again, then repeat the change"
    )]
    TextConflict {
        /// Kind of the text.
        kind: String,
        /// Its key.
        key: String,
        /// Revision the writer had seen.
        expected: i64,
        /// Revision that stands in the store.
        found: i64,
    },
    /// Somebody changed the account in between, or it is there already.
    #[error(
        "the account `{name}` was written by somebody else in between (expected revision {expected}, found {found}); your change was not saved\n  go on    look at it again, then repeat the change, or take another name"
    )]
    AccountConflict {
        /// Name of the account.
        name: String,
        /// Revision the writer had seen.
        expected: i64,
        /// Revision that stands in the store.
        found: i64,
    },
    /// A file's content is not in the shop's folder.
    #[error(
        "the file {sha256} is missing from the shop's files; what was written about it is whole, what was in it cannot be shown\n  go on    bring the same file in again, or put files/{}/{sha256} back from a backup",
        short(sha256)
    )]
    FileMissing {
        /// SHA-256 of the content, hexadecimal.
        sha256: String,
    },
    /// A file's content is not what its name says.
    #[error(
        "the file {sha256} in the shop's files is damaged: its content is now {found} ({size} bytes); what was written about it is whole, this file cannot be trusted\n  go on    bring the same file in again, or put files/{}/{sha256} back from a backup",
        short(sha256)
    )]
    FileDamaged {
        /// SHA-256 that the content should have.
        sha256: String,
        /// SHA-256 that it has.
        found: String,
        /// Its size now, bytes.
        size: u64,
    },
    /// Not a SHA-256 in lower-case hexadecimal.
    #[error("`{found}` is no file name of the shop: expected 64 hexadecimal digits")]
    BadHash {
        /// What was given.
        found: String,
    },
    /// A text that must be JSON is not.
    #[error("{what} is not JSON ({why}); nothing was saved")]
    NotJson {
        /// Which text.
        what: &'static str,
        /// The parser's reason.
        why: String,
    },
    /// A value that must not be empty, or is not of the expected form.
    #[error("{what}: found `{found}`, expected {expected}; nothing was saved")]
    BadValue {
        /// Which value.
        what: &'static str,
        /// What was given.
        found: String,
        /// What is expected.
        expected: &'static str,
    },
    /// There is a file already where a backup is to go.
    #[error("there is a file {} already; it was left as it is\n  go on    name another file, or say --replace", path.display())]
    BackupThere {
        /// The file.
        path: PathBuf,
    },
    /// A backup in the folder that it is to save.
    #[error(
        "{} lies in the shop's own folder {}: a backup there is lost together with the shop; nothing was written\n  go on    name a file on another disk",
        path.display(),
        dir.display()
    )]
    BackupInside {
        /// The file.
        path: PathBuf,
        /// The shop's folder.
        dir: PathBuf,
    },
    /// Not a backup of ours, or cut short.
    #[error(
        "{} is no whole backup of a shop ({why}); nothing was restored\n  go on    check the name; if it was copied, copy it once more, or take an earlier backup",
        path.display()
    )]
    NotABackup {
        /// The file.
        path: PathBuf,
        /// What was found.
        why: String,
    },
    /// A backup reads back otherwise than it was written.
    #[error(
        "the backup {} does not read back as it was written, part {part}: found {found}, expected {expected}; it was taken away again, the shop is not affected\n  go on    write it to another disk, and check this one",
        path.display()
    )]
    BackupUnlike {
        /// The backup.
        path: PathBuf,
        /// The part.
        part: String,
        /// What was read.
        found: String,
        /// What was written.
        expected: String,
    },
    /// A part of a backup is not what its list of contents says.
    #[error(
        "{}: its part {part} is damaged: found {found}, expected {expected}; the backup was left as it is, and no shop was made from it\n  go on    copy the backup once more from where it came, or take another one",
        path.display()
    )]
    BackupDiffers {
        /// The backup.
        path: PathBuf,
        /// The part.
        part: String,
        /// What was found.
        found: String,
        /// What the list of contents says.
        expected: String,
    },
    /// A shop is restored into an empty folder only.
    #[error("{} is not empty: it holds `{found}`; nothing was written\n  go on    name an empty folder, or one that is not there yet", dir.display())]
    NotEmpty {
        /// The folder.
        dir: PathBuf,
        /// The first thing found in it.
        found: String,
    },
    /// The disk is full.
    #[error("the disk of {} is full; nothing was saved while {doing}\n  go on    make room and repeat; what was saved before is whole", path.display())]
    DiskFull {
        /// What was being written.
        path: PathBuf,
        /// What was being done.
        doing: &'static str,
    },
    /// The folder may not be written.
    #[error("{} may not be written; nothing was saved while {doing}\n  go on    check the owner and the rights of the shop's folder", path.display())]
    ReadOnly {
        /// What was being written.
        path: PathBuf,
        /// What was being done.
        doing: &'static str,
    },
    /// The disk failed to give or take what was asked.
    #[error(
        "the disk of {} did not do what was asked ({why}); nothing was saved while {doing}\n  go on    check that the disk is there, has room and is sound, then repeat; what was saved before is not affected",
        path.display()
    )]
    DiskFault {
        /// The database.
        path: PathBuf,
        /// What was being done.
        doing: &'static str,
        /// What the database said.
        why: String,
    },
    /// Another process kept the database for too long.
    #[error(
        "another process kept {} for longer than 10 s; nothing was saved while {doing}\n  go on    wait until the other import is through, then repeat",
        path.display()
    )]
    Locked {
        /// The database.
        path: PathBuf,
        /// What was being done.
        doing: &'static str,
    },
    /// The database is damaged.
    #[error(
        "{} is damaged ({why}) and was left as it is; the logs and photos in files/ are kept apart from it and are not affected\n  go on    copy the whole folder first, then `plateau restore` the newest backup into an empty folder; logs that came in after it can be brought in again from files/",
        path.display()
    )]
    DatabaseDamaged {
        /// The database.
        path: PathBuf,
        /// What the database said.
        why: String,
    },
    /// A row in the database cannot be understood.
    #[error("the entry of {what} cannot be read ({why}); it was left as it is")]
    RowDamaged {
        /// Which row.
        what: String,
        /// Why.
        why: String,
    },
    /// Any other trouble with a file.
    #[error("{}: {source} (while {doing})", path.display())]
    Io {
        /// The file or folder.
        path: PathBuf,
        /// What was being done.
        doing: &'static str,
        /// The system's reason.
        source: std::io::Error,
    },
    /// Any other trouble with the database.
    #[error("{}: {source} (while {doing})", path.display())]
    Database {
        /// The database.
        path: PathBuf,
        /// What was being done.
        doing: &'static str,
        /// The database's reason.
        source: rusqlite::Error,
    },
}

/// The folder part of a content address.
fn short(sha256: &str) -> &str {
    sha256.get(..2).unwrap_or("")
}

impl StoreError {
    /// Sorts an error of the file system by what a person can do about it.
    pub(crate) fn io(path: &Path, doing: &'static str, source: std::io::Error) -> Self {
        use std::io::ErrorKind as K;
        let path = path.to_owned();
        match source.kind() {
            K::StorageFull | K::QuotaExceeded | K::FileTooLarge => Self::DiskFull { path, doing },
            K::PermissionDenied | K::ReadOnlyFilesystem => Self::ReadOnly { path, doing },
            _ => Self::Io { path, doing, source },
        }
    }

    /// Sorts an error of the database by what a person can do about it.
    pub(crate) fn db(path: &Path, doing: &'static str, source: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode as C;
        let path = path.to_owned();
        match source.sqlite_error_code() {
            Some(C::DiskFull) => Self::DiskFull { path, doing },
            Some(C::ReadOnly | C::PermissionDenied | C::CannotOpen) => Self::ReadOnly { path, doing },
            Some(C::SystemIoFailure) => Self::DiskFault { path, doing, why: source.to_string() },
            Some(C::DatabaseBusy | C::DatabaseLocked) => Self::Locked { path, doing },
            Some(C::DatabaseCorrupt | C::NotADatabase) => Self::DatabaseDamaged { path, why: source.to_string() },
            _ => Self::Database { path, doing, source },
        }
    }
}
