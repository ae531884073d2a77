//! Builds with single lines changed, and their curves.

use cycle::constants::Constants;
use cycle::model::Operating;
use cycle::parts::EngineParts;
use cycle::predict::{Figures, Request, predict_parts};
use engine::build_file::BuildFile;

/// A build file of the repository: `examples/builds/…` or `validation/…`.
pub(crate) fn text(path: &str) -> String {
    let path = format!("{}/../../{path}.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// The text with `section.key = value` in place of what stands there, or added at the section's head.
pub(crate) fn with(text: &str, edits: &[(&str, &str)]) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    for (path, value) in edits {
        let (section, key) = path.rsplit_once('.').unwrap();
        let head = lines.iter().position(|l| *l == format!("[{section}]"));
        let head = head.unwrap_or_else(|| panic!("no section {section}"));
        let key: &str = key;
        let end = lines[head + 1..].iter().position(|l| l.starts_with('[')).map_or(lines.len(), |n| head + 1 + n);
        let line = format!("{key} = {value}");
        match (head + 1..end).find(|&i| lines[i].split('=').next().unwrap().trim() == key) {
            Some(i) => lines[i] = line,
            None => lines.insert(head + 1, line),
        }
    }
    lines.join("\n")
}

pub(crate) fn parts(text: &str) -> EngineParts {
    let file = BuildFile::parse(text).unwrap_or_else(|e| panic!("{e:?}"));
    EngineParts::from_build(file.build()).unwrap_or_else(|e| panic!("{e}"))
}

/// Figures of an engine at operating points.
pub(crate) fn run(parts: &EngineParts, operating: &[Operating]) -> Vec<Figures> {
    let request = Request::at(operating.to_vec()).quick();
    let made = predict_parts(parts, Constants::shipped(), &request).unwrap_or_else(|e| panic!("{e}"));
    made.points
        .into_iter()
        .map(|p| p.figures.unwrap_or_else(|| panic!("{:.0} rpm: {:?}", p.operating.rpm(), p.notes)))
        .collect()
}

/// Torque at full load over speeds in rpm, N·m.
pub(crate) fn torque(text: &str, rpm: &[f64]) -> Vec<f64> {
    let operating: Vec<Operating> = rpm.iter().map(|&r| Operating::full_load(r)).collect();
    run(&parts(text), &operating).iter().map(|f| f.torque_nm).collect()
}
