//! `invent`: writes invented logs.
//!
//! ```text
//! invent list                       the stories
//! invent demo FOLDER                the demo: logs, cell files, manifest
//! invent log KEY FOLDER [SEED]      the logs and the cell file of one story
//! invent big FILE ROWS              one long log of many pulls, 20 columns with time
//! ```

use invent::{demo, stories, table};
use std::error::Error;
use std::path::Path;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let done = match words.as_slice() {
        ["list"] => {
            stories::all().iter().for_each(|s| println!("{:20} {}", s.key, s.title));
            Ok(())
        }
        ["demo", folder] => put(folder, demo::files()),
        ["log", key, folder] => log(key, folder, demo::SEED),
        ["log", key, folder, seed] => match seed.parse() {
            Ok(seed) => log(key, folder, seed),
            Err(_) => Err(format!("{seed:?} is no seed; expected a whole number").into()),
        },
        ["big", file, rows] => match rows.parse() {
            Ok(rows) => big(file, rows),
            Err(_) => Err(format!("{rows:?} is no number of rows").into()),
        },
        _ => {
            Err("usage: invent list | invent demo FOLDER | invent log KEY FOLDER [SEED] | invent big FILE ROWS".into())
        }
    };
    if let Err(error) = done {
        eprintln!("{error}");
        std::process::exit(1);
    }
}

fn log(key: &str, folder: &str, seed: u64) -> Result<(), Box<dyn Error>> {
    let story = stories::by_key(key).ok_or_else(|| format!("no story is called {key:?}; see `invent list`"))?;
    let mut files = Vec::new();
    demo::log_files(&story, seed, &mut files);
    let path = format!("cells/{}.toml", story.cell.key);
    files.push(demo::File { path, bytes: demo::cell_file(&story).into_bytes() });
    put(folder, files)
}

fn put(folder: &str, files: Vec<demo::File>) -> Result<(), Box<dyn Error>> {
    for file in files {
        let path = Path::new(folder).join(&file.path);
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent).map_err(|e| format!("{}: {e}", parent.display()))?;
        }
        std::fs::write(&path, &file.bytes).map_err(|e| format!("{}: {e}", path.display()))?;
        println!("{}", path.display());
    }
    Ok(())
}

/// Columns of the long log beside time, with the digits that a fine logger writes.
const BIG: &[(&str, usize)] = &[
    ("speed", 4),
    ("torque", 4),
    ("brake_power", 4),
    ("throttle", 4),
    ("manifold_pressure", 4),
    ("lambda_1", 6),
    ("lambda_2", 6),
    ("fuel_flow", 4),
    ("fuel_pressure", 4),
    ("oil_pressure", 4),
    ("oil_temperature", 4),
    ("coolant_temperature", 4),
    ("spark_advance", 4),
    ("exhaust_temperature_1", 4),
    ("exhaust_temperature_2", 4),
    ("exhaust_temperature_3", 4),
    ("barometer", 4),
    ("intake_air_temperature", 4),
    ("humidity", 4),
];

/// A long log: 20 columns, time among them, at 500 rows a second, pull after pull until the rows are full.
fn big(file: &str, rows: usize) -> Result<(), Box<dyn Error>> {
    let mut story = stories::by_key("cruiser-after").ok_or("the story of the long log is missing")?;
    story.running.rate_hz = 500.0;
    story.running.warm_up = false;
    story.running.aborted_at_rpm = None;
    // A pull takes some 20 s from idle to idle.
    story.running.pulls = rows / (20 * 500) + 1;
    let style = &mut story.cell.style;
    style.columns.retain_mut(|column| match BIG.iter().find(|(key, _)| *key == column.key) {
        Some((_, decimals)) => {
            column.decimals = *decimals;
            true
        }
        None => false,
    });
    let mut tables = table::logs(&story, demo::SEED);
    let table = &mut tables[0];
    let missing: Vec<&str> = BIG.iter().map(|(key, _)| *key).filter(|key| table.values(key).is_none()).collect();
    if !missing.is_empty() {
        return Err(format!("the story of the long log lacks {}", missing.join(", ")).into());
    }
    if table.time_s.len() < rows {
        return Err(format!("the story gives {} rows where {rows} are asked for", table.time_s.len()).into());
    }
    table.time_s.truncate(rows);
    table.columns.iter_mut().for_each(|c| c.si.truncate(rows));
    let bytes = story.cell.style.write(table, "one long log");
    std::fs::write(file, &bytes).map_err(|e| format!("{file}: {e}"))?;
    let megabytes = bytes.len() as f64 / 1e6;
    println!("{file}: {rows} rows, {} columns with time, {megabytes:.0} MB", BIG.len() + 1);
    Ok(())
}
