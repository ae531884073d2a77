//! `invent`: writes invented logs.
//!
//! ```text
//! invent list                       the stories
//! invent demo FOLDER                the demo: logs, cell files, manifest
//! invent log KEY FOLDER [SEED]      the logs and the cell file of one story
//! invent big FILE ROWS              one long log of many pulls, 20 channels beside time
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

fn big(file: &str, rows: usize) -> Result<(), Box<dyn Error>> {
    let mut story = stories::by_key("cruiser-after").ok_or("the story of the long log is missing")?;
    story.running.rate_hz = 500.0;
    story.running.warm_up = false;
    story.running.aborted_at_rpm = None;
    // A pull takes some 20 s from idle to idle.
    story.running.pulls = rows / (20 * 500) + 1;
    story.cell.style.columns.retain(|c| c.key != "boost" && c.key != "blower_speed");
    let mut tables = table::logs(&story, demo::SEED);
    let table = &mut tables[0];
    table.time_s.truncate(rows);
    table.columns.iter_mut().for_each(|c| c.si.truncate(rows));
    std::fs::write(file, story.cell.style.write(table, "one long log")).map_err(|e| format!("{file}: {e}"))?;
    println!("{file}: {} rows", table.time_s.len());
    Ok(())
}
