//! The pages, one file each.

pub(crate) mod bring;
pub(crate) mod choose;
pub(crate) mod dynos;
pub(crate) mod entries;
pub(crate) mod guards;
pub(crate) mod jobs;
pub(crate) mod marks_page;
pub(crate) mod measure;
pub(crate) mod people;
pub(crate) mod run;
pub(crate) mod runs;
pub(crate) mod sign_in;
