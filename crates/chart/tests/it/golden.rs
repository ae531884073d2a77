//! Small pictures, kept whole: a change in them is to be looked at.

use chart::{LineKind, PlateauRow, Size, Strip, Theme, draw, plateau_bars, sparkline};

use crate::sample;

fn every_twentieth(values: &[(f64, f64)]) -> Vec<(f64, f64)> {
    values.iter().step_by(20).copied().collect()
}

fn two_strips() -> chart::RunPicture {
    let mut picture = sample::hill_climb_four();
    picture.strips.retain(|s: &Strip| matches!(s.key.as_str(), "torque" | "gained"));
    for strip in &mut picture.strips {
        for line in &mut strip.lines {
            line.points = every_twentieth(&line.points);
            line.band = line.band.as_ref().map(|band| every_twentieth(band));
            line.spread = None;
        }
    }
    picture.flags.remove(0);
    picture
}

#[test]
fn a_light_file() {
    insta::assert_snapshot!("light_file", draw(&two_strips(), Theme::Light, &Size::file(640.0, 380.0)));
}

#[test]
fn a_print_drawing() {
    let size = Size { embed_style: false, ..Size::file(640.0, 380.0) };
    insta::assert_snapshot!("print", draw(&two_strips(), Theme::Print, &size));
}

#[test]
fn a_page_drawing_with_handles_and_readout() {
    insta::assert_snapshot!("page", draw(&two_strips(), Theme::Variables, &Size::page(560.0, 380.0, "run14")));
}

#[test]
fn plateaus_and_a_sparkline() {
    insta::assert_snapshot!("plateau_bars", plateau_bars(&sample::plateaus(), Theme::Light, 318.0));
    let points = [(2000.0, 100.0), (2500.0, 140.0), (3000.0, f64::NAN), (3500.0, 150.0), (4000.0, 145.0)];
    insta::assert_snapshot!("sparkline", sparkline(&points, "torque of run 14", Theme::Variables, 120.0, 28.0));
}

#[test]
fn a_plateau_without_numbers_leaves_its_row_empty() {
    let row = PlateauRow { from_rpm: f64::NAN, to_rpm: f64::NAN, kind: LineKind::Measured, ..PlateauRow::default() };
    let svg = plateau_bars(&[row], Theme::Light, 318.0);
    assert!(!svg.contains("<rect"), "{svg}");
    assert!(!svg.contains("NaN"), "{svg}");
}
