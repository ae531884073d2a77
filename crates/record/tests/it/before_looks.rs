//! Noise, borescope, oil and filter, plugs, cooling system.

use crate::before_sample::*;
use quantity::{Dimension, Verdict};
use record::before::*;

#[test]
fn a_noise_is_placed() {
    let heard = |words: &str| NoiseHeard {
        words: words.into(),
        place: None,
        rate: None,
        load: None,
        killed: Vec::new(),
        cold: None,
        hot: None,
        heavy: false,
    };
    let test = Noise {
        heard: vec![
            NoiseHeard {
                place: Some(NoisePlace::Bores),
                rate: Some(NoiseRate::FullSpeed),
                load: Some(LoadEffect::LouderLoaded),
                killed: vec![(1, KillEffect::Same), (2, KillEffect::Softer)],
                ..heard("knock")
            },
            NoiseHeard {
                place: Some(NoisePlace::Bottom),
                load: Some(LoadEffect::LouderLoaded),
                heavy: true,
                ..heard("thump")
            },
            NoiseHeard { place: Some(NoisePlace::Top), rate: Some(NoiseRate::HalfSpeed), ..heard("tick") },
            NoiseHeard { cold: Some(true), hot: Some(false), ..heard("slap") },
        ],
        ..Noise::default()
    };
    let out = judge(&TestBefore::Noise(test), None);
    let found: Vec<String> = signs(&out).into_iter().map(|s| s.0).collect();
    assert_eq!(
        found,
        ["noise.softer_when_killed", "noise.heavy_bottom_loaded", "noise.top_half_speed", "noise.cold_only"]
    );
    assert_eq!(out.suggestions[0].words, "rod bearing or pin of 2");
    assert_eq!(out.do_not_run(), ["main bearing"]);
}

#[test]
fn the_borescope_says_what_was_not_looked_at() {
    let view = |cylinder, place, seen: &[BorescopeSeen]| BorescopeView {
        cylinder,
        place,
        seen: seen.to_vec(),
        words: String::new(),
        photo: None,
    };
    let mut views: Vec<BorescopeView> =
        ClockPlace::CLOCKS.iter().map(|c| view(1, *c, &[BorescopeSeen::Crosshatch])).collect();
    views.push(view(2, ClockPlace::Six, &[BorescopeSeen::VerticalScore]));
    views.push(view(2, ClockPlace::Crown, &[BorescopeSeen::ValvePrint]));
    let out = judge(&TestBefore::Borescope(Borescope { views, ..Borescope::default() }), Some(&inline_four()));
    assert_eq!(
        signs(&out),
        [("borescope.vertical_score".to_owned(), vec![2]), ("borescope.valve_print".to_owned(), vec![2])]
    );
    assert!(warned(
        &out,
        "cylinder 2 12 o'clock, 3 o'clock and 9 o'clock; cylinder 3 all four clocks; cylinder 4 all four clocks"
    ));
    assert!(warned(&out, "6 views without a photo"));
}

#[test]
fn debris_stops_the_dyno_and_fuzz_does_not() {
    let debris = |kind, amount| Debris { kind, amount, words: String::new() };
    let test = |found: Vec<Debris>| FilterDebris {
        found,
        cut: Some(FilterCut::Cutter),
        water: Some(false),
        just_run_in: Some(true),
        sample_mid_drain: Some(true),
        ..FilterDebris::default()
    };
    let fuzz = judge(&TestBefore::FilterDebris(test(vec![debris(DebrisKind::FineFuzz, Amount::Trace)])), None);
    assert!(fuzz.do_not_run().is_empty() && fuzz.suggestions[0].nothing_wrong && fuzz.warnings.is_empty());
    let mut bad = test(vec![debris(DebrisKind::Copper, Amount::Some), debris(DebrisKind::Magnetic, Amount::Trace)]);
    bad.water = Some(true);
    let out = judge(&TestBefore::FilterDebris(bad.clone()), None);
    assert_eq!(out.do_not_run().len(), 3);
    assert_eq!(out.suggestions[0].source.standing, Sourced::Published);
    bad.cut = Some(FilterCut::Saw);
    assert!(warned(&judge(&TestBefore::FilterDebris(bad), None), "makes metal of its own"));
}

#[test]
fn plugs_name_their_cylinder_when_kept_in_order() {
    let plug = |cylinder, colour, marks: &[PlugMark]| PlugSeen {
        cylinder,
        colour: Some(colour),
        marks: marks.to_vec(),
        words: String::new(),
        photo: None,
    };
    let mut test = Plugs {
        plugs: vec![
            plug(1, PlugColour::TanGrey, &[]),
            plug(2, PlugColour::TanGrey, &[]),
            plug(3, PlugColour::White, &[PlugMark::AluminiumSpecks]),
            plug(4, PlugColour::TanGrey, &[]),
        ],
        kept_in_order: Some(true),
        ..Plugs::default()
    };
    let out = judge(&TestBefore::Plugs(test.clone()), None);
    assert_eq!(
        signs(&out),
        [("plugs.aluminium_specks".to_owned(), vec![3]), ("plugs.one_differs".to_owned(), vec![3])]
    );
    test.kept_in_order = Some(false);
    let mixed = judge(&TestBefore::Plugs(test), None);
    assert_eq!(signs(&mixed), [("plugs.aluminium_specks".to_owned(), vec![])]);
}

#[test]
fn a_cooling_system_holds_or_not() {
    let test = |start: &str, end: &str, time: &str| CoolingPressure {
        start: psi(start),
        end: psi(end),
        time: Some(stated(time, Dimension::Time)),
        gas: Some(GasTest::NoChange),
        ..CoolingPressure::default()
    };
    let holds = judge(&TestBefore::from(test("15.0", "15.0", "10 min")), None);
    assert_eq!((verdict_of(&holds, "holds"), holds.suggestions.len()), (Verdict::Inside, 0));
    let falls = judge(&TestBefore::from(test("15.0", "11.0", "10 min")), None);
    assert_eq!(verdict_of(&falls, "holds"), Verdict::Outside);
    assert_eq!(signs(&falls)[0].0, "cooling_pressure.falls");
    // Two minutes show a leak and cannot show that there is none.
    let short = judge(&TestBefore::from(test("15.0", "15.0", "2 min")), None);
    assert_eq!(verdict_of(&short, "holds"), Verdict::CannotTell);
    let mut gas = test("15.0", "15.0", "10 min");
    gas.gas = Some(GasTest::Changed);
    assert_eq!(signs(&judge(&TestBefore::from(gas), None))[0].0, "cooling_pressure.gas");
}
