//! The tables that come with the program.

use super::parse::parse;
use super::table::LimitTable;
use std::sync::LazyLock;

/// Name and text of each shipped file, to be written out and edited.
pub const SHIPPED_FILES: [(&str, &str); 5] = [
    ("block_and_heads.toml", include_str!("../../../../data/limits/block_and_heads.toml")),
    ("bottom_end.toml", include_str!("../../../../data/limits/bottom_end.toml")),
    ("pistons_and_rings.toml", include_str!("../../../../data/limits/pistons_and_rings.toml")),
    ("valve_gear.toml", include_str!("../../../../data/limits/valve_gear.toml")),
    ("flow_and_drive.toml", include_str!("../../../../data/limits/flow_and_drive.toml")),
];

/// All shipped limits in one table: defaults, which the shop's table and the maker's sheet override.
pub fn shipped() -> &'static LimitTable {
    &SHIPPED
}

// The texts are compiled in and a test reads every one of them, so that a fault cannot reach a shop.
static SHIPPED: LazyLock<LimitTable> = LazyLock::new(|| {
    let mut all = LimitTable { title: "shipped with the program".to_owned(), ..LimitTable::default() };
    for (name, text) in SHIPPED_FILES {
        let table = parse(text, None).unwrap_or_else(|error| panic!("{name}: {error}"));
        all.features.extend(table.features);
        for source in table.sources {
            if !all.sources.contains(&source) {
                all.sources.push(source);
            }
        }
        all.limits.extend(table.limits);
    }
    all
});
