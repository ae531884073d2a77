//! From bytes to questions or to an analysis. No shop is needed for this part.
//!
//! [`work`] goes the whole way. Whoever has long logs takes the two halves, [`read_all`] and
//! [`judge`], and lets go of the bytes in between.

use crate::error::TakeInError;
use crate::question::{Question, of_stop, open_questions};
use pull::analysis::Analysis;
use pull::cell::{Answers, CellFile};
use pull::guard::Rules;
use pull::log::{Log, RawLog, Severity};
use pull::read::assign::{self, SettleError};
use pull::read::{Progress, ReadHints};
use pull::setup::Setup;

/// What became of the logs.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// Questions are open that must be answered first.
    Asking(Vec<Question>),
    /// Worked out. The questions are those that may stay open: channels that are not used yet.
    Ready(Box<Analysis>, Vec<Question>),
}

/// Reads the logs, settles roles and units, and works the run out.
///
/// `files` are name and bytes, in the order in which the pulls are numbered.
///
/// # Errors
/// [`TakeInError::NoLog`], [`TakeInError::Unreadable`] for a file that cannot be read at all,
/// [`TakeInError::Stopped`] for one that must be corrected first, [`TakeInError::NoCurve`] when no
/// pull is found in any of them.
pub fn work(
    files: &[(String, Vec<u8>)],
    cell: &CellFile,
    answers: &Answers,
    setup: &Setup,
) -> Result<Outcome, TakeInError> {
    judge(read_all(files, cell, answers, &|_, _| {})?, cell, answers, setup)
}

/// Reads the logs. `progress` is told the index of a log and how many of its bytes are done.
///
/// # Errors
/// [`TakeInError::NoLog`], [`TakeInError::Unreadable`].
pub fn read_all(
    files: &[(String, Vec<u8>)],
    cell: &CellFile,
    answers: &Answers,
    progress: &(dyn Fn(usize, usize) + Sync),
) -> Result<Vec<RawLog>, TakeInError> {
    if files.is_empty() {
        return Err(TakeInError::NoLog);
    }
    let hints = ReadHints::new(cell, answers);
    let read = |(i, (name, bytes)): (usize, &(String, Vec<u8>))| {
        pull::read::read(name, bytes, &hints, &|at: Progress| progress(i, at.done))
            .map_err(|error| TakeInError::unreadable(name, &error))
    };
    files.iter().enumerate().map(read).collect()
}

/// Settles roles and units, and works the run out.
///
/// # Errors
/// As [`work`].
pub fn judge(raw: Vec<RawLog>, cell: &CellFile, answers: &Answers, setup: &Setup) -> Result<Outcome, TakeInError> {
    if raw.is_empty() {
        return Err(TakeInError::NoLog);
    }
    let (stoich, density) = fuel(setup);
    let proposals: Vec<_> = raw.iter().map(|log| assign::propose(log, cell, answers, stoich, density)).collect();
    let (mut needed, mut optional) = (Vec::new(), Vec::new());
    for (log, proposal) in raw.iter().zip(&proposals) {
        for problem in log.problems.iter().filter(|p| p.severity == Severity::Stop) {
            match of_stop(&log.name, problem) {
                Some(question) => needed.extend(question),
                None => return Err(TakeInError::stopped(&log.name, problem)),
            }
        }
        open_questions(&log.name, &proposal.questions, &mut needed, &mut optional);
    }
    if !needed.is_empty() {
        return Ok(Outcome::Asking(needed));
    }
    let mut logs: Vec<Log> = Vec::with_capacity(raw.len());
    for (raw, proposal) in raw.into_iter().zip(&proposals) {
        let name = raw.name.clone();
        match assign::settle(raw, proposal, stoich, density) {
            Ok(log) => logs.push(log),
            Err(SettleError::Open { questions }) => open_questions(&name, &questions, &mut needed, &mut optional),
            Err(SettleError::Stopped { problems }) if !problems.is_empty() => {
                return Err(TakeInError::stopped(&name, &problems[0]));
            }
            Err(other) => return Err(TakeInError::NoCurve { text: format!("{name}: {other}") }),
        }
    }
    if !needed.is_empty() {
        return Ok(Outcome::Asking(needed));
    }
    let analysis = pull::run::analyse(&logs, cell, setup, &Rules::shipped())
        .map_err(|error| TakeInError::NoCurve { text: error.to_string() })?;
    Ok(Outcome::Ready(Box::new(analysis), optional))
}

/// What is known of a dyno after these logs and answers: roles and units that were settled are kept.
pub fn learn(raw: &[RawLog], cell: &CellFile, answers: &Answers, setup: &Setup) -> CellFile {
    let (stoich, density) = fuel(setup);
    let learn_one = |cell: CellFile, log: &RawLog| {
        let proposal = assign::propose(log, &cell, answers, stoich, density);
        assign::learn(&cell, &proposal, answers)
    };
    raw.iter().fold(cell.clone(), learn_one)
}

/// Stoichiometric ratio and density (kg/m³) of the fuel, where stated.
fn fuel(setup: &Setup) -> (Option<f64>, Option<f64>) {
    (setup.fuel_stoich.as_ref().map(|k| k.value), setup.fuel_density_kg_m3.as_ref().map(|k| k.value))
}
