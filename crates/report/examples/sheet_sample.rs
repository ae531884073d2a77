//! Writes the invented run as PDF and SVG: `cargo run -p report --example sheet_sample -- OUT a4|letter metric|us`

#[path = "../tests/it/sample.rs"]
mod sample;

use quantity::UnitSystem;
use report::{Paper, pdf, sheet_svg};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().collect();
    let out = words.get(1).map_or("sheet", String::as_str);
    let paper = words.get(2).and_then(|key| Paper::from_key(key)).unwrap_or_default();
    let system = if words.get(3).is_some_and(|w| w == "us") { UnitSystem::UsCustomary } else { UnitSystem::Metric };
    let (run, comparison, meta) = (sample::run(), sample::comparison(), sample::meta());
    std::fs::write(format!("{out}.svg"), sheet_svg(&run, Some(&comparison), system, paper, &meta))?;
    std::fs::write(format!("{out}.pdf"), pdf(&run, Some(&comparison), system, paper, &meta)?)?;
    Ok(())
}
