//! THIRD-PARTY.md lists what is shipped: the part between its two marks is made from the locked build.
//!
//! `PLATEAU_UPDATE=1 cargo test -p house --test it third_party` writes it anew.

use house::{metadata, root};
use std::collections::{BTreeMap, BTreeSet};

const FROM: &str = "<!-- made by crates/house/tests/it/third_party.rs: from here -->\n";
const TO: &str = "<!-- to here -->\n";

/// The packages that go into the program `plateau`, by licence: those reached by normal dependencies.
fn shipped() -> BTreeMap<String, BTreeSet<String>> {
    let metadata = metadata();
    let packages: BTreeMap<&str, &serde_json::Value> =
        metadata["packages"].as_array().expect("packages").iter().map(|p| (p["id"].as_str().expect("id"), p)).collect();
    let nodes: BTreeMap<&str, &serde_json::Value> = metadata["resolve"]["nodes"]
        .as_array()
        .expect("nodes")
        .iter()
        .map(|node| (node["id"].as_str().expect("id"), node))
        .collect();
    let start = packages.iter().find(|(_, p)| p["name"] == "plateau").map(|(id, _)| *id).expect("the crate plateau");
    let mut seen = BTreeSet::from([start]);
    let mut open = vec![start];
    while let Some(id) = open.pop() {
        for dep in nodes[id]["deps"].as_array().expect("deps") {
            let normal = dep["dep_kinds"].as_array().expect("kinds").iter().any(|kind| kind["kind"].is_null());
            let to = dep["pkg"].as_str().expect("id");
            if normal && seen.insert(to) {
                open.push(to);
            }
        }
    }
    let mut by_licence: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for package in seen.iter().map(|id| packages[id]).filter(|p| !p["source"].is_null()) {
        let licence = package["license"].as_str().unwrap_or("not stated").replace('/', " OR ");
        let name =
            format!("{} {}", package["name"].as_str().expect("name"), package["version"].as_str().expect("version"));
        by_licence.entry(licence).or_default().insert(name);
    }
    by_licence
}

#[test]
fn third_party_page_is_what_is_shipped() {
    let mut made = String::new();
    for (licence, names) in shipped() {
        made.push_str(&format!("\n### {licence}\n\n{}\n", names.into_iter().collect::<Vec<_>>().join(", ")));
    }
    made.push('\n');
    let path = root().join("THIRD-PARTY.md");
    let page = std::fs::read_to_string(&path).expect("there is a THIRD-PARTY.md");
    let (head, rest) = page.split_once(FROM).expect("the first mark");
    let (stands, tail) = rest.split_once(TO).expect("the second mark");
    if stands != made && std::env::var_os("PLATEAU_UPDATE").is_some() {
        std::fs::write(&path, format!("{head}{FROM}{made}{TO}{tail}")).expect("the page can be written");
        return;
    }
    assert!(
        stands == made,
        "THIRD-PARTY.md is not what is shipped; write it anew with\n  PLATEAU_UPDATE=1 cargo test -p house --test it third_party"
    );
}

#[test]
fn every_shipped_file_of_others_is_named() {
    let page = std::fs::read_to_string(root().join("THIRD-PARTY.md")).expect("there is a THIRD-PARTY.md");
    for entry in std::fs::read_dir(root().join("assets/fonts")).expect("the fonts") {
        let name = entry.expect("a readable folder").file_name().to_string_lossy().into_owned();
        if let Some(face) = name.strip_suffix(".ttf") {
            assert!(page.contains(face), "THIRD-PARTY.md does not name the font {face}");
        }
        if name.starts_with("OFL-") {
            assert!(page.contains(&name), "THIRD-PARTY.md does not name the licence text {name}");
        }
    }
}
