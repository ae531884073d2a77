//! The files of the demo: logs, cell files and a manifest with what is stated about each run.

use crate::air::Form;
use crate::cell::Cell;
use crate::stories::by_key;
use crate::story::{Lag, Story};
use crate::style::ColumnStyle;
use crate::table::logs;
use std::fmt::Write as _;

/// The seed of the demo.
pub const SEED: u64 = 14;

/// Runs of the demo: key, job, name of the run, key of the run it is compared with.
pub const RUNS: &[(&str, &str, &str, Option<&str>)] = &[
    ("hill-climb-3", "Blown 2.4 four", "as received", None),
    ("hill-climb-14", "Blown 2.4 four", "after the build", Some("hill-climb-3")),
    ("cruiser-before", "Ten-to-one cruiser", "as received", None),
    ("cruiser-after", "Ten-to-one cruiser", "after the rebuild", Some("cruiser-before")),
    ("drag-before", "Curve that fell off", "old springs", None),
    ("drag-after", "Curve that fell off", "new springs", Some("drag-before")),
    ("belt-before", "Twelve pounds on paper", "belt slipping", None),
    ("belt-after", "Twelve pounds on paper", "belt put right", Some("belt-before")),
    ("tow-before", "As claimed and wrong", "as received", None),
    ("tow-after", "As claimed and wrong", "shorter cam", Some("tow-before")),
    ("spacer-a1", "Spacer test", "A1, without", None),
    ("spacer-a2", "Spacer test", "A2, again without", None),
    ("spacer-b", "Spacer test", "B, with spacer", Some("spacer-a1")),
];

/// One file of the demo.
#[derive(Debug, Clone, PartialEq)]
pub struct File {
    /// Path below the demo's folder, with slashes.
    pub path: String,
    /// The bytes.
    pub bytes: Vec<u8>,
}

/// Every file of the demo: logs, cell files, the manifest `demo.toml`, and `keep.sh`, which takes it all into a shop.
pub fn files() -> Vec<File> {
    let mut files = Vec::new();
    let mut manifest = String::from(
        "# Invented data: what the demo keeps, in order. Made by `invent demo`.\n\
         # `arguments` are those of the command; the numbers after --against hold in an empty shop.\n",
    );
    let mut script = String::from(
        "#!/bin/sh\n# Takes the invented runs into an empty shop. Made by `invent demo`.\n# usage: sh keep.sh PLATEAU SHOP\n\
         set -eu\nplateau=$1\nshop=$2\n\
         case $plateau in */*) plateau=$(cd \"$(dirname \"$plateau\")\" && pwd)/$(basename \"$plateau\") ;; esac\n\
         mkdir -p \"$shop\"\nshop=$(cd \"$shop\" && pwd)\ncd \"$(dirname \"$0\")\"\n",
    );
    for (key, job, name, against) in RUNS {
        let Some(story) = by_key(key) else { continue };
        let paths = log_files(&story, SEED, &mut files);
        let cell_path = format!("cells/{}.toml", story.cell.key);
        if !files.iter().any(|f| f.path == cell_path) {
            files.push(File { path: cell_path.clone(), bytes: cell_file(&story).into_bytes() });
            let learn = ["dyno", "learn", &story.cell.key, "--from", &cell_path].map(str::to_owned);
            let _ = writeln!(
                manifest,
                "\n[[dyno]]\nkey = {}\nfile = {}\narguments = [{}]",
                quoted(&story.cell.key),
                quoted(&cell_path),
                list(&learn)
            );
            script.push_str(&shell_line(&learn));
        }
        let number = against.and_then(|a| RUNS.iter().position(|r| r.0 == a)).map(|i| i + 1);
        let arguments = keep_arguments(&story, &format!("{job}: {name}"), number, &paths);
        manifest.push_str(&run_entry(&story, (job, name), *against, &paths, &arguments));
        script.push_str(&shell_line(&arguments));
    }
    files.push(crate::jobs::register());
    script.push_str(&shell_line(&["instruments", "set", "instruments.toml"].map(str::to_owned)));
    for (folder, made) in crate::jobs::all() {
        files.extend(made);
        let bring = ["job", "bring", &format!("{folder}/job.jsonl"), "--files", folder].map(str::to_owned);
        script.push_str(&shell_line(&bring));
    }
    files.push(question());
    files.push(File { path: "keep.sh".into(), bytes: script.into_bytes() });
    files.push(File { path: "demo.toml".into(), bytes: manifest.into_bytes() });
    files
}

/// Writes the logs of a story and gives their paths.
pub fn log_files(story: &Story, seed: u64, files: &mut Vec<File>) -> Vec<String> {
    let tables = logs(story, seed);
    let many = tables.len() > 1;
    let mut paths = Vec::new();
    for (i, table) in tables.iter().enumerate() {
        let part = if many { format!("-pull-{}", i + 1) } else { String::new() };
        let extension = if story.cell.style.delimiter == '\t' { "txt" } else { "csv" };
        let path = format!("logs/{}{part}.{extension}", story.key);
        files.push(File { path: path.clone(), bytes: story.cell.style.write(table, &story.title) });
        paths.push(path);
    }
    paths
}

/// A log by itself whose torque column has no unit: the one question that the demo leaves to the person.
fn question() -> File {
    let Some(mut story) = by_key("cruiser-after") else { return File { path: String::new(), bytes: Vec::new() } };
    for column in &mut story.cell.style.columns {
        if column.key == "torque" {
            // Written in lb-ft all the same; see `from_si`: a column without unit is written as it comes.
            column.unit = String::new();
        }
    }
    story.cell.style.columns.retain(|c| c.key != "brake_power");
    let mut table = logs(&story, SEED).remove(0);
    for column in table.columns.iter_mut().filter(|c| c.key == "torque") {
        column.si.iter_mut().for_each(|v| *v /= crate::story::NM_PER_LB_FT);
    }
    File {
        path: "logs/a-unit-to-ask-about.csv".into(),
        bytes: story.cell.style.write(&table, "the ten-to-one cruiser, torque in lb-ft, but the log does not say so"),
    }
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

/// The name of a column as the reader will give it: without the unit.
fn column_note(column: &ColumnStyle, lag_s: Option<f64>) -> String {
    let mut note = format!("role = {}", quoted(&column.key));
    // What the log leaves open the cell file settles: whether a pressure is absolute or above ambient.
    let basis = match column.key.as_str() {
        _ if column.unit.ends_with(" abs") => "",
        "manifold_pressure" | "manifold_target" | "barometer" => " abs",
        "boost" | "fuel_pressure" | "oil_pressure" => " gauge",
        _ => "",
    };
    if !column.unit.is_empty() {
        let _ = write!(note, ", unit = {}", quoted(&format!("{}{basis}", column.unit)));
    }
    if let Some(lag) = lag_s {
        let _ = write!(note, ", lag = \"{lag} s\"");
    }
    format!("{} = {{ {note} }}\n", quoted(&column.name))
}

/// Lag of a channel in this cell, s.
fn lag_s(story: &Story, key: &str) -> Option<f64> {
    if key == "torque" || key == "brake_power" {
        return Some(story.dirt.torque_filter_s);
    }
    if let Some(signal) = story.signals.iter().find(|s| s.key == key) {
        return match signal.lag {
            Lag::None => None,
            Lag::Delay(lag) | Lag::FirstOrder(lag) => Some(lag),
        };
    }
    // Channels that this story does not use, but others of the cell do.
    match key {
        "manifold_pressure" => Some(crate::stories::signals::MANIFOLD_DELAY_S),
        "lambda_1" | "lambda_2" => Some(crate::stories::signals::LAMBDA_DELAY_S),
        k if k.starts_with("exhaust_temperature_") => Some(crate::stories::signals::EXHAUST_LAG_S),
        _ => None,
    }
}

/// How a cell writes, as the file that Plateau keeps for each dyno.
pub fn cell_file(story: &Story) -> String {
    let cell: &Cell = &story.cell;
    let mut text = format!("# Invented cell.\nname = {}\naltitude = \"{} m\"\n", quoted(&cell.name), cell.altitude_m);
    let _ = writeln!(text, "inertia = \"{} kg·m²\"", cell.inertia_kg_m2);
    if let Some((when, _)) = &cell.checked {
        let _ = write!(text, "\n[load_cell]\nwhen = {}\napply = true\npoints = [\n", quoted(when));
        for (applied, up, down) in cell.check_points() {
            let _ = writeln!(
                text,
                "  {{ applied = \"{applied:.2} N·m\", up = \"{up:.2} N·m\", down = \"{down:.2} N·m\" }},"
            );
        }
        text.push_str("]\n");
    }
    text.push_str("\n[channels]\n");
    for column in &cell.style.columns {
        text.push_str(&column_note(column, lag_s(story, &column.key)));
    }
    text
}

/// What is stated about a run, as options of `plateau keep`.
pub fn statements(story: &Story) -> Vec<(&'static str, String)> {
    let standard = match story.form {
        Form::J1349 => "sae_j1349",
        Form::Iso1585 => "iso1585",
        Form::J607 => "sae_j607",
    };
    let mut out = vec![
        ("standard", standard.to_owned()),
        ("induction", if story.engine.held_absolute { "held" } else { "follows" }.to_owned()),
        ("band", format!("{:.0}-{:.0}", story.band.0, story.band.1)),
        ("displacement", story.engine.displacement.clone()),
    ];
    if !story.engine.stroke.is_empty() {
        out.push(("stroke", story.engine.stroke.clone()));
    }
    out.push(("cylinders", story.engine.cylinders.to_string()));
    out.push(("fuel", story.engine.fuel.clone()));
    if let Some(ratio) = story.engine.blower_ratio {
        out.push(("blower-ratio", format!("{ratio}")));
    }
    let profile = match story.key.split('-').next() {
        Some("hill") => Some("hill_climb"),
        Some("tow") => Some("tow"),
        Some("drag") => Some("drag"),
        _ => None,
    };
    out.extend(profile.map(|p| ("use", p.to_owned())));
    out
}

/// The arguments of `plateau keep` for a run; paths are below the demo's folder. `against` is a run's number.
fn keep_arguments(story: &Story, title: &str, against: Option<usize>, logs: &[String]) -> Vec<String> {
    let mut arguments = vec!["keep".to_owned()];
    arguments.extend(logs.iter().cloned());
    for (option, value) in [("dyno", story.cell.key.as_str()), ("title", title), ("author", "invented")] {
        arguments.extend([format!("--{option}"), value.to_owned()]);
    }
    for (option, value) in statements(story) {
        arguments.extend([format!("--{option}"), value]);
    }
    if story.engine.marine {
        arguments.push("--marine".to_owned());
    }
    if let Some(number) = against {
        arguments.extend(["--against".to_owned(), number.to_string()]);
    }
    arguments.push("--if-new".to_owned());
    arguments
}

fn list(items: &[String]) -> String {
    items.iter().map(|i| quoted(i)).collect::<Vec<_>>().join(", ")
}

fn run_entry(
    story: &Story,
    (job, name): (&str, &str),
    against: Option<&str>,
    logs: &[String],
    arguments: &[String],
) -> String {
    let mut text = format!("\n[[run]]\nkey = {}\njob = {}\nname = {}\n", quoted(&story.key), quoted(job), quoted(name));
    if let Some(against) = against {
        let _ = writeln!(text, "against = {}", quoted(against));
    }
    let _ = writeln!(text, "dyno = {}\nlogs = [{}]", quoted(&story.cell.key), list(logs));
    let _ = writeln!(text, "arguments = [{}]", list(arguments));
    let (from, to) = story.band;
    let scale = match story.running.scales.as_slice() {
        [] => 1.0,
        scales => scales.iter().sum::<f64>() / scales.len() as f64,
    };
    let _ = writeln!(text, "true_mean_torque_nm = {:.2}", story.band_mean_torque_nm(from, to) * scale);
    text
}

/// One line of the script: the command with its arguments, quoted for `sh`.
fn shell_line(arguments: &[String]) -> String {
    let safe = |a: &String| a.chars().all(|c| c.is_ascii_alphanumeric() || "-_./".contains(c));
    let words: Vec<String> =
        arguments.iter().map(|a| if safe(a) { a.clone() } else { format!("'{}'", a.replace('\'', "'\\''")) }).collect();
    format!("\"$plateau\" {} --shop \"$shop\"\n", words.join(" "))
}
