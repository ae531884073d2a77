//! Checks of the generator: its truth is the stories', its logs hold that truth, its writers write it.

mod reference;
mod truth;
mod writing;
