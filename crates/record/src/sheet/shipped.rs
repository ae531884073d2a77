//! The templates that come with the program.

use super::template::Template;
use std::sync::LazyLock;

macro_rules! files {
    ($($name:literal),* $(,)?) => {
        /// Name and text of each shipped template, to be written out and edited.
        pub const SHIPPED_FILES: &[(&str, &str)] =
            &[$(($name, include_str!(concat!("../../../../data/sheets/", $name)))),*];
    };
}

files![
    "bores.toml",
    "bores_as_found.toml",
    "pistons.toml",
    "ring_gaps.toml",
    "mains.toml",
    "rod_journals.toml",
    "bearing_clearance.toml",
    "end_play.toml",
    "deck_and_volumes.toml",
    "guides.toml",
    "seats.toml",
    "springs.toml",
    "degreeing.toml",
    "lobes.toml",
    "port_flow.toml",
    "balance.toml",
    "fasteners.toml",
];

/// All shipped templates, in the order of the work.
pub fn shipped() -> &'static [Template] {
    &SHIPPED
}

// The texts are compiled in and a test reads every one of them, so that a fault cannot reach a shop.
static SHIPPED: LazyLock<Vec<Template>> = LazyLock::new(|| {
    let read = |(name, text): &(&str, &str)| Template::parse(text).unwrap_or_else(|error| panic!("{name}: {error}"));
    SHIPPED_FILES.iter().map(read).collect()
});
