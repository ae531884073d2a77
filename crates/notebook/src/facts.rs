//! What the gates ask of sheets, build and runs.

use crate::{JobView, Notebook, NotebookError};
use record::{Facts, Job, RunFacts, WhichBuild};
use takein::Headline;

/// How far pulls may differ when the shop never said: common practice, no source (0.5 to 1 %).
const REPEATS_WITHIN: f64 = 0.01;

impl Notebook {
    /// What the gates need to know of a job beside its entries.
    ///
    /// # Errors
    /// Those of the store.
    pub fn facts(&self, view: &JobView) -> Result<Facts, NotebookError> {
        self.facts_of(&view.job)
    }

    pub(crate) fn facts_of(&self, job: &Job) -> Result<Facts, NotebookError> {
        let mut facts = Facts { build_outside: self.build_outside(job), ..Facts::default() };
        self.sheet_facts(job, &mut facts)?;
        for attached in &job.runs {
            if let Some(run) = self.run_facts(attached.value.number)? {
                facts.runs.push(run);
            }
        }
        Ok(facts)
    }

    fn run_facts(&self, number: i64) -> Result<Option<RunFacts>, NotebookError> {
        let Some(run) = self.store.run_by_number(number)? else { return Ok(None) };
        let headline = Headline::from_json(&run.headline_json);
        let limit = takein::repeat_limit(&self.store).ok().flatten().unwrap_or(REPEATS_WITHIN);
        Ok(Some(RunFacts {
            number,
            pulls: headline.pulls,
            repeats: headline.mean_spread.filter(|_| headline.pulls >= 2).map(|spread| spread <= limit),
            factor_in_range: headline.factor_in_range,
            open_flags: headline.flags,
        }))
    }

    /// What the arithmetic of the agreed build finds outside its limits, one line each.
    fn build_outside(&self, job: &Job) -> Vec<String> {
        let Some(build) = job.build(WhichBuild::Agreed) else { return Vec::new() };
        match self.engine_sheet(build) {
            Ok(sheet) => sheet
                .limits
                .iter()
                .filter(|line| line.verdict == Some(quantity::Verdict::Outside))
                .map(|line| format!("{}: {}", line.label, line.limit))
                .collect(),
            Err(error) => vec![format!("the build file cannot be read: {error}")],
        }
    }
}
