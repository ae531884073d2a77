//! `plateau dyno`: what is known of a dyno and of how it writes its logs.

use crate::Done;
use crate::cli::{DynoArgs, DynoVerb, LogArgs};
use crate::failure::Failure;
use crate::files::{read_logs, shop_folder};
use pull::setup::Setup;
use std::io::Write;
use std::path::{Path, PathBuf};
use store::Store;

/// Shows or learns.
pub(crate) fn run(args: &DynoArgs) -> Result<Done, Failure> {
    match &args.verb {
        DynoVerb::Show { key, shop } => show(&Store::open_existing(&shop_folder(shop)?)?, key.as_deref()),
        DynoVerb::Learn { key, shop, from, log, name, about_log } => {
            let text = match from {
                Some(path) => from_file(path)?,
                None => String::new(),
            };
            let store = Store::open(&shop_folder(shop)?)?;
            learn(&store, key, from.is_some().then_some(text), log.as_ref(), name.as_deref(), about_log)
        }
    }
}

fn show(store: &Store, key: Option<&str>) -> Result<Done, Failure> {
    let mut out = anstream::stdout().lock();
    let dynos = store.dynos()?;
    let Some(key) = key else {
        if dynos.is_empty() {
            writeln!(out, "No dynos yet. Make one known with `plateau dyno learn`.").map_err(Failure::output)?;
        }
        for dyno in &dynos {
            let cell = takein::dyno(store, &dyno.key)?;
            let channels = cell.channels.len();
            writeln!(
                out,
                "{}  {}, {channels} columns known, text {} of {}",
                dyno.key,
                cell.name,
                dyno.revision,
                &dyno.at[..10.min(dyno.at.len())]
            )
            .map_err(Failure::output)?;
        }
        return Ok(Done::Well);
    };
    let Some(dyno) = dynos.iter().find(|d| d.key == key) else {
        let there = dynos.into_iter().map(|d| d.key).collect();
        return Err(takein::TakeInError::NoDyno { key: key.to_owned(), there }.into());
    };
    write!(out, "{}", dyno.cell_toml).map_err(Failure::output)?;
    Ok(Done::Well)
}

/// A dyno's text, checked.
fn from_file(path: &Path) -> Result<String, Failure> {
    let text = std::fs::read_to_string(path).map_err(Failure::reading(path))?;
    takein::parse_cell(&path.display().to_string(), &text)?;
    Ok(text)
}

fn learn(
    store: &Store,
    key: &str,
    from: Option<String>,
    log: Option<&PathBuf>,
    name: Option<&str>,
    about_log: &LogArgs,
) -> Result<Done, Failure> {
    let text = match from {
        Some(text) if name.is_none() => text,
        from => {
            let mut cell = match &from {
                Some(text) => takein::parse_cell(key, text)?,
                None if store.dyno(key)?.is_some() => takein::dyno(store, key)?,
                None => pull::cell::CellFile::default(),
            };
            if let Some(name) = name {
                cell.name = name.to_owned();
            } else if cell.name.is_empty() {
                cell.name = key.to_owned();
            }
            let answers = about_log.settle()?;
            let files = read_logs(log.map(std::slice::from_ref).unwrap_or_default())?;
            let raw =
                if files.is_empty() { Vec::new() } else { takein::read_all(&files, &cell, &answers, &|_, _| {})? };
            let old = from.or(store.dyno(key)?.map(|d| d.cell_toml));
            pull::cell_file::write(&takein::learn(&raw, &cell, &answers, &Setup::default()), old.as_deref())
        }
    };
    let dyno = store.put_dyno(key, &text)?;
    let mut out = anstream::stdout().lock();
    writeln!(out, "{key}: text {} is kept. `plateau dyno show {key}` prints it.", dyno.revision)
        .map_err(Failure::output)?;
    Ok(Done::Well)
}
