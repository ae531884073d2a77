//! Size, compression, motion and masses.

use super::Work;
use crate::balance::{BalanceRule, CylinderMasses, bobweight_kg};
use crate::build::{Facts, Lack};
use crate::cam::Valve;
use crate::compression::closing::trapped_ratio;
use crate::compression::cranking::expected_band;
use crate::compression::target::{deck_for_ratio_m, gasket_for_ratio_m, quench_m, volume_change_for_ratio_m3};
use crate::compression::{CrankingAssumptions, CylinderSizes, IntakeClosing, TrappedRatio, static_ratio};
use crate::displacement::{PrintedSize, check_printed, displacement_m3, swept_m3};
use crate::loads::{PullingMasses, per_bolt_n, tension_at_overlap_n};
use crate::propagate::Estimate;
use quantity::Verdict;
use quantity::formula::rpm_from_rad_s;

pub(super) fn size(work: &mut Work<'_>) {
    work.section("size", "Size");
    let of = |f: &Facts<'_>| f.all(["block.bore", "block.stroke"]);
    work.add("displacement_m3", "displacement", |f| {
        let [bore_m, stroke_m] = of(f)?;
        Ok(displacement_m3(bore_m, stroke_m, f.cylinders()?))
    });
    work.add("swept_m3", "swept volume of one cylinder", |f| {
        of(f).map(|[bore_m, stroke_m]| swept_m3(bore_m, stroke_m))
    });
    work.add("bore_over_stroke", "bore over stroke", |f| of(f).map(|[bore_m, stroke_m]| bore_m / stroke_m));
    printed(work);
}

/// The displacement as printed against what bore and stroke give.
fn printed(work: &mut Work<'_>) {
    let build = work.facts.build();
    let parts = (&build.block.bore, &build.block.stroke, build.block.cylinders, &build.engine.stated_displacement);
    let (Some(bore), Some(stroke), Some(cylinders), Some(stated)) = parts else { return };
    // An input without ± carries the rounding of its last digit, step / √12.
    let digit = |u: f64| u * 12.0_f64.sqrt();
    let size = PrintedSize {
        bore_m: bore.si,
        bore_digit_m: digit(bore.u).max(1e-9),
        stroke_m: stroke.si,
        stroke_digit_m: digit(stroke.u).max(1e-9),
        cylinders,
        displacement_m3: stated.si,
        displacement_digit_m3: digit(stated.u).max(1e-12),
    };
    if let Ok(check) = check_printed(&size)
        && check.verdict != Verdict::Inside
    {
        work.notices.push(check.to_string());
    }
}

pub(super) fn compression(work: &mut Work<'_>) {
    work.section("compression", "Compression");
    work.add("chamber_m3", "chamber", |f| Ok(f.clearance_volumes()?.chamber_m3));
    work.add("gasket_m3", "gasket opening", |f| Ok(f.clearance_volumes()?.gasket_m3));
    work.add("deck_m3", "deck", |f| Ok(f.clearance_volumes()?.deck_m3));
    work.add("crown_m3", "crown", |f| Ok(f.clearance_volumes()?.crown_m3));
    work.add("clearance_m3", "clearance volume", |f| f.clearance_m3());
    work.add("static_ratio", "static compression ratio", |f| {
        Ok(static_ratio(f.cylinder_sizes()?.swept_m3(), f.clearance_m3()?)?)
    });
    work.add("quench_m", "quench, cold and at rest", |f| {
        let [deck_m, gasket_m] = f.all(["block.deck_clearance", "gasket.thickness"])?;
        Ok(quench_m(deck_m, gasket_m)?)
    });
    let note =
        work.facts.seat_events(Valve::Intake).ok().map(|e| format!("intake closing {} at {}", e.closes(), e.check()));
    work.add_with("intake_closing_ratio", "compression ratio from intake closing", note, |f| {
        Ok(closing_ratio(f)?.ratio.value)
    });
    cranking(work);
}

/// What to change for the ratio that is wanted, one change at a time.
pub(super) fn target(work: &mut Work<'_>) {
    if work.facts.build().compression.target_ratio.is_none() {
        return;
    }
    let note = Some("per cylinder; positive: open the chamber or the dish, negative: take out".to_owned());
    work.add_with("target_volume_change_m3", "volume to add for the wanted ratio", note, |f| {
        let ratio = f.get("compression.target_ratio")?;
        Ok(volume_change_for_ratio_m3(f.cylinder_sizes()?.swept_m3(), f.clearance_m3()?, ratio)?)
    });
    let note = Some("everything else as it is; mind the quench".to_owned());
    work.add_with("target_gasket_m", "compressed gasket for the wanted ratio", note.clone(), |f| {
        Ok(gasket_for_ratio_m(&without_crevice_doubt(f)?, f.get("compression.target_ratio")?)?)
    });
    work.add_with("target_deck_m", "deck clearance for the wanted ratio", note, |f| {
        Ok(deck_for_ratio_m(&without_crevice_doubt(f)?, f.get("compression.target_ratio")?)?)
    });
}

/// Sizes with the crevice in the chamber's place: an assumed 0 ± 0.5 cm³ passes through values below zero, which the
/// kernel refuses of a crevice and which change the sum all the same.
fn without_crevice_doubt(f: &Facts<'_>) -> Result<CylinderSizes, Lack> {
    let sizes = f.cylinder_sizes()?;
    Ok(CylinderSizes { chamber_m3: sizes.chamber_m3 + sizes.crevice_m3, crevice_m3: 0.0, ..sizes })
}

/// At the lowest check lift of the card: what counts is where the valve seals.
fn closing_ratio(f: &Facts<'_>) -> Result<TrappedRatio, Lack> {
    let closing = IntakeClosing::of_lobe(&f.seat_events(Valve::Intake)?)?;
    let crank = f.crank()?;
    Ok(trapped_ratio(f.cylinder_sizes()?.swept_m3(), f.clearance_m3()?, crank, closing)?)
}

fn cranking(work: &mut Work<'_>) {
    let facts = work.facts;
    let band = facts.figure(|f| Ok(closing_ratio(f)?.ratio.value)).and_then(|found| {
        let trapped = closing_ratio(facts)?;
        let u = if found.estimate.u.is_finite() { found.estimate.u } else { 0.0 };
        let ratio = TrappedRatio { ratio: Estimate { value: found.estimate.value, u }, ..trapped };
        let mut keys: Vec<String> = found.hangs_on.into_iter().map(|(key, _)| key).collect();
        keys.push(
            if facts.stated("ambient.altitude").is_some() { "ambient.altitude" } else { "ambient.pressure" }.to_owned(),
        );
        Ok((expected_band(facts.ambient_pa()?, ratio, CrankingAssumptions::default())?, keys))
    });
    match band {
        Ok((band, keys)) => {
            let note = format!(
                "band at {:.1} kPa, exponent 1.2 to 1.3, 0 to 5 % leakage; ratio from intake closing at {}",
                band.local_pa / 1e3,
                band.ratio.closing.check()
            );
            work.edge("cranking_low_gauge_pa", "cranking pressure to expect, from", &note, band.low_gauge_pa, &keys);
            work.edge("cranking_high_gauge_pa", "cranking pressure to expect, to", &note, band.high_gauge_pa, &keys);
        }
        Err(lack) => work.lack("cranking_low_gauge_pa", "cranking pressure to expect", &lack),
    }
}

pub(super) fn motion(work: &mut Work<'_>) {
    work.section("motion", "Piston motion");
    let note = work
        .facts
        .build()
        .engine
        .rev_limit
        .as_ref()
        .map(|r| format!("at the rev limit, {:.0} rpm", rpm_from_rad_s(r.si)));
    work.add("rod_ratio", "rod over stroke", |f| Ok(f.crank()?.rod_ratio()));
    work.add_with("mean_piston_speed_m_s", "mean piston speed", note.clone(), |f| {
        Ok(f.crank()?.mean_speed_m_s(f.get("engine.rev_limit")?))
    });
    work.add_with("peak_piston_speed_m_s", "peak piston speed", note.clone(), |f| {
        Ok(f.crank()?.peak_speeds(f.get("engine.rev_limit")?)[0].speed_m_s)
    });
    work.add_with("top_acceleration_m_s2", "piston acceleration at top dead centre", note, |f| {
        let crank = f.crank()?;
        Ok(crank.acceleration_m_s2(crank.tdc_rad(), f.get("engine.rev_limit")?))
    });
}

fn masses_of(f: &Facts<'_>) -> Result<CylinderMasses, Lack> {
    let x = f.all([
        "rod.big_end_mass",
        "rod.bearing_mass",
        "rod.small_end_mass",
        "piston.mass",
        "piston.pin_mass",
        "piston.locks_mass",
        "piston.rings_mass",
    ])?;
    Ok(CylinderMasses {
        big_end_kg: x[0],
        bearing_kg: x[1],
        small_end_kg: x[2],
        piston_kg: x[3],
        pin_kg: x[4],
        locks_kg: x[5],
        rings_kg: x[6],
    })
}

pub(super) fn reciprocating_kg(f: &Facts<'_>) -> Result<f64, Lack> {
    Ok(f.all(["rod.small_end_mass", "piston.mass", "piston.pin_mass", "piston.locks_mass", "piston.rings_mass"])?
        .iter()
        .sum())
}

pub(super) fn masses(work: &mut Work<'_>) {
    work.section("masses", "Masses and loads");
    let build = work.facts.build();
    let note =
        "at the overlap top dead centre and the rev limit; no release for running, the part maker's figure comes first";
    work.add("reciprocating_kg", "reciprocating mass", reciprocating_kg);
    work.add_with("small_end_tension_n", "tension at the small end", Some(note.to_owned()), |f| {
        let masses = PullingMasses { reciprocating_kg: reciprocating_kg(f)?, rotating_kg: 0.0 };
        Ok(tension_at_overlap_n(masses, f.crank()?, f.get("engine.rev_limit")?)?)
    });
    if let Some(bolts) = build.rod.bolts {
        work.add_with("rod_bolt_tension_n", "tension of each rod bolt", Some(note.to_owned()), |f| {
            let masses =
                PullingMasses { reciprocating_kg: reciprocating_kg(f)?, rotating_kg: f.get("rod.above_bolts_mass")? };
            Ok(per_bolt_n(tension_at_overlap_n(masses, f.crank()?, f.get("engine.rev_limit")?)?, bolts)?)
        });
    } else {
        work.lack("rod_bolt_tension_n", "tension of each rod bolt", &Lack::missing("rod.bolts"));
    }
    let rods = build.rod.rods_per_pin;
    work.add("bobweight_kg", "bobweight of one crankpin", |f| {
        let rods_per_pin = rods.ok_or_else(|| Lack::missing("rod.rods_per_pin"))?;
        let [reciprocating_share, oil_kg] = f.all(["rod.balance_share", "rod.oil_mass"])?;
        Ok(bobweight_kg(&masses_of(f)?, BalanceRule { rods_per_pin, reciprocating_share, oil_kg })?)
    });
}
