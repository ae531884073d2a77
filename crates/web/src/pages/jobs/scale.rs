//! Told and found on one scale: an open triangle above for what was said, a filled one below for what was found.

use super::value::{number_text, text_of, u_of, unit_text, words};
use chart::text_width;
use maud::{Markup, html};
use record::{Finding, Stated, Value};

/// Widths and heights of the drawing, px.
const WIDE: f64 = 222.0;
const HIGH: f64 = 58.0;
const LEFT: f64 = 14.0;
const RIGHT: f64 = 208.0;
const AXIS: f64 = 29.0;
/// Parts of the scale between ticks.
const PARTS: f64 = 6.0;

/// What was said against what was found: a scale for quantities of one kind, words for the rest.
/// `told` is the word for the first: "told", "promised".
pub(crate) fn told_found(told: &str, said: Option<&Value>, allowance_si: Option<f64>, findings: &[&Finding]) -> Markup {
    let found: Vec<&Finding> = findings.iter().copied().filter(|f| f.found.is_some()).collect();
    if let Some(Value::Quantity(said)) = said {
        let read: Vec<(&Stated, f64)> = found
            .iter()
            .filter_map(|f| match &f.found {
                Some(value @ Value::Quantity(stated)) if stated.dimension == said.dimension => {
                    Some((stated, u_of(value, f.instrument.as_ref())))
                }
                _ => None,
            })
            .collect();
        if !read.is_empty() && read.len() == found.len() {
            return scale(told, said, allowance_si, &read);
        }
    }
    let found_words: Vec<String> = found.iter().filter_map(|f| f.found.as_ref()).map(words).collect();
    html! {
        p.told-words {
            @match said { Some(said) => span.said { (told) " " (words(said)) }, None => span.faint { "no value " (told) } }
            br;
            @if !found_words.is_empty() { b.measured { "found " (found_words.join(", ")) } }
            @else if findings.is_empty() { @if told == "told" { span.faint { "nothing found yet" } } }
            @else { b.measured { "nothing to measure" } }
        }
    }
}

/// What was found, in a few words: "9.77 : 1", "92.51 to 92.56 mm", "cast".
pub(crate) fn found_words(findings: &[&Finding]) -> Option<String> {
    let values: Vec<&Value> = findings.iter().filter_map(|f| f.found.as_ref()).collect();
    let stated: Vec<&Stated> =
        values.iter().filter_map(|v| if let Value::Quantity(s) = v { Some(s) } else { None }).collect();
    let one_kind = stated.windows(2).all(|two| two[0].dimension == two[1].dimension);
    if stated.len() > 1 && stated.len() == values.len() && one_kind {
        let least = stated.iter().copied().min_by(|a, b| a.si.total_cmp(&b.si))?;
        let most = stated.iter().copied().max_by(|a, b| a.si.total_cmp(&b.si))?;
        return Some(range(least, most));
    }
    (!values.is_empty()).then(|| values.iter().map(|v| words(v)).collect::<Vec<_>>().join(", "))
}

/// "92.51 to 92.56 mm" where both are written in one unit.
fn range(least: &Stated, most: &Stated) -> String {
    if least.si == most.si {
        return text_of(most);
    }
    let one_unit = unit_text(&least.text) == unit_text(&most.text);
    let least = if one_unit { number_text(&least.text).to_owned() } else { text_of(least) };
    format!("{least} to {}", text_of(most))
}

fn scale(told: &str, said: &Stated, allowance_si: Option<f64>, found: &[(&Stated, f64)]) -> Markup {
    let rule = Rule::over(said, allowance_si, found);
    let (least, most) = ends(found);
    let one_unit = unit_text(&said.text) == unit_text(&most.0.text);
    let bare = one_unit && !matches!(unit_text(&said.text), "\u{b0}" | "deg" | "degrees");
    let said_text = if bare { number_text(&said.text).to_owned() } else { text_of(said) };
    let told_words = format!("{told} {said_text}");
    let found_words = format!("found {}", range(least.0, most.0));
    // The found place that lies farthest off carries the words.
    let far = if (least.0.si - said.si).abs() > (most.0.si - said.si).abs() { least } else { most };
    let (x_said, x_far) = (rule.x(said.si), rule.x(far.0.si));
    let told_at = beside(x_said, &told_words, false);
    let found_at = beside(x_far, &found_words, true);
    html! {
        svg.told-found viewBox=(format!("0 0 {WIDE} {HIGH}")) width=(WIDE) height=(HIGH) role="img" aria-label={(told) " " (text_of(said)) ", " (found_words)} {
            line x1=(LEFT) x2=(RIGHT) y1=(AXIS) y2=(AXIS) stroke="var(--ink)" {}
            @for tick in 0..=PARTS as usize {
                @let x = px(LEFT + (RIGHT - LEFT) * tick as f64 / PARTS);
                line x1=(x) x2=(x) y1="26" y2="32" stroke="var(--edge)" {}
            }
            @for edge in allowance_si.into_iter().filter(|a| *a > 0.0).flat_map(|a| [said.si - a, said.si + a]) {
                @let x = px(rule.x(edge));
                line x1=(x) x2=(x) y1="22" y2="36" stroke="var(--brass)" stroke-width="1.4" {}
            }
            @for (value, u) in found {
                @let (a, b) = (rule.x(value.si - 2.0 * u), rule.x(value.si + 2.0 * u));
                rect x=(px(a)) y="26.5" width=(px((b - a).max(0.0))) height="5" fill="var(--blueband)" {}
            }
            line x1=(px(x_said)) x2=(px(x_far)) y1=(AXIS) y2=(AXIS) stroke="var(--blue)" stroke-width="2.4" {}
            path d=(format!("M{} 28l-6 -10h12z", px(x_said))) fill="var(--sheet)" stroke="var(--brass)" stroke-width="1.6" {}
            @for (value, _) in found { path d=(format!("M{} 30l-6 10h12z", px(rule.x(value.si)))) fill="var(--blue)" {} }
            text.said x=(px(told_at.1)) y="24" text-anchor=(told_at.0) { (told_words) }
            text.found x=(px(found_at.1)) y="43" text-anchor=(found_at.0) { (found_words) }
        }
    }
}

type Found<'a> = &'a (&'a Stated, f64);

fn ends<'a>(found: &'a [(&'a Stated, f64)]) -> (Found<'a>, Found<'a>) {
    let first = &found[0];
    found.iter().fold((first, first), |(least, most), one| {
        (if one.0.si < least.0.si { one } else { least }, if one.0.si > most.0.si { one } else { most })
    })
}

/// Anchor and place of words beside a triangle: on its right, unless there is no room.
fn beside(x: f64, words: &str, bold: bool) -> (&'static str, f64) {
    let wide = text_width(words, 13.0, bold) + 10.0;
    if x + wide <= WIDE {
        ("start", x + 10.0)
    } else if x - wide >= 0.0 {
        ("end", x - 10.0)
    } else {
        // Wider than either side: as far in as it goes.
        ("start", (WIDE - wide + 10.0).clamp(0.0, x + 10.0))
    }
}

/// A round scale that holds everything with room at both ends.
struct Rule {
    from: f64,
    per_px: f64,
}

impl Rule {
    fn over(said: &Stated, allowance_si: Option<f64>, found: &[(&Stated, f64)]) -> Self {
        let allowed = allowance_si.unwrap_or(0.0);
        let (mut low, mut high) = (said.si - allowed, said.si + allowed);
        for (value, u) in found {
            low = low.min(value.si - 2.0 * u);
            high = high.max(value.si + 2.0 * u);
        }
        // Told and found alike: some steps of the last digit typed make a scale.
        let apart = (high - low).max(4.0 * said.step_si).max(f64::MIN_POSITIVE);
        let step = round_step(apart * 1.7 / PARTS);
        let middle = 0.5 * (low + high);
        let from = ((middle - 0.5 * PARTS * step) / step).round() * step;
        Self { from, per_px: PARTS * step / (RIGHT - LEFT) }
    }

    fn x(&self, si: f64) -> f64 {
        LEFT + (si - self.from) / self.per_px
    }
}

/// 1, 2 or 5 times a power of ten, not below the step asked for.
fn round_step(least: f64) -> f64 {
    let power = 10_f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * power).find(|step| *step >= least * 0.999_999).unwrap_or(10.0 * power)
}

fn px(v: f64) -> String {
    format!("{v:.1}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::Dimension;

    fn stated(text: &str) -> Stated {
        Stated::read(text, Dimension::Length, None).unwrap()
    }

    #[test]
    fn steps_are_round_and_everything_lies_on_the_scale() {
        assert_eq!(round_step(0.3), 0.5);
        assert_eq!(round_step(2.0), 2.0);
        assert_eq!(round_step(7.0), 10.0);
        for (told, found) in
            [("92.50 mm", "92.56 mm"), ("44 mm", "42.0 mm"), ("92.5 mm", "92.5 mm"), ("1 mm", "100 mm")]
        {
            let (told, found) = (stated(told), stated(found));
            let rule = Rule::over(&told, None, &[(&found, 1e-6)]);
            for si in [told.si, found.si] {
                assert!((LEFT..=RIGHT).contains(&rule.x(si)), "{} {}: {}", told.text, found.text, rule.x(si));
            }
        }
    }

    #[test]
    fn words_stay_inside_the_drawing() {
        assert_eq!(beside(40.0, "told 8.80", false).0, "start");
        assert_eq!(beside(200.0, "told 8.80", false).0, "end");
        let (anchor, x) = beside(111.0, "found 92.512 to 92.561 mm, and more", true);
        assert_eq!(anchor, "start");
        assert!((0.0..111.0).contains(&x));
    }

    #[test]
    fn a_range_names_its_unit_once() {
        assert_eq!(range(&stated("92.51 mm"), &stated("92.56 mm")), "92.51 to 92.56 mm");
        assert_eq!(range(&stated("3.642 in"), &stated("92.56 mm")), "3.642 in to 92.56 mm");
    }
}
