//! Everything that is drawn without words: hairlines, target areas, bands, curves, flags, gaps.

use crate::layout::{Frame, Panel, stretches};
use crate::picture::{FlagMark, LimitLine, Line, LineKind, Pick, RunPicture, Strip};
use crate::svg::{Out, num, path};
use crate::theme::Palette;

/// Patterns: hatching of flags, cross-hatching where there is no data.
pub(crate) fn patterns(out: &mut Out, palette: &Palette, prefix: &str) {
    out.open("defs", &[]);
    let id = format!("{prefix}-flag");
    let turned = |angle: &str| format!("rotate({angle})");
    let common = |size: &'static str| [("width", size), ("height", size), ("patternUnits", "userSpaceOnUse")];
    let mut attributes = vec![("id", id.as_str())];
    attributes.extend(common("6"));
    let angle = turned("45");
    attributes.push(("patternTransform", &angle));
    out.open("pattern", &attributes);
    out.leaf("rect", &[("width", "6"), ("height", "6"), ("fill", palette.flag), ("fill-opacity", "0.06")]);
    out.leaf("path", &[("d", "M3 0V6"), ("stroke", palette.flag), ("stroke-opacity", "0.4")]);
    out.close("pattern");
    let id = format!("{prefix}-none");
    let mut attributes = vec![("id", id.as_str())];
    attributes.extend(common("7"));
    let angle = turned("30");
    attributes.push(("patternTransform", &angle));
    out.open("pattern", &attributes);
    out.leaf("path", &[("d", "M0 3.5H7M3.5 0V7"), ("fill", "none"), ("stroke", palette.rule)]);
    out.close("pattern");
    out.close("defs");
}

/// Hairlines of all strips; zero of a difference is drawn later, in ink.
pub(crate) fn hairlines(out: &mut Out, frame: &Frame, palette: &Palette) {
    out.open("g", &[("class", "hairlines"), ("stroke", palette.hair)]);
    let (x0, x1) = (num(frame.x0), num(frame.x1));
    for panel in &frame.panels {
        for mark in &panel.scale.marks {
            let y = num(panel.y(*mark));
            out.leaf("line", &[("x1", &x0), ("y1", &y), ("x2", &x1), ("y2", &y)]);
        }
    }
    out.close("g");
}

/// The hatched spans, through all strips. Where spans overlap the hatch is drawn once: it says that a limit
/// was passed, not how many.
pub(crate) fn flag_spans(out: &mut Out, frame: &Frame, flags: &[FlagMark], prefix: &str) {
    if flags.is_empty() {
        return;
    }
    let mut spans: Vec<(f64, f64, String)> = Vec::new();
    let mut ends: Vec<_> = flags.iter().map(|flag| (flag_x(frame, flag), flag.number)).collect();
    ends.sort_by(|a, b| a.0.0.total_cmp(&b.0.0).then(a.1.cmp(&b.1)));
    for ((from, to), number) in ends {
        match spans.last_mut() {
            Some(last) if from <= last.1 => {
                last.1 = last.1.max(to);
                last.2.push_str(&format!(" {number}"));
            }
            _ => spans.push((from, to, number.to_string())),
        }
    }
    let fill = format!("url(#{prefix}-flag)");
    out.open("g", &[("class", "flag-spans"), ("fill", &fill)]);
    for (from, to, numbers) in spans {
        out.leaf(
            "rect",
            &[
                ("data-flag", &numbers),
                ("x", &num(from)),
                ("y", &num(frame.hatch_top)),
                ("width", &num(to - from)),
                ("height", &num(frame.speed_y - frame.hatch_top)),
            ],
        );
    }
    out.close("g");
}

/// Ends of a flag's span; at least 3 px wide so that a point can be seen.
pub(crate) fn flag_x(frame: &Frame, flag: &FlagMark) -> (f64, f64) {
    let (a, b) = (frame.x_within(flag.from_rpm), frame.x_within(flag.to_rpm));
    let (a, b) = if a.is_finite() && b.is_finite() { (a.min(b), a.max(b)) } else { (frame.x0, frame.x0) };
    if b - a >= 3.0 {
        return (a, b);
    }
    let middle = ((a + b) / 2.0).clamp(frame.x0 + 1.5, frame.x1 - 1.5);
    (middle - 1.5, middle + 1.5)
}

/// One strip without its words.
pub(crate) fn strip(out: &mut Out, frame: &Frame, picture: &RunPicture, index: usize, palette: &Palette, prefix: &str) {
    let (strip, panel) = (&picture.strips[index], &frame.panels[index]);
    let (y0, y1) = (num(panel.bottom), num(panel.top));
    out.open(
        "g",
        &[
            ("class", "strip"),
            ("data-key", &strip.key),
            ("data-y0", &y0),
            ("data-y1", &y1),
            ("data-v0", &format!("{}", panel.scale.from)),
            ("data-v1", &format!("{}", panel.scale.to)),
            ("data-decimals", &strip.decimals.to_string()),
            ("data-unit", &strip.unit),
        ],
    );
    no_data(out, frame, strip, panel, prefix);
    limits(out, frame, strip, panel, palette, prefix);
    if let Some(target) = &strip.target {
        let points: Vec<(f64, f64)> = target.points.iter().map(|p| (p.0, p.1)).collect();
        let band: Vec<(f64, f64)> = target.points.iter().map(|p| (p.1, p.2)).collect();
        let style = [("class", "target"), ("fill", palette.ink), ("fill-opacity", palette.target)];
        area(out, frame, panel, &points, &band, &style);
    }
    let order = [LineKind::Predicted, LineKind::Before, LineKind::SinglePull, LineKind::Gain, LineKind::Measured];
    for kind in order {
        for (number, line) in strip.lines.iter().enumerate().filter(|(_, line)| line.kind == kind) {
            curve(out, frame, panel, line, number, palette);
        }
    }
    if let Some(mean) = &strip.mean {
        let y = num(panel.y(mean.value));
        out.leaf(
            "line",
            &[
                ("class", "mean"),
                ("x1", &num(frame.x_within(mean.from_rpm))),
                ("y1", &y),
                ("x2", &num(frame.x_within(mean.to_rpm))),
                ("y2", &y),
                ("stroke", palette.blue),
                ("stroke-width", "1.3"),
                ("stroke-dasharray", "1.5 3"),
            ],
        );
    }
    if strip.difference {
        let y = num(panel.y(0.0));
        let (x0, x1) = (num(frame.x0), num(frame.x1));
        let place = [("x1", x0.as_str()), ("y1", &y), ("x2", &x1), ("y2", &y)];
        let mut attributes = vec![("class", "zero")];
        attributes.extend(place);
        attributes.push(("stroke", palette.ink));
        out.leaf("line", &attributes);
    }
    for pick in strip.picks.iter().filter(|pick| on_scale(frame, panel, pick)) {
        let (x, y) = (num(frame.x(pick.at)), num(panel.y(pick.value)));
        let place = [("class", "pick"), ("cx", x.as_str()), ("cy", &y), ("r", "3.6"), ("fill", palette.sheet)];
        let mut attributes = place.to_vec();
        attributes.extend([("stroke", pick.kind.colour(palette)), ("stroke-width", "1.6")]);
        out.leaf("circle", &attributes);
    }
    for flag in flags_of(picture, index) {
        for stretch in stretches(frame, panel, &within(panel, &flag.stretch)) {
            out.leaf(
                "path",
                &[
                    ("class", "flagged"),
                    ("d", &path(&stretch)),
                    ("fill", "none"),
                    ("stroke", palette.flag),
                    ("stroke-width", "2"),
                    ("stroke-linejoin", "round"),
                ],
            );
        }
    }
    out.close("g");
}

/// Flags whose words stand in a strip; those that name no strip stand in the first one.
pub(crate) fn flags_of(picture: &RunPicture, index: usize) -> impl Iterator<Item = &FlagMark> {
    picture.flags.iter().filter(move |flag| {
        let at = picture.strips.iter().position(|strip| strip.key == flag.strip_key);
        at.unwrap_or(0) == index
    })
}

/// A stretch of one pull may leave the scale, which is made for the curves; there it is interrupted.
fn within(panel: &Panel, points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let inside = |v: f64| v >= panel.scale.from && v <= panel.scale.to;
    points.iter().map(|p| (p.0, if inside(p.1) { p.1 } else { f64::NAN })).collect()
}

/// Whether a named point can be drawn.
pub(crate) fn on_scale(frame: &Frame, panel: &Panel, pick: &Pick) -> bool {
    let across = pick.at >= frame.rpm0 && pick.at <= frame.rpm1;
    across && pick.value >= panel.scale.from && pick.value <= panel.scale.to
}

/// Ends of a limit on the scale; nothing where it does not reach it.
pub(crate) fn limit_x(frame: &Frame, limit: &LimitLine) -> Option<(f64, f64)> {
    let whole = limit.value.is_finite() && limit.from.is_finite() && limit.to.is_finite();
    let (from, to) = whole.then(|| (frame.x_within(limit.from), frame.x_within(limit.to)))?;
    (from < to).then_some((from, to))
}

fn limits(out: &mut Out, frame: &Frame, strip: &Strip, panel: &Panel, palette: &Palette, prefix: &str) {
    for limit in &strip.limits {
        let Some((from, to)) = limit_x(frame, limit) else { continue };
        let y = panel.y(limit.value);
        let (top, bottom) = if limit.greatest { (panel.top, y) } else { (y, panel.bottom) };
        out.leaf(
            "rect",
            &[
                ("class", "not-allowed"),
                ("x", &num(from)),
                ("y", &num(top)),
                ("width", &num(to - from)),
                ("height", &num(bottom - top)),
                ("fill", &format!("url(#{prefix}-flag)")),
            ],
        );
        let y = num(y);
        let (x1, x2) = (num(from), num(to));
        let mut attributes = vec![("class", "limit"), ("x1", x1.as_str()), ("y1", &y), ("x2", &x2), ("y2", &y)];
        attributes.extend([("stroke", palette.flag), ("stroke-width", "1.3")]);
        out.leaf("line", &attributes);
    }
}

fn no_data(out: &mut Out, frame: &Frame, strip: &Strip, panel: &Panel, prefix: &str) {
    for gap in &strip.no_data {
        let (from, to) = (frame.x_within(gap.from_rpm), frame.x_within(gap.to_rpm));
        if from < to {
            out.leaf(
                "rect",
                &[
                    ("class", "no-data"),
                    ("x", &num(from)),
                    ("y", &num(panel.top)),
                    ("width", &num(to - from)),
                    ("height", &num(panel.bottom - panel.top)),
                    ("fill", &format!("url(#{prefix}-none)")),
                ],
            );
        }
    }
}

fn curve(out: &mut Out, frame: &Frame, panel: &Panel, line: &Line, number: usize, palette: &Palette) {
    let colour = line.kind.colour(palette);
    let parts = stretches(frame, panel, &line.points);
    if line.kind == LineKind::Gain {
        let zero = panel.y(0.0);
        for part in parts.iter().filter(|part| part.len() > 1) {
            let (first, last) = (part[0].0, part[part.len() - 1].0);
            let d = format!("{}L{} {}L{} {}Z", path(part), num(last), num(zero), num(first), num(zero));
            out.leaf("path", &[("class", "gain-wash"), ("d", &d), ("fill", palette.bluewash)]);
        }
    }
    if let Some(band) = &line.band {
        let opacity = if line.kind == LineKind::Predicted { "0.2" } else { palette.measured_band };
        area(
            out,
            frame,
            panel,
            &line.points,
            band,
            &[("class", "spread"), ("fill", colour), ("fill-opacity", opacity)],
        );
    }
    let (width, dash) = match line.kind {
        LineKind::Measured | LineKind::Gain => ("1.7", ""),
        LineKind::Predicted => ("1.8", "7 3.5"),
        LineKind::Before => ("1.8", ""),
        LineKind::SinglePull => ("1", ""),
    };
    let class = format!("line {}", line.kind.class());
    let index = number.to_string();
    for part in &parts {
        if let [(x, y)] = part.as_slice() {
            let place = [("class", class.as_str()), ("cx", &num(*x)), ("cy", &num(*y)), ("r", "1.7"), ("fill", colour)];
            out.leaf("circle", &place);
            continue;
        }
        let d = path(part);
        let mut attributes = vec![
            ("class", class.as_str()),
            ("data-line", &index),
            ("d", &d),
            ("fill", "none"),
            ("stroke", colour),
            ("stroke-width", width),
            ("stroke-linejoin", "round"),
        ];
        if !dash.is_empty() {
            attributes.push(("stroke-dasharray", dash));
        }
        if line.kind == LineKind::SinglePull {
            attributes.push(("stroke-opacity", "0.6"));
        }
        out.leaf("path", &attributes);
    }
}

/// A filled area between two values along a line; parted where either is missing.
fn area(
    out: &mut Out,
    frame: &Frame,
    panel: &Panel,
    points: &[(f64, f64)],
    band: &[(f64, f64)],
    style: &[(&str, &str)],
) {
    let whole = |(point, edges): (&(f64, f64), &(f64, f64))| {
        let there = point.1.is_finite() && edges.0.is_finite() && edges.1.is_finite();
        (point.0, if there { edges.0 } else { f64::NAN }, if there { edges.1 } else { f64::NAN })
    };
    let edges: Vec<(f64, f64, f64)> = points.iter().zip(band).map(whole).collect();
    let lower = stretches(frame, panel, &edges.iter().map(|e| (e.0, e.1)).collect::<Vec<_>>());
    let upper = stretches(frame, panel, &edges.iter().map(|e| (e.0, e.2)).collect::<Vec<_>>());
    for (mut low, mut high) in lower.into_iter().zip(upper) {
        if low.len() < 2 {
            continue;
        }
        low.reverse();
        high.append(&mut low);
        let d = format!("{}Z", path(&high));
        let mut attributes = style.to_vec();
        attributes.insert(1, ("d", &d));
        out.leaf("path", &attributes);
    }
}
