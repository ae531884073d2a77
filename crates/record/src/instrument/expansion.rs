//! Growth with heat, by material.

use std::sync::LazyLock;

/// Linear expansion of a material near 20 °C.
#[derive(Debug, Clone, PartialEq)]
pub struct Expansion {
    /// Names it goes by, the first is the one shown.
    pub names: Vec<String>,
    /// Expansion, 1/K.
    pub per_k: f64,
    /// Standard uncertainty of that, 1/K: how much alloys of that name differ.
    pub u_per_k: f64,
}

/// The materials that sheets may name.
///
/// # Source
/// Values and their spread from memory of materials handbooks; iron and steel about 10 to 12e-6, piston
/// alloys by their silicon. A tenth of the value, evenly spread, is taken as the spread of alloys of one name.
pub fn expansions() -> &'static [Expansion] {
    static ALL: LazyLock<Vec<Expansion>> = LazyLock::new(|| {
        let of = |names: &[&str], per_k: f64| Expansion {
            names: names.iter().map(|n| (*n).to_owned()).collect(),
            per_k,
            u_per_k: 0.1 * per_k / 3f64.sqrt(),
        };
        vec![
            of(&["steel", "steel gauge"], 11.5e-6),
            of(&["grey iron", "iron", "cast iron"], 10.8e-6),
            of(&["ductile iron"], 11.5e-6),
            of(&["aluminium", "aluminium block", "aluminium rod"], 22.0e-6),
            of(&["2618 forged", "2618"], 22.3e-6),
            of(&["4032 forged", "4032"], 19.4e-6),
            of(&["hypereutectic"], 18.5e-6),
            of(&["cast", "cast piston"], 20.5e-6),
            of(&["titanium"], 8.9e-6),
            of(&["bronze"], 18.0e-6),
        ]
    });
    &ALL
}

/// The expansion of a material by any of its names.
pub fn expansion(name: &str) -> Option<&'static Expansion> {
    expansions().iter().find(|e| e.names.iter().any(|n| n.eq_ignore_ascii_case(name.trim())))
}
