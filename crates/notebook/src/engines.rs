//! What the arithmetic gives for a description of an engine, worked out once for each.

use crate::Notebook;
use engine::build_file::BuildFile;
use engine::sheet::{Sheet, sheet};
use record::{BuildStated, Id, Kept};
use std::sync::{Arc, Mutex, PoisonError};

/// Sheets kept in memory at most. One is some ten kilobytes.
const KEPT: usize = 128;

/// A sheet, or why there is none.
type Worked = Result<Arc<Sheet>, String>;

/// Sheets by the entry that states the description, the last used at the end. An entry never changes.
#[derive(Debug, Default)]
pub(crate) struct Engines(Mutex<Vec<(Id, Worked)>>);

impl Notebook {
    /// The sheet of a description of the engine, with the limits that are shipped.
    ///
    /// # Errors
    /// The reader's words, where the description cannot be read.
    pub fn engine_sheet(&self, build: &Kept<BuildStated>) -> Worked {
        {
            let mut kept = self.engines.0.lock().unwrap_or_else(PoisonError::into_inner);
            if let Some(at) = kept.iter().position(|(id, _)| *id == build.version) {
                let found = kept.remove(at);
                kept.push(found.clone());
                return found.1;
            }
        }
        let worked = match BuildFile::parse(&build.value.toml) {
            Ok(file) => Ok(Arc::new(sheet(file.build()))),
            Err(error) => Err(error.to_string()),
        };
        let mut kept = self.engines.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() >= KEPT {
            drop(kept.remove(0));
        }
        kept.push((build.version, worked.clone()));
        worked
    }
}
