//! What must hold for every picture: labels stand clear of each other, of handles and of the ends of
//! lines, and nothing leaves the canvas.

use crate::drawn::{canvas, elements, points, shapes};
use crate::sample;
use chart::{Area, BandOfUse, FlagMark, Line, LineKind, MeanLine, NoData, RunPicture, Size, Strip, Theme, draw};
use proptest::prelude::*;

fn words() -> impl Strategy<Value = String> {
    prop_oneof![
        Just(String::new()),
        Just("Run 14, three pulls".to_owned()),
        Just("pull 2 lean by 0.02".to_owned()),
        Just("a <long> & \"quoted\" label that hardly fits anywhere on a small picture".to_owned()),
        "[A-Za-z0-9 ±.,·λ−]{0,30}",
    ]
}

fn kind() -> impl Strategy<Value = LineKind> {
    prop_oneof![
        Just(LineKind::Measured),
        Just(LineKind::Predicted),
        Just(LineKind::Before),
        Just(LineKind::SinglePull),
        Just(LineKind::Gain)
    ]
}

fn line(from: f64, to: f64) -> impl Strategy<Value = Line> {
    let values = prop::collection::vec(prop_oneof![8 => -400.0..900.0_f64, 1 => Just(f64::NAN)], 1..40);
    (kind(), words(), values, 0.1..50.0_f64, prop::option::of(words()), any::<bool>()).prop_map(
        move |(kind, label, values, half, end_note, banded)| {
            let step = (to - from) / values.len().max(2) as f64;
            let points: Vec<(f64, f64)> =
                values.iter().enumerate().map(|(i, v)| (from + step * i as f64, *v)).collect();
            let band = banded.then(|| points.iter().map(|p| (p.1 - half, p.1 + half)).collect());
            Line { kind, label, points, band, end_note, ..Line::default() }
        },
    )
}

fn strip(key: usize, from: f64, to: f64) -> impl Strategy<Value = Strip> {
    let extras = (any::<bool>(), any::<bool>(), any::<bool>(), prop::option::of((words(), words())), words());
    (words(), words(), 0.2..6.0_f64, prop::collection::vec(line(from, to), 0..4), extras).prop_map(
        move |(name, basis, weight, lines, (from_zero, say_start, difference, mean, gap))| Strip {
            key: format!("s{key}"),
            name,
            unit_and_basis: basis,
            weight,
            target: say_start.then(|| Area { points: vec![(from, 10.0, 20.0), (to, 30.0, 50.0)] }),
            mean: mean.map(|(label, value_text)| MeanLine {
                value: lines.iter().flat_map(|l| &l.points).map(|p| p.1).next().unwrap_or(7.0),
                from_rpm: from + 0.2 * (to - from),
                to_rpm: to,
                label,
                value_text,
            }),
            no_data: vec![NoData { from_rpm: to - 0.1 * (to - from), to_rpm: to + 300.0, words: gap }],
            lines,
            from_zero,
            say_start,
            difference,
            decimals: 1,
            ..Strip::default()
        },
    )
}

fn flag(number: usize, from: f64, to: f64) -> impl Strategy<Value = FlagMark> {
    (0.0..1.0_f64, 0.0..0.4_f64, 0..7_usize, words(), -500.0..900.0_f64).prop_map(
        move |(start, length, strip, words, value)| {
            let a = from + start * (to - from);
            let b = a + length * (to - from);
            FlagMark {
                number,
                from_rpm: a,
                to_rpm: b,
                strip_key: format!("s{strip}"),
                words,
                stretch: vec![(a, value), ((a + b) / 2.0, f64::NAN), (b, value + 20.0)],
            }
        },
    )
}

fn picture() -> impl Strategy<Value = RunPicture> {
    (0.0..9000.0_f64, 20.0..9000.0_f64).prop_flat_map(|(from, span)| {
        let to = from + span;
        let strips = (0..7_usize).prop_flat_map(move |n| (0..n).map(|key| strip(key, from, to)).collect::<Vec<_>>());
        let flags = (0..5_usize).prop_flat_map(move |n| (1..=n).map(|i| flag(i, from, to)).collect::<Vec<_>>());
        let band = prop::option::of((0.0..1.0_f64, 0.01..1.2_f64, words()));
        (strips, flags, band).prop_map(move |(strips, flags, band)| RunPicture {
            title: "random".into(),
            summary: "random".into(),
            rpm_from: from,
            rpm_to: to,
            band: band.map(|(start, length, label)| BandOfUse {
                from_rpm: from + start * span,
                to_rpm: from + (start + length) * span,
                label,
                note: "drag an end to judge another".into(),
            }),
            strips,
            flags,
        })
    })
}

fn check(picture: &RunPicture, size: &Size) {
    let svg = draw(picture, Theme::Light, size);
    let all = elements(&svg);
    let (width, height) = canvas(&all);
    let shapes = shapes(&all);
    // Coordinates are rounded to 0.01 px, widths are summed from the same table: 0.02 px is that rounding.
    for (i, a) in shapes.iter().enumerate() {
        assert!(a.x0 >= -0.02 && a.x1 <= width + 0.02 && a.y0 >= -0.02 && a.y1 <= height + 0.02, "outside: {a:?}");
        for b in &shapes[i + 1..] {
            // The ends of a very narrow band lie upon each other; nothing else may.
            let both_handles = a.what == "handle" && b.what == "handle";
            assert!(both_handles || !a.meets(b), "{a:?} meets {b:?}\n{svg}");
        }
    }
    for e in &all {
        let inside = |x: f64, y: f64| x >= -0.02 && x <= width + 0.02 && y >= -0.02 && y <= height + 0.02;
        match e.name.as_str() {
            "line" if !e.is("line", "readout-line") => {
                assert!(inside(e.number("x1"), e.number("y1")) && inside(e.number("x2"), e.number("y2")), "{e:?}");
            }
            "circle" => assert!(inside(e.number("cx"), e.number("cy")), "{e:?}"),
            "path" if e.is("path", "line") || e.is("path", "spread") || e.is("path", "flagged") => {
                let ends = points(e.get("d").expect("a path has points"));
                assert!(ends.iter().all(|(x, y)| inside(*x, *y)), "{e:?}");
                if e.is("path", "line") {
                    for (x, y) in [ends[0], ends[ends.len() - 1]] {
                        let met = shapes.iter().find(|s| s.x0 < x && x < s.x1 && s.y0 < y && y < s.y1);
                        assert!(met.is_none(), "{met:?} covers the end of a line at {x}, {y}");
                    }
                }
            }
            _ => {}
        }
    }
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "no number is missing from the drawing");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 160, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_label_meets_another_and_nothing_leaves_the_canvas(
        picture in picture(), width in 200.0..1400.0_f64, height in 100.0..900.0_f64, interactive in any::<bool>()
    ) {
        check(&picture, &Size { interactive, ..Size::file(width, height) });
    }
}

#[test]
fn the_hill_climb_picture_holds_at_every_width() {
    for width in (280..1400).step_by(40) {
        check(&sample::hill_climb_four(), &Size::page(f64::from(width), 720.0, "a"));
    }
}

#[test]
fn every_label_of_the_hill_climb_picture_finds_room_from_tablet_width_up() {
    let picture = sample::hill_climb_four();
    let lines = picture.strips.iter().flat_map(|s| &s.lines);
    let mut wanted: Vec<&str> = lines.clone().map(|l| l.label.as_str()).filter(|l| !l.is_empty()).collect();
    wanted.extend(lines.filter_map(|l| l.end_note.as_deref()));
    wanted.extend(picture.flags.iter().map(|f| f.words.as_str()));
    wanted.extend(["average", "290.1", "no run 3", "scale starts at 200"]);
    for (width, height) in [(640.0, 560.0), (798.0, 726.0), (980.0, 640.0)] {
        let svg = draw(&picture, Theme::Light, &Size::file(width, height));
        let all = elements(&svg);
        for words in &wanted {
            assert!(all.iter().any(|e| e.name == "text" && e.words == *words), "{words:?} is missing at {width}");
        }
    }
}

#[test]
fn numbers_that_are_no_numbers_give_a_picture_without_them() {
    let mut picture = sample::hill_climb_four();
    picture.rpm_from = f64::NAN;
    picture.strips[0].lines[0].points.iter_mut().for_each(|p| p.1 = f64::INFINITY);
    picture.strips[0].mean.as_mut().expect("a mean").value = f64::NAN;
    picture.strips[1].weight = f64::NAN;
    check(&picture, &Size::file(f64::NAN, f64::INFINITY));
    check(&RunPicture::default(), &Size::file(10.0, 10.0));
}
