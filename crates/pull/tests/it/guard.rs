//! Guards on invented tables: each rule triggers past its limit, keeps still just under it, and waits its hold time.
//!
//! The limits are those of `data/guards/default.toml` (common practice, no source), turned into SI by hand here:
//! 1 psi = 6,894.757 Pa, 1 °F = 5/9 K, 1 inH2O = 249.089 Pa, 1 inHg = 3,386.39 Pa, 1 lb-ft = 1.35582 N·m.

use pull::cell::Known;
use pull::guard::{Flag, Level, PullSpan, Rules, watch};
use pull::log::{Channel, Table};
use pull::role::Role;
use pull::setup::Setup;
use quantity::Origin;

const PSI: f64 = 6_894.757;
const F: f64 = 5.0 / 9.0;

/// °F in K.
fn f(temperature_f: f64) -> f64 {
    (temperature_f + 459.67) * F
}

/// A log of 26 s at 100 rows a second: still, pull 1 from 2,500 to 5,500 rpm, idle, pull 2 the same, still.
struct Bench {
    table: Table,
    setup: Setup,
}

const PULL_1: std::ops::Range<usize> = 200..1200;
const PULL_2: std::ops::Range<usize> = 1400..2400;
const ROWS: usize = 2600;

fn rpm(row: usize) -> f64 {
    match row {
        _ if PULL_1.contains(&row) => 2500.0 + 3.0 * (row - PULL_1.start) as f64,
        _ if PULL_2.contains(&row) => 2500.0 + 3.0 * (row - PULL_2.start) as f64,
        _ if (PULL_1.end..PULL_2.start).contains(&row) => 1500.0,
        _ => 0.0,
    }
}

/// Row of pull 1 at a speed.
fn at(speed: f64) -> usize {
    PULL_1.start + ((speed - 2500.0) / 3.0).round() as usize
}

impl Bench {
    fn new() -> Bench {
        let table = Table { time_s: (0..ROWS).map(|i| i as f64 / 100.0).collect(), channels: Vec::new() };
        Bench { table, setup: Setup::default() }.with(Role::Speed, |row| rpm(row) * std::f64::consts::PI / 30.0)
    }

    fn with(mut self, role: Role, value: impl Fn(usize) -> f64) -> Bench {
        let si = (0..ROWS).map(value).collect();
        self.table.channels.push(Channel { name: role.key(), unit_text: String::new(), role: Some(role), si });
        self
    }

    /// A channel at one value, but for some rows, with the last digits moving as on a live sensor.
    fn but(self, role: Role, usual: f64, rows: std::ops::Range<usize>, there: f64) -> Bench {
        self.with(role, move |row| (if rows.contains(&row) { there } else { usual }) * (1.0 + 1e-7 * (row % 5) as f64))
    }

    /// Boost of 70 kPa in the pulls.
    fn boosted(self) -> Bench {
        self.with(Role::Barometer, |_| 99_000.0)
            .with(Role::ManifoldPressure, |row| if rpm(row) > 2000.0 { 169_000.0 } else { 60_000.0 })
    }

    fn aspirated(self) -> Bench {
        self.with(Role::Barometer, |_| 99_000.0)
            .with(Role::ManifoldPressure, |row| if rpm(row) > 2000.0 { 98_500.0 } else { 45_000.0 })
    }

    fn with_ratio(mut self, ratio: f64) -> Bench {
        let origin = Origin::Assumed { why: "test".into() };
        self.setup.blower_ratio = Some(Known { value: ratio, u: None, text: ratio.to_string(), origin });
        self
    }

    fn watch(&self, rules: &Rules) -> (Vec<Flag>, Vec<String>) {
        let span = |number, rows: std::ops::Range<usize>| PullSpan {
            number,
            from_row: rows.start,
            to_row: rows.end,
            up: true,
        };
        watch(&self.table, &[span(1, PULL_1), span(2, PULL_2)], &self.setup, rules)
    }

    /// The flags of one shipped rule.
    fn flags(&self, key: &str) -> Vec<Flag> {
        let shipped = Rules::shipped();
        assert!(shipped.rules.iter().any(|r| r.key == key), "no rule {key}");
        self.watch(&shipped).0.into_iter().filter(|f| f.rule == key).collect()
    }

    /// Level of the only flag of a rule, or nothing.
    fn level(&self, key: &str) -> Option<Level> {
        let flags = self.flags(key);
        assert!(flags.len() <= 1, "{flags:#?}");
        flags.first().map(|f| f.level)
    }
}

const WARN: Option<Level> = Some(Level::Warn);
const ABORT: Option<Level> = Some(Level::Abort);

fn mixture(rows: std::ops::Range<usize>, off: f64) -> Bench {
    Bench::new().aspirated().with(Role::LambdaTarget, |_| 0.88).but(Role::Lambda(1), 0.88, rows, 0.88 + off)
}

#[test]
fn guard_lambda_lean_has_a_limit_and_a_hold_time() {
    assert_eq!(mixture(600..640, 0.031).level("lambda_lean"), WARN);
    assert_eq!(mixture(600..640, 0.029).level("lambda_lean"), None);
    // 0.3 s are 30 rows of 10 ms.
    assert_eq!(mixture(600..630, 0.031).level("lambda_lean"), WARN);
    assert_eq!(mixture(600..629, 0.031).level("lambda_lean"), None);
    // 0.06 for 0.2 s is an abort, though too short for the warning.
    assert_eq!(mixture(600..620, 0.061).level("lambda_lean"), ABORT);
    assert_eq!(mixture(600..619, 0.061).level("lambda_lean"), None);
    // The sensor is late: the first half second of a pull is not judged.
    assert_eq!(mixture(200..249, 0.2).level("lambda_lean"), None);
    // Between the pulls nothing is judged.
    assert_eq!(mixture(1210..1390, 0.2).level("lambda_lean"), None);
}

#[test]
fn guard_flags_say_where_how_far_and_what_to_look_at() {
    let flags = mixture(PULL_2.start + 600..PULL_2.start + 640, 0.034).flags("lambda_lean");
    let [flag] = &flags[..] else { panic!("{flags:#?}") };
    assert_eq!((flag.pull, flag.words.as_str()), (2, "pull 2 lean by 0.03"));
    assert_eq!((flag.from_rpm.round(), flag.to_rpm.round()), (4300.0, 4417.0));
    assert_eq!(flag.role, "lambda_1");
    assert_eq!(
        flag.sentence,
        "Pull 2, 4,300 to 4,417 rpm, for 0.40 s: lambda is above its target (lambda, bank 1), at worst 0.91 against \
         0.88 (0.03). Limit 0.03 for 0.3 s. Look at fuel pressure, injector duty, the fuel level, and air that leaks in \
         ahead of the sensor."
    );
    let worst = flag.worst.as_ref().expect("numbers");
    assert!((worst.measure_si - 0.034).abs() < 1e-6 && (worst.limit_si - 0.03).abs() < 1e-12);
    assert_eq!((worst.kind.as_str(), worst.difference, worst.share), ("lambda", true, false));
}

#[test]
fn guard_abort_of_lean_needs_load() {
    let part_load = |off| {
        Bench::new()
            .with(Role::Barometer, |_| 99_000.0)
            .with(Role::ManifoldPressure, |_| 60_000.0)
            .with(Role::LambdaTarget, |_| 0.95)
            .but(Role::Lambda(1), 0.95, 600..700, 0.95 + off)
    };
    assert_eq!(part_load(0.07).level("lambda_lean"), WARN);
}

#[test]
fn guard_boosted_engines_have_the_stricter_lean_limit() {
    let lean = |off| {
        Bench::new().boosted().with(Role::LambdaTarget, |_| 0.80).but(Role::Lambda(1), 0.80, 600..700, 0.80 + off)
    };
    assert_eq!(lean(0.041).level("lambda_lean_boosted"), ABORT);
    assert_eq!(lean(0.039).level("lambda_lean_boosted"), WARN);
    assert_eq!(lean(0.041).level("lambda_lean"), None);
}

#[test]
fn guard_rich() {
    assert_eq!(mixture(600..640, -0.061).level("lambda_rich"), WARN);
    assert_eq!(mixture(600..640, -0.059).level("lambda_rich"), None);
    assert_eq!(mixture(600..640, -0.121).level("lambda_rich"), ABORT);
}

#[test]
fn guard_gaps_and_short_dips_do_not_split_a_span() {
    let with = |gap: fn(usize) -> f64| {
        Bench::new().aspirated().with(Role::LambdaTarget, |_| 0.88).with(Role::Lambda(1), move |row| {
            (if (600..640).contains(&row) { gap(row) } else { 0.88 }) + 1e-7 * (row % 5) as f64
        })
    };
    // Six rows without a value, six rows below the limit: shorter than the release gap of 0.1 s.
    let missing = with(|row| if (610..616).contains(&row) { f64::NAN } else { 0.92 });
    assert_eq!(missing.level("lambda_lean"), WARN);
    let dip = with(|row| if (610..616).contains(&row) { 0.88 } else { 0.92 });
    assert_eq!(dip.level("lambda_lean"), WARN);
    // Twenty rows below the limit: two short spans, both under the hold time.
    let apart = with(|row| if (610..630).contains(&row) { 0.88 } else { 0.92 });
    assert_eq!(apart.level("lambda_lean"), None);
    // No values at all: nothing is judged.
    let none = Bench::new().with(Role::LambdaTarget, |_| 0.88).with(Role::Lambda(1), |_| f64::NAN);
    assert_eq!(none.level("lambda_lean"), None);
}

#[test]
fn guard_lambda_target_comes_from_the_table_where_none_is_logged() {
    let bench = |lambda| Bench::new().aspirated().but(Role::Lambda(1), 0.88, 600..640, lambda);
    // Full load without boost: 0.88.
    assert_eq!(bench(0.912).level("lambda_lean"), WARN);
    assert_eq!(bench(0.908).level("lambda_lean"), None);
    let remarks = bench(0.88).watch(&Rules::shipped()).1.join("\n");
    assert!(remarks.contains("no lambda target") && remarks.contains("any fuel"), "{remarks}");
    // On ethanol the table aims at 0.80, so 0.88 is lean by 0.08.
    let mut ethanol = bench(0.88);
    ethanol.setup.fuel = Some("E85 from the pump".into());
    assert!(ethanol.flags("lambda_lean").iter().all(|f| f.level == Level::Abort));
    assert!(!ethanol.flags("lambda_lean").is_empty());
}

#[test]
fn guard_air_fuel_ratio_needs_the_fuel_to_become_lambda() {
    let bench =
        || Bench::new().aspirated().with(Role::LambdaTarget, |_| 0.88).but(Role::AirFuelRatio(2), 12.9, 600..640, 13.5);
    assert!(bench().flags("lambda_lean").is_empty());
    assert!(bench().watch(&Rules::shipped()).1.iter().any(|r| r.contains("stoichiometric ratio is not stated")));
    let mut known = bench();
    let origin = Origin::Assumed { why: "test".into() };
    known.setup.fuel_stoich = Some(Known { value: 14.66, u: None, text: "14.66".into(), origin });
    // 13.5 / 14.66 = 0.921, 0.041 above 0.88.
    assert_eq!(known.level("lambda_lean"), WARN);
    assert_eq!(known.flags("lambda_lean")[0].role, "air_fuel_ratio_2");
}

#[test]
fn guard_boost_against_its_target() {
    let off = |off: f64, rows: std::ops::Range<usize>| {
        Bench::new().with(Role::Barometer, |_| 99_000.0).with(Role::ManifoldTarget, |_| 169_000.0).but(
            Role::ManifoldPressure,
            169_000.0,
            rows,
            169_000.0 + off,
        )
    };
    assert_eq!(off(0.51 * PSI, 600..640).level("boost_creep"), WARN);
    assert_eq!(off(0.49 * PSI, 600..640).level("boost_creep"), None);
    assert_eq!(off(1.51 * PSI, 600..640).level("boost_creep"), ABORT);
    assert_eq!(off(-1.01 * PSI, 600..660).level("boost_short"), WARN);
    assert_eq!(off(-0.99 * PSI, 600..660).level("boost_short"), None);
    assert_eq!(off(-1.01 * PSI, 600..640).level("boost_short"), None, "0.4 s of 0.5 s");
    let no_target = Bench::new().boosted().watch(&Rules::shipped()).1.join("\n");
    assert!(
        no_target.contains("(boost_creep, boost_short): the log has no channel for the pressure aimed at"),
        "{no_target}"
    );
}

#[test]
fn guard_belt_slip() {
    let ratio = 9.0;
    let slip = |share: f64| {
        Bench::new().boosted().with_ratio(ratio).with(Role::BlowerSpeed, move |row| {
            let due = rpm(row) * std::f64::consts::PI / 30.0 * ratio;
            if rpm(row) > 4800.0 { due * (1.0 - share) } else { due }
        })
    };
    let flags = slip(0.031).flags("belt_slip");
    assert_eq!(flags.len(), 2, "one for each pull: {flags:#?}");
    assert!(flags.iter().all(|f| f.level == Level::Warn && f.from_rpm > 4790.0 && f.to_rpm > 5450.0));
    assert_eq!(flags[0].words, "pull 1 belt slips 3.1 %");
    assert!(slip(0.029).flags("belt_slip").is_empty());
    assert!(slip(0.21).flags("belt_slip").iter().all(|f| f.level == Level::Abort));
    // No drive ratio: it is said, not judged.
    let mut no_ratio = slip(0.5);
    no_ratio.setup.blower_ratio = None;
    let (flags, remarks) = no_ratio.watch(&Rules::shipped());
    assert!(flags.iter().all(|f| f.rule != "belt_slip"));
    assert!(remarks.iter().any(|r| r.contains("no drive ratio is stated")), "{remarks:?}");
}

#[test]
fn guard_boost_that_falls_on_a_fixed_drive() {
    let falls = |share: f64| {
        Bench::new().with_ratio(9.0).with(Role::Barometer, |_| 99_000.0).with(Role::Boost, move |row| {
            let rising = 10.0 * (rpm(row) - 2000.0).max(0.0);
            if rpm(row) > 5000.0 { 30_000.0 * (1.0 - share) } else { rising }
        })
    };
    assert!(falls(0.10).flags("belt_slip_boost").iter().any(|f| f.from_rpm >= 4990.0 && f.level == Level::Warn));
    assert!(falls(0.07).flags("belt_slip_boost").is_empty());
    let remarks = falls(0.0).watch(&Rules::shipped()).1.join("\n");
    assert!(remarks.contains("whether the belt slips cannot be told"), "{remarks}");
}

#[test]
fn guard_knock() {
    // A running count: four events within a second, then three.
    let count =
        |events: usize| Bench::new().with(Role::Knock(0), move |row| (row.saturating_sub(600) / 20).min(events) as f64);
    assert_eq!(count(4).level("knock"), WARN);
    assert_eq!(count(3).level("knock"), None);
    // Seven events, 0.1 s apart: six a second is the abort level, passed by the seventh.
    let fast = Bench::new().with(Role::Knock(2), |row| (row.saturating_sub(600) / 10).min(7) as f64);
    assert_eq!(fast.level("knock"), ABORT);
    // A level with fractions is no count.
    let level = Bench::new().with(Role::Knock(0), |row| 0.1 * (row % 10) as f64);
    assert!(level.flags("knock").is_empty());
    assert!(level.watch(&Rules::shipped()).1.iter().any(|r| r.contains("a level with fractions")));
    let retard = |degrees: f64| Bench::new().but(Role::KnockRetard, 0.0, 600..620, degrees.to_radians());
    assert_eq!(retard(2.1).level("knock_retard"), WARN);
    assert_eq!(retard(1.9).level("knock_retard"), None);
    assert_eq!(retard(5.1).level("knock_retard"), ABORT);
    assert_eq!(retard(5.1).flags("knock_retard")[0].words, "pull 1 5.1° of spark taken out");
}

#[test]
fn guard_oil_pressure_by_speed() {
    // At 3,000 rpm: warned below 35 psi, stopped below 24 psi.
    let row = at(3000.0);
    let oil = |psi: f64, rows: usize| {
        Bench::new().with(Role::OilPressure, move |r| {
            let usual = if rpm(r) > 0.0 { (10.0 + 0.0101 * rpm(r)) * PSI } else { 0.0 };
            if (row..row + rows).contains(&r) { psi * PSI + 0.0 * usual } else { usual }
        })
    };
    assert_eq!(oil(34.9, 31).level("oil_pressure_low"), WARN);
    // 31 rows end at 3,090 rpm, where the limit is 35.9 psi.
    assert_eq!(oil(36.0, 31).level("oil_pressure_low"), None);
    assert_eq!(oil(34.9, 29).level("oil_pressure_low"), None, "0.29 s of 0.3 s");
    assert_eq!(oil(23.9, 31).level("oil_pressure_low"), ABORT);
    assert_eq!(oil(24.9, 31).level("oil_pressure_low"), WARN);
    // Standing still is no low pressure.
    assert!(
        Bench::new()
            .with(Role::OilPressure, |r| if rpm(r) > 0.0 { 100.0 * PSI } else { 0.0 })
            .flags("oil_pressure_low")
            .is_empty()
    );
}

#[test]
fn guard_oil_pressure_that_drops() {
    let drop = |psi: f64| {
        Bench::new().with(Role::OilPressure, move |r| {
            (0.001 * rpm(r) + if r >= 800 && PULL_1.contains(&r) { 70.0 - psi } else { 70.0 }) * PSI
        })
    };
    // The 0.5 s before hold up to 0.15 psi less by the slope.
    assert_eq!(drop(15.2).level("oil_pressure_drop"), ABORT);
    assert_eq!(drop(14.9).level("oil_pressure_drop"), None);
    // The same fall over 3 s is no sudden drop.
    let slow =
        Bench::new().with(Role::OilPressure, |r| (90.0 - 20.0 * (r as f64 - 600.0).clamp(0.0, 300.0) / 300.0) * PSI);
    assert_eq!(slow.level("oil_pressure_drop"), None);
}

#[test]
fn guard_temperatures() {
    let cases = [
        ("oil_hot", Role::OilTemperature, 250.0, 275.0),
        ("coolant_hot", Role::CoolantTemperature, 210.0, 225.0),
        ("charge_hot", Role::ChargeTemperature, 130.0, 160.0),
        ("exhaust_hot", Role::ExhaustTemperature(3), 1450.0, 1550.0),
    ];
    for (key, role, warn, abort) in cases {
        let hot = |limit: f64, rows| Bench::new().aspirated().hot(role, limit, rows);
        assert_eq!(hot(warn + 0.5, 600..720).level(key), WARN, "{key}");
        assert_eq!(hot(warn - 0.5, 600..720).level(key), None, "{key}");
        assert_eq!(hot(abort + 0.5, 600..720).level(key), ABORT, "{key}");
        assert_eq!(hot(abort + 0.5, 600..640).level(key), None, "{key}: shorter than the hold time");
    }
    let turbo = |limit: f64| Bench::new().boosted().but(Role::ExhaustTemperature(1), f(1200.0), 600..720, f(limit));
    assert_eq!(turbo(1501.0).level("exhaust_hot_boosted"), WARN);
    assert_eq!(turbo(1499.0).level("exhaust_hot_boosted"), None);
    assert_eq!(turbo(1651.0).level("exhaust_hot_boosted"), ABORT);
    assert_eq!(turbo(1651.0).level("exhaust_hot"), None);
}

impl Bench {
    /// A channel at 1,200 °F (exhaust) or 100 °F with a hot stretch.
    fn hot(self, role: Role, limit_f: f64, rows: std::ops::Range<usize>) -> Bench {
        let usual = if matches!(role, Role::ExhaustTemperature(_)) { 1200.0 } else { 100.0 };
        self.but(role, f(usual), rows, f(limit_f))
    }
}

#[test]
fn guard_exhaust_spread_and_a_dropped_cylinder() {
    let spread = |degrees: f64| {
        Bench::new()
            .with(Role::ExhaustTemperature(1), |r| f(1300.0) + (r % 3) as f64 * 1e-3)
            .with(Role::ExhaustTemperature(2), |r| f(1310.0) + (r % 3) as f64 * 1e-3)
            .but(Role::ExhaustTemperature(3), f(1300.0), 500..700, f(1300.0 + degrees))
    };
    let flags = spread(101.0).flags("exhaust_spread");
    assert_eq!((flags.len(), flags[0].level, flags[0].role.as_str()), (1, Level::Warn, "exhaust_temperature_3"));
    assert_eq!(spread(99.0).level("exhaust_spread"), None);
    assert_eq!(spread(176.0).level("exhaust_spread"), ABORT);
    let fall = |degrees: f64| {
        Bench::new().with(Role::ExhaustTemperature(2), move |r| {
            f(1300.0) + (r % 3) as f64 * 1e-3
                - if (700..1200).contains(&r) { degrees * F * ((r - 700) as f64 / 100.0).min(1.0) } else { 0.0 }
        })
    };
    assert_eq!(fall(151.0).level("cylinder_dropped"), ABORT);
    assert_eq!(fall(149.0).level("cylinder_dropped"), None);
}

#[test]
fn guard_drift_between_pulls() {
    for (key, role, limit_f) in [
        ("oil_drift", Role::OilTemperature, 10.0),
        ("coolant_drift", Role::CoolantTemperature, 25.0),
        ("charge_drift", Role::ChargeTemperature, 10.0),
        ("intake_air_drift", Role::IntakeAirTemperature, 10.0),
    ] {
        let drift = |degrees: f64| Bench::new().with(role, move |r| f(100.0 + if r > 1300 { degrees } else { 0.0 }));
        let flags = drift(limit_f + 0.5).flags(key);
        assert_eq!((flags.len(), flags[0].pull), (1, 2), "{key}");
        assert!(drift(limit_f - 0.5).flags(key).is_empty(), "{key}");
        assert_eq!(drift(-limit_f - 0.5).flags(key).len(), 1, "{key}: colder counts too");
    }
}

#[test]
fn guard_fuel_pressure() {
    let dip = |psi: f64| Bench::new().aspirated().but(Role::FuelPressure, 43.5 * PSI, 700..730, (43.5 - psi) * PSI);
    assert_eq!(dip(3.1).level("fuel_pressure_dip"), WARN);
    assert_eq!(dip(2.9).level("fuel_pressure_dip"), None);
    assert_eq!(dip(5.1).level("fuel_pressure_dip"), ABORT);
    // Boost rises by 70 kPa through the pull; a pressure that follows keeps its distance.
    let rail = |follows: f64| {
        let boost = |r: usize| if rpm(r) > 2000.0 { 70.0 * (rpm(r) - 2500.0) / 3.0 } else { 0.0 };
        Bench::new()
            .with(Role::Barometer, |_| 99_000.0)
            .with(Role::ManifoldPressure, move |r| 99_000.0 + boost(r))
            .with(Role::FuelPressure, move |r| 300_000.0 + follows * boost(r))
    };
    assert!(rail(1.0).flags("fuel_pressure_not_following").is_empty());
    let flags = rail(0.0).flags("fuel_pressure_not_following");
    assert!(flags.len() == 2 && flags.iter().all(|f| f.level == Level::Abort), "{flags:#?}");
    assert!(rail(0.0).flags("fuel_pressure_dip").is_empty(), "the rule for engines without boost");
}

#[test]
fn guard_crankcase() {
    let inch = 249.089;
    let up = |inches: f64| Bench::new().but(Role::CrankcasePressure, 0.0, 600..700, inches * inch);
    assert_eq!(up(1.51).level("crankcase_pressure"), WARN);
    assert_eq!(up(1.49).level("crankcase_pressure"), None);
    assert_eq!(up(5.1).level("crankcase_jump"), ABORT);
    assert_eq!(up(4.9).level("crankcase_jump"), None);
}

/// 640 N·m that falls by a share from 4,900 to 5,050 rpm.
fn float(share: f64, swing: f64) -> Bench {
    let lost = move |row: usize| ((rpm(row) - 4900.0) / 150.0).clamp(0.0, 1.0);
    Bench::new()
        .aspirated()
        .with(Role::Throttle, |_| 1.0)
        .with(Role::Torque, move |row| {
            if PULL_1.contains(&row) { 640.0 * (1.0 - share * lost(row)) + 0.01 * (row % 7) as f64 } else { 0.0 }
        })
        .with(Role::Lambda(1), move |row| {
            0.86 + if PULL_1.contains(&row) { swing * lost(row) } else { 0.0 } + 1e-4 * (row % 5) as f64
        })
        .with(Role::LambdaTarget, |_| 0.86)
}

#[test]
fn guard_torque_that_falls_like_valve_float() {
    let flags = float(0.085, 0.04).flags("torque_loss");
    assert_eq!((flags.len(), flags[0].level), (1, Level::Abort), "{flags:#?}");
    assert!(flags[0].from_rpm > 4900.0 && flags[0].to_rpm < 5300.0);
    assert!(flags[0].sentence.contains("no longer follow"), "{}", flags[0].sentence);
    assert!(float(0.085, 0.0).flags("torque_loss")[0].sentence.contains("Neither lambda nor"));
    // Without a swing of lambda or manifold pressure it is only worth a look.
    assert_eq!(float(0.085, 0.0).level("torque_loss"), WARN);
    assert_eq!(float(0.075, 0.04).level("torque_loss"), None);
    // A throttle that closes is no loss of torque.
    let mut closing = float(0.5, 0.04);
    closing.table.channels.retain(|c| c.role != Some(Role::Throttle));
    let closing = closing.with(Role::Throttle, |row| if rpm(row) > 4900.0 { 0.3 } else { 1.0 });
    assert_eq!(closing.level("torque_loss"), None);
}

/// While the ramp stalls and catches up, the brake feels the engine's own inertia: that is no loss of torque.
#[test]
fn guard_a_ramp_that_stumbles_is_no_loss_of_torque() {
    let mut stumbles = Bench::new().aspirated().with(Role::Throttle, |_| 1.0).with(Role::Torque, |row| {
        // 12 % more while the speed stands, 12 % less while it catches up.
        let inertia = if (700..730).contains(&row) {
            0.12
        } else if (730..760).contains(&row) {
            -0.12
        } else {
            0.0
        };
        640.0 * (1.0 + inertia) + 0.01 * (row % 7) as f64
    });
    let speed = &mut stumbles.table.channels[0].si;
    let stands = speed[700];
    (700..730).for_each(|row| speed[row] = stands);
    (730..760).for_each(|row| speed[row] = stands + (row - 729) as f64 * 6.0 * std::f64::consts::PI / 30.0);
    assert_eq!(stumbles.level("torque_loss"), None);
}

#[test]
fn guard_torque_below_the_pull_before() {
    let short = |share: f64| {
        Bench::new().with(Role::Torque, move |row| {
            let full = 500.0 - 0.02 * rpm(row) + 0.01 * (row % 7) as f64;
            if PULL_2.contains(&row) && rpm(row) > 4000.0 { full * (1.0 - share) } else { full }
        })
    };
    let flags = short(0.031).flags("torque_short_of_last");
    assert_eq!((flags.len(), flags[0].pull), (1, 2), "{flags:#?}");
    assert!(flags[0].from_rpm >= 4000.0);
    assert!(short(0.029).flags("torque_short_of_last").is_empty());
}

#[test]
fn guard_throttle_and_manifold() {
    let throttle = |share: f64| Bench::new().but(Role::Throttle, 1.0, 600..700, share);
    assert_eq!(throttle(0.94).level("throttle_short"), WARN);
    assert_eq!(throttle(0.96).level("throttle_short"), None);
    let inch = 3386.39;
    let manifold = |inches: f64, open: f64| {
        Bench::new().with(Role::Barometer, |_| 99_000.0).with(Role::Throttle, move |_| open).but(
            Role::ManifoldPressure,
            98_500.0,
            600..700,
            99_000.0 - inches * inch,
        )
    };
    assert_eq!(manifold(0.51, 1.0).level("manifold_short"), WARN);
    assert_eq!(manifold(0.49, 1.0).level("manifold_short"), None);
    assert_eq!(manifold(5.0, 0.5).level("manifold_short"), None, "part throttle");
}

#[test]
fn guard_zero_shift() {
    let shift = |nm: f64| {
        Bench::new().with(Role::Torque, move |row| match row {
            _ if row < PULL_1.start => 0.2,
            _ if row >= PULL_2.end => 0.2 + nm,
            _ => 300.0 + 0.01 * (row % 7) as f64,
        })
    };
    let flags = shift(-1.4).flags("zero_shift");
    assert_eq!((flags.len(), flags[0].pull, flags[0].words.as_str()), (1, 0, "zero moved 1.4 N·m"));
    assert!(shift(1.3).flags("zero_shift").is_empty());
    // A log that ends with the pull cannot tell.
    let mut cut = shift(9.0);
    cut.table.time_s.truncate(2420);
    cut.table.channels.iter_mut().for_each(|c| c.si.truncate(2420));
    let (flags, remarks) = cut.watch(&Rules::shipped());
    assert!(flags.iter().all(|f| f.rule != "zero_shift"));
    assert!(remarks.iter().any(|r| r.contains("whether the zero moved cannot be told")), "{remarks:?}");
}

#[test]
fn guard_speed_limits_must_be_stated() {
    let bench = Bench::new();
    assert!(bench.flags("over_rev").is_empty());
    assert!(bench.watch(&Rules::shipped()).1.iter().any(|r| r.contains("over_rev") && r.contains("add `target`")));
    let stated = |limit: f64| {
        let shop = format!(
            "[[rule]]\nkey = \"over_rev\"\nrole = \"speed\"\ncheck = \"above_target\"\nwords = \"over-rev by {{by}}\"\n\
             what = \"too fast\"\nlook = \"the limit\"\ntarget = \"{limit} rpm\"\n\
             warn = {{ limit = \"50 rpm\", hold = \"0.05 s\" }}\nabort = {{ limit = \"150 rpm\" }}\nsource = \"shop\"\n"
        );
        let rules = Rules::shipped().overridden_by(Rules::parse(&shop).expect("it reads"));
        Bench::new().watch(&rules).0.into_iter().filter(|f| f.rule == "over_rev").map(|f| f.level).collect::<Vec<_>>()
    };
    // The pulls end at 5,497 rpm; the last 50 ms are 15 rpm.
    assert_eq!(stated(5500.0), []);
    assert_eq!(stated(5400.0), [Level::Warn, Level::Warn]);
    assert_eq!(stated(5340.0), [Level::Abort, Level::Abort]);
}

#[test]
fn guard_sensor_faults_come_first() {
    // An open thermocouple at 1,371 °C: no heat, no spread, a sensor fault in all pulls.
    let open = Bench::new()
        .aspirated()
        .with(Role::ExhaustTemperature(1), |r| f(1300.0) + (r % 3) as f64 * 1e-3)
        .with(Role::ExhaustTemperature(2), |r| f(1310.0) + (r % 3) as f64 * 1e-3)
        .with(Role::ExhaustTemperature(3), |_| f(2500.0));
    let flags = open.watch(&Rules::shipped()).0;
    let [flag] = &flags[..] else { panic!("{flags:#?}") };
    assert_eq!((flag.level, flag.role.as_str(), flag.pull), (Level::SensorFault, "exhaust_temperature_3", 0));
    assert_eq!(flag.words, "exhaust 3 reads too high");
    assert!(flag.sentence.contains("1,371 °C") && flag.sentence.contains("not judged"), "{}", flag.sentence);
    // One that reads the room: the same, and no dropped cylinder.
    let cold = Bench::new()
        .with(Role::ExhaustTemperature(1), |r| f(1300.0) + (r % 3) as f64 * 1e-3)
        .with(Role::ExhaustTemperature(2), |r| if r < 900 { f(1300.0) } else { f(70.0) } + (r % 3) as f64 * 1e-3);
    let flags = cold.watch(&Rules::shipped()).0;
    assert!(!flags.is_empty() && flags.iter().all(|f| f.level == Level::SensorFault), "{flags:#?}");
    // 1,199 °C is hot, and possible.
    let hot = Bench::new().with(Role::ExhaustTemperature(1), |r| 1472.0 + (r % 3) as f64 * 1e-3);
    assert!(hot.watch(&Rules::shipped()).0.iter().all(|f| f.rule == "exhaust_hot" && f.level == Level::Abort));
}

#[test]
fn guard_stuck_sensor_and_dropout() {
    let mixture =
        |value: fn(usize) -> f64| Bench::new().with(Role::LambdaTarget, |_| 0.80).with(Role::Lambda(1), value);
    // Exactly the same number for 6 s of a pull.
    let stuck = mixture(|r| if (400..1000).contains(&r) { 0.90 } else { 0.80 + 1e-4 * (r % 5) as f64 });
    let flags = stuck.watch(&Rules::shipped()).0;
    let [flag] = &flags[..] else { panic!("{flags:#?}") };
    assert_eq!((flag.level, flag.words.as_str(), flag.pull), (Level::SensorFault, "lambda 1 is stuck", 1));
    // 4.9 s is not long enough, so the lean mixture is judged.
    let short = mixture(|r| if (400..890).contains(&r) { 0.90 } else { 0.80 + 1e-4 * (r % 5) as f64 });
    assert!(short.watch(&Rules::shipped()).0.iter().all(|f| f.level == Level::Abort));
    // No value for 0.4 s.
    let gap = mixture(|r| if (600..640).contains(&r) { f64::NAN } else { 0.80 + 1e-4 * (r % 5) as f64 });
    let flags = gap.watch(&Rules::shipped()).0;
    assert_eq!((flags.len(), flags[0].words.as_str()), (1, "lambda 1 drops out"));
    let brief = mixture(|r| if (600..628).contains(&r) { f64::NAN } else { 0.80 + 1e-4 * (r % 5) as f64 });
    assert!(brief.watch(&Rules::shipped()).0.is_empty());
}

#[test]
fn guard_a_sound_log_has_no_flags() {
    let sound = Bench::new()
        .aspirated()
        .with(Role::Throttle, |row| if rpm(row) > 2000.0 { 1.0 } else { 0.05 })
        .with(Role::LambdaTarget, |_| 0.88)
        .with(Role::Lambda(1), |row| 0.88 + 0.004 * ((row % 7) as f64 - 3.0))
        .with(Role::OilPressure, |row| (10.0 + 0.01 * rpm(row)) * PSI)
        .with(Role::FuelPressure, |row| (43.5 + 0.05 * ((row % 5) as f64 - 2.0)) * PSI)
        .with(Role::OilTemperature, |_| f(210.0))
        .with(Role::CoolantTemperature, |_| f(180.0))
        .with(
            Role::Torque,
            |row| if rpm(row) > 2000.0 { 500.0 - 0.02 * rpm(row) + 0.3 * (row % 7) as f64 } else { 0.0 },
        )
        .with(Role::Knock(0), |_| 0.0);
    let (flags, _) = sound.watch(&Rules::shipped());
    assert!(flags.is_empty(), "{flags:#?}");
}

#[test]
fn guard_flags_are_numbered_in_order_of_speed() {
    let both = mixture(900..960, 0.04).but(Role::CoolantTemperature, f(180.0), 300..450, f(212.0));
    let flags = both.watch(&Rules::shipped()).0;
    assert!(flags.len() >= 2);
    assert!(flags.windows(2).all(|w| w[0].from_rpm <= w[1].from_rpm));
    assert!(flags.iter().enumerate().all(|(i, f)| f.number == i + 1));
    let json = serde_json::to_string(&flags).expect("flags are data");
    let back: Vec<Flag> = serde_json::from_str(&json).expect("and back");
    assert!(back.iter().zip(&flags).all(|(a, b)| a.sentence == b.sentence && a.worst.is_some() == b.worst.is_some()));
}

#[test]
fn guard_without_engine_speed_says_so() {
    let table = Table { time_s: vec![0.0, 1.0], channels: Vec::new() };
    let (flags, remarks) = watch(&table, &[], &Setup::default(), &Rules::shipped());
    assert!(flags.is_empty());
    assert_eq!(remarks, ["No guard was run: the log has no engine speed."]);
    // Pull rows beyond the table are left out rather than followed.
    let long = PullSpan { number: 1, from_row: 100, to_row: 1_000_000, up: true };
    let bench = Bench::new();
    let _ = watch(&bench.table, &[long, PullSpan { from_row: 9_999_999, ..long }], &bench.setup, &Rules::shipped());
}
