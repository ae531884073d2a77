//! Several writers, one transaction: whoever waits for the writer while another one works joins its transaction, and
//! the last in the row commits for all of them. A sync of the disk is what costs the time, and it is then paid once.
//!
//! Each piece of work runs inside a savepoint, so that one that fails takes nothing of the others with it. Nobody is
//! told that something was saved before the commit has returned.

use crate::db::{Fault, lock};
use rusqlite::{Connection, ErrorCode, ffi};
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Most that one transaction takes up, so that the first in it does not wait for a row that never ends.
const MOST: usize = 64;

/// What came of a transaction: nothing to say, or why it was not saved.
type Outcome = Result<(), (ffi::Error, Option<String>)>;

/// The one connection that writes, and those who wait for it.
pub(crate) struct Writers {
    writer: Mutex<Writer>,
    waiting: AtomicUsize,
    busy: Duration,
}

struct Writer {
    connection: Connection,
    /// The transaction that is open, if one is.
    open: Option<Arc<Group>>,
    /// Pieces of work in it.
    size: usize,
}

/// Those who share a transaction.
#[derive(Default)]
struct Group {
    outcome: Mutex<Option<Outcome>>,
    known: Condvar,
}

impl Group {
    fn end(&self, outcome: Outcome) {
        *lock(&self.outcome) = Some(outcome);
        self.known.notify_all();
    }

    /// Waits until the transaction was committed or failed.
    fn wait(&self) -> rusqlite::Result<()> {
        let mut outcome = lock(&self.outcome);
        loop {
            match outcome.as_ref() {
                Some(Ok(())) => return Ok(()),
                Some(Err((error, text))) => return Err(rusqlite::Error::SqliteFailure(*error, text.clone())),
                None => outcome = self.known.wait(outcome).unwrap_or_else(PoisonError::into_inner),
            }
        }
    }
}

impl Writers {
    /// `busy` is how long to wait for another process that writes.
    pub(crate) fn new(connection: Connection, busy: Duration) -> Self {
        Self { writer: Mutex::new(Writer { connection, open: None, size: 0 }), waiting: AtomicUsize::new(0), busy }
    }

    /// Runs `work` in a transaction, perhaps together with that of others; returns when it is saved, or was not.
    pub(crate) fn write<T>(&self, work: impl FnOnce(&Connection) -> Result<T, Fault>) -> Result<T, Fault> {
        let since = Instant::now();
        self.waiting.fetch_add(1, Ordering::SeqCst);
        let mut writer = lock(&self.writer);
        self.waiting.fetch_sub(1, Ordering::SeqCst);

        let group = writer.join(self.busy.saturating_sub(since.elapsed()))?;
        let result = writer.run(work);
        // Whoever waits at this moment takes over; whoever comes later finds the transaction closed.
        if writer.open.is_some() && (self.waiting.load(Ordering::SeqCst) == 0 || writer.size >= MOST) {
            writer.commit();
        }
        drop(writer);
        match result {
            Err(panic) => resume_unwind(panic),
            Ok(Err(fault)) => Err(fault),
            Ok(Ok(value)) => {
                group.wait()?;
                Ok(value)
            }
        }
    }

    #[cfg(test)]
    /// Runs `work` on the connection outside of any transaction, with nobody else writing through it.
    pub(crate) fn alone<T>(&self, work: impl FnOnce(&Connection) -> rusqlite::Result<T>) -> rusqlite::Result<T> {
        self.waiting.fetch_add(1, Ordering::SeqCst);
        let mut writer = lock(&self.writer);
        self.waiting.fetch_sub(1, Ordering::SeqCst);
        writer.commit();
        work(&writer.connection)
    }
}

impl Writer {
    /// Enters the open transaction, or opens one; waits up to `busy` for another process.
    fn join(&mut self, busy: Duration) -> rusqlite::Result<Arc<Group>> {
        let group = match &self.open {
            Some(group) => group.clone(),
            None => {
                // Those who stood in the row behind somebody who waited have waited already.
                self.connection.busy_timeout(busy.max(Duration::from_millis(50)))?;
                self.connection.execute_batch("BEGIN IMMEDIATE")?;
                let group = Arc::new(Group::default());
                self.open = Some(group.clone());
                self.size = 0;
                group
            }
        };
        if let Err(error) = self.connection.execute_batch("SAVEPOINT work") {
            self.give_up(&error);
            return Err(error);
        }
        self.size += 1;
        Ok(group)
    }

    /// Runs a piece of work within the savepoint. If it fails, what it wrote is taken back.
    fn run<T>(&mut self, work: impl FnOnce(&Connection) -> Result<T, Fault>) -> std::thread::Result<Result<T, Fault>> {
        let connection = &self.connection;
        let result = catch_unwind(AssertUnwindSafe(|| work(connection)));
        let well = matches!(result, Ok(Ok(_)));
        // A full disk or a fault of it may have ended the whole transaction already.
        if self.connection.is_autocommit() {
            let error = match &result {
                Ok(Err(Fault::Sql(error))) => copy(error),
                _ => (ffi::Error::new(ffi::SQLITE_ABORT), None),
            };
            self.end(Err(error));
            return result;
        }
        let closing = if well { "RELEASE work" } else { "ROLLBACK TO work; RELEASE work" };
        match self.connection.execute_batch(closing) {
            Ok(()) => result,
            Err(error) => {
                self.give_up(&error);
                if well { Ok(Err(error.into())) } else { result }
            }
        }
    }

    /// Commits what is open, and tells everybody in it.
    fn commit(&mut self) {
        if self.open.is_none() {
            return;
        }
        match self.connection.execute_batch("COMMIT") {
            Ok(()) => self.end(Ok(())),
            Err(error) => self.give_up(&error),
        }
    }

    /// Takes back everything that is open, and tells everybody in it why.
    fn give_up(&mut self, error: &rusqlite::Error) {
        if !self.connection.is_autocommit() {
            // If this fails too, the next BEGIN says so.
            let _ = self.connection.execute_batch("ROLLBACK");
        }
        self.end(Err(copy(error)));
    }

    fn end(&mut self, outcome: Outcome) {
        if let Some(group) = self.open.take() {
            group.end(outcome);
        }
    }
}

/// An error once more, for everybody else in the transaction.
fn copy(error: &rusqlite::Error) -> (ffi::Error, Option<String>) {
    match error {
        rusqlite::Error::SqliteFailure(error, text) => (*error, text.clone()),
        other => (ffi::Error { code: ErrorCode::Unknown, extended_code: ffi::SQLITE_ERROR }, Some(other.to_string())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Barrier;

    fn writers(dir: &std::path::Path) -> Writers {
        let connection = Connection::open(dir.join("x.sqlite3")).unwrap();
        connection.pragma_update(None, "journal_mode", "wal").unwrap();
        connection.execute_batch("CREATE TABLE n (n INTEGER PRIMARY KEY); CREATE TABLE own (at INTEGER)").unwrap();
        Writers::new(connection, Duration::from_secs(10))
    }

    fn count(writers: &Writers) -> i64 {
        writers.alone(|db| db.query_row("SELECT COUNT(*) FROM n", [], |r| r.get(0))).unwrap()
    }

    /// Every third fails, every seventh panics; the others are there, and nothing of those that failed.
    #[test]
    fn those_who_fail_take_nothing_of_the_others_with_them() {
        let dir = tempfile::tempdir().unwrap();
        let writers = writers(dir.path());
        let start = Barrier::new(16);
        std::thread::scope(|scope| {
            for thread in 0..16_i64 {
                let (writers, start, dir) = (&writers, &start, dir.path());
                scope.spawn(move || {
                    start.wait();
                    for n in 0..42_i64 {
                        let number = thread * 1000 + n;
                        let insert = |db: &Connection| -> Result<(), Fault> {
                            db.execute("INSERT INTO n VALUES (?1)", [number])?;
                            assert!(n % 7 != 0, "on purpose");
                            if n % 3 == 0 { Err(rusqlite::Error::QueryReturnedNoRows.into()) } else { Ok(()) }
                        };
                        let ended = catch_unwind(AssertUnwindSafe(|| writers.write(insert)));
                        assert_eq!(matches!(ended, Ok(Ok(()))), n % 7 != 0 && n % 3 != 0);
                        if let Ok(Ok(())) = ended {
                            // Saved means that another connection sees it.
                            let other = Connection::open(dir.join("x.sqlite3")).unwrap();
                            let there: bool = other
                                .query_row("SELECT EXISTS (SELECT 1 FROM n WHERE n = ?1)", [number], |r| r.get(0))
                                .unwrap();
                            assert!(there);
                        }
                    }
                });
            }
        });
        let each = (0..42).filter(|n| n % 7 != 0 && n % 3 != 0).count() as i64;
        assert_eq!(count(&writers), 16 * each);
    }

    /// Those who wait while one works are saved by one commit: a commit hook counts.
    #[test]
    fn those_who_wait_share_a_commit() {
        let dir = tempfile::tempdir().unwrap();
        let writers = writers(dir.path());
        let (inside, go) = (Barrier::new(2), Barrier::new(2));
        let before = changes_of_file(dir.path());
        std::thread::scope(|scope| {
            let (writers, inside, go) = (&writers, &inside, &go);
            scope.spawn(move || {
                writers
                    .write(|db| {
                        db.execute("INSERT INTO n VALUES (0)", [])?;
                        inside.wait();
                        go.wait();
                        Ok(())
                    })
                    .unwrap();
            });
            inside.wait();
            for n in 1..=8 {
                scope.spawn(move || writers.write(|db| Ok(db.execute("INSERT INTO n VALUES (?1)", [n])?)).unwrap());
            }
            while writers.waiting.load(Ordering::SeqCst) < 8 {
                std::thread::yield_now();
            }
            go.wait();
        });
        assert_eq!(count(&writers), 9);
        // Nine commits of their own would have written the page of the table nine times.
        let pages = changes_of_file(dir.path()) - before;
        assert!(pages <= 2, "{pages} pages were written");
    }

    /// Pages in the write-ahead log. A frame is a page of 4096 bytes and 24 bytes of heading, after 32 bytes.
    fn changes_of_file(dir: &std::path::Path) -> u64 {
        std::fs::metadata(dir.join("x.sqlite3-wal")).unwrap().len().saturating_sub(32) / (4096 + 24)
    }

    /// A table that refuses at commit: a deferred foreign key.
    #[test]
    fn a_commit_that_fails_is_told_to_everybody_in_it() {
        let dir = tempfile::tempdir().unwrap();
        let writers = writers(dir.path());
        writers
            .alone(|db| {
                db.execute_batch(
                    "PRAGMA foreign_keys = ON;
                     CREATE TABLE child (n INTEGER REFERENCES n (n) DEFERRABLE INITIALLY DEFERRED)",
                )
            })
            .unwrap();
        let (inside, go) = (Barrier::new(2), Barrier::new(2));
        std::thread::scope(|scope| {
            let (writers, inside, go) = (&writers, &inside, &go);
            let first = scope.spawn(move || {
                writers.write(|db| {
                    db.execute("INSERT INTO n VALUES (1)", [])?;
                    inside.wait();
                    go.wait();
                    Ok(())
                })
            });
            inside.wait();
            let second = scope.spawn(move || writers.write(|db| Ok(db.execute("INSERT INTO child VALUES (7)", [])?)));
            while writers.waiting.load(Ordering::SeqCst) < 1 {
                std::thread::yield_now();
            }
            go.wait();
            assert!(first.join().unwrap().is_err() && second.join().unwrap().is_err());
        });
        assert_eq!(count(&writers), 0);
        writers.write(|db| Ok(db.execute("INSERT INTO n VALUES (2)", [])?)).unwrap();
        assert_eq!(count(&writers), 1);
    }
}
