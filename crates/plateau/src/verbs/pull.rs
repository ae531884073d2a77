//! `plateau pull`: the logs of one run, read and judged. Keeps nothing, apart from the files asked for.

use crate::Done;
use crate::cli::{OutputArgs, PullArgs, ShopArgs, UnitSystem};
use crate::failure::Failure;
use crate::files::{read_logs, shop_folder, write_result};
use crate::shown::progress::Bar;
use crate::shown::{csv, json, paper, questions, terminal};
use pull::analysis::{Analysis, Comparison};
use pull::cell::{Answers, CellFile};
use pull::log::RawLog;
use pull::setup::Setup;
use std::io::Write;
use std::path::{Path, PathBuf};
use store::Store;
use takein::{Outcome, Question};

/// Reads, judges, prints. Ends with 2 if questions are open.
pub(crate) fn run(args: &PullArgs) -> Result<Done, Failure> {
    let (setup, said) = args.stated.settle()?;
    let answers = args.about_log.settle()?;
    let cell = said.over(dyno(args)?);
    let raw = read(read_logs(&args.logs)?, &cell, &answers)?;
    if let Some(path) = &args.output.remember {
        let learned = takein::learn(&raw, &cell, &answers, &setup);
        // What a person has written into the file beside the settings stays.
        let old = std::fs::read_to_string(path).ok();
        write_result(path, pull::cell_file::write(&learned, old.as_deref()).as_bytes())?;
    }
    let (analysis, open) = match takein::judge(raw, &cell, &answers, &setup)? {
        Outcome::Asking(open) => return ask(&open, args.output.json),
        Outcome::Ready(analysis, open) => (*analysis, open),
    };
    let earlier = Earlier { cell: &cell, answers: &answers, setup: &setup, shop: &args.shop };
    let comparison = if args.compare.against.is_empty() {
        None
    } else {
        let (name, before) = match earlier.find(&args.compare.against)? {
            Found::Asking(open) => return ask(&open, args.output.json),
            Found::Ready(name, analysis) => (name, analysis),
        };
        let back = match args.compare.back_to.as_slice() {
            [] => None,
            which => match earlier.find(which)? {
                Found::Asking(open) => return ask(&open, args.output.json),
                Found::Ready(_, analysis) => Some(analysis),
            },
        };
        Some(pull::compare::compare(&analysis, &before, &name, back.as_deref()))
    };
    write(&analysis, comparison.as_ref(), &open, &args.output)?;
    Ok(Done::Well)
}

/// What is known of the dyno: from a file, from the shop, or nothing.
fn dyno(args: &PullArgs) -> Result<CellFile, Failure> {
    let Some(which) = &args.dyno else { return Ok(CellFile::default()) };
    let path = Path::new(which);
    if which.ends_with(".toml") || path.is_file() {
        let text = std::fs::read_to_string(path).map_err(Failure::reading(path))?;
        return takein::parse_cell(which, &text).map_err(Into::into);
    }
    let store = Store::open_existing(&shop_folder(&args.shop)?)?;
    Ok(takein::dyno(&store, which)?)
}

/// Reads the logs and lets go of their bytes: a long log would else be held twice.
fn read(files: Vec<(String, Vec<u8>)>, cell: &CellFile, answers: &Answers) -> Result<Vec<RawLog>, Failure> {
    let bar = Bar::new(&files);
    let raw = takein::read_all(&files, cell, answers, &|file, done| bar.at(file, done));
    bar.end();
    Ok(raw?)
}

/// The run before: worked out like this one, unless the shop knows it.
struct Earlier<'a> {
    cell: &'a CellFile,
    answers: &'a Answers,
    setup: &'a Setup,
    shop: &'a ShopArgs,
}

/// What became of the earlier run.
enum Found {
    Asking(Vec<Question>),
    Ready(String, Box<Analysis>),
}

impl Earlier<'_> {
    fn find(&self, which: &[String]) -> Result<Found, Failure> {
        if let [one] = which
            && !Path::new(one).exists()
            && let Ok(number) = one.parse::<i64>()
        {
            return self.of_shop(number);
        }
        let paths: Vec<PathBuf> = which.iter().map(PathBuf::from).collect();
        let files = read_logs(&paths)?;
        let name = match files.as_slice() {
            [first, rest @ ..] if rest.len() > 1 => format!("{} and {} more", first.0, rest.len()),
            few => few.iter().map(|(name, _)| name.as_str()).collect::<Vec<_>>().join(" and "),
        };
        // Pull numbers belong to this run's logs, not to the earlier one's.
        let setup = Setup { left_out: Default::default(), ..self.setup.clone() };
        let raw = read(files, self.cell, self.answers)?;
        Ok(match takein::judge(raw, self.cell, self.answers, &setup)? {
            Outcome::Asking(open) => Found::Asking(open),
            Outcome::Ready(analysis, _) => Found::Ready(name, analysis),
        })
    }

    fn of_shop(&self, number: i64) -> Result<Found, Failure> {
        let store = Store::open_existing(&shop_folder(self.shop)?)?;
        let run = store.run_by_number(number)?;
        let run = run.ok_or_else(|| {
            Failure::Words(format!(
                "there is no run {number} in {}\n  go on    `plateau runs` lists them",
                store.dir().display()
            ))
        })?;
        Ok(match takein::load(&store, &run)?.outcome {
            Outcome::Asking(open) => Found::Asking(open),
            Outcome::Ready(analysis, _) => Found::Ready(format!("run {number}"), analysis),
        })
    }
}

/// Prints the questions.
fn ask(open: &[Question], as_json: bool) -> Result<Done, Failure> {
    let mut out = anstream::stdout().lock();
    if as_json {
        writeln!(out, "{:#}", json::asking(open)).map_err(Failure::output)?;
    } else {
        write!(out, "{}", questions::text(open)).map_err(Failure::output)?;
    }
    Ok(Done::Asking)
}

/// Writes what was asked for.
fn write(
    analysis: &Analysis,
    comparison: Option<&Comparison>,
    open: &[Question],
    output: &OutputArgs,
) -> Result<(), Failure> {
    if let Some(path) = &output.csv {
        write_result(path, csv::table(analysis, comparison).as_bytes())?;
    }
    if let Some(path) = &output.svg {
        write_result(path, paper::picture(analysis, comparison, output.units).as_bytes())?;
    }
    if let Some(path) = &output.pdf {
        write_result(path, &paper::sheet(analysis, comparison, output.units, output.paper)?)?;
    }
    let mut out = anstream::stdout().lock();
    if output.json {
        let finding = terminal::finding(analysis, comparison, UnitSystem::Metric);
        writeln!(out, "{:#}", json::run(analysis, comparison, open, &finding)).map_err(Failure::output)?;
    } else {
        write!(out, "{}", terminal::text(analysis, comparison, output.units)).map_err(Failure::output)?;
        if !open.is_empty() {
            write!(out, "\n{}", questions::may_stay_open(open)).map_err(Failure::output)?;
        }
    }
    Ok(())
}
