//! A gap is a gap: never joined, never filled.

use crate::drawn::{elements, points};
use chart::{Line, RunPicture, Size, Strip, Theme, draw};

fn with_line(points: Vec<(f64, f64)>) -> Vec<crate::drawn::Element> {
    let band = Some(points.iter().map(|p| (p.1 - 2.0, p.1 + 2.0)).collect());
    let strip = Strip { key: "t".into(), lines: vec![Line { points, band, ..Line::default() }], ..Strip::default() };
    let picture = RunPicture { rpm_from: 2000.0, rpm_to: 4000.0, strips: vec![strip], ..RunPicture::default() };
    elements(&draw(&picture, Theme::Light, &Size::file(600.0, 200.0)))
}

#[test]
fn missing_values_part_a_line_and_its_band() {
    let nan = f64::NAN;
    let values = [100.0, 101.0, nan, nan, 104.0, nan, 105.0, 106.0, 107.0];
    let all = with_line(values.iter().enumerate().map(|(i, v)| (2000.0 + 250.0 * i as f64, *v)).collect());
    let lengths = |class| -> Vec<usize> {
        let paths = all.iter().filter(|e| e.is("path", class));
        paths.map(|e| points(e.get("d").expect("points")).len()).collect()
    };
    assert_eq!(lengths("line"), [2, 3], "two stretches of two and three points");
    assert_eq!(lengths("spread"), [4, 6], "each band goes there and back");
    assert_eq!(all.iter().filter(|e| e.is("circle", "line")).count(), 1, "a lonely point is a dot");
}

#[test]
fn a_line_that_steps_back_in_speed_is_not_joined_backwards() {
    let all = with_line(vec![(2000.0, 1.0), (2500.0, 2.0), (2200.0, 3.0), (2600.0, 4.0)]);
    assert_eq!(all.iter().filter(|e| e.is("path", "line")).count(), 2);
}
