//! Fuel, injectors, pump, and lengths to start from.

use super::Work;
use crate::build::{Facts, Lack};
use crate::cam::Valve;
use crate::displacement::displacement_m3;
use crate::injector::{Rated, difference_pa, duty, fuel_flow_kg_s, pump_flow_m3_s};
use crate::tuned_length::{Manifold, STANDING, collector_diameter_m, plenum_volume_m3, primary_length_m};
use quantity::formula::rpm_from_rad_s;
use quantity::{Limits, Verdict, verdict};

pub(super) fn fuel(work: &mut Work<'_>) {
    work.section("fuel", "Fuel");
    work.add("stoichiometric_ratio", "air over fuel by mass, nothing left over", |f| f.stoichiometric());
    work.add("fuel_density_kg_m3", "fuel density at 15 °C", |f| Ok(f.fuel()?.density_kg_m3));
    work.add("heating_value_j_kg", "lower heating value", |f| Ok(f.fuel()?.heating_j_kg));
    if work.facts.build().fuel.ron.is_some() {
        work.add("octane_aki", "anti-knock index, (R+M)/2", |f| {
            f.all(["fuel.ron", "fuel.mon"]).map(|[r, m]| 0.5 * (r + m))
        });
    }
    let needed = |f: &Facts<'_>| -> Result<f64, Lack> {
        let [power_w, specific] = f.all(["engine.expected_power", "fuel.specific_fuel"])?;
        Ok(fuel_flow_kg_s(power_w, specific)?)
    };
    let at = Some("at the power to expect".to_owned());
    work.add_with("fuel_flow_kg_s", "fuel flow", at.clone(), needed);
    let injectors = work.facts.build().fuel.injectors;
    if injectors.is_none() && work.facts.build().fuel.injector_flow.is_none() {
        return;
    }
    work.add_with("injector_duty_share", "injector duty", at.clone(), |f| {
        let injectors = injectors.ok_or_else(|| Lack::missing("fuel.injectors"))?;
        let test_pa = f.get("fuel.injector_test_pressure")?;
        let density = f.fuel()?.density_kg_m3;
        let rated = match f.stated("fuel.injector_mass_flow") {
            Some(mass) => Rated::by_mass(mass, test_pa, f.get("fuel.injector_test_density")?)?,
            None => {
                let [flow_m3_s, density_kg_m3] = f.all(["fuel.injector_flow", "fuel.injector_test_density"])?;
                Rated { flow_m3_s, difference_pa: test_pa, density_kg_m3 }
            }
        };
        let rail_pa = f.stated("fuel.rail_pressure").unwrap_or(test_pa);
        let manifold_pa = match f.build().fuel.rail_follows.as_deref() {
            Some("air") => f.stated("turbo.boost").unwrap_or(0.0),
            _ => 0.0,
        };
        Ok(duty(needed(f)?, injectors, rated.at(difference_pa(rail_pa, manifold_pa)?, density)?.mass_flow_kg_s())?)
    });
    let note = Some("at the power to expect, with a fifth in hand".to_owned());
    work.add_with("pump_flow_m3_s", "flow asked of the pump", note, |f| {
        Ok(pump_flow_m3_s(needed(f)?, f.fuel()?.density_kg_m3, 0.2)?)
    });
}

pub(super) fn lengths(work: &mut Work<'_>) {
    work.section("lengths", "Lengths to start from");
    let note = Some(format!("{STANDING}; the brake decides"));
    let primary = |f: &Facts<'_>| -> Result<f64, Lack> {
        let opens_deg = -180.0 - f.seat_events(Valve::Exhaust)?.opens().cycle_deg(Valve::Exhaust);
        let speed = match f.stated("engine.expected_power_speed") {
            Some(speed) => speed,
            None => f.get("engine.rev_limit")?,
        };
        Ok(primary_length_m(opens_deg, rpm_from_rad_s(speed))? * f.get("assumed.exhaust_primary_rule")?)
    };
    work.add_with("start_primary_length_m", "exhaust primary", note.clone(), primary);
    if work.facts.build().exhaust.primary_length.is_some() {
        let note = Some(format!("positive: longer than the length to start from; {STANDING}"));
        work.add_with("primary_less_start_m", "stated primary less that length", note, |f| {
            Ok(f.get("exhaust.primary_length")? - primary(f)?)
        });
    }
    if work.facts.build().exhaust.primary_bore.is_some() {
        work.add_with("start_collector_bore_m", "collector bore", note.clone(), |f| {
            Ok(collector_diameter_m(f.get("exhaust.primary_bore")?)?)
        });
    }
    let size = |f: &Facts<'_>| -> Result<f64, Lack> {
        let [bore_m, stroke_m] = f.all(["block.bore", "block.stroke"])?;
        Ok(displacement_m3(bore_m, stroke_m, f.cylinders()?))
    };
    let said = format!("{STANDING}; the brake decides");
    if let Ok((low, high)) = size(work.facts).and_then(|m3| Ok(plenum_volume_m3(m3)?))
        && work.facts.build().blower.is_none()
        && work.facts.build().turbo.is_none()
    {
        let keys = ["block.bore", "block.stroke"].map(str::to_owned);
        work.edge("start_plenum_low_m3", "plenum, from", &said, low, &keys);
        work.edge("start_plenum_high_m3", "plenum, to", &said, high, &keys);
    }
    let kind = match work.facts.build().intake.manifold.as_deref() {
        Some("single plane") => Manifold::SinglePlane,
        Some("dual plane") => Manifold::DualPlane,
        Some("tunnel ram") => Manifold::TunnelRam,
        Some("long runner") => Manifold::LongRunner,
        _ => return,
    };
    let (low, high) = kind.usual_length_m();
    let keys = ["intake.manifold".to_owned()];
    work.edge("start_runner_low_m", "intake runner, usual from", &said, low, &keys);
    work.edge("start_runner_high_m", "intake runner, usual to", &said, high, &keys);
    if let Ok(runner) = work.facts.input("intake.runner_length") {
        let limits = Limits { lower: Some(low), upper: Some(high) };
        let word = match verdict(runner.si, runner.u, limits) {
            Verdict::Inside => "within the usual lengths of this manifold",
            Verdict::Outside => "outside the usual lengths of this manifold",
            Verdict::CannotTell => "at the edge of the usual lengths of this manifold",
        };
        work.add_with("runner_length_m", "intake runner as stated", Some(format!("{word}; {STANDING}")), |f| {
            f.get("intake.runner_length")
        });
    }
}
