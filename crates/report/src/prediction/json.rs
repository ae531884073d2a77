//! A prediction as one JSON object, SI throughout; speeds in rpm, angles in degrees.

use super::text::prediction_finding;
use cycle::predict::{CylinderFigures, Figures, Point, Prediction, Weight};
use cycle::solve::run::Settled;
use quantity::UnitSystem;
use serde_json::{Value, json};

/// Name and version. The number rises when a key changes its meaning or goes.
const FORM: &str = "plateau predict 1";

/// Everything. A number that is not known is `null`.
pub fn prediction_json(prediction: &Prediction, units: UnitSystem) -> Value {
    let band = prediction.band.as_ref().map(|b| {
        json!({
            "rpm": b.rpm,
            "inputs_nm": b.inputs_nm,
            "constants_nm": b.constants_nm,
            "hangs_on": b.moved.iter().map(|m| json!({
                "key": m.key, "constant": m.constant, "torque_nm": m.torque_nm, "share": m.share,
            })).collect::<Vec<_>>(),
            "not_moved": b.not_moved.iter().map(|(key, why)| json!({ "key": key, "why": why })).collect::<Vec<_>>(),
        })
    });
    json!({
        "form": FORM,
        "finding": prediction_finding(prediction, units),
        "engine": prediction.name,
        "displacement_m3": prediction.parts.displacement_m3,
        "compression_ratio": prediction.parts.ratio,
        "cells": prediction.cells,
        "points": prediction.points.iter().map(point).collect::<Vec<_>>(),
        "band": band,
        "assumptions": prediction.assumptions.iter().map(|a| json!({
            "key": a.key, "text": a.text, "why": a.why, "source": a.source,
        })).collect::<Vec<_>>(),
    })
}

fn point(p: &Point) -> Value {
    let settled = match p.settled {
        Settled::Same => "same",
        Settled::Pairs => "pairs",
        Settled::No => "no",
        Settled::Lost => "lost",
    };
    let weight = |w: Weight| match w {
        Weight::Remark => "remark",
        Weight::Outside => "outside",
        Weight::NoResult => "no_result",
    };
    json!({
        "rpm": p.operating.rpm(),
        "throttle": p.operating.throttle,
        "settled": settled,
        "change": p.change,
        "cycles": p.cycles,
        "mesh_change_nm": p.mesh_change_nm,
        "band_nm": p.band_nm,
        "notes": p.notes.iter().map(|n| json!({
            "weight": weight(n.weight), "key": n.key, "text": n.text,
        })).collect::<Vec<_>>(),
        "figures": p.figures.as_ref().map(figures),
    })
}

fn figures(f: &Figures) -> Value {
    json!({
        "torque_nm": f.torque_nm,
        "power_w": f.power_w,
        "bmep_pa": f.bmep_pa,
        "imep_pa": f.imep_pa,
        "pmep_pa": f.pmep_pa,
        "friction_pa": {
            "constant": f.friction.constant_pa, "pressure": f.friction.pressure_pa, "speed": f.friction.speed_pa,
        },
        "blower_pa": f.blower_pa,
        "blower_w": f.blower_w,
        "air_kg_s": f.air_kg_s,
        "filling": f.filling,
        "fuel_kg_s": f.fuel_kg_s,
        "specific_fuel_kg_j": f.specific_fuel_kg_j,
        "lambda": f.lambda,
        "manifold_pa": f.manifold_pa,
        "manifold_k": f.manifold_k,
        "boost_pa": f.boost_pa,
        "charger_k": f.charger_k,
        "back_pa": f.back_pa,
        "exhaust_k": f.exhaust_k,
        "knock_margin_deg": f.knock_margin_deg,
        "energy": {
            "brake": f.energy.brake, "friction": f.energy.friction, "blower": f.energy.blower,
            "walls": f.energy.walls, "exhaust": f.energy.exhaust,
        },
        "cylinders": f.cylinders.iter().map(cylinder).collect::<Vec<_>>(),
    })
}

fn cylinder(c: &CylinderFigures) -> Value {
    json!({
        "number": c.number,
        "imep_pa": c.imep_pa,
        "trapped_kg": c.trapped_kg,
        "residual": c.residual,
        "lambda": c.lambda,
        "p_max_pa": c.p_max_pa,
        "p_max_deg": c.p_max_deg,
        "ca50_deg": c.ca50_deg,
        "spark_btdc_deg": c.spark_btdc_deg,
        "burn_deg": c.burn_deg,
        "knock_margin_deg": c.knock_margin_deg,
        "held_back_deg": c.held_back_deg,
        "t_evo_k": c.t_evo_k,
        "t_max_k": c.t_max_k,
        "t_unburned_k": c.t_unburned_k,
        "cycle_spread": c.spread,
    })
}
