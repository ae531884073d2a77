//! Blower and turbocharger at the rev limit.

use super::Work;
use crate::blower::{
    BlownEngine, BoostEstimate, Drive, discharge_k, displaced_flow_m3_s, roots_power_w, shaft_power_w, tip_speed_m_s,
};
use crate::build::map::{self, MapPoint};
use crate::build::{Facts, Lack};
use crate::charge_cooler::outlet_k;
use crate::displacement::displacement_m3;
use crate::flow_bench::Gas;
use quantity::formula::rpm_from_rad_s;

/// Blower turns per crank turn: as stated, else from the pulleys.
fn ratio(f: &Facts<'_>) -> Result<f64, Lack> {
    if let Some(stated) = f.stated("blower.ratio") {
        return Ok(stated);
    }
    let [crank_pulley, blower_pulley, step_up] =
        f.all(["blower.crank_pulley", "blower.blower_pulley", "blower.step_up"])?;
    Ok(Drive { crank_pulley, blower_pulley, step_up }.ratio()?)
}

fn crank_rpm(f: &Facts<'_>) -> Result<f64, Lack> {
    Ok(rpm_from_rad_s(f.get("engine.rev_limit")?))
}

/// Volume flow at the inlet and isentropic efficiency, at a pressure ratio: from the map, else from the
/// displacement and constant efficiencies.
fn delivers(f: &Facts<'_>, pressure_ratio: f64) -> Result<MapPoint, Lack> {
    let speed_rad_s = ratio(f)? * f.get("engine.rev_limit")?;
    match &f.build().blower {
        Some(blower) if !blower.map_speed.is_empty() => map::at(blower, speed_rad_s, pressure_ratio),
        _ => {
            let [displacement, volumetric, efficiency] =
                f.all(["blower.displacement", "blower.volumetric_efficiency", "blower.isentropic_efficiency"])?;
            Ok(MapPoint {
                flow_m3_s: displaced_flow_m3_s(displacement, rpm_from_rad_s(speed_rad_s), volumetric)?,
                efficiency,
            })
        }
    }
}

fn coolant_k(f: &Facts<'_>, side: &str) -> Result<f64, Lack> {
    match f.stated(&format!("{side}.coolant_temperature")) {
        Some(stated) => Ok(stated),
        // The air outside cools an air-to-air cooler, and nothing cools without one.
        None => f.get("ambient.temperature"),
    }
}

/// Manifold state where the blower delivers what the engine draws. With a map the pressure ratio is sought
/// by halving: below it the blower gives more than the engine takes at that ratio, above it less.
fn boost(f: &Facts<'_>) -> Result<BoostEstimate, Lack> {
    let mapped = f.build().blower.as_ref().is_some_and(|b| !b.map_speed.is_empty());
    if !mapped {
        return with(f, delivers(f, 1.0)?);
    }
    let blower = f.build().blower.as_ref().ok_or_else(|| Lack::missing("blower"))?;
    let ratios = blower.map_pressure_ratio.iter().map(|r| r.si);
    let (mut low, mut high) = (ratios.clone().fold(f64::INFINITY, f64::min), ratios.fold(0.0, f64::max));
    // How far the blower's delivery at a ratio would push the manifold beyond that ratio.
    let beyond = |ratio: f64| -> Result<f64, Lack> { Ok(with(f, delivers(f, ratio)?)?.pressure_ratio - ratio) };
    if beyond(low)? < 0.0 || beyond(high)? > 0.0 {
        return Err(Lack::Refused(
            "the engine's draw meets the blower's map outside of its pressure ratios".to_owned(),
        ));
    }
    while high - low > 1e-9 {
        let middle = 0.5 * (low + high);
        if beyond(middle)? > 0.0 { low = middle } else { high = middle }
    }
    with(f, delivers(f, 0.5 * (low + high))?)
}

fn with(f: &Facts<'_>, delivered: MapPoint) -> Result<BoostEstimate, Lack> {
    let [bore_m, stroke_m] = f.all(["block.bore", "block.stroke"])?;
    let [cooler_effectiveness, cooler_drop_pa, engine_volumetric_efficiency, inlet_k] = f.all([
        "blower.cooler_effectiveness",
        "blower.cooler_drop",
        "engine.volumetric_efficiency",
        "ambient.temperature",
    ])?;
    let engine = BlownEngine {
        blower_m3_s: delivered.flow_m3_s,
        isentropic_efficiency: delivered.efficiency,
        cooler_effectiveness,
        coolant_k: coolant_k(f, "blower")?,
        cooler_drop_pa,
        engine_m3: displacement_m3(bore_m, stroke_m, f.cylinders()?),
        rpm: crank_rpm(f)?,
        engine_volumetric_efficiency,
        inlet_pa: f.ambient_pa()?,
        inlet_k,
    };
    Ok(engine.boost(Gas::AIR)?)
}

pub(super) fn blower(work: &mut Work<'_>) {
    let Some(stated) = &work.facts.build().blower else { return };
    work.section("blower", "Blower");
    let at = Some("at the rev limit, without belt slip".to_owned());
    work.add("blower_ratio", "blower turns per crank turn", ratio);
    work.add_with("blower_rpm", "blower speed", at.clone(), |f| Ok(ratio(f)? * crank_rpm(f)?));
    if let Some(limit) = &stated.speed_limit {
        let (limit_rpm, crank) =
            (rpm_from_rad_s(limit.si), ratio(work.facts).and_then(|r| Ok(r * crank_rpm(work.facts)?)));
        if crank.is_ok_and(|rpm| rpm > limit_rpm) {
            work.notices
                .push(format!("the blower passes the speed its maker allows, {}, at the rev limit", limit.text));
        }
    }
    if stated.tip_diameter.is_some() {
        work.add_with("blower_tip_speed_m_s", "tip speed", at.clone(), |f| {
            Ok(tip_speed_m_s(f.get("blower.tip_diameter")?, ratio(f)? * crank_rpm(f)?)?)
        });
    }
    let mapped = !stated.map_speed.is_empty();
    if stated.kind.as_deref() == Some("centrifugal") && !mapped {
        let why = Lack::Refused("a centrifugal blower gives no flow by its size; state its flow map".to_owned());
        work.lack("boost_gauge_pa", "boost estimate", &why);
        return;
    }
    work.add_with("blower_flow_m3_s", "blower flow at its inlet", at, |f| {
        let ratio = if mapped { boost(f)?.pressure_ratio } else { 1.0 };
        Ok(delivers(f, ratio)?.flow_m3_s)
    });
    let estimate = Some(format!(
        "estimate at the rev limit: {}, bypass shut, no fuel evaporated",
        if mapped { "by the map, whose own doubt is not in the ±" } else { "constant efficiencies" }
    ));
    work.add_with(
        "boost_gauge_pa",
        "boost estimate",
        estimate.clone(),
        |f| Ok(boost(f)?.manifold_pa - f.ambient_pa()?),
    );
    work.add_with("blower_discharge_k", "temperature behind the blower", estimate.clone(), |f| {
        Ok(boost(f)?.discharge_k)
    });
    work.add_with("manifold_k", "temperature in the manifold", estimate.clone(), |f| Ok(boost(f)?.manifold_k));
    work.add_with("air_flow_kg_s", "air mass flow", estimate, |f| Ok(boost(f)?.mass_flow_kg_s));
    let roots = stated.kind.as_deref() == Some("roots") && !mapped;
    let note = Some("at the rev limit; it is already taken off the torque that a brake reads".to_owned());
    work.add_with("blower_drive_w", "blower drive power", note, |f| {
        let (found, mechanical) = (boost(f)?, f.get("blower.mechanical_efficiency")?);
        if roots {
            let volumetric = f.get("blower.volumetric_efficiency")?;
            let rise_pa = (found.pressure_ratio - 1.0) * f.ambient_pa()?;
            return Ok(roots_power_w(delivers(f, 1.0)?.flow_m3_s / volumetric, rise_pa, mechanical)?);
        }
        let inlet_k = f.get("ambient.temperature")?;
        Ok(shaft_power_w(found.mass_flow_kg_s, inlet_k, found.discharge_k, mechanical, Gas::AIR)?)
    });
}

pub(super) fn turbo(work: &mut Work<'_>) {
    if work.facts.build().turbo.is_none() {
        return;
    }
    work.section("turbo", "Turbocharger");
    let pressure_ratio = |f: &Facts<'_>| -> Result<f64, Lack> {
        let [boost_pa, drop_pa] = f.all(["turbo.boost", "turbo.cooler_drop"])?;
        let outside_pa = f.ambient_pa()?;
        Ok((outside_pa + boost_pa + drop_pa) / outside_pa)
    };
    let behind = |f: &Facts<'_>| -> Result<f64, Lack> {
        let [outside_k, efficiency] = f.all(["ambient.temperature", "turbo.compressor_efficiency"])?;
        Ok(discharge_k(outside_k, pressure_ratio(f)?, efficiency, Gas::AIR)?)
    };
    let manifold_k = |f: &Facts<'_>| -> Result<f64, Lack> {
        let hot_k = behind(f)?;
        match f.get("turbo.cooler_effectiveness")? {
            0.0 => Ok(hot_k),
            effectiveness => Ok(outlet_k(hot_k, coolant_k(f, "turbo")?, effectiveness)?),
        }
    };
    work.add("compressor_pressure_ratio", "compressor pressure ratio", pressure_ratio);
    work.add("compressor_discharge_k", "temperature behind the compressor", behind);
    work.add("manifold_k", "temperature in the manifold", manifold_k);
    let note = Some("at the rev limit, from the volumetric efficiency at manifold state".to_owned());
    work.add_with("air_flow_kg_s", "air mass flow", note, |f| {
        let [bore_m, stroke_m, filling, boost_pa] =
            f.all(["block.bore", "block.stroke", "engine.volumetric_efficiency", "turbo.boost"])?;
        let density = (f.ambient_pa()? + boost_pa) / (Gas::AIR.gas_constant_j_kg_k * manifold_k(f)?);
        Ok(filling * density * displacement_m3(bore_m, stroke_m, f.cylinders()?) * crank_rpm(f)? / 120.0)
    });
}
