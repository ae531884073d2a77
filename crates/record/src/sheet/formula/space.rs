//! Volumes, compression, quench, springs.

use super::{Args, FormulaInfo, Outcome, formula, may, needs};
use crate::sheet::uncertain::{Uncertain, propagate};
use engine::cam::{CheckLift, LiftAt};
use engine::compression::IntakeClosing;
use engine::compression::clearance::{CylinderSizes, disc_m3};
use engine::compression::closing::trapped_ratio;
use engine::compression::target::quench_m;
use engine::displacement::swept_m3;
use engine::kinematics::SliderCrank;

pub(super) fn list() -> Vec<FormulaInfo> {
    let sizes = [
        needs("bore", "bore, diameter"),
        needs("stroke", "stroke"),
        needs("chamber", "chamber volume with valves and plug"),
        needs("gasket_bore", "opening of the gasket, diameter"),
        needs("gasket_thickness", "gasket, compressed"),
        needs("deck", "piston below the block face at top dead centre, positive below"),
        needs("crown", "dish and pockets positive, dome negative"),
        may("crevice", "volume above the top ring"),
    ];
    let closing = [
        needs("rod", "rod between centres"),
        may("offset", "pin offset"),
        needs("closing", "intake closing, crank degrees after bottom dead centre"),
        needs("check", "check lift of that angle, at the lifter"),
    ];
    vec![
        formula("clearance_volume", "Volume above the piston at top dead centre.", &sizes, false, clearance_volume),
        formula("static_ratio", "Static compression ratio.", &sizes, false, static_ratio),
        formula(
            "trapped_ratio",
            "Compression ratio from intake closing, for the check lift of that angle.",
            &[&sizes[..], &closing[..]].concat(),
            false,
            trapped,
        ),
        formula(
            "quench",
            "Deck clearance and compressed gasket: the gap between the flats, at the tightest corner.",
            &[needs("deck", "deck clearances; the least counts"), needs("gasket", "gasket, compressed")],
            false,
            quench,
        ),
        formula(
            "crown",
            "Crown volume: as known, or from a pour with the piston a known way down the bore.",
            &[
                may("known", "crown volume as known; dish positive, dome negative"),
                may("poured", "volume poured"),
                may("bore", "bore, diameter"),
                may("depth", "flat of the crown below the block face while pouring"),
            ],
            false,
            crown,
        ),
        formula(
            "displacement",
            "Swept volume of all cylinders.",
            &[needs("bore", "bores, one for each cylinder"), needs("stroke", "stroke")],
            false,
            displacement,
        ),
        formula(
            "spring_rate",
            "Spring rate from two loads and the lift between.",
            &[needs("seat", "load on the seat"), needs("open", "load at lift"), needs("lift", "valve lift")],
            false,
            spring_rate,
        ),
        formula(
            "room_left",
            "What is left of a height: installed height less lift less coil bind.",
            &[needs("height", "installed height"), needs("lift", "valve lift"), needs("solid", "height when solid")],
            false,
            room_left,
        ),
    ]
}

const NAMES: [&str; 8] = ["bore", "stroke", "chamber", "gasket_bore", "gasket_thickness", "deck", "crown", "crevice"];

/// The sizes in the order of [`NAMES`]; a crevice that is not given is left out of the volume.
fn inputs<'a>(args: &'a Args<'_>, none: &'a Uncertain) -> Result<Vec<&'a Uncertain>, String> {
    NAMES
        .iter()
        .map(|name| match *name {
            "crevice" => Ok(args.maybe(name)?.unwrap_or(none)),
            name => args.one(name),
        })
        .collect()
}

fn sizes(x: &[f64]) -> CylinderSizes {
    CylinderSizes {
        bore_m: x[0],
        stroke_m: x[1],
        chamber_m3: x[2],
        gasket_bore_m: x[3],
        gasket_thickness_m: x[4],
        deck_m: x[5],
        crown_m3: x[6],
        crevice_m3: x[7],
    }
}

fn clearance_volume(args: &Args<'_>) -> Result<Outcome, String> {
    let none = Uncertain::exact(0.0);
    propagate(&inputs(args, &none)?, |x| sizes(x).clearance_m3().map_err(|e| e.to_string())).map(Outcome::plain)
}

fn static_ratio(args: &Args<'_>) -> Result<Outcome, String> {
    let none = Uncertain::exact(0.0);
    propagate(&inputs(args, &none)?, |x| {
        let sizes = sizes(x);
        Ok(1.0 + sizes.swept_m3() / sizes.clearance_m3().map_err(|e| e.to_string())?)
    })
    .map(Outcome::plain)
}

fn trapped(args: &Args<'_>) -> Result<Outcome, String> {
    let none = Uncertain::exact(0.0);
    let mut all = inputs(args, &none)?;
    all.extend([args.one("rod")?, args.maybe("offset")?.unwrap_or(&none), args.one("closing")?]);
    let check = CheckLift::new(args.one("check")?.value, LiftAt::Lifter).map_err(|e| e.to_string())?;
    let value = propagate(&all, |x| {
        let sizes = sizes(x);
        let crank = SliderCrank::from_stroke(x[1], x[8], x[9]).map_err(|e| e.to_string())?;
        let closing = IntakeClosing::new(x[10].to_degrees(), check).map_err(|e| e.to_string())?;
        let clearance_m3 = sizes.clearance_m3().map_err(|e| e.to_string())?;
        let ratio = trapped_ratio(sizes.swept_m3(), clearance_m3, crank, closing).map_err(|e| e.to_string())?;
        Ok(ratio.ratio.value)
    })?;
    Ok(Outcome { value, words: format!("closing read at {} of lifter rise", (args.say)(check.lift_m())) })
}

fn quench(args: &Args<'_>) -> Result<Outcome, String> {
    let decks = args.some("deck")?;
    let mut least = &decks[0];
    for deck in decks {
        if deck.value.value < least.value.value {
            least = deck;
        }
    }
    let value = propagate(&[&least.value, args.one("gasket")?], |x| quench_m(x[0], x[1]).map_err(|e| e.to_string()))?;
    let words = if decks.len() > 1 { format!("tightest at {}", least.row.1.to_lowercase()) } else { String::new() };
    Ok(Outcome { value, words })
}

fn crown(args: &Args<'_>) -> Result<Outcome, String> {
    match (args.maybe("known")?, args.maybe("poured")?) {
        (Some(_), Some(_)) => Err("the crown is stated both as known and as poured; strike one of them".to_owned()),
        (Some(known), None) => Ok(Outcome { value: known.clone(), words: String::new() }),
        (None, Some(poured)) => {
            let depth = args.maybe("depth")?.ok_or("how far the crown was down while pouring is not given")?;
            let inputs = [poured, args.one("bore")?, depth];
            let value = propagate(&inputs, |x| Ok(x[0] - disc_m3(x[1], x[2])))?;
            Ok(Outcome { value, words: "from the pour".to_owned() })
        }
        (None, None) => Err("no crown volume read yet".to_owned()),
    }
}

fn displacement(args: &Args<'_>) -> Result<Outcome, String> {
    let bores = args.some("bore")?;
    let mut inputs = super::values(bores);
    inputs.push(args.one("stroke")?);
    let value = propagate(&inputs, |x| {
        let (bores, stroke_m) = x.split_at(x.len() - 1);
        Ok(bores.iter().map(|bore_m| swept_m3(*bore_m, stroke_m[0])).sum())
    })?;
    Ok(Outcome::plain(value))
}

fn spring_rate(args: &Args<'_>) -> Result<Outcome, String> {
    let lift = args.one("lift")?;
    if !(lift.value > 0.0) {
        return Err("the lift is not above zero".to_owned());
    }
    propagate(&[args.one("seat")?, args.one("open")?, lift], |x| {
        let rate = (x[1] - x[0]) / x[2];
        if rate > 0.0 { Ok(rate) } else { Err("the load at lift is not above the load on the seat".to_owned()) }
    })
    .map(Outcome::plain)
}

fn room_left(args: &Args<'_>) -> Result<Outcome, String> {
    propagate(&[args.one("height")?, args.one("lift")?, args.one("solid")?], |x| Ok(x[0] - x[1] - x[2]))
        .map(Outcome::plain)
}
