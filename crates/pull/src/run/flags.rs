//! Flags of several pulls brought together and numbered in order of speed.

use crate::guard::{Flag, Level};

/// Brings flags of one rule together where they stand at the same speeds in several pulls, and numbers
/// what is left from 1 in order of the speed at which it begins.
pub(super) fn settle(flags: Vec<Flag>) -> Vec<Flag> {
    let mut groups: Vec<Vec<Flag>> = Vec::new();
    for flag in flags {
        match groups.iter_mut().find(|g| g.iter().any(|f| belong_together(f, &flag))) {
            Some(group) => group.push(flag),
            None => groups.push(vec![flag]),
        }
    }
    let mut out: Vec<Flag> = groups.into_iter().map(brought_together).collect();
    out.sort_by(|a, b| a.from_rpm.total_cmp(&b.from_rpm).then(a.pull.cmp(&b.pull)).then(a.rule.cmp(&b.rule)));
    for (i, f) in out.iter_mut().enumerate() {
        f.number = i + 1;
    }
    out
}

/// Same rule, channel and kind of finding, another pull, and speeds that overlap by half of the shorter.
fn belong_together(a: &Flag, b: &Flag) -> bool {
    let fault = |f: &Flag| f.level == Level::SensorFault;
    let shared = a.to_rpm.min(b.to_rpm) - a.from_rpm.max(b.from_rpm);
    let shorter = (a.to_rpm - a.from_rpm).min(b.to_rpm - b.from_rpm);
    a.rule == b.rule
        && a.role == b.role
        && fault(a) == fault(b)
        && a.pull != b.pull
        && a.pull > 0
        && b.pull > 0
        && shared >= 0.5 * shorter
}

/// One flag for a group: the gravest and farthest past its limit speaks, the span covers all.
fn brought_together(mut group: Vec<Flag>) -> Flag {
    let past = |f: &Flag| f.worst.as_ref().map_or(0.0, |w| (w.measure_si - w.limit_si).abs());
    group.sort_by(|a, b| b.level.cmp(&a.level).then(past(b).total_cmp(&past(a))));
    let mut pulls: Vec<usize> = group.iter().map(|f| f.pull).collect();
    pulls.sort_unstable();
    pulls.dedup();
    let from_rpm = group.iter().map(|f| f.from_rpm).fold(f64::INFINITY, f64::min);
    let to_rpm = group.iter().map(|f| f.to_rpm).fold(f64::NEG_INFINITY, f64::max);
    let mut flag = group.swap_remove(0);
    if pulls.len() < 2 {
        return flag;
    }
    let names = pulls.iter().map(usize::to_string).collect::<Vec<_>>();
    let (last, first) = names.split_last().map_or(("", &[][..]), |(l, f)| (l.as_str(), f));
    let without = |text: &str, prefix: &str| text.strip_prefix(prefix).unwrap_or(text).to_owned();
    flag.words = without(&flag.words, &format!("pull {} ", flag.pull));
    flag.sentence = format!(
        "Pulls {} and {last}, worst in pull {}: {}",
        first.join(", "),
        flag.pull,
        without(&flag.sentence, &format!("Pull {}, ", flag.pull))
    );
    flag.from_rpm = from_rpm;
    flag.to_rpm = to_rpm;
    flag.pull = 0;
    flag.parts.pulls = pulls;
    flag
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flag(pull: usize, from_rpm: f64, to_rpm: f64, level: Level) -> Flag {
        Flag {
            number: 0,
            rule: "boost_short".into(),
            level,
            pull,
            role: "manifold_pressure".into(),
            from_rpm,
            to_rpm,
            from_s: 1.0,
            to_s: 2.0,
            words: format!("pull {pull} short of boost"),
            sentence: format!("Pull {pull}, {from_rpm} to {to_rpm} rpm: short."),
            source: "common practice, no source".into(),
            worst: None,
            parts: crate::guard::Parts { pulls: vec![pull], ..crate::guard::Parts::default() },
        }
    }

    #[test]
    fn one_finding_in_three_pulls_is_one_flag_and_others_stay_apart() {
        let out = settle(vec![
            flag(1, 1900.0, 2150.0, Level::Warn),
            flag(2, 1905.0, 2190.0, Level::Abort),
            flag(3, 1900.0, 2170.0, Level::Warn),
            flag(2, 5400.0, 5500.0, Level::Warn),
        ]);
        assert_eq!(out.len(), 2);
        assert_eq!((out[0].number, out[0].pull, out[0].from_rpm, out[0].to_rpm), (1, 0, 1900.0, 2190.0));
        assert_eq!(out[0].level, Level::Abort);
        assert_eq!(out[0].parts.pulls, [1, 2, 3]);
        assert_eq!(out[0].words, "short of boost");
        assert_eq!(out[0].sentence, "Pulls 1, 2 and 3, worst in pull 2: 1905 to 2190 rpm: short.");
        assert_eq!((out[1].number, out[1].pull), (2, 2));
        assert_eq!(out[1].words, "pull 2 short of boost");
    }
}
