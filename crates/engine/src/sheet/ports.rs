//! Port flow, spread between ports, coefficients, and the inlet Mach index.

use super::Work;
use super::valves::VALVES;
use crate::build::{Facts, Lack};
use crate::cam::Valve;
use crate::flow_bench::{Cd, Curtain, FlowCurve, Gas, Throat};
use crate::port_speed::{Inlet, mean_velocity_m_s, speed_of_sound_m_s};
use crate::port_spread::{Likeness, over_lifts, spread};

pub(super) fn ports(work: &mut Work<'_>) {
    work.section("ports", "Ports");
    let facts = work.facts;
    let sound = |f: &Facts<'_>| -> Result<f64, Lack> {
        let [outside_k, rise_k] = f.all(["ambient.temperature", "assumed.port_temperature_rise"])?;
        Ok(speed_of_sound_m_s(outside_k + rise_k, Gas::AIR)?)
    };
    for (valve, name) in VALVES {
        let measured = facts.ports(valve);
        if measured.is_empty() {
            let key = format!("{name}_effective_area_m2");
            work.lack(&key, &format!("{name} port figures"), &Lack::missing("flow"));
            continue;
        }
        let indices: Vec<usize> = measured.iter().map(|(n, _)| *n).collect();
        let lift_m = measured.iter().filter_map(|(_, p)| p.lift.last()).map(|l| l.si).fold(f64::INFINITY, f64::min);
        let at = format!(
            "mean of {} measured at {:.3} in ({:.2} mm) of lift",
            said(indices.len()),
            lift_m / 0.0254,
            lift_m * 1e3
        );
        let mean = |f: &Facts<'_>, of: &dyn Fn(&FlowCurve) -> Result<f64, Lack>| -> Result<f64, Lack> {
            let mut sum = 0.0;
            for n in &indices {
                sum += of(&f.flow_curve(*n)?)?;
            }
            Ok(sum / indices.len() as f64)
        };
        let head = &facts.build().head;
        let valves =
            f64::from(if valve == Valve::Intake { head.intake_valves } else { head.exhaust_valves }.unwrap_or(1));
        let full = |c: &FlowCurve| -> Result<f64, Lack> { Ok(c.effective_area_m2(lift_m)?) };
        work.add_with(&format!("{name}_effective_area_m2"), &format!("{name} effective area"), Some(at.clone()), |f| {
            mean(f, &full)
        });
        work.add_with(
            &format!("{name}_cd_curtain"),
            &format!("{name} coefficient on the curtain"),
            Some(at.clone()),
            |f| {
                let valve_m = f.get(&format!("head.{name}_valve"))?;
                // Each valve of the cylinder passes its share.
                Ok(Cd::new(mean(f, &full)? / valves, lift_m, Curtain { valve_m })?.value())
            },
        );
        work.add_with(
            &format!("{name}_cd_throat"),
            &format!("{name} coefficient on the throat less the stem"),
            Some(at),
            |f| {
                let keys = [format!("head.{name}_throat"), format!("head.{name}_stem")];
                let [throat_m, stem_m] = f.all(keys.each_ref().map(String::as_str))?;
                Ok(Cd::new(mean(f, &full)? / valves, lift_m, Throat { throat_m, stem_m })?.value())
            },
        );
        work.add(
            &format!("{name}_mean_area_m2"),
            &format!("{name} effective area, mean over the cam's use of lift"),
            |f| {
                let used = f.lift_use(valve)?;
                mean(f, &|c| Ok(c.mean_over_use(&used)?.effective_area_m2))
            },
        );
        if indices.len() > 1 {
            spread_of(work, valve, name);
        }
        if valve == Valve::Intake {
            let inlet = |f: &Facts<'_>| -> Result<Inlet, Lack> {
                let used = f.lift_use(valve)?;
                let [bore_m, stroke_m] = f.all(["block.bore", "block.stroke"])?;
                // A port on the bench feeds all intake valves of its cylinder.
                let area = mean(f, &|c| Ok(c.mean_over_use(&used)?.effective_area_m2))?;
                Ok(Inlet { bore_m, stroke_m, mean_effective_area_m2: area, sound_m_s: sound(f)? })
            };
            let note = format!(
                "at the rev limit; the port was flowed with {}",
                if valves == 1.0 { "its one valve".to_owned() } else { format!("all {valves} valves of the cylinder") }
            );
            work.add_with("inlet_mach_index", "mean inlet Mach index", Some(note), |f| {
                Ok(inlet(f)?.mach_index(quantity::formula::rpm_from_rad_s(f.get("engine.rev_limit")?))?)
            });
            let note = Some("filling begins to fall between 0.55 and 0.6".to_owned());
            work.add_with("inlet_limit_rpm", "speed at which that index is 0.55", note, |f| {
                Ok(inlet(f)?.rpm_at_index(0.55)?)
            });
        }
    }
    between(work);
}

/// Exhaust against intake at the highest lift that both were measured at, and speeds in the port.
fn between(work: &mut Work<'_>) {
    let facts = work.facts;
    let top = |valve| facts.ports(valve).iter().filter_map(|(_, p)| p.lift.last()).map(|l| l.si).reduce(f64::min);
    if let (Some(intake_m), Some(exhaust_m)) = (top(Valve::Intake), top(Valve::Exhaust)) {
        let lift_m = intake_m.min(exhaust_m);
        // The upper half of the lift, at the lifts of the first intake port.
        let first = facts.ports(Valve::Intake);
        let lifts: Vec<f64> = first
            .iter()
            .take(1)
            .flat_map(|(_, p)| &p.lift)
            .map(|l| l.si)
            .filter(|l| (0.5 * lift_m - 1e-6..=lift_m + 1e-9).contains(l))
            .map(|l| l.min(lift_m))
            .collect();
        let area = |f: &Facts<'_>, valve| -> Result<f64, Lack> {
            let (ports, mut sum) = (f.ports(valve), 0.0);
            for (n, _) in &ports {
                let curve = f.flow_curve(*n)?;
                for lift in &lifts {
                    sum += curve.effective_area_m2(*lift)?;
                }
            }
            Ok(sum / (ports.len() * lifts.len()) as f64)
        };
        let from = lifts.first().copied().unwrap_or(lift_m);
        let note = format!(
            "mean effective areas from {:.3} to {:.3} in ({:.1} to {:.1} mm) of lift",
            from / 0.0254,
            lift_m / 0.0254,
            from * 1e3,
            lift_m * 1e3
        );
        let key = "exhaust_over_intake_share";
        let found = work.add_with(key, "exhaust over intake flow", Some(note), |f| {
            Ok(area(f, Valve::Exhaust)? / area(f, Valve::Intake)?)
        });
        // One bench for both: its factor cancels, how closely a reading comes back does not.
        // Stated as a half-width of 95 %; ±0.5 % where not stated (common practice, no source).
        let repeat = |valve| {
            let port = facts.ports(valve).first().map(|(_, p)| *p);
            0.5 * port.and_then(|p| p.repeatability.as_ref()).map_or(0.005, |r| r.si)
        };
        if let Some(share) = found {
            let u = share * f64::hypot(repeat(Valve::Intake), repeat(Valve::Exhaust));
            work.doubt(key, u, "flow".to_owned());
        }
    }
    for (_, name) in VALVES {
        let keys = [format!("head.{name}_throat"), format!("head.{name}_valve")];
        if facts.build().value(&keys[0]).is_some() {
            let (key, label) = (format!("{name}_throat_over_valve_share"), format!("{name} throat over valve"));
            work.add(&key, &label, |f| {
                f.all(keys.each_ref().map(String::as_str)).map(|[throat, valve]| throat / valve)
            });
        }
    }
    let build = facts.build();
    let (section, place) = if build.head.intake_port_area.is_some() {
        (true, "through the least cross-section of the port")
    } else if build.head.intake_throat.is_some() {
        (false, "through the throat less the stem")
    } else {
        return;
    };
    let note =
        format!("{place}, at the rev limit: piston area times mean piston speed, averaged over the intake stroke");
    work.add_with("intake_port_velocity_m_s", "mean velocity in the intake port", Some(note), |f| {
        let area_m2 = if section {
            f.get("head.intake_port_area")?
        } else {
            let [throat_m, stem_m] = f.all(["head.intake_throat", "head.intake_stem"])?;
            let valves = f64::from(f.build().head.intake_valves.unwrap_or(1));
            valves * 0.25 * std::f64::consts::PI * (throat_m * throat_m - stem_m * stem_m)
        };
        let piston_m2 = 0.25 * std::f64::consts::PI * f.get("block.bore")?.powi(2);
        let mean_m_s = f.crank()?.mean_speed_m_s(f.get("engine.rev_limit")?);
        Ok(mean_velocity_m_s(piston_m2 * mean_m_s, area_m2)?)
    });
}

fn said(ports: usize) -> String {
    if ports == 1 { "1 port".to_owned() } else { format!("{ports} ports") }
}

/// Spread over all lifts that every port was measured at, with what it is like.
fn spread_of(work: &mut Work<'_>, valve: Valve, name: &str) {
    let facts = work.facts;
    let key = format!("{name}_port_spread_share");
    let label = format!("{name} port-to-port spread");
    let measured = facts.ports(valve);
    let found = || -> Result<(f64, f64, Likeness), Lack> {
        let repeat = facts.bench_repeat(measured[0].0)?;
        let mut rows = Vec::new();
        for (n, lift) in measured[0].1.lift.iter().enumerate() {
            let areas: Vec<f64> = measured
                .iter()
                .filter(|(_, p)| p.lift.get(n).is_some_and(|l| (l.si - lift.si).abs() < 1e-6))
                .map(|(index, _)| facts.flow_curve(*index)?.effective_area_m2(lift.si).map_err(Lack::from))
                .collect::<Result<_, _>>()?;
            if areas.len() == measured.len() {
                rows.push(spread(&areas, repeat)?);
            }
        }
        Ok(over_lifts(&rows)?)
    };
    match found() {
        Ok((value, u, likeness)) => {
            let like = match likeness {
                Likeness::MachinedLike => "like machined ports",
                Likeness::SkilledHandLike => "like the work of a skilled hand",
                Likeness::HomeLike => "like home work",
                Likeness::CannotTell => "cannot tell how they were made",
            };
            work.put(super::Figure {
                key,
                label,
                value,
                u: Some(u),
                hangs_on: vec![super::HangsOn { key: "flow".to_owned(), share: Some(1.0) }],
                note: Some(format!("{like}; likeness is no proof")),
            });
        }
        Err(lack) => work.lack(&key, &label, &lack),
    }
}
