//! The database's schema: numbered steps that are only ever added to.
//!
//! `PRAGMA user_version` counts the steps applied. A step is never edited once it has left the
//! house: a shop's folder somewhere has it.

use rusqlite::{Connection, TransactionBehavior};

/// The steps, in order. Only append.
const STEPS: &[&str] = &[
    include_str!("../migrations/0001_shop.sql"),
    include_str!("../migrations/0002_notes.sql"),
    include_str!("../migrations/0003_entries.sql"),
];

/// Number of the newest schema that this program knows.
pub const SCHEMA_VERSION: i64 = STEPS.len() as i64;

/// Marks the database as a shop of ours: "Plat" in ASCII.
pub(crate) const APPLICATION_ID: i64 = 0x506c_6174;

/// The schema number of a database, 0 for an empty one.
pub(crate) fn version(connection: &Connection) -> rusqlite::Result<i64> {
    connection.query_row("PRAGMA user_version", [], |row| row.get(0))
}

/// Applies the steps that are missing, up to `target`, all in one transaction. Safe to call twice and from two processes.
pub(crate) fn migrate_to(connection: &mut Connection, target: i64) -> rusqlite::Result<()> {
    if version(connection)? >= target {
        return Ok(());
    }
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Read again inside the transaction: another process may have been faster.
    let mut at = version(&transaction)?;
    for step in STEPS.iter().take(target.max(0) as usize).skip(at.max(0) as usize) {
        transaction.execute_batch(step)?;
        at += 1;
        transaction.execute_batch(&format!("PRAGMA user_version = {at}"))?;
    }
    transaction.execute_batch(&format!("PRAGMA application_id = {APPLICATION_ID}"))?;
    transaction.commit()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Everything that the schema consists of, in a fixed order.
    fn shape(connection: &Connection) -> Vec<(String, String, Option<String>)> {
        let mut rows = connection
            .prepare("SELECT type, name, sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%' ORDER BY type, name")
            .unwrap();
        rows.query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?))).unwrap().map(Result::unwrap).collect()
    }

    /// One row in every table that exists at this step, so that a step meets data.
    fn fill(connection: &Connection, step: i64) {
        connection.execute_batch("PRAGMA foreign_keys = ON").unwrap();
        if step >= 1 {
            connection
                .execute_batch(&format!(
                    "INSERT INTO files VALUES ('{sha}', 3);
                     INSERT INTO runs VALUES ('{id}', 1, 'run', '2026-04-08T08:00:00Z', 'operator', 'north', 'ready', '{{}}', '{{}}', '{{}}');
                     INSERT INTO run_files VALUES ('{id}', 1, '{sha}', 'a.csv');
                     INSERT INTO run_changes VALUES ('{id}', 2, '2026-04-08T08:00:00Z', 'operator', 'title', '{{\"kind\":\"title\",\"to\":\"x\"}}');
                     INSERT INTO dyno_revisions VALUES ('north', 1, '2026-04-08T08:00:00Z', 'name = \"North\"');
                     INSERT INTO setting_revisions VALUES ('units', 1, '2026-04-08T08:00:00Z', 'us');
                     INSERT INTO changes (at, what, subject) VALUES ('2026-04-08T08:00:00Z', 'run', '{id}');",
                    sha = "a".repeat(64),
                    id = "0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f10",
                ))
                .unwrap();
        }
        if step >= 2 {
            connection
                .execute_batch("INSERT INTO notes (at, kind, subject, text) VALUES ('t', 'watch', 'a.csv', 'no')")
                .unwrap();
        }
        if step >= 3 {
            connection
                .execute_batch(&format!(
                    "INSERT INTO jobs VALUES ('{job}', 1, '2026-04-08T08:00:00Z');
                     INSERT INTO entries VALUES (1, '{id}', '{job}', 1, 't', 't', 'a', 'job_opened', '{{}}', '{sha}', '{sha}', '{sha}');
                     INSERT INTO entry_files VALUES (1, 1, '{sha}', 'a.jpg');
                     INSERT INTO job_newest VALUES ('{job}', 1, 1, 't');
                     INSERT INTO entry_words (rowid, text) VALUES (1, 'words of it');
                     INSERT INTO text_revisions VALUES ('instrument', 'mic-1', 1, 't', 'a', 'x');
                     INSERT INTO account_revisions VALUES ('tester', 1, 't', 'a', 'A. Tester', '[]', 0, 1, 1);
                     INSERT INTO passwords VALUES ('tester', '$x');
                     INSERT INTO sessions VALUES ('{sha}', 'tester', 't', 't', 'tablet');
                     INSERT INTO sign_ins (at, account, outcome, address, device) VALUES ('t', 'tester', 'in', '', '');",
                    sha = "a".repeat(64),
                    job = "0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f11",
                    id = "0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f12",
                ))
                .unwrap();
        }
        assert!(step <= 3, "a new step needs a row in its tables here");
    }

    /// Every row of every table that is there as text.
    fn rows(connection: &Connection) -> Vec<String> {
        let tables: Vec<String> = connection
            .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name")
            .unwrap()
            .query_map([], |r| r.get(0))
            .unwrap()
            .map(Result::unwrap)
            .collect();
        let mut all = Vec::new();
        for table in tables {
            let mut statement = connection.prepare(&format!("SELECT * FROM {table}")).unwrap();
            let columns = statement.column_count();
            let mut found = statement.query([]).unwrap();
            while let Some(row) = found.next().unwrap() {
                let cells: Vec<String> =
                    (0..columns).map(|i| format!("{:?}", row.get::<_, rusqlite::types::Value>(i).unwrap())).collect();
                all.push(format!("{table}: {}", cells.join(" ")));
            }
        }
        all
    }

    #[test]
    fn a_fresh_database_equals_all_steps_applied_one_by_one() {
        let mut at_once = Connection::open_in_memory().unwrap();
        migrate_to(&mut at_once, SCHEMA_VERSION).unwrap();
        let mut by_steps = Connection::open_in_memory().unwrap();
        for step in 1..=SCHEMA_VERSION {
            migrate_to(&mut by_steps, step).unwrap();
            assert_eq!(version(&by_steps).unwrap(), step);
        }
        assert_eq!(shape(&at_once), shape(&by_steps));
        assert_eq!(version(&at_once).unwrap(), SCHEMA_VERSION);
    }

    #[test]
    fn each_step_keeps_the_rows_that_are_there() {
        for step in 0..SCHEMA_VERSION {
            let mut database = Connection::open_in_memory().unwrap();
            migrate_to(&mut database, step).unwrap();
            fill(&database, step);
            let before = rows(&database);
            migrate_to(&mut database, SCHEMA_VERSION).unwrap();
            // Tables that came with a later step are new; what was there is there.
            let after = rows(&database);
            let lost: Vec<_> = before.iter().filter(|row| !after.contains(row)).collect();
            assert!(lost.is_empty(), "a step after {step} changed rows: {lost:?}");
            let broken: Option<String> =
                database.query_row("PRAGMA integrity_check", [], |r| r.get(0)).map(Some).unwrap();
            assert_eq!(broken.as_deref(), Some("ok"));
        }
    }

    #[test]
    fn migrating_twice_changes_nothing() {
        let mut database = Connection::open_in_memory().unwrap();
        migrate_to(&mut database, SCHEMA_VERSION).unwrap();
        fill(&database, SCHEMA_VERSION);
        let (shape_before, rows_before) = (shape(&database), rows(&database));
        migrate_to(&mut database, SCHEMA_VERSION).unwrap();
        assert_eq!((shape(&database), rows(&database)), (shape_before, rows_before));
    }

    /// Tables that may be changed and emptied, and why.
    const MAY_CHANGE: &[(&str, &str)] = &[
        ("job_newest", "derived from the entries; made anew at opening if it does not fit them"),
        ("entry_words", "an index; the words come from the writer of an entry and may be given again"),
        ("entry_words_data", "part of the index: the database keeps it"),
        ("entry_words_idx", "part of the index: the database keeps it"),
        ("entry_words_content", "part of the index: the database keeps it"),
        ("entry_words_docsize", "part of the index: the database keeps it"),
        ("entry_words_config", "part of the index: the database keeps it"),
        ("passwords", "a password that was replaced must not be kept"),
        ("sessions", "a session that ended is over; sign_ins keeps that there was one"),
    ];

    /// Every other table must refuse updates and deletes; a table added without triggers fails here.
    #[test]
    fn no_table_can_be_changed_or_emptied() {
        let mut database = Connection::open_in_memory().unwrap();
        migrate_to(&mut database, SCHEMA_VERSION).unwrap();
        fill(&database, SCHEMA_VERSION);
        let tables: Vec<(String, String)> = database
            .prepare(
                "SELECT s.name, (SELECT c.name FROM pragma_table_info(s.name) c LIMIT 1) FROM sqlite_schema s
                 WHERE s.type = 'table' AND s.name NOT LIKE 'sqlite_%'",
            )
            .unwrap()
            .query_map([], |r| Ok((r.get(0)?, r.get(1)?)))
            .unwrap()
            .map(Result::unwrap)
            .collect();
        let names: Vec<&str> = tables.iter().map(|t| t.0.as_str()).collect();
        assert!(MAY_CHANGE.iter().all(|row| names.contains(&row.0)), "a table that may change is not there: {names:?}");
        assert!(tables.len() - MAY_CHANGE.len() >= 14, "{names:?}");
        for (table, column) in tables.iter().filter(|t| MAY_CHANGE.iter().all(|row| row.0 != t.0)) {
            let update = database.execute(&format!("UPDATE {table} SET {column} = {column}"), []);
            assert!(update.unwrap_err().to_string().contains("overwritten"), "{table} can be updated");
            let delete = database.execute(&format!("DELETE FROM {table}"), []);
            assert!(delete.unwrap_err().to_string().contains("erased"), "{table} can be emptied");
        }
    }
}
