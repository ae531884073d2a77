//! `plateau engine`: what a build gives by arithmetic, as a sheet, as JSON and in pictures.

use crate::Done;
use crate::cli::UnitSystem;
use crate::failure::Failure;
use crate::files::{name_of, write_result};
use chart::{Size, Theme};
use clap::{Args, Subcommand};
use engine::build_file::{BuildFile, BuildFileError, Fault, new_file_text};
use engine::limits::{Layer, Layers, LimitTable, parse, shipped};
use engine::sheet::{sheet_text, sheet_with};
use report::{EnginePicture, NotDrawn, engine_finding, engine_pictures};
use serde_json::{Value, json};
use std::fs;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Name and version of the JSON. The number rises when a key changes its meaning or goes.
const FORM: &str = "plateau engine 1";
/// Width and height of the pictures, px; a bar of parts has a height of its own.
const PICTURE: (f64, f64) = (820.0, 520.0);

/// `plateau engine`.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(crate) struct EngineArgs {
    #[command(subcommand)]
    verb: Option<EngineVerb>,
    /// What is known of the engine
    #[arg(required = true, value_name = "BUILD.toml")]
    build: Option<PathBuf>,
    /// Units for showing
    #[arg(long, value_enum, default_value = "metric")]
    units: UnitSystem,
    /// One JSON object instead of the text
    #[arg(long)]
    json: bool,
    /// Write the pictures as SVG files into this folder
    #[arg(long, value_name = "FOLDER")]
    svg: Option<PathBuf>,
    /// Limits of the shop, over those that come with the program
    #[arg(long, value_name = "FILE.toml")]
    limits: Option<PathBuf>,
}

/// What else to do.
#[derive(Debug, Subcommand)]
enum EngineVerb {
    /// Write a build file to start from, with every usual key as a comment
    New {
        /// Where; a file that is there already is left alone
        #[arg(value_name = "FILE", default_value = "build.toml")]
        file: PathBuf,
    },
}

/// Prints the sheet of a build, or writes a file to start from.
pub(crate) fn run(args: &EngineArgs) -> Result<Done, Failure> {
    match (&args.verb, &args.build) {
        (Some(EngineVerb::New { file }), _) => new_file(file),
        (None, Some(build)) => show(args, build),
        (None, None) => Err(Failure::Words("no build file is named\n  go on    plateau engine BUILD.toml".to_owned())),
    }
}

fn new_file(path: &Path) -> Result<Done, Failure> {
    let name = path.file_stem().map_or_else(|| "engine".into(), |stem| stem.to_string_lossy());
    let mut file = match fs::OpenOptions::new().write(true).create_new(true).open(path) {
        Ok(file) => file,
        Err(error) if error.kind() == ErrorKind::AlreadyExists => {
            return Err(Failure::Words(format!(
                "{} is there already; nothing was written\n  go on    name another file: plateau engine new FILE.toml",
                path.display()
            )));
        }
        Err(error) => return Err(Failure::writing(path)(error)),
    };
    file.write_all(new_file_text(&name).as_bytes()).and_then(|()| file.sync_all()).map_err(Failure::writing(path))?;
    let mut out = anstream::stdout().lock();
    writeln!(
        out,
        "Wrote {}. Take away the # before what you know, then: plateau engine {}",
        path.display(),
        path.display()
    )
    .map_err(Failure::output)?;
    Ok(Done::Well)
}

fn show(args: &EngineArgs, path: &Path) -> Result<Done, Failure> {
    let text = fs::read_to_string(path).map_err(Failure::reading(path))?;
    let file = BuildFile::parse(&text).map_err(|error| faults(&name_of(path), &error))?;
    let shop = args.limits.as_deref().map(shop_limits).transpose()?;
    let mut layers = Layers::over(shipped());
    if let Some(shop) = &shop {
        layers = layers.with(Layer::Shop, shop);
    }
    let units = args.units.into();
    let sheet = sheet_with(file.build(), &layers);
    let finding = engine_finding(file.build(), &sheet, units);
    let (pictures, not_drawn) = engine_pictures(file.build(), &sheet, units, &layers);
    if let Some(folder) = &args.svg {
        write_pictures(folder, &pictures)?;
    }
    let mut out = anstream::stdout().lock();
    if args.json {
        let mut value = serde_json::to_value(&sheet)
            .map_err(|error| Failure::Words(format!("the sheet could not be written as JSON: {error}")))?;
        if let Value::Object(map) = &mut value {
            map.insert("form".to_owned(), json!(FORM));
            map.insert("finding".to_owned(), json!(finding));
            map.insert("migrated".to_owned(), json!(file.migrated()));
            map.insert("pictures".to_owned(), as_json(&pictures, args.svg.is_some()));
            let lacking = not_drawn.iter().map(|n| json!({ "key": n.key, "why": n.why }));
            map.insert("pictures_not_drawn".to_owned(), lacking.collect());
        }
        writeln!(out, "{value:#}").map_err(Failure::output)?;
        return Ok(Done::Well);
    }
    let mut said = format!("{finding}\n");
    for change in file.migrated() {
        said += &format!("{change}\n");
    }
    said += &format!("\n{}", sheet_text(&sheet, units));
    if args.svg.is_some() {
        said += &picture_lines(args.svg.as_deref(), &pictures, &not_drawn);
    }
    out.write_all(said.as_bytes()).map_err(Failure::output)?;
    Ok(Done::Well)
}

fn shop_limits(path: &Path) -> Result<LimitTable, Failure> {
    let text = fs::read_to_string(path).map_err(Failure::reading(path))?;
    parse(&text, Some(shipped())).map_err(|error| {
        let next = error.suggestion.as_deref().unwrap_or("correct the line and repeat");
        Failure::Words(format!(
            "{} was not read; no limit was taken from it\n  where    line {}, column {}\n  found    {}\n  go on    {next}",
            name_of(path),
            error.line,
            error.column,
            error.what
        ))
    })
}

/// Every fault of a build file, one block each, in the order of the file.
pub(super) fn faults(name: &str, error: &BuildFileError) -> Failure {
    let mut text = format!("{name} was not read; the file is as it was");
    for Fault { line, column, key, found, expected, suggestion } in &error.faults {
        text += &format!("\n  where    line {line}, column {column}");
        if !key.is_empty() {
            text += &format!(", {key}");
        }
        text += &format!("\n  found    {found}");
        if !expected.is_empty() {
            text += &format!("\n  expected {expected}");
        }
        if let Some(suggestion) = suggestion {
            text += &format!("\n  try      {suggestion}");
        }
    }
    let count = error.faults.len();
    let what = if count == 1 { "correct the line".to_owned() } else { format!("correct the {count} places") };
    Failure::Words(format!("{text}\n  go on    {what} and repeat"))
}

fn write_pictures(folder: &Path, pictures: &[EnginePicture]) -> Result<(), Failure> {
    fs::create_dir_all(folder).map_err(Failure::writing(folder))?;
    for picture in pictures {
        let size = Size { prefix: picture.key.to_owned(), ..Size::file(PICTURE.0, PICTURE.1) };
        write_result(&folder.join(file_name(picture)), picture.svg(Theme::Light, &size).as_bytes())?;
    }
    Ok(())
}

fn file_name(picture: &EnginePicture) -> String {
    format!("{}.svg", picture.key)
}

fn picture_lines(folder: Option<&Path>, pictures: &[EnginePicture], not_drawn: &[NotDrawn]) -> String {
    let mut text = String::from("\nPictures\n");
    for picture in pictures {
        let name = file_name(picture);
        let place = folder.map_or_else(|| PathBuf::from(&name), |folder| folder.join(&name));
        text += &format!("  {}: {}\n", place.display(), picture.finding);
    }
    for lack in not_drawn {
        text += &format!("  no {}: {}\n", lack.key, lack.why);
    }
    text
}

fn as_json(pictures: &[EnginePicture], written: bool) -> Value {
    let one = |p: &EnginePicture| {
        let file = written.then(|| file_name(p));
        json!({ "key": p.key, "title": p.title, "finding": p.finding, "file": file })
    };
    pictures.iter().map(one).collect()
}
