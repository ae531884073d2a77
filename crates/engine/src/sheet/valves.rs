//! Lift, piston-to-valve clearance, springs and toss.

use super::Work;
use crate::build::{Facts, Lack};
use crate::cam::Valve;
use crate::cam::overlap::{ValveLift, overlap};
use crate::piston_to_valve::{Floor, Gap, Sweep, ValveOverPiston, sweep};
use crate::valve_train::spring::retainer_clearance_m;
use crate::valve_train::surge::surge_frequency_hz;
use crate::valve_train::toss::{Held, toss_speed};

pub(super) const VALVES: [(Valve, &str); 2] = [(Valve::Intake, "intake"), (Valve::Exhaust, "exhaust")];

pub(super) fn lift(work: &mut Work<'_>) {
    work.section("lift", "Lift");
    for (valve, name) in VALVES {
        work.add(&format!("{name}_lobe_lift_m"), &format!("{name} lobe lift"), |f| f.lobe_lift_m(valve));
        work.add(&format!("{name}_valve_lift_m"), &format!("{name} valve lift"), |f| f.valve_lift_m(valve));
        if let Ok(fit) = work.facts.table_fit(valve) {
            let u = fit.lobe_lift_m().u;
            let table = format!("lobe.{name}.table_lift");
            work.doubt(&format!("{name}_lobe_lift_m"), u, table.clone());
            work.doubt(&format!("{name}_valve_lift_m"), u * work.facts.rocker_ratio(valve).unwrap_or(1.0), table);
        }
        let note = Some("at the top dead centre of overlap".to_owned());
        work.add_with(&format!("{name}_lift_at_top_m"), &format!("{name} valve lift"), note, |f| {
            Ok(f.valve_lift_curve(valve)?(0.0))
        });
    }
    work.add("overlap_area_m2", "curtain area over the overlap, per crank degree of overlap", |f| {
        let (i, e) = (f.lift_curve(Valve::Intake)?, f.lift_curve(Valve::Exhaust)?);
        let [intake_m, exhaust_m] = f.all(["head.intake_valve", "head.exhaust_valve"])?;
        let of = |valve, curve, diameter_m| -> Result<_, Lack> {
            Ok(ValveLift { curve, rocker_ratio: f.rocker_ratio(valve)?, lash_m: f.lash_m(valve)?, diameter_m })
        };
        // A hundredth of a millimetre: the whole of the overlap, above the noise of the curve.
        let both = overlap(of(Valve::Intake, &i, intake_m)?, of(Valve::Exhaust, &e, exhaust_m)?, 1e-5)?;
        Ok(if both.overlap_deg > 0.0 { both.curtain_m2_deg / both.overlap_deg } else { 0.0 })
    });
}

/// The valve over its piston, made of the build.
pub(super) fn over_piston(f: &Facts<'_>, name: &str) -> Result<ValveOverPiston, Lack> {
    let keys = [
        "block.deck_clearance".to_owned(),
        "gasket.thickness".to_owned(),
        format!("head.{name}_valve_above_face"),
        format!("piston.{name}_relief_depth"),
        "piston.running_allowance".to_owned(),
        format!("head.{name}_valve_angle"),
    ];
    let x = f.all(keys.each_ref().map(String::as_str))?;
    Ok(ValveOverPiston {
        deck_m: x[0],
        gasket_m: x[1],
        valve_above_face_m: x[2],
        relief_depth_m: x[3],
        allowance_m: x[4],
        valve_angle_deg: x[5].to_degrees().abs(),
        floor: if x[3] == 0.0 { Floor::SquareToBore } else { Floor::ParallelToValveHead },
        relief: None,
    })
}

/// Around overlap, 60° either side in steps of 2°, with the valve moved later by crank degrees.
pub(super) fn around_overlap(f: &Facts<'_>, valve: Valve, name: &str, later_deg: f64) -> Result<Sweep, Lack> {
    let lift = f.valve_lift_curve(valve)?;
    Ok(sweep(f.crank()?, &over_piston(f, name)?, |deg| lift(deg - later_deg), -60.0, 60.0, 2.0)?)
}

/// How far a phaser can move the valve towards the piston, crank degrees later.
fn phased_deg(f: &Facts<'_>, valve: Valve) -> Option<f64> {
    match valve {
        Valve::Intake => f.stated("cam.intake_phaser_advance").map(|a| -a.to_degrees()),
        Valve::Exhaust => f.stated("cam.exhaust_phaser_retard").map(f64::to_degrees),
    }
}

pub(super) fn clearance(work: &mut Work<'_>) {
    work.section("clearance", "Piston to valve");
    for (valve, name) in VALVES {
        let least = |f: &Facts<'_>| -> Result<Gap, Lack> { Ok(around_overlap(f, valve, name, 0.0)?.least) };
        let note = least(work.facts).ok().map(|gap| {
            let side = if gap.angle_deg < 0.0 { "before" } else { "after" };
            format!(
                "along the stem, {:.0}° {side} top dead centre, with the running allowance taken off",
                gap.angle_deg.abs()
            )
        });
        work.add_with(&format!("{name}_piston_gap_m"), &format!("least gap of the {name} valve"), note, |f| {
            Ok(least(f)?.along_stem_m)
        });
        let note = Some("along the stem, cold, nothing taken off: what clay or dial shows".to_owned());
        work.add_with(
            &format!("{name}_piston_gap_cold_m"),
            &format!("least gap of the {name} valve, cold"),
            note,
            |f| {
                let later_deg = phased_deg(f, valve).unwrap_or(0.0);
                let cold = ValveOverPiston { allowance_m: 0.0, ..over_piston(f, name)? };
                let lift = f.valve_lift_curve(valve)?;
                Ok(sweep(f.crank()?, &cold, |deg| lift(deg - later_deg), -60.0, 60.0, 2.0)?.least.along_stem_m)
            },
        );
        if phased_deg(work.facts, valve).is_some() {
            let note = Some("along the stem, with the phaser all the way towards the piston".to_owned());
            let label = format!("least gap of the {name} valve");
            work.add_with(&format!("{name}_piston_gap_phased_m"), &label, note, |f| {
                Ok(around_overlap(f, valve, name, phased_deg(f, valve).unwrap_or(0.0))?.least.along_stem_m)
            });
        }
    }
}

pub(super) fn springs(work: &mut Work<'_>) {
    work.section("springs", "Springs");
    for (valve, name) in VALVES {
        work.add(&format!("{name}_seat_force_n"), &format!("{name} seat force"), |f| {
            Ok(f.valve_spring(valve)?.seat_n().0)
        });
        work.add(&format!("{name}_open_force_n"), &format!("{name} force at full lift"), |f| {
            Ok(f.valve_spring(valve)?.force_n(f.valve_lift_m(valve)?)?.0)
        });
        work.add(&format!("{name}_bind_gap_m"), &format!("{name} left to coil bind"), |f| {
            Ok(f.valve_spring(valve)?.bind_gap_m(f.valve_lift_m(valve)?)?)
        });
        if work.facts.build().spring.of(valve).retainer_room.is_some() {
            work.add(&format!("{name}_retainer_gap_m"), &format!("{name} retainer to guide at full lift"), |f| {
                Ok(retainer_clearance_m(f.get(&format!("spring.{name}.retainer_room"))?, f.valve_lift_m(valve)?)?)
            });
        }
        work.add(&format!("{name}_moving_mass_kg"), &format!("{name} moving mass at the valve"), |f| {
            f.moving_mass_kg(valve)
        });
        work.add(&format!("{name}_surge_hz"), &format!("{name} spring's first surge frequency"), |f| {
            let keys = [format!("spring.{name}.rate"), format!("valve_train.{name}.spring_mass")];
            let [rate, mass] = f.all(keys.each_ref().map(String::as_str))?;
            Ok(surge_frequency_hz(rate, mass)?)
        });
        let note = "a stiff valve train; a real one loses contact a tenth or more earlier, so this is no rev limit";
        work.add_with(&format!("{name}_toss_rpm"), &format!("{name} toss speed"), Some(note.to_owned()), |f| {
            let curve = f.lift_curve(valve)?;
            let held = Held {
                curve: &curve,
                rocker_ratio: f.rocker_ratio(valve)?,
                lash_m: f.lash_m(valve)?,
                spring: f.valve_spring(valve)?,
                mass_kg: (f.moving_mass_kg(valve)?, 0.0),
                u_acceleration_share: 0.0,
            };
            Ok(toss_speed(&held)?.engine_rpm)
        });
    }
}
