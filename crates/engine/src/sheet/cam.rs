//! Valve events, durations, centrelines, separation and overlap.

use super::{Of, Work};
use crate::build::{Facts, Lack};
use crate::cam::timing::timing as of_pair;
use crate::cam::{Timing, Valve};

const FIFTY_THOU_M: f64 = 0.050 * 0.0254;

pub(super) fn timing(work: &mut Work<'_>) {
    work.section("timing", "Valve timing");
    for (valve, name) in [(Valve::Intake, "intake"), (Valve::Exhaust, "exhaust")] {
        let note = work.facts.seat_events(valve).ok().map(|e| format!("at {}", e.check()));
        let (opens, closes) = match valve {
            Valve::Intake => ("opens_btdc_deg", "closes_abdc_deg"),
            Valve::Exhaust => ("opens_bbdc_deg", "closes_atdc_deg"),
        };
        let seat = move |f: &Facts<'_>| f.seat_events(valve);
        work.add_with(&format!("{name}_duration_deg"), &format!("{name} duration"), note.clone(), |f| {
            Ok(seat(f)?.duration_deg())
        });
        work.add_with(&format!("{name}_{opens}"), &format!("{name} opens {}", reference(opens)), note.clone(), |f| {
            let cycle = seat(f)?.opens().cycle_deg(valve);
            Ok(if valve == Valve::Intake { -cycle } else { -180.0 - cycle })
        });
        work.add_with(&format!("{name}_{closes}"), &format!("{name} closes {}", reference(closes)), note, |f| {
            let cycle = seat(f)?.closes().cycle_deg(valve);
            Ok(if valve == Valve::Intake { cycle - 180.0 } else { cycle })
        });
        let at_fifty = Some("at 0.050 in (1.27 mm) lifter rise".to_owned());
        work.add_with(&format!("{name}_duration_050_deg"), &format!("{name} duration"), at_fifty, |f| {
            Ok(f.events_at(valve, FIFTY_THOU_M)?.duration_deg())
        });
        work.add(&format!("{name}_centreline_deg"), &format!("{name} centreline"), |f| Ok(seat(f)?.centreline_deg()));
        of_tables(work, valve, name);
    }
    let note = pair(work.facts).ok().map(|t| format!("at {}", t.check));
    let mut add = |key: &str, label: &str, of: &dyn Fn(Timing) -> f64| {
        work.add_with(key, label, note.clone(), |f| -> Of { Ok(of(pair(f)?)) });
    };
    add("lobe_separation_cam_deg", "lobe separation", &|t| t.lobe_separation_cam_deg);
    add("advance_deg", "advance", &|t| t.advance_deg);
    add("overlap_deg", "overlap", &|t| t.overlap_deg);
    let at_fifty = Some("at 0.050 in (1.27 mm) lifter rise; negative when the exhaust closes first".to_owned());
    work.add_with("overlap_050_deg", "overlap", at_fifty, |f| {
        let (intake, exhaust) = (f.events_at(Valve::Intake, FIFTY_THOU_M)?, f.events_at(Valve::Exhaust, FIFTY_THOU_M)?);
        Ok(of_pair(&intake, &exhaust)?.overlap_deg)
    });
}

/// What a measured lobe table says of its own figures: their uncertainty, and readings to repeat.
fn of_tables(work: &mut Work<'_>, valve: Valve, name: &str) {
    let Ok(fit) = work.facts.table_fit(valve) else { return };
    let table = format!("lobe.{name}.table_lift");
    let mut doubts = Vec::new();
    for (key, lift_m) in [("duration_deg", 0.006 * 0.0254), ("duration_050_deg", FIFTY_THOU_M)] {
        if let Ok(duration) = fit.duration_deg(lift_m) {
            doubts.push((format!("{name}_{key}"), duration.u));
        }
    }
    if let Ok(centreline) = fit.centreline_by_equal_lift_deg(FIFTY_THOU_M) {
        doubts.push((format!("{name}_centreline_deg"), centreline.u));
    }
    for (key, u) in doubts {
        work.doubt(&key, u, table.clone());
    }
    for row in &fit.doubtful_rows {
        work.notices.push(format!(
            "{table}: reading {} stands out against its neighbours and was left out; repeat it",
            row + 1
        ));
    }
}

/// Intake and exhaust at one check lift: the lowest of the card if both have it, else 0.050 in.
fn pair(f: &Facts<'_>) -> Result<Timing, Lack> {
    let (intake, exhaust) = (f.seat_events(Valve::Intake)?, f.seat_events(Valve::Exhaust)?);
    if intake.check().same_as(exhaust.check()) {
        return Ok(of_pair(&intake, &exhaust)?);
    }
    Ok(of_pair(&f.events_at(Valve::Intake, FIFTY_THOU_M)?, &f.events_at(Valve::Exhaust, FIFTY_THOU_M)?)?)
}

fn reference(key: &str) -> &'static str {
    if key.contains("btdc") {
        "before top dead centre"
    } else if key.contains("abdc") {
        "after bottom dead centre"
    } else if key.contains("bbdc") {
        "before bottom dead centre"
    } else {
        "after top dead centre"
    }
}
