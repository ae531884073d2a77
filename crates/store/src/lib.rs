//! The shop's folder: one SQLite database, and logs and photos kept byte for byte.
//!
//! ```text
//! shop/
//!   shop.sqlite3     jobs and their entries, runs, changes to runs, dynos, texts, settings, notes, accounts
//!   files/ab/<sha>   every log and photo as it came, named by its SHA-256
//!   derived/         thumbnails and the like; may be emptied
//!   tmp/             files being written; empty when nothing is going on
//! ```
//!
//! Nothing is overwritten. A run is one row as it was taken in plus rows in `run_changes`; what
//! a run is now is the fold of the two ([`Run`]). Dynos and settings keep their older texts as
//! revisions. The database refuses updates and deletes by triggers, so a later slip in our own
//! code cannot erase anything either.
//!
//! A log is written to `tmp/`, synced, renamed into `files/` and the folder synced; only then one
//! transaction adds the run. A process killed at any moment leaves the whole run or none of it,
//! and at worst a file that no run names, which [`Store::check`] lists and which does no harm.
//!
//! Entries are chained: each holds the hash of the one before it in its job and in the shop, so that a change made
//! behind our back shows ([`Store::check`]).
//!
//! The store knows no physics and no record: setup, answers, headline and the body of an entry are
//! JSON, a dyno is TOML, and the callers say what is in them.
//!
//! What it leaves out: deleting anything, apart from sessions that ended and passwords that were replaced.

mod accounts;
mod archive;
mod backup;
mod canonical;
mod chain;
mod changes;
mod check;
mod db;
mod derived;
mod dynos;
mod entries;
mod entry;
mod error;
mod files;
mod group;
mod id;
mod notes;
mod restore;
mod run;
mod runs;
mod schema;
mod search;
mod sessions;
mod settings;
mod texts;

pub use accounts::{Account, NewAccount};
pub use archive::MissingFile;
pub use backup::BackupReport;
pub use changes::Change;
pub use check::{CheckReport, Damage};
pub use dynos::Dyno;
pub use entry::{Hit, JobRow, NewEntry, ShopHash, SnippetPart, StoredEntry};
pub use error::StoreError;
pub use files::FileRef;
pub use id::RunId;
pub use notes::Note;
pub use restore::RestoreReport;
pub use run::{Accepted, NewRun, Run, RunChange, RunHistory, RunState, WrittenChange};
pub use schema::SCHEMA_VERSION;
pub use sessions::{Session, SignIn};
pub use settings::Setting;
pub use texts::ShopText;

use std::path::Path;
use std::sync::Arc;

/// A shop's folder, open. Cheap to clone; every clone is the same shop. Safe to share between threads.
///
/// Several processes may have the same folder open (a server, a watcher, the command): one
/// writes at a time and the others wait up to ten seconds for their turn.
#[derive(Clone)]
pub struct Store {
    inner: Arc<db::Inner>,
}

impl Store {
    /// Opens a shop's folder, and makes it if it is missing or empty.
    ///
    /// Brings an older schema up to date, and takes away temporaries of processes that were cut short.
    ///
    /// # Errors
    /// [`StoreError::NotAShop`] if the folder holds other things and no shop,
    /// [`StoreError::NewerSchema`] if a newer version of the program wrote it, and the errors of
    /// disk and database.
    pub fn open(dir: &Path) -> Result<Store, StoreError> {
        Ok(Store { inner: Arc::new(db::Inner::open(dir, true)?) })
    }

    /// Opens a shop's folder that must be there already; makes nothing.
    ///
    /// # Errors
    /// [`StoreError::NoShop`] if there is no shop in the folder; else as [`Store::open`].
    pub fn open_existing(dir: &Path) -> Result<Store, StoreError> {
        Ok(Store { inner: Arc::new(db::Inner::open(dir, false)?) })
    }

    /// The folder.
    pub fn dir(&self) -> &Path {
        &self.inner.dir
    }
}

impl std::fmt::Debug for Store {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Store").field("dir", &self.inner.dir).finish()
    }
}
