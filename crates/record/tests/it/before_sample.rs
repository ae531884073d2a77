//! Tests before teardown to try things on. Every number is invented unless its file says otherwise.

use quantity::Dimension;
use record::before::*;
use record::{InstrumentUsed, Stated};
use std::path::PathBuf;

pub(crate) fn stated(text: &str, dimension: Dimension) -> Stated {
    Stated::read(text, dimension, None).unwrap_or_else(|e| panic!("{text}: {e}"))
}

pub(crate) fn psi(text: &str) -> Option<Stated> {
    Some(stated(&format!("{text} psi"), Dimension::Pressure))
}

pub(crate) fn percent(text: &str) -> Stated {
    stated(&format!("{text} %"), Dimension::Fraction)
}

pub(crate) fn rpm(text: &str) -> Stated {
    stated(&format!("{text} rpm"), Dimension::RotationalSpeed)
}

/// A gauge whose scale is off by 1 % at most half of the time, and which repeats to 0.3 %.
pub(crate) fn gauge() -> InstrumentUsed {
    InstrumentUsed {
        key: "gauge_1".into(),
        name: "Compression gauge 1".into(),
        u_share: Some(0.01),
        u_repeat_share: Some(0.003),
        ..InstrumentUsed::default()
    }
}

/// A cranking test done as it should be.
pub(crate) fn cranking(last_psi: &[&str]) -> Cranking {
    let cylinder = |(n, last): (usize, &&str)| CrankingCylinder {
        cylinder: n as u32 + 1,
        last: psi(last),
        ..CrankingCylinder::default()
    };
    Cranking {
        cylinders: last_psi.iter().enumerate().map(cylinder).collect(),
        warm: Some(true),
        throttle_open: Some(true),
        plugs_out: Some(true),
        ignition_and_injectors_off: Some(true),
        strokes: Some(5),
        speed: Some(rpm("240")),
        oil_temperature: Some(stated("170 °F", Dimension::Temperature)),
        station_pressure: Some(barometer("29.4 inHg", None).expect("a barometer")),
        instrument: Some(gauge()),
        ..Cranking::default()
    }
}

/// A leak-down test done as it should be: percent lost and where the air went.
pub(crate) fn leak_down(lost: &[(&str, &[AirAt])]) -> LeakDown {
    let cylinder = |(n, (lost, air)): (usize, &(&str, &[AirAt]))| LeakCylinder {
        cylinder: n as u32 + 1,
        reading: Some(LeakReading::Lost(percent(lost))),
        air_at: air.to_vec(),
        ..LeakCylinder::default()
    };
    LeakDown {
        cylinders: lost.iter().enumerate().map(cylinder).collect(),
        supply: psi("100"),
        orifice: Some(stated("0.040 in", Dimension::Length)),
        hot: Some(true),
        tdc: Some(Tdc::Firing),
        crank_locked: Some(true),
        ..LeakDown::default()
    }
}

/// Four in line, without an expected pressure.
pub(crate) fn inline_four() -> ExpectedFromBuild {
    ExpectedFromBuild {
        engine: "A four".into(),
        cylinders: Some(4),
        banks: vec![vec![1, 2, 3, 4]],
        cranking_lacks: "not stated: lobe.intake.duration".into(),
        ..ExpectedFromBuild::default()
    }
}

pub(crate) fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..")
}

pub(crate) fn table(name: &str) -> Vec<Vec<String>> {
    let text = std::fs::read_to_string(root().join("validation/tests_before").join(name)).expect("a table");
    text.lines().skip(1).map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

pub(crate) fn build(name: &str) -> engine::build::Build {
    let text = std::fs::read_to_string(root().join("examples/builds").join(name)).expect("a build file");
    engine::build_file::BuildFile::parse(&text).expect("it reads").build().clone()
}

/// Signs of what was suggested, with their cylinders.
pub(crate) fn signs(judged: &Judged) -> Vec<(String, Vec<u32>)> {
    judged.suggestions.iter().map(|s| (s.sign.clone(), s.cylinders.clone())).collect()
}

pub(crate) fn verdict_of(judged: &Judged, limit: &str) -> quantity::Verdict {
    let found: Vec<_> = judged.verdicts.iter().filter(|v| v.limit.contains(limit)).collect();
    assert!(!found.is_empty(), "no verdict on \"{limit}\" among {:#?}", judged.verdicts);
    found[0].verdict
}

pub(crate) fn warned(judged: &Judged, words: &str) -> bool {
    judged.warnings.iter().any(|w| w.words.contains(words))
}

/// Everything as text, for snapshots.
pub(crate) fn print(judged: &Judged) -> String {
    let mut out = format!("{}\n", judged.name);
    for row in &judged.rows {
        let cells: Vec<String> = row
            .cells
            .iter()
            .map(|c| format!("{} {}{}", c.label, c.text, if c.stands_out { " (!)" } else { "" }))
            .collect();
        out += &format!("  {}: {}\n", row.place, cells.join("; "));
    }
    for f in &judged.figures {
        let note = if f.note.is_empty() { String::new() } else { format!(" ({})", f.note) };
        out += &format!("figure {}: {}{note}\n", f.label, f.text);
    }
    for v in &judged.verdicts {
        out += &format!("limit [{}, {}] {}\n", v.source.tag, v.source.standing.name(), v.words);
    }
    for s in &judged.suggestions {
        out += &format!(
            "points to [{}, {}] {}: {} <- {}; look: {}\n",
            s.source.tag,
            s.source.standing.name(),
            s.sure.name(),
            s.words,
            s.because,
            s.look
        );
    }
    for w in &judged.warnings {
        out += &format!("warning {}\n", w.words);
    }
    out
}
