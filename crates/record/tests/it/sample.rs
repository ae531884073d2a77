//! Entries for the tests. Everything here is invented.

use jiff::Timestamp;
use quantity::Dimension;
use record::*;

/// The nth name: the time in it grows with n.
pub(crate) fn id(n: u64) -> Id {
    let ms = 1_772_000_000_000 + n * 1000;
    let hex = format!("{ms:012x}");
    format!("{}-{}-7000-8000-{n:012x}", &hex[..8], &hex[8..]).parse().expect("a name")
}

/// The job of all samples.
pub(crate) fn job() -> Id {
    id(0)
}

/// An entry of this number.
pub(crate) fn entry(n: u64, body: Body) -> Entry {
    let at = Timestamp::from_millisecond(id(n).made_at_ms() as i64).expect("a time");
    Entry { id: id(n), job: job(), at, received: Some(at), author: "builder".to_owned(), body }
}

pub(crate) fn opened() -> Body {
    Body::JobOpened(JobOpened {
        title: "2.4-litre four, blown".into(),
        purpose: "Hill-climb car".into(),
        built_for: "endurance".into(),
        complaint: "Goes flat above 5,000 when hot.".into(),
        fuel: "98 RON pump".into(),
        permission: "Full teardown, parts kept.".into(),
        ..JobOpened::default()
    })
}

pub(crate) fn ratio(text: &str) -> Value {
    Value::Quantity(Stated::read(text, Dimension::Count, None).expect("a ratio"))
}

pub(crate) fn length(text: &str) -> Value {
    Value::Quantity(Stated::read(text, Dimension::Length, Some("mm")).expect("a length"))
}

pub(crate) fn claim(words: &str, claimed: Option<Value>, weight: Weight) -> Body {
    Body::Claim(Claim {
        component: "Compression".into(),
        words: words.into(),
        claimed,
        allowance_si: None,
        by: "the last shop".into(),
        rests_on: Vec::new(),
        weight,
        touches: "Knock and boost".into(),
    })
}

pub(crate) fn promise(words: &str) -> Body {
    Body::Promise(Promise {
        component: "Pistons".into(),
        words: words.into(),
        promised: Some(Value::Word("forged".into())),
        allowance_si: None,
        decision: None,
        weight: Weight::DecidesTheBuild,
    })
}

pub(crate) fn verdict(on: u64, verdict: TruthVerdict, replaces: &[u64]) -> Body {
    Body::VerdictGiven(VerdictGiven {
        on: id(on),
        verdict,
        because: "measured".into(),
        rests_on: Vec::new(),
        replaces: replaces.iter().map(|n| id(*n)).collect(),
    })
}

pub(crate) fn finding(about: Option<u64>, found: Option<Value>, severity: Severity) -> Body {
    Body::Finding(Finding {
        component: "Pistons".into(),
        position: "all four".into(),
        words: "Gate mark and cast-in number on the crowns.".into(),
        claim: about.map(id),
        found,
        instrument: None,
        how: "Loupe \u{d7}10".into(),
        severity,
        shown_by: Vec::new(),
    })
}

pub(crate) fn sheet() -> Body {
    Body::SheetBegun(SheetBegun {
        template: "bores".into(),
        template_text: "version = 1".into(),
        title: "Cylinder bores, after honing".into(),
        counts: [("cylinders".to_owned(), 4)].into(),
        given: Default::default(),
        built_for: "endurance".into(),
        material: None,
        conditions: Vec::new(),
        unit: "mm".into(),
        instruments: Vec::new(),
        part_temperature: None,
        state: "torque plate on".into(),
    })
}

pub(crate) fn reading(sheet: u64, place: &str, text: &str, replaces: &[u64]) -> Body {
    Body::Reading(Reading {
        sheet: id(sheet),
        place: place.into(),
        value: length(text),
        instrument: None,
        replaces: replaces.iter().map(|n| id(*n)).collect(),
        repeats: Vec::new(),
        remark: String::new(),
    })
}

pub(crate) fn decision(agrees: Option<Stage>, settles: &[u64], yes: bool) -> Body {
    Body::Decision(Decision {
        words: "Go on.".into(),
        because: String::new(),
        owners_yes: yes.then(|| OwnersYes { how: "by message".into(), on: "2026-03-05".into(), file: None }),
        settles: settles.iter().map(|n| id(*n)).collect(),
        agrees,
    })
}

pub(crate) fn passed(to: Stage) -> Body {
    Body::StagePassed(StagePassed { to, in_spite_of: Vec::new(), remark: String::new() })
}

pub(crate) fn correction(of: u64, replaces: &[u64], now: Body) -> Body {
    Body::Correction(Box::new(Correction {
        of: id(of),
        replaces: replaces.iter().map(|n| id(*n)).collect(),
        because: "misread".into(),
        now,
    }))
}

pub(crate) fn strike(of: u64) -> Body {
    Body::Struck(Struck { of: id(of), because: "wrong job".into() })
}

pub(crate) fn note(words: &str) -> Body {
    Body::NoteWritten(NoteWritten { words: words.into(), about: Vec::new() })
}

pub(crate) fn question(stops: bool) -> Body {
    Body::Question(Question {
        words: "Leave pull 2 out, or run a fourth?".into(),
        to: "builder".into(),
        stops_hand_over: stops,
        about: Vec::new(),
        place: String::new(),
    })
}

pub(crate) fn answer(to: u64, words: &str, replaces: &[u64]) -> Body {
    Body::Answer(Answer {
        to: id(to),
        words: words.into(),
        given_by: String::new(),
        replaces: replaces.iter().map(|n| id(*n)).collect(),
    })
}

pub(crate) fn part(promise: Option<u64>, number: &str) -> Body {
    Body::FittedPart(FittedPart {
        component: "Pistons".into(),
        position: "1 to 4".into(),
        words: "forged, 92.75 mm".into(),
        maker: String::new(),
        part_number: number.into(),
        serial: String::new(),
        lot: String::new(),
        promise: promise.map(id),
        shown_by: Vec::new(),
    })
}
