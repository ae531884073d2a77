//! Weights: bobweight.

use super::{Args, FormulaInfo, Item, Outcome, formula, may, needs};
use crate::sheet::uncertain::{Uncertain, propagate};
use engine::balance::{BalanceRule, CylinderMasses, bobweight_kg};

pub(super) fn list() -> Vec<FormulaInfo> {
    vec![formula(
        "bobweight",
        "Bobweight of one crankpin from the mean of each part.",
        &[
            needs("big_end", "big ends with cap and bolts"),
            needs("bearing", "both shells of one rod"),
            needs("small_end", "small ends"),
            needs("piston", "pistons"),
            needs("pin", "pins"),
            needs("locks", "locks of one pin"),
            needs("rings", "ring set of one piston"),
            needs("rods_per_pin", "rods on one crankpin"),
            needs("share", "share of the reciprocating mass"),
            may("oil", "oil carried by one crankpin"),
        ],
        false,
        bobweight,
    )]
}

fn mean(items: &[Item]) -> Result<Uncertain, String> {
    propagate(&super::values(items), |x| Ok(x.iter().sum::<f64>() / x.len() as f64))
}

fn bobweight(args: &Args<'_>) -> Result<Outcome, String> {
    let parts = ["big_end", "bearing", "small_end", "piston", "pin", "locks", "rings"];
    let means: Vec<Uncertain> = parts.iter().map(|name| mean(args.some(name)?)).collect::<Result<_, _>>()?;
    let none = Uncertain::exact(0.0);
    let mut inputs: Vec<&Uncertain> = means.iter().collect();
    inputs.push(args.one("share")?);
    inputs.push(args.maybe("oil")?.unwrap_or(&none));
    let rods = args.one("rods_per_pin")?.value;
    if !(rods.fract() == 0.0 && (1.0..=8.0).contains(&rods)) {
        return Err(format!("{rods} rods on one crankpin; 1 to 8 are expected"));
    }
    let value = propagate(&inputs, |x| {
        let masses = CylinderMasses {
            big_end_kg: x[0],
            bearing_kg: x[1],
            small_end_kg: x[2],
            piston_kg: x[3],
            pin_kg: x[4],
            locks_kg: x[5],
            rings_kg: x[6],
        };
        let rule = BalanceRule { rods_per_pin: rods as u32, reciprocating_share: x[7], oil_kg: x[8] };
        bobweight_kg(&masses, rule).map_err(|e| e.to_string())
    })?;
    Ok(Outcome::plain(value))
}
