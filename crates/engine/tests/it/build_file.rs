//! Reading, refusing, changing and migrating build files.

use engine::build::Origin;
use engine::build_file::{BuildFile, new_file_text, schema_text};
use std::fmt::Write;
use std::fs;
use std::path::Path;

fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

/// Every file of `tests/bad_builds` is refused, with a message that a person can act on.
#[test]
fn bad_builds_are_refused_with_line_and_column() {
    let mut paths: Vec<_> = fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/bad_builds"))
        .expect("the folder is part of the crate")
        .map(|entry| entry.expect("it can be listed").path())
        .collect();
    paths.sort();
    assert!(paths.len() >= 25);
    let mut said = String::new();
    for path in paths {
        let name = path.file_stem().expect("files have names").to_string_lossy().into_owned();
        let text = fs::read_to_string(&path).expect("it can be read");
        match BuildFile::parse(&text) {
            Ok(_) => panic!("{name} was taken"),
            Err(error) => {
                for fault in error.faults {
                    let _ = writeln!(said, "{name}: {fault}");
                }
            }
        }
    }
    insta::assert_snapshot!(said);
}

#[test]
fn a_fault_names_the_place_of_the_value() {
    let error = BuildFile::parse("plateau_build = 2\n\n[block]\nbore = \"76 cc\"\n").expect_err("a volume is no bore");
    let fault = &error.faults[0];
    assert_eq!((fault.line, fault.column, fault.key.as_str()), (4, 8, "block.bore"));
    assert!(fault.found.contains("volume"), "{fault}");
}

#[test]
fn uncertainty_and_origin_are_read_in_both_forms() {
    let text = "plateau_build = 2\n[gasket]\n\
        thickness = \"0.0405 in ± 0.0005 in, measured by depth mic, read by R. K., 2026-03-12\"\n\
        bore = { value = \"4.100 in\", u = \"0.001 in\", origin = \"published\", source = \"the maker's sheet\" }\n";
    let file = BuildFile::parse(text).expect("a good file");
    let thickness = file.build().gasket.thickness.clone().expect("stated");
    // ± is 95 % and is halved.
    assert!((thickness.u - 0.000_25 * 0.0254).abs() < 1e-12);
    let measured =
        Origin::Measured { instrument: "depth mic".into(), by: Some("R. K.".into()), when: Some("2026-03-12".into()) };
    assert_eq!(thickness.origin, measured);
    let bore = file.build().gasket.bore.clone().expect("stated");
    assert!((bore.u - 0.001 * 0.0254).abs() < 1e-12, "u is one standard uncertainty: {}", bore.u);
    assert_eq!(bore.origin, Origin::Published { source: "the maker's sheet".into() });
}

/// Without ±, half a step of the last digit either way: step / √12.
#[test]
fn an_unstated_uncertainty_is_the_rounding() {
    let file = BuildFile::parse("plateau_build = 2\n[block]\nbore = \"4.030 in\"\n").expect("a good file");
    let bore = file.build().block.bore.clone().expect("stated");
    assert!((bore.u - 0.001 * 0.0254 / 12f64.sqrt()).abs() < 1e-12);
    assert_eq!(bore.origin, Origin::NotStated);
}

#[test]
fn a_changed_value_leaves_comments_and_order() {
    let text =
        "# ours\nplateau_build = 2\n\n[block] # iron\nbore = \"4.030 in\" # after the hone\nstroke = \"3.480 in\"\n";
    let file = BuildFile::parse(text).expect("a good file");
    let changed = file.set("block.bore", "4.040 in, measured by bore gauge").expect("a good value");
    let expected = text.replace("\"4.030 in\"", "\"4.040 in, measured by bore gauge\"");
    assert_eq!(changed.text(), expected);
    let added = changed.set("piston.crown_volume", "12 cc").expect("a good value");
    assert!(added.text().starts_with(&expected), "{}", added.text());
    assert_eq!(added.build().piston.crown_volume.as_ref().map(|v| v.text.as_str()), Some("12 cc"));
    assert!(file.set("block.bore", "76 cc").is_err());
    assert_eq!(file.text(), text, "a refused change leaves the file");
}

/// The documented difference: version 1 counted a dome positive and had `head.cc`.
#[test]
fn version_one_is_migrated_with_its_comments() {
    let old = "plateau_build = 1\n[piston]\n# net, poured\ndome_volume = \"26 cc ± 0.5 cc\" # not 42\n[head]\ncc = \"119 cc\"\n";
    let file = BuildFile::parse(old).expect("an old file");
    let new = "plateau_build = 2\n[piston]\n# net, poured\ncrown_volume = \"-26 cc ± 0.5 cc\" # not 42\n[head]\n\
               chamber_volume = \"119 cc\"\n";
    assert_eq!(file.text(), new);
    assert_eq!(file.migrated().len(), 3, "{:?}", file.migrated());
    let crown = file.build().piston.crown_volume.clone().expect("migrated");
    assert!((crown.si + 26e-6).abs() < 1e-12);
    // A negative dome was a dish.
    let dish = BuildFile::parse("plateau_build = 1\n[piston]\ndome_volume = \"-12 cc\"\n").expect("an old file");
    assert!((dish.build().piston.crown_volume.clone().expect("migrated").si - 12e-6).abs() < 1e-12);
    assert!(BuildFile::parse(new).expect("a new file").migrated().is_empty());
}

#[test]
fn the_new_file_reads_and_so_does_every_line_in_it() {
    let text = new_file_text("Engine \"A\"");
    let file = BuildFile::parse(&text).expect("the starting file reads");
    assert_eq!(file.build().engine.name.as_deref(), Some("Engine \"A\""));
    // With every example taken out of its comment it reads too.
    let bare = text
        .lines()
        .map(|line| match line.strip_prefix("# ") {
            Some(rest) if rest.starts_with("[[") || rest.contains(" = ") => rest,
            _ => line,
        })
        .collect::<Vec<_>>()
        .join("\n");
    let build = BuildFile::parse(&bare).unwrap_or_else(|error| panic!("{error}"));
    assert!(build.build().block.bore.is_some() && build.build().flow.len() == 1);
}

/// The page is written by the program: `PLATEAU_WRITE_DOCS=1 cargo test` writes it anew.
#[test]
fn the_schema_page_is_the_program_s() {
    let path = root().join("docs/build-file-schema.md");
    if std::env::var_os("PLATEAU_WRITE_DOCS").is_some() {
        fs::write(&path, schema_text()).expect("the page can be written");
    }
    assert_eq!(fs::read_to_string(path).expect("the page is there"), schema_text());
}

fn examples() -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = fs::read_dir(root().join("examples/builds"))
        .expect("the examples are there")
        .map(|entry| entry.expect("it can be listed").path())
        .map(|path| (path.display().to_string(), fs::read_to_string(&path).expect("it can be read")))
        .collect();
    found.sort();
    found
}

/// A file that breaks off is refused or read, and a fault always points into the file.
#[test]
fn a_file_cut_anywhere_never_goes_unanswered() {
    for (name, text) in examples() {
        // A prime step walks over every kind of place without taking every one.
        for at in (0..text.len()).step_by(211).filter(|at| text.is_char_boundary(*at)) {
            let cut = &text[..at];
            if let Err(error) = BuildFile::parse(cut) {
                assert!(!error.faults.is_empty(), "{name} cut at {at}");
                for fault in error.faults {
                    assert!(
                        fault.line <= cut.matches('\n').count() + 1 && fault.column >= 1,
                        "{name} cut at {at}: {fault}"
                    );
                }
            }
        }
    }
}

/// Writing a value back as it was typed changes nothing of the file.
#[test]
fn a_value_written_back_leaves_every_byte() {
    for (name, text) in examples() {
        let file = BuildFile::parse(&text).expect("examples are good");
        for (key, typed) in [
            ("block.bore", "bore = \""),
            ("block.stroke", "stroke = \""),
            ("head.chamber_volume", "chamber_volume = \""),
        ] {
            let start = text.find(&format!("\n{typed}")).expect("every example states it") + 1 + typed.len();
            let words = &text[start..start + text[start..].find('"').expect("a closed text")];
            let again = file.set(key, words).unwrap_or_else(|error| panic!("{name}: {error}"));
            assert_eq!(again.text(), text, "{name}: {key}");
            assert_eq!(again.build(), file.build());
        }
    }
}

/// Every example says that it is invented.
#[test]
fn examples_are_called_invented() {
    let found = examples();
    assert!(found.len() >= 6);
    for (name, text) in found {
        assert!(text.lines().next().is_some_and(|line| line.starts_with('#') && line.contains("Invented")), "{name}");
    }
}
