//! Both valves over the piston: lift, and the gap along the stem with its limit.

use super::{About, Drawing, EnginePicture, beside, kind_of, measured};
use chart::{LimitLine, Line, Pick, Strip, XAxis, XMark, XScale, XyPicture};
use engine::build::Lack;
use engine::limits::{Query, judge};
use engine::sheet::pictures::{Curve, gap_curves, lift_curves};
use engine::sheet::use_of;
use quantity::{Dimension, Verdict};

const SIDES: [&str; 2] = ["intake", "exhaust"];
/// Half of the crank degrees about top dead centre in which valve and piston can meet.
const NEAR_DEG: f64 = 60.0;
/// Gaps above this are of no interest and would flatten the strip, mm.
const GAP_SHOWN_MM: f64 = 12.0;

/// The whole of both lifts.
pub(super) fn whole(about: &About<'_>) -> Result<EnginePicture, Lack> {
    let lifts = lift_curves(about.build)?;
    let open = lifts.iter().flat_map(|c| &c.points).filter(|p| p.1 > 0.0).map(|p| p.0);
    let (from, to) = open.fold((0.0_f64, 0.0_f64), |(low, high), deg| (low.min(deg), high.max(deg)));
    let range = (((from - 10.0) / 30.0).floor() * 30.0, ((to + 10.0) / 30.0).ceil() * 30.0);
    picture(about, "lift", "Valve lift over the crank", range, &lifts)
}

/// The same about the top dead centre of overlap.
///
/// # Errors
/// Also when the gap cannot be worked out: there is nothing else to see closely.
pub(super) fn overlap(about: &About<'_>) -> Result<EnginePicture, Lack> {
    gap_curves(about.build)?;
    let lifts = lift_curves(about.build)?;
    picture(about, "overlap", "Valves and piston at overlap", (-NEAR_DEG, NEAR_DEG), &lifts)
}

fn picture(
    about: &About<'_>,
    key: &'static str,
    title: &str,
    range: (f64, f64),
    lifts: &[Curve],
) -> Result<EnginePicture, Lack> {
    let gaps = gap_curves(about.build);
    let mut strips = vec![lift_strip(about, lifts, range, key == "lift")];
    let mut said = Vec::new();
    match &gaps {
        Ok(gaps) => {
            let (strip, words) = gap_strip(about, gaps, range);
            strips.push(strip);
            said = words;
        }
        Err(lack) => said.push(format!("the gap of the valves to the piston is not worked out: {lack}")),
    }
    let peaks: Vec<String> = SIDES
        .iter()
        .zip(lifts)
        .map(|(side, curve)| format!("the {side} valve lifts {}", about.length(1e-3 * peak(curve).1)))
        .collect();
    let lifted = peaks.join(", ");
    let finding = sentence(&if key == "lift" { [&[lifted], &said[..]].concat() } else { said });
    let axis = XAxis {
        name: "crank degrees after the top dead centre of overlap".to_owned(),
        scale: XScale::Degrees,
        from: range.0,
        to: range.1,
    };
    let marks = vec![XMark { at: 0.0, label: "top dead centre, overlap".to_owned() }];
    let drawing = XyPicture { title: title.to_owned(), summary: finding.clone(), axis, strips, marks };
    Ok(EnginePicture { key, title: title.to_owned(), finding, drawing: Drawing::Strips(drawing) })
}

/// Parts to one sentence: capital first, full stop last.
fn sentence(parts: &[String]) -> String {
    let text = parts.join("; ");
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}.", letters.as_str())
}

fn peak(curve: &Curve) -> (f64, f64) {
    curve.points.iter().fold((0.0, 0.0), |top: (f64, f64), p| if p.1 > top.1 { *p } else { top })
}

fn lift_strip(about: &About<'_>, lifts: &[Curve], (from, to): (f64, f64), with_peaks: bool) -> Strip {
    let unit = about.symbol(Dimension::Length);
    let mut strip = Strip {
        key: "lift".to_owned(),
        name: "Valve lift".to_owned(),
        unit_and_basis: format!("{unit}, cold and without deflection"),
        unit: unit.to_owned(),
        weight: 1.4,
        from_zero: true,
        decimals: about.length_decimals(),
        ..Strip::default()
    };
    for (side, curve) in SIDES.iter().zip(lifts) {
        let lobe = if *side == "intake" { &about.build.lobe.intake } else { &about.build.lobe.exhaust };
        let by_table = !lobe.table_lift.is_empty();
        let kind = kind_of(by_table && measured(lobe.table_lift.first()));
        let source = if by_table { "from the lobe table" } else { "from the card" };
        // A closed valve is drawn only next to its flanks: the two base lines would lie upon each other.
        let open = |k: usize| curve.points.get(k).is_some_and(|p| p.1 > 0.0);
        let drawn: Vec<(f64, f64)> = curve
            .points
            .iter()
            .enumerate()
            .filter(|(k, p)| p.0 >= from && p.0 <= to && (open(*k) || open(k + 1) || *k > 0 && open(k - 1)))
            .map(|(_, p)| *p)
            .collect();
        let points = about.points(Dimension::Length, &drawn, 1e-3);
        let (at, lift_mm) = peak(curve);
        if with_peaks {
            strip.picks.push(Pick {
                at,
                value: about.number(Dimension::Length, 1e-3 * lift_mm),
                kind,
                label: format!("{side} {}, {source}", about.length(1e-3 * lift_mm)),
            });
        }
        // The named peak names the curve too.
        let label = if with_peaks { String::new() } else { format!("{side}, {source}") };
        strip.lines.push(Line { kind, label, name: (*side).to_owned(), points, ..Line::default() });
    }
    strip
}

/// The strip of gaps, and what is to be said about each.
fn gap_strip(about: &About<'_>, gaps: &[Curve], range: (f64, f64)) -> (Strip, Vec<String>) {
    let unit = about.symbol(Dimension::Length);
    let shown = about.say(Dimension::Length, 1e-3 * GAP_SHOWN_MM, if unit == "mm" { 0 } else { 2 });
    let mut strip = Strip {
        key: "gap".to_owned(),
        name: "Valve to piston".to_owned(),
        unit_and_basis: format!("{unit}, along the stem, up to {shown}"),
        unit: unit.to_owned(),
        weight: 1.0,
        from_zero: true,
        decimals: about.length_decimals(),
        ..Strip::default()
    };
    let mut said = Vec::new();
    for ((side, curve), span) in SIDES.iter().zip(gaps).zip([(0.0, range.1), (range.0, 0.0)]) {
        let cut = |p: &(f64, f64)| (p.0, if p.1 <= GAP_SHOWN_MM { p.1 } else { f64::NAN });
        let near: Vec<(f64, f64)> = curve.points.iter().map(cut).collect();
        let points = about.points(Dimension::Length, &near, 1e-3);
        // Always calculated: no clay and no dial gave this gap.
        let kind = chart::LineKind::Predicted;
        strip.lines.push(Line { kind, name: (*side).to_owned(), points, ..Line::default() });
        let Some(least) = curve.points.iter().min_by(|a, b| a.1.total_cmp(&b.1)) else { continue };
        // The curve's own lowest point carries the ring; the sheet's figure, found between the steps, the words.
        let figure = about.sheet.figure(&format!("{side}_piston_gap_m"));
        let least_m = figure.map_or(1e-3 * least.1, |f| f.value);
        if least.1 <= GAP_SHOWN_MM {
            strip.picks.push(Pick {
                at: least.0,
                value: about.number(Dimension::Length, 1e-3 * least.1),
                kind,
                label: format!("{side} {}, {}", about.length(least_m), beside(least.0, "top")),
            });
        }
        let verdict = limit(about, side, &mut strip, span, least_m, figure.and_then(|f| f.u));
        let verdict = verdict.map_or_else(String::new, |words| format!(", {words}"));
        let place = beside(least.0, "top dead centre");
        said.push(match said.is_empty() {
            true => format!(
                "the least gap of the {side} valve to the piston is {}, {place}{verdict}",
                about.length(least_m)
            ),
            false => format!("that of the {side} valve is {}, {place}{verdict}", about.length(least_m)),
        });
    }
    if use_of(about.build).is_err() {
        said.push("no limit lies over it, because neither engine.limits_for nor engine.built_for names a use that the limit tables know".to_owned());
    }
    (strip, said)
}

/// Draws the limit of one side and says how the least gap lies to it.
fn limit(
    about: &About<'_>,
    side: &str,
    strip: &mut Strip,
    (from, to): (f64, f64),
    least_m: f64,
    u_m: Option<f64>,
) -> Option<String> {
    let feature = format!("piston_to_valve_{side}");
    let built_for = use_of(about.build).ok()?;
    let query = Query { feature: &feature, built_for, material: None, conditions: &[] };
    let found = match about.limits.find(&query) {
        Ok(found) => found,
        Err(error) => return Some(error.to_string()),
    };
    let Some(min) = &found.limit.min else { return Some("the limit that counts has no least value".to_owned()) };
    strip.limits.push(LimitLine {
        value: about.number(Dimension::Length, min.si),
        from,
        to,
        greatest: false,
        label: format!("least, {side}: {}", about.length(min.si)),
    });
    let Some(u_m) = u_m else { return Some("which cannot be judged without its uncertainty".to_owned()) };
    Some(match judge(least_m, u_m, found.limit, None) {
        Ok(judged) => match judged.verdict {
            Verdict::Inside => format!("inside the limit of {}", about.length(min.si)),
            Verdict::Outside => format!("outside the limit of {}", about.length(min.si)),
            _ => format!("too close to the limit of {} to tell", about.length(min.si)),
        },
        Err(error) => error.to_string(),
    })
}
