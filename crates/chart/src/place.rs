//! A small search for places of labels: no label meets another label, a handle or the end of a line,
//! and few cross ink.

/// A rectangle, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rect {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) w: f64,
    pub(crate) h: f64,
}

impl Rect {
    pub(crate) fn right(&self) -> f64 {
        self.x + self.w
    }

    pub(crate) fn bottom(&self) -> f64 {
        self.y + self.h
    }

    pub(crate) fn grown(&self, by: f64) -> Rect {
        Rect { x: self.x - by, y: self.y - by, w: self.w + 2.0 * by, h: self.h + 2.0 * by }
    }

    pub(crate) fn meets(&self, other: &Rect) -> bool {
        self.x < other.right() && other.x < self.right() && self.y < other.bottom() && other.y < self.bottom()
    }

    fn holds(&self, other: &Rect) -> bool {
        other.x >= self.x && other.right() <= self.right() && other.y >= self.y && other.bottom() <= self.bottom()
    }
}

/// A candidate place with what it costs before looking at the surroundings.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Candidate {
    pub(crate) rect: Rect,
    pub(crate) cost: f64,
}

/// A curve that labels should keep off, in picture coordinates, with its owner's number.
#[derive(Debug, Clone)]
pub(crate) struct Ink {
    pub(crate) owner: usize,
    pub(crate) points: Vec<(f64, f64)>,
}

/// What is already on the sheet.
#[derive(Debug)]
pub(crate) struct Sheet {
    canvas: Rect,
    taken: Vec<Rect>,
    ends: Vec<(f64, f64)>,
    ink: Vec<Ink>,
    soft: Vec<(Rect, f64)>,
}

/// Clear room between two labels side by side, px.
const BESIDE: f64 = 8.0;
/// Clear room between two labels one above the other, px.
const ABOVE: f64 = 2.0;
/// Half the side of the square kept free around the end of a line, px.
const END: f64 = 3.0;

impl Sheet {
    pub(crate) fn new(width: f64, height: f64) -> Self {
        Self {
            canvas: Rect { x: 0.0, y: 0.0, w: width, h: height },
            taken: Vec::new(),
            ends: Vec::new(),
            ink: Vec::new(),
            soft: Vec::new(),
        }
    }

    /// Nothing may be placed here any more.
    pub(crate) fn take(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// A curve: crossing it costs, its ends are kept free.
    pub(crate) fn curve(&mut self, owner: usize, points: &[(f64, f64)]) {
        self.ends.extend(points.first());
        self.ends.extend(points.last());
        self.ink.push(Ink { owner, points: points.to_vec() });
    }

    /// A span that is better left free.
    pub(crate) fn avoid(&mut self, rect: Rect, cost: f64) {
        self.soft.push((rect, cost));
    }

    /// Whether a label may stand here at all.
    pub(crate) fn is_free(&self, rect: &Rect) -> bool {
        let clear = Rect { x: rect.x - BESIDE, y: rect.y - ABOVE, w: rect.w + 2.0 * BESIDE, h: rect.h + 2.0 * ABOVE };
        self.canvas.holds(rect)
            && !self.taken.iter().any(|t| t.meets(&clear))
            && !self.ends.iter().any(|(x, y)| rect.meets(&Rect { x: x - END, y: y - END, w: 2.0 * END, h: 2.0 * END }))
    }

    /// Takes the cheapest free candidate, or none if none is free.
    ///
    /// `owner` is the curve that the label names: another curve nearer than that one costs.
    pub(crate) fn place(&mut self, owner: Option<usize>, candidates: &[Candidate]) -> Option<Rect> {
        let mut best: Option<(f64, Rect)> = None;
        for candidate in candidates {
            if best.is_some_and(|(cost, _)| candidate.cost >= cost) || !self.is_free(&candidate.rect) {
                continue;
            }
            let cost = candidate.cost + self.cost(owner, &candidate.rect);
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, candidate.rect));
            }
        }
        let rect = best?.1;
        self.taken.push(rect);
        Some(rect)
    }

    fn cost(&self, owner: Option<usize>, rect: &Rect) -> f64 {
        let mut cost: f64 = self.soft.iter().filter(|(soft, _)| soft.meets(rect)).map(|(_, cost)| cost).sum();
        let near = rect.grown(1.0);
        let mut own = f64::INFINITY;
        let mut other = f64::INFINITY;
        for ink in &self.ink {
            let distance = distance(&near, &ink.points);
            if distance == 0.0 {
                cost += 60.0;
            }
            if Some(ink.owner) == owner {
                own = own.min(distance);
            } else {
                other = other.min(distance);
            }
        }
        if owner.is_some() && other < own {
            cost += 25.0;
        }
        cost
    }
}

/// Distance of a curve from a rectangle, counted along y over the rectangle's width; zero when the
/// curve runs through it, infinite when it does not pass over it.
fn distance(rect: &Rect, points: &[(f64, f64)]) -> f64 {
    let mut least = f64::INFINITY;
    let start = points.partition_point(|p| p.0 < rect.x).saturating_sub(1);
    for pair in points[start..].windows(2) {
        let ((ax, ay), (bx, by)) = (pair[0], pair[1]);
        if ax > rect.right() {
            break;
        }
        if bx < rect.x {
            continue;
        }
        let y_at = |x: f64| if bx > ax { ay + (by - ay) * (x - ax) / (bx - ax) } else { ay };
        let (p, q) = (y_at(ax.max(rect.x)), y_at(bx.min(rect.right())));
        let (low, high) = (p.min(q), p.max(q));
        let d = if low > rect.bottom() {
            low - rect.bottom()
        } else if high < rect.y {
            rect.y - high
        } else {
            return 0.0;
        };
        least = least.min(d);
    }
    least
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_goes_where_neither_label_nor_line_is() {
        let mut sheet = Sheet::new(200.0, 100.0);
        sheet.curve(0, &[(0.0, 50.0), (200.0, 50.0)]);
        sheet.take(Rect { x: 0.0, y: 20.0, w: 200.0, h: 20.0 });
        let at = |y: f64, cost: f64| Candidate { rect: Rect { x: 10.0, y, w: 50.0, h: 16.0 }, cost };
        let got = sheet.place(Some(0), &[at(30.0, 0.0), at(45.0, 1.0), at(60.0, 5.0), at(95.0, 0.0)]);
        assert_eq!(got.map(|r| r.y), Some(60.0), "the first meets a label, the second the line, the last the edge");
    }
}
