//! The one way in for entries of the record, and jobs as the faces read them.
//!
//! - [`Notebook::write`] checks entries against the job they belong to and adds them: all or none,
//!   and the same entry sent twice once.
//! - [`Notebook::job`] gives a job folded from its entries; it is folded again only when entries came.
//! - [`Notebook::facts`] works out what the gates ask of sheets, build and runs.
//! - [`Notebook::sheet`] works out a measuring sheet; [`Notebook::register`], [`Notebook::templates`] and
//!   [`Notebook::limits`] are the texts of the shop that it needs.
//! - [`Notebook::export`] and [`Notebook::bring`] carry a job as JSON lines.
//!
//! What it leaves out: who is signed in is the caller's matter; it hands over a name and roles.

mod carry;
mod check;
mod engines;
mod error;
mod facts;
mod list;
mod load;
mod photos;
mod search_text;
mod sheets;
mod shop_texts;
mod write;

pub use carry::{Brought, CarryError};
pub use check::RecordCheck;
pub use error::NotebookError;
pub use list::JobLine;
pub use load::JobView;
pub use photos::{Picture, PictureSize};
pub use sheets::{SheetFault, SheetState};
pub use shop_texts::{ShopRegister, ShopTemplate};
pub use write::{Draft, Writer, Written};

use std::sync::Arc;
use store::Store;

/// A shop's jobs. Cheap to clone; every clone is the same.
#[derive(Debug, Clone)]
pub struct Notebook {
    store: Store,
    jobs: Arc<load::Shelf>,
    engines: Arc<engines::Engines>,
}

impl Notebook {
    /// The jobs of a shop.
    pub fn of(store: Store) -> Self {
        Self { store, jobs: Arc::default(), engines: Arc::default() }
    }

    /// The shop.
    pub fn store(&self) -> &Store {
        &self.store
    }

    /// A new name for an entry or a job, by this machine's clock.
    pub fn new_id() -> record::Id {
        // now_v7 makes version 7, which is all that is asked.
        record::Id::from_uuid(uuid::Uuid::now_v7()).unwrap_or_else(|_| unreachable!("a UUID of version 7"))
    }
}
