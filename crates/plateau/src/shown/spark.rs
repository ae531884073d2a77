//! A small curve in braille dots, with the speed below it.
//!
//! Each cell holds two by four dots. Where the curve was not tested there are no dots, and none
//! are joined across.

/// Width of the curve, cells.
const WIDTH: usize = 60;
/// Height of the curve, cells.
const HEIGHT: usize = 6;

/// Lines of text: the curve with its scale on the left, and the speeds below.
///
/// `points` are speed in rpm (rising) and the value to draw in the unit shown; values that are
/// not finite are gaps. `band` is marked under the curve.
pub(crate) fn curve(points: &[(f64, f64)], band: (f64, f64), unit: &str) -> Vec<String> {
    let tested: Vec<(f64, f64)> = points.iter().copied().filter(|p| p.1.is_finite()).collect();
    let (Some(first), Some(last)) = (tested.first(), tested.last()) else { return Vec::new() };
    let (from, to) = (first.0, last.0);
    let (low, high) = tested.iter().fold((f64::MAX, f64::MIN), |(l, h), p| (l.min(p.1), h.max(p.1)));
    if to <= from {
        return Vec::new();
    }
    // A flat curve gets a scale of its own, so that noise does not fill the picture.
    let room = (high - low).max(0.05 * high.abs()).max(f64::MIN_POSITIVE);
    let (bottom, top) = ((high + low - room) / 2.0, (high + low + room) / 2.0);

    let (columns, rows) = (2 * WIDTH, 4 * HEIGHT);
    let mut dots = vec![false; columns * rows];
    let mut before: Option<usize> = None;
    for column in 0..columns {
        let rpm = from + (to - from) * column as f64 / (columns - 1) as f64;
        let Some(value) = at(points, rpm) else {
            before = None;
            continue;
        };
        let share = ((value - bottom) / (top - bottom)).clamp(0.0, 1.0);
        let row = rows - 1 - (share * (rows - 1) as f64).round() as usize;
        // Joined upright, so that a steep part is a line and not loose dots.
        let joined = before.map_or(row, |b| if b < row { b + 1 } else { b.saturating_sub(1).max(row) });
        for r in row.min(joined)..=row.max(joined) {
            dots[r * columns + column] = true;
        }
        before = Some(row);
    }

    let label = |value: f64| format!("{value:.0}");
    let (top_label, bottom_label) = (label(top), label(bottom));
    let pad = top_label.chars().count().max(bottom_label.chars().count());
    let mut lines = Vec::with_capacity(HEIGHT + 3);
    lines.push(format!("{:>pad$}  {unit}", ""));
    for cell_row in 0..HEIGHT {
        let left = match cell_row {
            0 => &top_label,
            r if r == HEIGHT - 1 => &bottom_label,
            _ => "",
        };
        let cells: String = (0..WIDTH).map(|cell| braille(&dots, columns, cell_row, cell)).collect();
        lines.push(format!("{left:>pad$}  {}", cells.trim_end_matches('\u{2800}')));
    }
    lines.push(format!("{:>pad$}  {}", "", rule(from, to, band)));
    lines.push(format!("{} rpm", speeds(from, to, pad + 2)));
    lines
}

/// The value at a speed: straight between neighbours, none beside a gap.
fn at(points: &[(f64, f64)], rpm: f64) -> Option<f64> {
    let i = points.partition_point(|p| p.0 < rpm);
    let right = points.get(i)?;
    if (right.0 - rpm).abs() < 1e-9 || i == 0 {
        return Some(right.1).filter(|v| v.is_finite());
    }
    let left = points[i - 1];
    let value = left.1 + (right.1 - left.1) * (rpm - left.0) / (right.0 - left.0);
    value.is_finite().then_some(value)
}

/// The braille sign of one cell. Dot order: Unicode standard, block "Braille Patterns".
fn braille(dots: &[bool], columns: usize, cell_row: usize, cell: usize) -> char {
    const BITS: [[u32; 2]; 4] = [[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]];
    let mut code = 0x2800;
    for (r, bits) in BITS.iter().enumerate() {
        for (c, bit) in bits.iter().enumerate() {
            if dots[(4 * cell_row + r) * columns + 2 * cell + c] {
                code += bit;
            }
        }
    }
    char::from_u32(code).unwrap_or(' ')
}

/// A line with ticks at whole thousands; the band of use is the thick part.
fn rule(from: f64, to: f64, band: (f64, f64)) -> String {
    let step = (to - from) / (WIDTH - 1) as f64;
    let ticks = thousands(from, to);
    (0..WIDTH)
        .map(|i| {
            let rpm = from + step * i as f64;
            let tick = ticks.iter().any(|(cell, _)| *cell == i);
            match (tick, rpm >= band.0 - step / 2.0 && rpm <= band.1 + step / 2.0) {
                (true, true) => '┿',
                (true, false) => '┼',
                (false, true) => '━',
                (false, false) => '─',
            }
        })
        .collect()
}

/// Whole thousands under their ticks; the first cell stands at column `left`.
fn speeds(from: f64, to: f64, left: usize) -> String {
    let mut line = vec![' '; left + WIDTH + 4];
    for (cell, rpm) in thousands(from, to) {
        let text = format!("{rpm:.0}");
        let start = (left + cell).saturating_sub(text.len() / 2);
        let free = line[start.saturating_sub(1)..(start + text.len()).min(line.len())].iter().all(|c| *c == ' ');
        if free {
            for (slot, c) in line[start..].iter_mut().zip(text.chars()) {
                *slot = c;
            }
        }
    }
    line.into_iter().collect::<String>().trim_end().to_owned()
}

/// Whole thousands within the speeds, each with the cell nearest to it.
fn thousands(from: f64, to: f64) -> Vec<(usize, f64)> {
    let step = (to - from) / (WIDTH - 1) as f64;
    let first = (from / 1000.0).ceil().max(1.0) as u32;
    (first..)
        .map(|n| f64::from(n) * 1000.0)
        .take_while(|rpm| *rpm <= to)
        .map(|rpm| (((rpm - from) / step).round() as usize, rpm))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(f: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
        (0..=100).map(|i| 2000.0 + 40.0 * f64::from(i)).map(|rpm| (rpm, f(rpm))).collect()
    }

    #[test]
    fn a_rising_line_goes_from_the_lowest_left_to_the_highest_right() {
        let drawn = curve(&line(|rpm| rpm / 20.0), (3000.0, 5000.0), "N·m");
        assert_eq!(drawn.len(), HEIGHT + 3);
        assert!(drawn[1].starts_with("300") && drawn[HEIGHT].starts_with("100"));
        // Scale (three digits and two blanks) before the cells.
        assert!(drawn[HEIGHT].chars().nth(5).is_some_and(|c| c != '\u{2800}'));
        assert_eq!(drawn[1].chars().count(), 5 + WIDTH);
    }

    #[test]
    fn a_gap_stays_a_gap() {
        let drawn =
            curve(&line(|rpm| if (3000.0..5000.0).contains(&rpm) { f64::NAN } else { 100.0 }), (2000.0, 6000.0), "N·m");
        let middle = 5 + WIDTH / 2;
        assert!(drawn[1..=HEIGHT].iter().all(|l| l.chars().nth(middle).is_none_or(|c| c == '\u{2800}')));
    }

    #[test]
    fn thousands_stand_under_their_ticks() {
        let drawn = curve(&line(|_| 100.0), (3000.0, 5000.0), "N·m");
        let rule: Vec<char> = drawn[HEIGHT + 1].chars().collect();
        let below: Vec<char> = drawn[HEIGHT + 2].chars().collect();
        for (i, c) in rule.iter().enumerate().filter(|(_, c)| matches!(c, '┿' | '┼')) {
            let around: String = below[i.saturating_sub(2)..(i + 2).min(below.len())].iter().collect();
            assert!(around.contains("000"), "no thousand under {c} at {i}: {}", drawn[HEIGHT + 2]);
        }
        assert_eq!(rule.iter().filter(|c| matches!(c, '┿' | '┼')).count(), 5);
    }

    #[test]
    fn nothing_tested_draws_nothing() {
        assert!(curve(&[], (0.0, 1.0), "N·m").is_empty());
        assert!(curve(&[(2000.0, f64::NAN)], (0.0, 1.0), "N·m").is_empty());
        assert!(curve(&[(2000.0, 1.0)], (0.0, 1.0), "N·m").is_empty());
    }
}
