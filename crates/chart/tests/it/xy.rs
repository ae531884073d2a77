//! Strips over crank degrees and a whole as one bar: nothing meets, nothing leaves the canvas.

use crate::drawn::{canvas, elements, shapes};
use chart::{
    LimitLine, Line, LineKind, Part, PartsPicture, Pick, Size, Strip, Theme, XAxis, XMark, XScale, XyPicture,
    draw_parts, draw_xy,
};
use proptest::prelude::*;

/// An invented pair of lifts over an invented gap.
fn lifts() -> XyPicture {
    let lobe = |at: f64, top: f64| {
        let steps = (-13..=13).map(|n| at + 10.0 * f64::from(n));
        steps.map(|deg| (deg, top * (0.5 + 0.5 * ((deg - at) * 180.0 / 130.0).to_radians().cos()))).collect::<Vec<_>>()
    };
    let line = |label: &str, kind, points| Line { kind, label: label.into(), points, ..Line::default() };
    let gap = (-4..=4).map(|n| 10.0 * f64::from(n)).map(|deg| (deg, 2.4 + 0.004 * (deg - 8.0).powi(2))).collect();
    let lift = Strip {
        key: "lift".into(),
        name: "Valve lift".into(),
        unit_and_basis: "mm".into(),
        weight: 1.4,
        lines: vec![
            line("intake, measured", LineKind::Measured, lobe(108.0, 12.4)),
            line("exhaust, from the card", LineKind::Predicted, lobe(-112.0, 12.0)),
        ],
        from_zero: true,
        ..Strip::default()
    };
    let pick = Pick { at: 8.0, value: 2.4, kind: LineKind::Predicted, label: "2.40 mm, 8° after top".into() };
    let limit = LimitLine { value: 2.0, from: -240.0, to: 240.0, greatest: false, label: "least: 2.0 mm".into() };
    let strip = Strip {
        key: "gap".into(),
        name: "Valve to piston".into(),
        unit_and_basis: "mm".into(),
        weight: 1.0,
        lines: vec![line("", LineKind::Predicted, gap)],
        limits: vec![limit],
        picks: vec![pick],
        from_zero: true,
        ..Strip::default()
    };
    XyPicture {
        title: "lift".into(),
        summary: "two lobes and a gap".into(),
        axis: XAxis { name: "crank degrees".into(), scale: XScale::Degrees, from: -270.0, to: 270.0 },
        strips: vec![lift, strip],
        marks: vec![XMark { at: 0.0, label: "top dead centre".into() }],
    }
}

fn part(name: &str, value: f64, measured: bool) -> Part {
    Part { name: name.into(), value, value_text: format!("{value:+.1}"), measured }
}

fn space(parts: Vec<Part>) -> PartsPicture {
    PartsPicture {
        title: "space".into(),
        name: "Combustion space".into(),
        unit_and_basis: "cm³".into(),
        unit: "cm³".into(),
        total_label: "clearance volume 62.2 cm³".into(),
        parts,
        ..PartsPicture::default()
    }
}

fn check(svg: &str) {
    let all = elements(svg);
    let (width, height) = canvas(&all);
    let shapes = shapes(&all);
    // Coordinates are rounded to 0.01 px.
    for (i, a) in shapes.iter().enumerate() {
        assert!(
            a.x0 >= -0.02 && a.x1 <= width + 0.02 && a.y0 >= -0.02 && a.y1 <= height + 0.02,
            "outside: {a:?}\n{svg}"
        );
        for b in &shapes[i + 1..] {
            assert!(!a.meets(b), "{a:?} meets {b:?}\n{svg}");
        }
    }
    for e in all.iter().filter(|e| e.is("circle", "pick")) {
        let (x, y) = (e.number("cx"), e.number("cy"));
        let met = shapes.iter().find(|s| s.x0 < x && x < s.x1 && s.y0 < y && y < s.y1);
        assert!(met.is_none(), "{met:?} covers a named point");
    }
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "no number is missing from the drawing");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_label_meets_another_over_crank_degrees(
        width in 200.0..1300.0_f64, height in 100.0..800.0_f64, from in -400.0..-1.0_f64, to in 1.0..400.0_f64,
        scale in prop_oneof![Just(XScale::Degrees), Just(XScale::Decimal)], at in -300.0..300.0_f64, value in -5.0..20.0_f64,
        greatest in any::<bool>(),
    ) {
        let mut picture = lifts();
        picture.axis = XAxis { from, to, scale, ..picture.axis };
        picture.strips[1].picks.push(Pick { at, value, kind: LineKind::Measured, label: "another point here".into() });
        picture.strips[1].limits.push(LimitLine { value, from: at, to: at + 80.0, greatest, label: "another limit".into() });
        picture.marks.push(XMark { at, label: "intake closes".into() });
        check(&draw_xy(&picture, Theme::Light, &Size::file(width, height)));
    }

    #[test]
    fn no_name_of_a_part_meets_another(
        values in prop::collection::vec(prop_oneof![6 => -40.0..80.0_f64, 1 => Just(f64::NAN), 1 => Just(0.0)], 0..9),
        width in 200.0..1200.0_f64,
    ) {
        let parts = values.iter().enumerate().map(|(i, v)| part(&format!("part {i}"), *v, i % 2 == 0)).collect();
        check(&draw_parts(&space(parts), Theme::Print, &Size::file(width, 0.0)));
    }
}

#[test]
fn every_label_of_the_lifts_finds_room() {
    let svg = draw_xy(&lifts(), Theme::Light, &Size::file(820.0, 520.0));
    for words in
        ["intake, measured", "exhaust, from the card", "2.40 mm, 8° after top", "least: 2.0 mm", "top dead centre"]
    {
        assert!(elements(&svg).iter().any(|e| e.name == "text" && e.words == words), "{words:?} is missing");
    }
}

#[test]
fn the_hatch_lies_on_the_side_that_is_not_allowed() {
    let mut picture = lifts();
    for (greatest, below) in [(false, true), (true, false)] {
        picture.strips[1].limits[0].greatest = greatest;
        let all = elements(&draw_xy(&picture, Theme::Light, &Size::file(820.0, 520.0)));
        let edge = all.iter().find(|e| e.is("line", "limit")).expect("an edge").number("y1");
        let hatch = all.iter().find(|e| e.is("rect", "not-allowed")).expect("a hatch");
        let (top, bottom) = (hatch.number("y"), hatch.number("y") + hatch.number("height"));
        // Rounding of two coordinates to 0.01 px.
        assert!(if below { (top - edge).abs() < 0.03 } else { (bottom - edge).abs() < 0.03 }, "{edge} {top} {bottom}");
    }
}

#[test]
fn a_scale_without_ends_is_still_drawn() {
    let picture = XyPicture { axis: XAxis { from: f64::NAN, to: 1.0, ..XAxis::default() }, ..lifts() };
    check(&draw_xy(&picture, Theme::Light, &Size::file(400.0, 300.0)));
}

#[test]
fn lifts_over_a_gap_and_a_space_with_a_dome() {
    insta::assert_snapshot!("xy_lifts", draw_xy(&lifts(), Theme::Light, &Size::file(640.0, 420.0)));
    let parts = vec![part("chamber", 74.0, true), part("gasket", 8.4, false), part("crown", -20.2, true)];
    insta::assert_snapshot!("parts_dome", draw_parts(&space(parts), Theme::Light, &Size::file(640.0, 0.0)));
}
