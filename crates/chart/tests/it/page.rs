//! What the page and its script rely on.

use crate::drawn::elements;
use crate::sample;
use chart::{Size, Theme, draw};

#[test]
fn two_drawings_on_one_page_share_no_id() {
    let picture = sample::hill_climb_four();
    let ids = |prefix: &str| -> Vec<String> {
        let svg = draw(&picture, Theme::Variables, &Size::page(700.0, 700.0, prefix));
        elements(&svg).iter().filter_map(|e| e.get("id").map(str::to_owned)).collect()
    };
    let (a, b) = (ids("now"), ids("then"));
    assert!(a.len() >= 3);
    assert!(a.iter().all(|id| !b.contains(id)), "{a:?} {b:?}");
}

#[test]
fn a_page_drawing_has_no_inline_style_script_or_colour() {
    let svg = draw(&sample::hill_climb_four(), Theme::Variables, &Size::page(700.0, 700.0, "r"));
    for forbidden in ["style=", "<style", "<script", "onclick", "#1B3F94", "href"] {
        assert!(!svg.contains(forbidden), "{forbidden} in a page drawing");
    }
    assert!(svg.contains("var(--blue)"));
}

#[test]
fn handles_are_sliders_with_a_target_of_44_pixels() {
    let svg = draw(&sample::hill_climb_four(), Theme::Variables, &Size::page(700.0, 700.0, "r"));
    let all = elements(&svg);
    let handles: Vec<_> = all.iter().filter(|e| e.is("g", "handle")).collect();
    assert_eq!(handles.len(), 2);
    for (handle, end, now, text) in [(handles[0], "from", "3000", "3,000 rpm"), (handles[1], "to", "6200", "6,200 rpm")]
    {
        assert_eq!(handle.get("data-end"), Some(end));
        assert_eq!(handle.get("role"), Some("slider"));
        assert_eq!(handle.get("tabindex"), Some("0"));
        assert_eq!(handle.get("aria-valuenow"), Some(now));
        assert_eq!(handle.get("aria-valuetext"), Some(text));
    }
    let hits: Vec<_> = all.iter().filter(|e| e.is("rect", "hit")).collect();
    assert!(hits.len() == 2 && hits.iter().all(|e| e.number("width") == 44.0 && e.number("height") == 44.0));
}

#[test]
fn strips_tell_the_script_how_values_become_pixels() {
    let picture = sample::hill_climb_four();
    let all = elements(&draw(&picture, Theme::Variables, &Size::page(798.0, 726.0, "r")));
    let strips: Vec<_> = all.iter().filter(|e| e.is("g", "strip")).collect();
    assert_eq!(strips.len(), picture.strips.len());
    let torque = strips[0];
    let y = |v: f64| {
        let (v0, v1) = (torque.number("data-v0"), torque.number("data-v1"));
        torque.number("data-y0") + (v - v0) / (v1 - v0) * (torque.number("data-y1") - torque.number("data-y0"))
    };
    let line = all.iter().find(|e| e.is("path", "measured")).expect("the measured line");
    let first = crate::drawn::points(line.get("d").expect("points"))[0];
    let value = picture.strips[0].lines[2].points[0].1;
    // Both are rounded to 0.01 px.
    assert!((first.1 - y(value)).abs() <= 0.02, "{} against {}", first.1, y(value));
    assert!((first.0 - all[0].number("data-x0")).abs() <= 0.02, "2,000 rpm is the left end of the scale");
}

#[test]
fn every_curve_has_a_ring_and_a_value_in_the_readout() {
    let picture = sample::hill_climb_four();
    let all = elements(&draw(&picture, Theme::Variables, &Size::page(798.0, 726.0, "r")));
    let curves: usize = picture.strips.iter().map(|s| s.lines.len()).sum();
    assert_eq!(all.iter().filter(|e| e.is("circle", "readout-ring")).count(), curves);
    assert_eq!(all.iter().filter(|e| e.is("text", "readout-value")).count(), curves);
    let plain = draw(&picture, Theme::Print, &Size::file(798.0, 726.0));
    assert!(!plain.contains("readout") && !plain.contains("slider"), "paper has no readout");
}

#[test]
fn the_same_picture_gives_the_same_text() {
    let draw = || draw(&sample::hill_climb_four(), Theme::Dark, &Size::file(798.0, 726.0));
    assert_eq!(draw(), draw());
}
