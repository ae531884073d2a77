//! Writes the invented hill-climb picture to a file:
//! `cargo run -p chart --example draw_sample -- OUT.svg light|dark|print|page WIDTH HEIGHT`

#[path = "../tests/it/sample.rs"]
mod sample;

use chart::{Size, Theme};

fn main() -> std::io::Result<()> {
    let words: Vec<String> = std::env::args().collect();
    let word = |i: usize, otherwise: &str| words.get(i).map_or(otherwise, String::as_str).to_owned();
    let theme = match word(2, "light").as_str() {
        "dark" => Theme::Dark,
        "print" => Theme::Print,
        "page" => Theme::Variables,
        _ => Theme::Light,
    };
    let size = Size {
        interactive: theme != Theme::Print,
        ..Size::file(word(3, "798").parse().unwrap_or(798.0), word(4, "726").parse().unwrap_or(726.0))
    };
    let bars = chart::plateau_bars(&sample::plateaus(), theme, 318.0);
    std::fs::write(word(1, "plateaus.svg") + ".bars.svg", bars)?;
    std::fs::write(word(1, "run.svg"), chart::draw(&sample::hill_climb_four(), theme, &size))
}
