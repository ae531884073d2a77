//! The folder and the connections: one writer, and a few readers that are lent out.

use crate::derived::DERIVED;
use crate::error::StoreError;
use crate::group::Writers;
use crate::{files, schema};
use rusqlite::{Connection, OpenFlags, TransactionBehavior};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// How long to wait for another process that writes.
const BUSY: Duration = Duration::from_secs(10);
/// Idle readers kept for reuse.
const IDLE_READERS: usize = 32;
/// Statements that a connection keeps ready.
const STATEMENTS: usize = 64;
/// File name of the database.
pub(crate) const DATABASE: &str = "shop.sqlite3";

/// What all clones of a store share.
pub(crate) struct Inner {
    pub(crate) dir: PathBuf,
    pub(crate) database: PathBuf,
    // Before the writer, so that it is dropped before it: the last to close the database moves the log into it, and a
    // reader may not.
    readers: Mutex<Vec<Connection>>,
    writers: Writers,
}

impl Inner {
    pub(crate) fn open(dir: &Path, make: bool) -> Result<Self, StoreError> {
        let database = dir.join(DATABASE);
        if make {
            make_folder(dir)?;
        } else if !database.is_file() {
            return Err(StoreError::NoShop { dir: dir.to_owned() });
        }
        let fault = |source| StoreError::db(&database, "opening the shop", source);

        let mut writer = Connection::open(&database).map_err(fault)?;
        writer.busy_timeout(BUSY).map_err(fault)?;
        let found = schema::version(&writer).map_err(fault)?;
        if found > schema::SCHEMA_VERSION {
            return Err(StoreError::NewerSchema { dir: dir.to_owned(), found, known: schema::SCHEMA_VERSION });
        }
        let owner: i64 = writer.query_row("PRAGMA application_id", [], |row| row.get(0)).map_err(fault)?;
        if found > 0 && owner != schema::APPLICATION_ID {
            return Err(StoreError::NotAShop { dir: dir.to_owned(), found: format!("{DATABASE} of another program") });
        }
        use_wal(&writer).map_err(fault)?;
        // FULL: a transaction that was reported as saved survives a power cut. What is deleted at all (passwords that
        // were replaced, sessions) is overwritten where that costs no further reading and writing.
        writer
            .execute_batch(
                "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA recursive_triggers = ON;
                 PRAGMA secure_delete = FAST;",
            )
            .map_err(fault)?;
        schema::migrate_to(&mut writer, schema::SCHEMA_VERSION).map_err(fault)?;
        files::sync_folder(dir)?;
        files::clear_temporaries(dir)?;
        derive_anew(&mut writer).map_err(fault)?;
        writer.set_prepared_statement_cache_capacity(STATEMENTS);
        let writers = Writers::new(writer, BUSY);
        Ok(Self { dir: dir.to_owned(), database, writers, readers: Mutex::new(Vec::new()) })
    }

    /// Runs `work` in a write transaction; all of it is saved or nothing. Those who write at the same time share one.
    pub(crate) fn write<T>(
        &self,
        doing: &'static str,
        work: impl FnOnce(&Connection) -> Result<T, Fault>,
    ) -> Result<T, StoreError> {
        self.writers.write(work).map_err(|fault| fault.sort(&self.database, doing))
    }

    /// Runs `work` on a read-only connection, inside one read transaction: it sees one state throughout.
    pub(crate) fn read<T>(
        &self,
        doing: &'static str,
        work: impl FnOnce(&Connection) -> Result<T, Fault>,
    ) -> Result<T, StoreError> {
        let lent = lock(&self.readers).pop();
        let (value, reader) = self.read_on(lent, doing, work)?;
        let mut idle = lock(&self.readers);
        if idle.len() < IDLE_READERS {
            idle.push(reader);
        }
        Ok(value)
    }

    /// The same on a connection that has read nothing before. The check needs it: the index of words looks at what a
    /// connection remembers of it, and would take what another connection has written since for damage.
    pub(crate) fn read_afresh<T>(
        &self,
        doing: &'static str,
        work: impl FnOnce(&Connection) -> Result<T, Fault>,
    ) -> Result<T, StoreError> {
        self.read_on(None, doing, work).map(|(value, _)| value)
    }

    fn read_on<T>(
        &self,
        reader: Option<Connection>,
        doing: &'static str,
        work: impl FnOnce(&Connection) -> Result<T, Fault>,
    ) -> Result<(T, Connection), StoreError> {
        let sort = |fault: Fault| fault.sort(&self.database, doing);
        let mut reader = match reader {
            Some(reader) => reader,
            None => self.new_reader().map_err(|e| sort(e.into()))?,
        };
        let transaction = reader.transaction().map_err(|e| sort(e.into()))?;
        let value = work(&transaction).map_err(sort)?;
        transaction.finish().map_err(|e| sort(e.into()))?;
        Ok((value, reader))
    }

    fn new_reader(&self) -> rusqlite::Result<Connection> {
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let reader = Connection::open_with_flags(&self.database, flags)?;
        reader.busy_timeout(BUSY)?;
        reader.set_prepared_statement_cache_capacity(STATEMENTS);
        Ok(reader)
    }
}

/// What `work` may fail with: the database, or something of ours.
#[derive(Debug)]
pub(crate) enum Fault {
    Sql(rusqlite::Error),
    Store(StoreError),
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Self {
        Self::Sql(error)
    }
}

impl From<StoreError> for Fault {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

impl Fault {
    pub(crate) fn sort(self, database: &Path, doing: &'static str) -> StoreError {
        match self {
            Self::Sql(error) => StoreError::db(database, doing, error),
            Self::Store(error) => error,
        }
    }
}

/// A lock that a panicking thread left is taken over: a transaction it had open was rolled back.
pub(crate) fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Turns on write-ahead logging. Two processes that make a shop at once may find each other in
/// the way here, and SQLite does not wait at this point, so we do.
fn use_wal(connection: &Connection) -> rusqlite::Result<()> {
    let mut tries = 0;
    loop {
        match connection.pragma_update(None, "journal_mode", "wal") {
            Err(error) if error.sqlite_error_code() == Some(rusqlite::ErrorCode::DatabaseBusy) && tries < 100 => {
                tries += 1;
                std::thread::sleep(BUSY / 100);
            }
            other => return other,
        }
    }
}

/// Brings the list of newest entries up to date, in case it was emptied or put back from elsewhere: it is derived from
/// the entries. Looks at three index ends when all is well.
fn derive_anew(writer: &mut Connection) -> rusqlite::Result<()> {
    let stale = "SELECT (SELECT COUNT(*) FROM jobs) <> (SELECT COUNT(*) FROM job_newest)
         OR (SELECT COALESCE(MAX(seq), 0) FROM entries) <> (SELECT COALESCE(MAX(seq), 0) FROM job_newest)";
    if !writer.query_row(stale, [], |row| row.get::<_, bool>(0))? {
        return Ok(());
    }
    let transaction = writer.transaction_with_behavior(TransactionBehavior::Immediate)?;
    transaction.execute_batch(
        "DELETE FROM job_newest;
         INSERT INTO job_newest (job, entries, seq, at)
         SELECT job, number, seq, received FROM entries e
         WHERE number = (SELECT MAX(number) FROM entries n WHERE n.job = e.job)",
    )?;
    transaction.commit()
}

/// Makes the folder and its parts, unless it holds things that are not ours.
pub(crate) fn make_folder(dir: &Path) -> Result<(), StoreError> {
    let doing = "making the shop's folder";
    std::fs::create_dir_all(dir).map_err(|e| StoreError::io(dir, doing, e))?;
    if !dir.join(DATABASE).exists() {
        // A process killed while making the shop leaves some of our own names, and an empty disk of its own may hold
        // lost+found; anything else is not ours.
        for entry in std::fs::read_dir(dir).map_err(|e| StoreError::io(dir, doing, e))? {
            let name = entry.map_err(|e| StoreError::io(dir, doing, e))?.file_name();
            let name = name.to_string_lossy();
            if name != files::KEPT
                && name != files::TEMPORARY
                && name != DERIVED
                && name != "lost+found"
                && !name.starts_with(DATABASE)
            {
                return Err(StoreError::NotAShop { dir: dir.to_owned(), found: name.into_owned() });
            }
        }
    }
    for part in [files::KEPT, files::TEMPORARY] {
        let part = dir.join(part);
        std::fs::create_dir_all(&part).map_err(|e| StoreError::io(&part, doing, e))?;
    }
    Ok(())
}
