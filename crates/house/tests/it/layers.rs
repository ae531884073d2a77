//! The arrows between crates point down only, and some libraries are known to one crate alone.

use house::{crates, root};
use toml_edit::{DocumentMut, Item};

/// Crate, and the crates of our own it may use outside its tests. ARCHITECTURE.md draws the same.
const MAY_USE: &[(&str, &[&str])] = &[
    ("quantity", &[]),
    ("gas", &["quantity"]),
    ("engine", &["quantity", "gas"]),
    ("cycle", &["quantity", "gas", "engine"]),
    ("pull", &["quantity", "gas"]),
    ("chart", &[]),
    ("store", &[]),
    ("evidence", &[]),
    ("report", &["chart", "cycle", "engine", "pull", "gas", "quantity"]),
    ("record", &["engine", "quantity"]),
    ("notebook", &["record", "takein", "store", "evidence", "engine", "quantity"]),
    ("takein", &["store", "pull", "gas", "quantity"]),
    ("web", &["notebook", "record", "engine", "takein", "report", "chart", "store", "pull", "gas", "quantity"]),
    (
        "plateau",
        &[
            "web", "notebook", "record", "takein", "report", "chart", "cycle", "engine", "store", "pull", "gas",
            "quantity",
        ],
    ),
    ("invent", &[]),
    ("table", &[]),
    ("house", &[]),
];

/// Library, the crates that may use it, and why the others may not.
const ONLY_IN: &[(&str, &[&str], &str)] = &[
    ("rusqlite", &["store"], "SQL lives in the store"),
    (
        "sha2",
        &["store", "web"],
        "addresses of kept files are the store's; the door has the fingerprint of its certificate",
    ),
    ("uuid", &["store", "record", "notebook"], "ids belong to what is kept"),
    ("axum", &["web"], "HTTP lives in the pages"),
    ("axum-server", &["web"], "HTTP lives in the pages"),
    ("argon2", &["web"], "passwords are the door's"),
    ("getrandom", &["web"], "secrets are made at the door"),
    ("rcgen", &["web"], "encryption is the door's"),
    ("rustls-pki-types", &["web"], "encryption is the door's"),
    ("rpassword", &["plateau"], "a password is typed at the command or on a page"),
    ("tower-http", &["web"], "HTTP lives in the pages"),
    ("maud", &["web"], "HTML lives in the pages"),
    ("rust-embed", &["web", "report"], "files built into the program belong to the faces"),
    ("tokio", &["web", "plateau"], "nothing below the faces waits"),
    ("krilla", &["report"], "one crate writes PDF"),
    ("krilla-svg", &["report"], "one crate writes PDF"),
    ("pulp", &["cycle"], "only the running engine is computed in lanes"),
    ("clap", &["plateau", "invent"], "flags belong to the commands"),
    ("indicatif", &["plateau"], "progress belongs to the command"),
    ("anstream", &["plateau"], "terminal colours belong to the command"),
    ("image", &["evidence"], "pictures are decoded in one place, behind bounds"),
    ("kamadak-exif", &["evidence"], "what a camera wrote is read in one place"),
    ("heic-decoder", &["evidence"], "pictures are decoded in one place, behind bounds"),
    ("rand", &["invent"], "nothing but the inventor of logs rolls dice"),
    ("rand_pcg", &["invent"], "nothing but the inventor of logs rolls dice"),
];

fn manifest(name: &str) -> DocumentMut {
    let path = root().join("crates").join(name).join("Cargo.toml");
    std::fs::read_to_string(&path).expect("a manifest").parse().expect("a manifest is TOML")
}

fn names(manifest: &DocumentMut, table: &str) -> Vec<String> {
    let Some(Item::Table(table)) = manifest.get(table) else { return Vec::new() };
    table.iter().map(|(name, _)| name.to_owned()).collect()
}

#[test]
fn arrows_point_down() {
    let own = crates();
    for name in &own {
        let allowed = MAY_USE.iter().find(|row| row.0 == name);
        let allowed = allowed
            .unwrap_or_else(|| panic!("crate `{name}` has no row in MAY_USE (crates/house/tests/it/layers.rs)"))
            .1;
        for used in names(&manifest(name), "dependencies").iter().filter(|used| own.contains(used)) {
            assert!(
                allowed.contains(&used.as_str()),
                "`{name}` uses `{used}`: that arrow is not in the plan of layers"
            );
        }
    }
}

#[test]
fn the_plan_of_layers_has_no_ring() {
    // each crate may use only crates that can be removed before it
    let mut left: Vec<_> = MAY_USE.iter().collect();
    while !left.is_empty() {
        let before = left.len();
        let standing: Vec<&str> = left.iter().map(|row| row.0).collect();
        left.retain(|row| row.1.iter().any(|used| standing.contains(used)));
        assert!(left.len() < before, "a ring of arrows among {standing:?}");
    }
}

#[test]
fn libraries_stay_in_their_crate() {
    for name in crates() {
        let manifest = manifest(&name);
        for used in names(&manifest, "dependencies") {
            if let Some((library, homes, why)) = ONLY_IN.iter().find(|row| row.0 == used) {
                assert!(homes.contains(&name.as_str()), "`{name}` uses {library}, which belongs to {homes:?}: {why}");
            }
        }
    }
}

#[test]
fn every_crate_obeys_the_workspace() {
    for name in crates() {
        let manifest = manifest(&name);
        let lints = manifest.get("lints").and_then(|lints| lints.get("workspace")).and_then(Item::as_bool);
        assert_eq!(lints, Some(true), "crates/{name}/Cargo.toml does not take the lints of the workspace");
        for table in ["dependencies", "dev-dependencies", "build-dependencies"] {
            let Some(Item::Table(table)) = manifest.get(table) else { continue };
            for (used, item) in table {
                let shared = item.get("workspace").and_then(Item::as_bool);
                assert_eq!(shared, Some(true), "crates/{name}: version of `{used}` belongs in the root Cargo.toml");
            }
        }
    }
    let root_manifest: DocumentMut =
        std::fs::read_to_string(root().join("Cargo.toml")).expect("a manifest").parse().expect("TOML");
    let rust = &root_manifest["workspace"]["lints"]["rust"];
    assert_eq!(rust["unsafe_code"].as_str(), Some("forbid"), "unsafe code is forbidden in every crate");
}
