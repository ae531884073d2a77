//! Measuring sheets worked out: template, layout, verdicts.

use crate::{Notebook, NotebookError};
use engine::limits::{Layer, Layers, LimitTable};
use quantity::Verdict;
use record::sheet::{CellState, Layout, LayoutError, SheetResult, Template, TemplateError, evaluate};
use record::{Facts, Job, Sheet};

/// A sheet of a job with everything that is known of it.
#[derive(Debug, Clone)]
pub struct SheetState {
    /// Its template, as it was when the sheet was begun.
    pub template: Template,
    /// Its places.
    pub layout: Layout,
    /// Its verdicts.
    pub result: SheetResult,
    /// What is to be known about the limits that counted.
    pub limits_note: Option<String>,
}

/// Why a sheet cannot be worked out. Its readings are kept all the same.
#[derive(Debug, Clone, thiserror::Error)]
#[non_exhaustive]
pub enum SheetFault {
    /// Its template cannot be read by this version.
    #[error("the template that the sheet was begun from cannot be read: {0}")]
    Template(#[from] TemplateError),
    /// Its counts do not fit its template.
    #[error(transparent)]
    Layout(#[from] LayoutError),
}

impl Notebook {
    /// Works out a sheet.
    ///
    /// # Errors
    /// Those of the store; a sheet that cannot be worked out is the inner error.
    pub fn sheet(&self, sheet: &Sheet) -> Result<Result<SheetState, SheetFault>, NotebookError> {
        let (own, limits_note) = self.limits()?;
        Ok(work_out(sheet, &layers(own.as_ref()), limits_note))
    }

    pub(crate) fn sheet_facts(&self, job: &Job, facts: &mut Facts) -> Result<(), NotebookError> {
        let (own, limits_note) = self.limits()?;
        let layers = layers(own.as_ref());
        for sheet in &job.sheets {
            let id = sheet.begun.id;
            let state = match work_out(sheet, &layers, limits_note.clone()) {
                Ok(state) => state,
                Err(fault) => {
                    facts.sheet_undecided.push((id, String::new(), format!("the sheet cannot be worked out: {fault}")));
                    continue;
                }
            };
            let kept = |place: &str| {
                sheet.waived.iter().any(|w| w.value.place == place && holds(sheet, place, w.value.reading))
            };
            let mut unread = 0;
            for (row, _, place) in state.layout.places() {
                let Some(cell) = state.result.cells.get(place) else { continue };
                if cell.state == CellState::Empty && !row.optional && !kept(place) {
                    unread += 1;
                }
            }
            if unread > 0 {
                facts.sheet_unread.push((id, unread));
            }
            let cells = state.result.cells.values().map(|c| (&c.place, c.judgement.as_ref(), true));
            let figures =
                state.result.derived.iter().filter(|d| !d.hidden).map(|d| (&d.place, d.judgement.as_ref(), d.complete));
            for (place, judgement, complete) in cells.chain(figures) {
                let Some(judgement) = judgement.filter(|_| !kept(place)) else { continue };
                let name = state.layout.words(place).unwrap_or_else(|| place.clone());
                match judgement.verdict {
                    Verdict::Outside => {
                        facts.sheet_outside.push((id, place.clone(), format!("{name}: {}", judgement.words)))
                    }
                    Verdict::CannotTell if complete => {
                        facts.sheet_undecided.push((id, place.clone(), format!("{name}: can't tell")))
                    }
                    _ => {}
                }
            }
            let mut taints: Vec<String> =
                state.result.cells.values().filter_map(|c| c.taint.as_ref().map(ToString::to_string)).collect();
            taints.sort_unstable();
            taints.dedup();
            facts.tainted.extend(taints.into_iter().map(|words| (id, words)));
        }
        Ok(())
    }
}

/// A reason given for a reading counts for that reading alone; one for a figure or an empty place for the place.
fn holds(sheet: &Sheet, place: &str, reading: Option<record::Id>) -> bool {
    match reading {
        Some(reading) => sheet.standing.get(place).is_some_and(|s| s.contains(&reading)),
        None => sheet.standing.get(place).is_none_or(Vec::is_empty),
    }
}

/// The shop's own limits over those that are shipped.
fn layers(own: Option<&LimitTable>) -> Layers<'_> {
    let shipped = Layers::over(engine::limits::shipped());
    match own {
        Some(own) => shipped.with(Layer::Shop, own),
        None => shipped,
    }
}

fn work_out(sheet: &Sheet, layers: &Layers<'_>, limits_note: Option<String>) -> Result<SheetState, SheetFault> {
    let begun = &sheet.begun.value;
    let template = Template::parse(&begun.template_text)?;
    let layout = template.layout_of(begun)?;
    let result = evaluate(begun, &template, &sheet.placed(), layers)?;
    Ok(SheetState { template, layout, result, limits_note })
}
