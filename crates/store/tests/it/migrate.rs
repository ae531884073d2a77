//! Shops that older versions of the program wrote, opened by this one: always a copy, and every row is there afterwards.

use crate::open_job;
use rusqlite::Connection;
use std::fs;
use std::path::{Path, PathBuf};
use store::{SCHEMA_VERSION, Store};

fn older() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/older")
}

/// The folder of a shop as the older version left it.
fn shop_of(schema: i64, into: &Path) {
    let sql = older().join(format!("schema-{schema}.sql"));
    let sql = fs::read_to_string(&sql).unwrap_or_else(|e| panic!("{}: {e}; see SOURCE.md beside it", sql.display()));
    fs::create_dir_all(into.join("tmp")).unwrap();
    let database = Connection::open(into.join("shop.sqlite3")).unwrap();
    database.execute_batch(&sql).unwrap();
    database.pragma_update(None, "user_version", schema).unwrap();
    database.pragma_update(None, "application_id", 0x506c_6174).unwrap();
    for file in fs::read_dir(older().join("files")).unwrap() {
        let path = file.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap();
        fs::create_dir_all(into.join("files").join(&name[..2])).unwrap();
        fs::copy(&path, into.join("files").join(&name[..2]).join(name)).unwrap();
    }
}

/// Every row of the tables that the database has at this moment, and of these tables later.
fn rows(database: &Connection, tables: Option<&[String]>) -> (Vec<String>, Vec<String>) {
    let tables = match tables {
        Some(tables) => tables.to_vec(),
        None => database
            .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name")
            .unwrap()
            .query_map([], |r| r.get(0))
            .unwrap()
            .map(Result::unwrap)
            .collect(),
    };
    let mut all = Vec::new();
    for table in &tables {
        let mut statement = database.prepare(&format!("SELECT * FROM {table}")).unwrap();
        let columns = statement.column_count();
        let mut found = statement.query([]).unwrap();
        while let Some(row) = found.next().unwrap() {
            let cells: Vec<String> =
                (0..columns).map(|i| format!("{:?}", row.get::<_, rusqlite::types::Value>(i).unwrap())).collect();
            all.push(format!("{table}: {}", cells.join(" ")));
        }
    }
    (tables, all)
}

#[test]
fn a_shop_of_an_older_version_keeps_every_row_and_goes_on() {
    for schema in 2..SCHEMA_VERSION {
        let dir = tempfile::tempdir().unwrap();
        let shop = dir.path().join("shop");
        shop_of(schema, &shop);
        let (tables, before) = rows(&Connection::open(shop.join("shop.sqlite3")).unwrap(), None);
        assert!(tables.len() >= 8 && before.len() > 25, "schema {schema}: {} rows in {tables:?}", before.len());

        let store = Store::open(&shop).unwrap();
        let database = Connection::open(shop.join("shop.sqlite3")).unwrap();
        let version: i64 = database.query_row("PRAGMA user_version", [], |r| r.get(0)).unwrap();
        assert_eq!(version, SCHEMA_VERSION);
        assert_eq!(rows(&database, Some(&tables)).1, before, "schema {schema}");
        let report = store.check().unwrap();
        assert!(report.is_clean(), "{report:?}");
        assert_eq!((report.runs, report.files), (2, 2));

        let runs = store.runs().unwrap();
        assert_eq!(runs[0].title, "After the build, second");
        assert_eq!((runs[0].against, runs[0].files.len()), (Some(runs[1].id), 2));
        assert_eq!(
            (runs[1].revision, runs[1].accepted.is_none(), runs[1].setup_json.as_str()),
            (7, true, r#"{"band":[3000,6200]}"#)
        );
        assert_eq!(store.dyno("north").unwrap().unwrap().cell_toml, "name = \"North cell\"");
        assert_eq!(store.setting("units").unwrap().as_deref(), Some("metric"));

        let entry = store.add_entries(&[open_job()]).unwrap().remove(0);
        drop(store);
        let again = Store::open(&shop).unwrap();
        assert_eq!(again.entries_since(0, 9).unwrap(), [entry]);
        assert!(again.check().unwrap().is_clean());
    }
}

/// A step that fails half-way leaves the shop as it was: here a table of the step's name is in its way.
#[test]
fn a_step_that_fails_leaves_the_shop_as_it_was() {
    let dir = tempfile::tempdir().unwrap();
    shop_of(2, dir.path());
    let database = Connection::open(dir.path().join("shop.sqlite3")).unwrap();
    database.execute_batch("CREATE TABLE sessions (x)").unwrap();
    let (_, before) = rows(&database, None);
    let refused = Store::open(dir.path()).unwrap_err().to_string();
    assert!(refused.contains("sessions"), "{refused}");
    let version: i64 = database.query_row("PRAGMA user_version", [], |r| r.get(0)).unwrap();
    assert_eq!((version, rows(&database, None).1), (2, before));
    database.execute_batch("DROP TABLE sessions").unwrap();
    assert!(Store::open(dir.path()).unwrap().check().unwrap().is_clean());
}
