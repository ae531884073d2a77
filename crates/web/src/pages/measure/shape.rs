//! The shape of a bore or another part in section: both walls, what they deviate magnified, the factor stated.

use super::units::{plain, span_in_unit};
use maud::{Markup, html};
use quantity::{Dimension, Verdict};
use record::sheet::{Shape, ShapeLine};

const WIDTH: f64 = 124.0;
const HEIGHT: f64 = 74.0;
/// Where the walls stand, and how far to either side a limit is drawn.
const WALLS: [f64; 2] = [26.0, 98.0];
const ROOM: f64 = 10.0;
/// Pixels to a millimetre on the screen, for the stated factor.
const PX_PER_MM: f64 = 96.0 / 25.4;

/// Pixels to a metre of deviation, the same for every column of a sheet: the widest limit fills the room beside a wall.
pub(super) fn magnification(shapes: &[Shape]) -> f64 {
    let bounds = shapes.iter().flat_map(|s| [s.lower_si, s.upper_si]).flatten().map(f64::abs).fold(0.0, f64::max);
    let read = shapes.iter().flat_map(|s| &s.lines).flat_map(|l| &l.points).filter_map(|p| p.deviation_si);
    let widest = if bounds > 0.0 { bounds } else { read.map(f64::abs).fold(0.0, f64::max) };
    if widest > 0.0 { ROOM / widest } else { 0.0 }
}

/// "×1,000": a deviation in diameter of 1 mm would be so many millimetres on the screen, for both walls together.
pub(super) fn factor_words(px_per_m: f64) -> String {
    let factor = px_per_m / 1000.0 / PX_PER_MM;
    let power = 10.0_f64.powf(factor.log10().floor());
    let rounded = (factor / power).round() * power;
    format!("\u{d7}{}", crate::words::thousands(rounded))
}

/// One column's shape.
pub(super) fn picture(shape: &Shape, px_per_m: f64) -> Markup {
    let lines: Vec<&ShapeLine> = match shape.lines.as_slice() {
        [] => return html! {},
        [one] => vec![one, one],
        [first, second, ..] => vec![first, second],
    };
    let read = shape.lines.iter().flat_map(|l| &l.points).any(|p| p.deviation_si.is_some());
    let (lower, upper) = (shape.lower_si.unwrap_or(0.0) * px_per_m, shape.upper_si.unwrap_or(0.0) * px_per_m);
    let span = points_span(shape);
    html! {
        svg.shape viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) width=(WIDTH) height=(HEIGHT) role="img" aria-label=(words(shape)) {
            @for (wall, side) in WALLS.into_iter().zip([-1.0, 1.0]) {
                @let (a, b) = (wall + side * lower, wall + side * upper);
                @if (a - b).abs() > 0.5 { rect.allowed x=(format!("{:.1}", a.min(b))) y="4" width=(format!("{:.1}", (a - b).abs())) height="66" {} }
                line.wall x1=(wall) y1="4" x2=(wall) y2="70" {}
            }
            line.middle x1="62" y1="0" x2="62" y2=(HEIGHT) {}
            @if !read { rect.nothing x="26" y="4" width="72" height="66" {} }
            @for ((line, wall), side) in lines.into_iter().zip(WALLS).zip([-1.0, 1.0]) {
                (wall_line(line, wall, side * px_per_m, span))
            }
        }
    }
}

fn points_span(shape: &Shape) -> (f64, f64) {
    let at = shape.lines.iter().flat_map(|l| &l.points).map(|p| p.at);
    at.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (low.min(at), high.max(at)))
}

/// Points of one wall, joined where no place between them is empty.
fn wall_line(line: &ShapeLine, wall: f64, px_per_m: f64, (top, bottom): (f64, f64)) -> Markup {
    let y = |at: f64| if bottom > top { 12.0 + (at - top) / (bottom - top) * 50.0 } else { 37.0 };
    let points: Vec<Option<(f64, f64, bool)>> = line
        .points
        .iter()
        .map(|p| Some((wall + p.deviation_si? * px_per_m, y(p.at), p.verdict == Some(Verdict::Outside))))
        .collect();
    let mut path = String::new();
    let far = |x: f64| (x - wall).abs() > 24.0;
    for pair in points.windows(2) {
        if let [Some(a), Some(b)] = pair
            && !far(a.0)
            && !far(b.0)
        {
            path.push_str(&format!("M{:.1} {:.1}L{:.1} {:.1}", a.0, a.1, b.0, b.1));
        }
    }
    html! {
        @if !path.is_empty() { path.line d=(path) {} }
        @for (x, y, outside) in points.into_iter().flatten() {
            // Beyond the picture: an arrow that way, at the edge.
            @if far(x) {
                @let (edge, tip) = (wall + 18.0 * (x - wall).signum(), wall + 25.0 * (x - wall).signum());
                path.out d=(format!("M{tip:.1} {y:.1}L{edge:.1} {:.1}L{edge:.1} {:.1}Z", y - 5.0, y + 5.0)) {}
            } @else if outside { path.out d=(format!("M{x:.1} {:.1}l6 6l-6 6l-6 -6Z", y - 6.0)) {} }
            @else { circle.dot cx=(format!("{x:.1}")) cy=(format!("{y:.1}")) r="3" {} }
        }
    }
}

fn words(shape: &Shape) -> String {
    let unit = |si: f64| plain((span_in_unit(si, Dimension::Length, "mm") * 1e4).round() / 1e4);
    let lines: Vec<String> = shape
        .lines
        .iter()
        .map(|line| {
            let points: Vec<String> =
                line.points.iter().map(|p| p.deviation_si.map_or("not read".to_owned(), unit)).collect();
            format!("{} {}", line.name, points.join(", "))
        })
        .collect();
    format!("Shape, millimetres from the aim, first to last: {}", lines.join("; "))
}
