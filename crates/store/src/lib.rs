//! The shop's folder: one SQLite database and the logs kept byte for byte.
//!
//! ```text
//! shop/
//!   shop.sqlite3     runs, changes to runs, dynos, settings, notes
//!   files/ab/<sha>   every log as it came, named by its SHA-256
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
//! The store knows no physics: setup, answers and headline are JSON, a dyno is TOML, and the
//! callers say what is in them.
//!
//! What it leaves out: accounts, backup, and deleting anything.

mod changes;
mod check;
mod db;
mod dynos;
mod error;
mod files;
mod id;
mod notes;
mod run;
mod runs;
mod schema;
mod settings;

pub use changes::Change;
pub use check::{CheckReport, Damage};
pub use dynos::Dyno;
pub use error::StoreError;
pub use files::FileRef;
pub use id::RunId;
pub use notes::Note;
pub use run::{Accepted, NewRun, Run, RunChange, RunHistory, RunState, WrittenChange};
pub use schema::SCHEMA_VERSION;
pub use settings::Setting;

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
