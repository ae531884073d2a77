//! Where everything stands: one speed scale for all strips, heights by weight.

use crate::measure::text_width;
use crate::picture::{RunPicture, Size, Strip};
use crate::scale::{ValueScale, Wish};

/// Font size of labels at the marks, px.
pub(crate) const LABEL: f64 = 13.5;
/// Font size of scale labels, px.
pub(crate) const SCALE: f64 = 13.0;
/// Room between two strips; holds the name of the lower one.
pub(crate) const GAP: f64 = 23.0;
/// Height of the band's bar above the first strip.
const BAND_BAR: f64 = 40.0;
/// Height of the engraved scale below the last strip.
const SPEED_SCALE: f64 = 42.0;
/// Least height of a strip.
const LEAST: f64 = 42.0;
/// Least width of a drawing.
const LEAST_WIDTH: f64 = 280.0;

/// The places of a drawing.
#[derive(Debug)]
pub(crate) struct Frame {
    pub(crate) width: f64,
    pub(crate) height: f64,
    /// Left end of the speed scale.
    pub(crate) x0: f64,
    /// Right end of the speed scale.
    pub(crate) x1: f64,
    /// Speed at `x0`.
    pub(crate) rpm0: f64,
    /// Speed at `x1`.
    pub(crate) rpm1: f64,
    /// Middle of the band's bar, if there is a band.
    pub(crate) bar_y: Option<f64>,
    /// Top of the tint.
    pub(crate) top: f64,
    /// Top of the hatching, below the name of the first strip.
    pub(crate) hatch_top: f64,
    /// The engraved line.
    pub(crate) speed_y: f64,
    /// Strips in the order of the picture.
    pub(crate) panels: Vec<Panel>,
}

/// The place of one strip.
#[derive(Debug)]
pub(crate) struct Panel {
    pub(crate) top: f64,
    pub(crate) bottom: f64,
    pub(crate) scale: ValueScale,
}

impl Panel {
    /// Height of a value.
    pub(crate) fn y(&self, value: f64) -> f64 {
        self.bottom - (value - self.scale.from) / (self.scale.to - self.scale.from) * (self.bottom - self.top)
    }
}

impl Frame {
    pub(crate) fn new(picture: &RunPicture, size: &Size) -> Self {
        let (from, to) = speeds(picture);
        let rpm0 = (from / 100.0).floor() * 100.0;
        let rpm1 = ((to + 0.045 * (to - rpm0)) / 100.0).ceil() * 100.0;
        let band = picture.band.as_ref().filter(|b| b.from_rpm < b.to_rpm);
        let head = if band.is_some() { BAND_BAR } else { 4.0 };
        let bar_y = band.map(|_| BAND_BAR - 12.0);
        Self { bar_y, ..Self::over(picture, size, (rpm0, rpm1), head) }
    }

    /// The strips over a scale whose ends are given, with `head` px free above them.
    pub(crate) fn over(picture: &RunPicture, size: &Size, (rpm0, rpm1): (f64, f64), head: f64) -> Self {
        let width = if size.width.is_finite() { size.width.max(LEAST_WIDTH) } else { LEAST_WIDTH };
        let count = picture.strips.len().max(1);
        let weights: Vec<f64> = picture.strips.iter().map(weight).collect();
        let fixed = head + GAP * count as f64 + SPEED_SCALE + 8.0;
        let asked = if size.height.is_finite() { size.height } else { 0.0 };
        let heights = share(&weights, asked - fixed);
        let mut y = head;
        let mut panels = Vec::new();
        for (strip, height) in picture.strips.iter().zip(&heights) {
            y += GAP;
            panels.push(Panel { top: y, bottom: y + height, scale: scale(strip, *height) });
            y += height;
        }
        if panels.is_empty() {
            y += GAP + LEAST;
        }
        let labels = panels
            .iter()
            .zip(&picture.strips)
            .flat_map(|(panel, strip)| panel.scale.marks.iter().map(|m| panel.scale.mark_text(*m, strip.difference)));
        let widest = labels.map(|text| text_width(&text, SCALE, false)).fold(28.0, f64::max);
        let x0 = (widest + 11.0).ceil();
        let x1 = width - 10.0;
        Self {
            width,
            height: y + 8.0 + SPEED_SCALE,
            x0,
            x1,
            rpm0,
            rpm1,
            bar_y: None,
            top: head,
            hatch_top: head + GAP - 5.0,
            speed_y: y + 8.0,
            panels,
        }
    }

    /// Place of a speed.
    pub(crate) fn x(&self, rpm: f64) -> f64 {
        self.x0 + (rpm - self.rpm0) / (self.rpm1 - self.rpm0) * (self.x1 - self.x0)
    }

    /// Place of a speed, kept on the scale.
    pub(crate) fn x_within(&self, rpm: f64) -> f64 {
        self.x(rpm.clamp(self.rpm0, self.rpm1))
    }
}

/// The span of the data; a picture without one gets 0 to 1,000 rpm.
fn speeds(picture: &RunPicture) -> (f64, f64) {
    let (from, to) = (picture.rpm_from, picture.rpm_to);
    if !(from.is_finite() && to.is_finite()) || from > to {
        return (0.0, 1000.0);
    }
    if to - from < 1.0 { (from - 50.0, to + 50.0) } else { (from, to) }
}

fn weight(strip: &Strip) -> f64 {
    if strip.weight.is_finite() && strip.weight > 0.0 { strip.weight } else { 1.0 }
}

/// Shares the room by weight; nobody gets less than the least height.
fn share(weights: &[f64], room: f64) -> Vec<f64> {
    let mut heights = vec![LEAST; weights.len()];
    let mut open: Vec<usize> = (0..weights.len()).collect();
    loop {
        let held = (weights.len() - open.len()) as f64 * LEAST;
        let sum: f64 = open.iter().map(|i| weights[*i]).sum();
        let unit = (room - held) / sum;
        let (wide, narrow): (Vec<usize>, Vec<usize>) = open.iter().partition(|i| weights[**i] * unit >= LEAST);
        if narrow.is_empty() {
            for i in wide {
                heights[i] = weights[i] * unit;
            }
            return heights;
        }
        if wide.is_empty() {
            return heights;
        }
        open = wide;
    }
}

fn scale(strip: &Strip, height: f64) -> ValueScale {
    let mut low = f64::INFINITY;
    let mut high = f64::NEG_INFINITY;
    let mut see = |v: f64| {
        if v.is_finite() {
            low = low.min(v);
            high = high.max(v);
        }
    };
    for line in &strip.lines {
        line.points.iter().for_each(|p| see(p.1));
        // A band counts only where the line has a value: elsewhere it is not drawn.
        for (point, band) in line.points.iter().zip(line.band.iter().flatten()) {
            if point.1.is_finite() {
                see(band.0);
                see(band.1);
            }
        }
    }
    if let Some(target) = &strip.target {
        target.points.iter().for_each(|p| {
            see(p.1);
            see(p.2);
        });
    }
    if let Some(mean) = &strip.mean {
        see(mean.value);
    }
    strip.limits.iter().for_each(|limit| see(limit.value));
    strip.picks.iter().for_each(|pick| see(pick.value));
    let labelled = strip.lines.iter().any(|line| !line.label.is_empty());
    ValueScale::new(Wish {
        low,
        high,
        zero: strip.from_zero || strip.difference,
        start_at_mark: strip.say_start || strip.from_zero,
        height,
        headroom: if labelled { if height > 110.0 { 22.0 } else { 13.0 } } else { 3.0 },
    })
}

/// Contiguous stretches of a line in picture coordinates: NaN parts them, and so does a step back in speed.
pub(crate) fn stretches(frame: &Frame, panel: &Panel, points: &[(f64, f64)]) -> Vec<Vec<(f64, f64)>> {
    let mut all = Vec::new();
    let mut open: Vec<(f64, f64)> = Vec::new();
    for (rpm, value) in points {
        let on_scale = *rpm >= frame.rpm0 && *rpm <= frame.rpm1;
        if on_scale && value.is_finite() {
            let x = frame.x(*rpm);
            if open.last().is_some_and(|last| last.0 > x) {
                all.push(std::mem::take(&mut open));
            }
            open.push((x, panel.y(*value)));
        } else if !open.is_empty() {
            all.push(std::mem::take(&mut open));
        }
    }
    if !open.is_empty() {
        all.push(open);
    }
    all
}
