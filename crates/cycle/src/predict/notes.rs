//! What lies outside of what the model is meant for, at one operating point.

use super::figures::Figures;
use crate::model::Operating;
use crate::parts::{ChargerParts, EngineParts};
use crate::solve::run::{Ran, Settled};

/// How much a note weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// Worth knowing.
    Remark,
    /// The figures stand on ground that the model is not meant for.
    Outside,
    /// There are no figures.
    NoResult,
}

/// One note.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Note {
    /// How much it weighs.
    pub weight: Weight,
    /// What for, stable: `settled`, `knock`, `rev_limit` …
    pub key: &'static str,
    /// A sentence.
    pub text: String,
}

/// Everything worth saying of a point.
pub fn notes(
    parts: &EngineParts,
    operating: &Operating,
    ran: &Ran,
    figures: Option<&Figures>,
    mesh_change_nm: Option<f64>,
) -> Vec<Note> {
    let mut found = Vec::new();
    let mut say = |weight, key, text: String| found.push(Note { weight, key, text });
    match ran.settled {
        Settled::Same => {}
        Settled::Pairs => say(Weight::Remark, "settled", "two cycles alternate; their mean is given".into()),
        Settled::No => {
            let text =
                format!("not settled after {} cycles: work still changes by {:.2} %", ran.cycles, 100.0 * ran.change);
            say(Weight::Outside, "settled", text);
        }
        Settled::Lost => {
            say(Weight::NoResult, "settled", "a number was lost while computing; there is no result".into())
        }
    }
    if let Some(limit) = parts.rev_limit_rad_s
        && operating.speed_rad_s > 1.001 * limit
    {
        let text = format!("above the rev limit of {:.0} rpm", limit * 30.0 / std::f64::consts::PI);
        say(Weight::Remark, "rev_limit", text);
    }
    let piston = parts.crank.mean_speed_m_s(operating.speed_rad_s);
    if piston > 27.0 {
        let text = format!("a mean piston speed of {piston:.1} m/s; friction is not known above 27 m/s");
        say(Weight::Outside, "piston_speed", text);
    }
    let Some(f) = figures else {
        if ran.settled != Settled::Lost {
            let text = "the cycle ends, but a figure of it is not a number; there is no result";
            found.push(Note { weight: Weight::NoResult, key: "settled", text: text.into() });
        }
        return found;
    };
    if f.cylinders.iter().any(|c| c.spark_btdc_deg.is_nan()) {
        say(Weight::Outside, "fire", "a cylinder does not fire".into());
        return found;
    }
    let worst = f.cylinders.iter().map(|c| c.held_back_deg).fold(0.0, f64::max);
    if f.knock_margin_deg < -2.0 {
        let text = format!("past the border of knock by {:.0}° of spark", -f.knock_margin_deg);
        say(Weight::Remark, "knock", text);
    } else if worst > 25.0 {
        let text = format!("knock holds burning back by {worst:.0} degrees; the model is not meant for that much");
        say(Weight::Outside, "knock", text);
    } else if worst > 0.5 {
        say(Weight::Remark, "knock", format!("knock holds the spark back by {worst:.0}°"));
    }
    if !(0.7..=1.25).contains(&f.lambda) {
        say(
            Weight::Outside,
            "lambda",
            format!("a lambda of {:.2}: flame speeds are fitted from 0.7 to 1.25", f.lambda),
        );
    }
    let residual = f.cylinders.iter().map(|c| c.residual).fold(0.0, f64::max);
    if residual > 0.30 {
        let text = format!(
            "{:.0} % of the charge is residual gas; flame speeds are fitted up to about 20 %",
            100.0 * residual
        );
        say(Weight::Outside, "residual", text);
    }
    let burn = f.cylinders.iter().map(|c| c.burn_deg).fold(0.0, f64::max);
    if burn > 70.0 {
        say(Weight::Outside, "burn", format!("burning takes {burn:.0} degrees; an engine would misfire now and then"));
    }
    let peak = f.cylinders.iter().map(|c| c.p_max_pa).fold(0.0, f64::max);
    if peak > 150e5 {
        let text = format!("a peak pressure of {:.0} bar; the gas is taken as ideal up to 150", peak / 1e5);
        say(Weight::Outside, "peak", text);
    }
    if let (ChargerParts::Turbo(turbo), Some(boost)) = (&parts.charger, f.boost_pa)
        && boost < 0.95 * turbo.boost_pa
    {
        let (has, wants) = (boost / 1e3, turbo.boost_pa / 1e3);
        say(Weight::Remark, "boost", format!("{has:.0} kPa of boost where the control asks for {wants:.0}"));
    }
    if let (ChargerParts::Centrifugal(_), true) = (&parts.charger, f.boost_pa.is_some_and(|b| b < 0.0)) {
        say(Weight::Outside, "surge", "the wheel has less head than the manifold asks for".into());
    }
    if let Some(change) = mesh_change_nm
        && change.abs() > 0.03 * f.torque_nm.abs()
    {
        let text = format!("twice the cell length moves torque by {:.1} %", 100.0 * change.abs() / f.torque_nm.abs());
        say(Weight::Remark, "mesh", text);
    }
    found
}
