//! Limit bars: a rail between two ticks, hatched where it is not allowed, the reading on it.
//!
//! A bar carries on itself which two values lie where, so that a page's script can place a reading that the shop does
//! not have yet the same way. A reading beyond the ends of a bar is an arrow at its end.

use super::units::plain;
use maud::{Markup, html};

/// Limits in the unit of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Between {
    pub(super) low: Option<f64>,
    pub(super) high: Option<f64>,
    pub(super) aim: Option<f64>,
}

impl Between {
    /// Nothing limits it.
    pub(super) fn open(&self) -> bool {
        self.low.is_none() && self.high.is_none()
    }
}

/// Two values and where they lie, the ends of the bar, the height of its rail, the size of a mark.
#[derive(Debug, Clone, Copy)]
struct Scale {
    v: (f64, f64),
    x: (f64, f64),
    ends: (f64, f64),
    y: f64,
    r: f64,
}

impl Scale {
    /// Where a value lies; beyond an end it is that end and the side.
    fn at(&self, value: f64) -> (f64, i8) {
        let x = self.x.0 + (value - self.v.0) / (self.v.1 - self.v.0) * (self.x.1 - self.x.0);
        if x < self.ends.0 {
            (self.ends.0, -1)
        } else if x > self.ends.1 {
            (self.ends.1, 1)
        } else {
            (x, 0)
        }
    }
}

/// The values that stand at the two marks of a bar. A limit on one side alone is drawn from zero, or over its own size.
fn marks(limits: Between) -> Option<(f64, f64)> {
    let found = match (limits.low, limits.high) {
        (Some(low), Some(high)) => (low, high),
        (None, Some(high)) if high > 0.0 => (0.0, high),
        (None, Some(high)) => (high - high.abs().max(1.0), high),
        (Some(low), None) => {
            (low, low + limits.aim.map_or(low.abs().max(1e-9), |aim| 2.0 * (aim - low)).max(low.abs() * 0.25))
        }
        (None, None) => return None,
    };
    (found.1 > found.0).then_some(found)
}

/// A reading as it is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Drawn {
    pub(super) value: f64,
    pub(super) outside: bool,
    /// Too near a limit to tell.
    pub(super) cannot: bool,
    /// Expanded uncertainty.
    pub(super) doubt: f64,
}

fn mark(scale: &Scale, drawn: Drawn) -> Markup {
    let (x, side) = scale.at(drawn.value);
    let (y, r) = (scale.y, scale.r);
    let class = match (drawn.outside, drawn.cannot) {
        (true, _) => "at outside",
        (false, true) => "at cannot",
        (false, false) => "at inside",
    };
    html! {
        @if side != 0 {
            @let to = f64::from(side) * r;
            path class=(class) d=(format!("M{:.1} {y}L{:.1} {:.1}L{:.1} {:.1}Z", x + to, x - to, y - r, x - to, y + r)) {}
        } @else if drawn.outside {
            path class=(class) d=(format!("M{x:.1} {:.1}l{r} {r}l-{r} {r}l-{r} -{r}Z", y - r)) {}
        } @else {
            circle class=(class) cx=(format!("{x:.1}")) cy=(y) r=(format!("{:.1}", r * 0.92)) {}
        }
    }
}

/// The small bar of a cell. `words` is read aloud in place of the picture; empty where the cell itself says it.
pub(super) fn small(limits: Between, drawn: Option<Drawn>, short: bool) -> Markup {
    let Some(v) = marks(limits) else { return html! {} };
    let (width, x0, x1) = if short { (64.0, 11.0, 40.0) } else { (104.0, 19.0, 75.0) };
    let scale = Scale { v, x: (x0, x1), ends: (6.0, width - 6.0), y: 6.5, r: 5.5 };
    html! {
        svg.bar viewBox=(format!("0 0 {width} 13")) width=(width) height="13" aria-hidden="true"
            data-v0=(plain(v.0)) data-v1=(plain(v.1)) data-x0=(x0) data-x1=(x1) data-left=(scale.ends.0) data-right=(scale.ends.1) data-y="6.5" data-r="5.5" {
            @if limits.low.is_some() { rect.no x="1" y="4" width=(x0 - 1.0) height="5" {} }
            @if limits.high.is_some() { rect.no x=(x1) y="4" width=(width - x1 - 1.0) height="5" {} }
            line.rail x1=(x0) y1="6.5" x2=(x1) y2="6.5" {}
            @if limits.low.is_some() { line.end x1=(x0) y1="1.5" x2=(x0) y2="11.5" {} } @else { line.aim x1=(x0) y1="4" x2=(x0) y2="9" {} }
            @if limits.high.is_some() { line.end x1=(x1) y1="1.5" x2=(x1) y2="11.5" {} }
            @if let Some(aim) = limits.aim {
                @let (x, side) = scale.at(aim);
                @if side == 0 { line.aim x1=(format!("{x:.1}")) y1="4" x2=(format!("{x:.1}")) y2="9" {} }
            }
            @if let Some(drawn) = drawn { (mark(&scale, drawn)) }
        }
    }
}

/// Width of the large bar.
const WIDE: f64 = 318.0;

/// The large bar of the place in hand: a scale with its limits named, the neighbours as rings, the reading on it.
pub(super) fn large(limits: Between, near: &[f64], drawn: Option<Drawn>, say: &dyn Fn(f64) -> String) -> Markup {
    let Some(v) = marks(limits) else { return html! {} };
    let (x0, x1) = (73.0, 230.0);
    let scale = Scale { v, x: (x0, x1), ends: (10.0, WIDE - 10.0), y: 24.0, r: 9.0 };
    let step = tick_step(v.1 - v.0);
    let per = (x1 - x0) / (v.1 - v.0);
    let value_at = |x: f64| v.0 + (x - x0) / per;
    let first = (value_at(scale.ends.0) / step).ceil() as i64;
    let last = (value_at(scale.ends.1) / step).floor() as i64;
    html! {
        svg.bar.large viewBox=(format!("0 0 {WIDE} 62")) width=(WIDE) height="62" aria-hidden="true"
            data-v0=(plain(v.0)) data-v1=(plain(v.1)) data-x0=(x0) data-x1=(x1) data-left=(scale.ends.0) data-right=(scale.ends.1) data-y="24" data-r="9" {
            @if limits.low.is_some() { rect.no x=(scale.ends.0) y="18" width=(x0 - scale.ends.0) height="12" {} }
            @if limits.high.is_some() { rect.no x=(x1) y="18" width=(scale.ends.1 - x1) height="12" {} }
            @for n in first..=last {
                @let x = x0 + (n as f64 * step - v.0) * per;
                @let long = if n % 10 == 0 { 33.0 } else if n % 5 == 0 { 31.0 } else { 28.0 };
                line.tick x1=(format!("{x:.1}")) y1="24" x2=(format!("{x:.1}")) y2=(long) {}
            }
            line.axis x1=(scale.ends.0) y1="24" x2=(scale.ends.1) y2="24" {}
            @for (limit, x) in [(limits.low, x0), (limits.high, x1)] {
                @if let Some(limit) = limit {
                    line.end x1=(x) y1="11" x2=(x) y2="37" {}
                    text.named x=(x) y="55" { (say(limit)) }
                }
            }
            @if let Some(aim) = limits.aim {
                @let (x, side) = scale.at(aim);
                @if side == 0 { line.aim x1=(format!("{x:.1}")) y1="16" x2=(format!("{x:.1}")) y2="32" {} text.aimed x=(format!("{x:.1}")) y="55" { "aim" } }
            }
            @for value in near {
                @let (x, side) = scale.at(*value);
                @if side == 0 { circle.near cx=(format!("{x:.1}")) cy="19" r="3" {} }
            }
            @if let Some(drawn) = drawn {
                @let (x, side) = scale.at(drawn.value);
                @if side == 0 && drawn.doubt > 0.0 {
                    rect.doubt.outside[drawn.outside] x=(format!("{:.1}", x - drawn.doubt * per)) y="21" width=(format!("{:.1}", 2.0 * drawn.doubt * per)) height="6" {}
                }
                (mark(&scale, drawn))
            }
        }
    }
}

/// A round step: between ten and twenty-five of them in the room between the limits.
fn tick_step(width: f64) -> f64 {
    let power = 10.0_f64.powf((width / 10.0).log10().floor());
    let steps = [1.0, 2.0, 5.0, 10.0].map(|s| s * power);
    // The finest that is not too dense; rounding noise must not tip it over.
    steps.into_iter().find(|step| width / step <= 25.0 + 1e-9).unwrap_or(10.0 * power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_neither_dense_nor_sparse() {
        for width in [0.020, 0.015, 0.001, 0.0005, 3.0, 40.0, 170.0, 1e-4] {
            let step = tick_step(width);
            let count = width / step;
            assert!((9.9..=25.1).contains(&count), "{width}: {count} steps of {step}");
        }
        assert!((tick_step(0.020) - 0.001).abs() < 1e-12);
    }

    #[test]
    fn a_reading_beyond_the_bar_is_an_arrow_and_not_a_diamond_at_the_edge() {
        let limits = Between { low: Some(92.74), high: Some(92.76), aim: None };
        let far = Drawn { value: 93.9, outside: true, cannot: false, doubt: 0.0 };
        let near = Drawn { value: 92.766, outside: true, cannot: false, doubt: 0.0 };
        let far = small(limits, Some(far), false).into_string();
        let near = small(limits, Some(near), false).into_string();
        assert!(far.contains("M103.5 6.5L92.5 1.0L92.5 12.0Z"), "{far}");
        assert!(near.contains("l5.5 5.5l-5.5 5.5l-5.5 -5.5Z") && !near.contains("M103.5"), "{near}");
    }

    #[test]
    fn a_limit_on_one_side_is_hatched_on_one_side() {
        let most = Between { high: Some(0.010), ..Between::default() };
        let text = small(most, None, true).into_string();
        assert_eq!(text.matches("class=\"no\"").count(), 1);
        assert!(text.contains("data-v0=\"0\" data-v1=\"0.01\""), "{text}");
        assert!(small(Between::default(), None, false).into_string().is_empty());
    }
}
