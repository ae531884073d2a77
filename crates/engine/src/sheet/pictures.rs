//! Curves for drawing: plain points, no drawing here.
//!
//! Lengths in mm, volumes in cm³, areas in mm², angles in crank degrees after the top dead centre of
//! overlap. A curve whose inputs are missing is an error that names them.

use super::valves::{VALVES, around_overlap};
use crate::build::{Build, Facts, Lack};
use crate::cam::Valve;

/// A named row of points.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// What it shows: "intake valve lift".
    pub name: String,
    /// x and y.
    pub points: Vec<(f64, f64)>,
}

/// A named part of a whole, with sign.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// What it is.
    pub name: &'static str,
    /// Its size, cm³; a dome or a piston above the deck is negative.
    pub cm3: f64,
}

/// Lift of both valves (mm) over the cycle, −360 to 360°, in steps of 2°.
///
/// # Errors
/// [`Lack`] when a lobe, ratio or lash is missing.
pub fn lift_curves(build: &Build) -> Result<Vec<Curve>, Lack> {
    let facts = Facts::new(build);
    let mut curves = Vec::new();
    for (valve, name) in VALVES {
        let lift = facts.valve_lift_curve(valve)?;
        let points = (-180..=180).map(|n| (2.0 * f64::from(n), 1e3 * lift(2.0 * f64::from(n)))).collect();
        curves.push(Curve { name: format!("{name} valve lift"), points });
    }
    Ok(curves)
}

/// Piston-to-valve gap along the stem (mm) of both valves, −60 to 60° in steps of 2°.
///
/// # Errors
/// [`Lack`] for what is missing.
pub fn gap_curves(build: &Build) -> Result<Vec<Curve>, Lack> {
    let facts = Facts::new(build);
    let mut curves = Vec::new();
    for (valve, name) in VALVES {
        let sweep = around_overlap(&facts, valve, name, 0.0)?;
        let points = sweep.gaps.iter().map(|g| (g.angle_deg, 1e3 * g.along_stem_m)).collect();
        curves.push(Curve { name: format!("gap of the {name} valve"), points });
    }
    Ok(curves)
}

/// Depth of the piston below its highest point (mm), and its velocity (m/s, down positive) at the rev limit
/// where one is stated, over a turn in steps of 2°.
///
/// # Errors
/// [`Lack`] without stroke or rod.
pub fn piston_motion(build: &Build) -> Result<Vec<Curve>, Lack> {
    let facts = Facts::new(build);
    let crank = facts.crank()?;
    let angles = || (0..=180).map(|n| 2.0 * f64::from(n));
    let depth = angles().map(|deg| (deg, 1e3 * crank.depth_from_tdc_m(deg.to_radians()))).collect();
    let mut curves = vec![Curve { name: "piston below its highest point".to_owned(), points: depth }];
    if let Some(speed) = facts.stated("engine.rev_limit") {
        let velocity =
            angles().map(|deg| (deg, crank.velocity_m_s(crank.tdc_rad() + deg.to_radians(), speed))).collect();
        curves.push(Curve { name: "piston velocity at the rev limit".to_owned(), points: velocity });
    }
    Ok(curves)
}

/// Effective area (mm²) over lift (mm) of every measured port of a valve.
///
/// # Errors
/// [`Lack`] without a measured port.
pub fn port_flow(build: &Build, valve: Valve) -> Result<Vec<Curve>, Lack> {
    let facts = Facts::new(build);
    let measured = facts.ports(valve);
    if measured.is_empty() {
        return Err(Lack::missing("flow"));
    }
    measured
        .iter()
        .map(|(index, port)| {
            let number = port.port.map_or(String::new(), |n| format!(" {n}"));
            let points = facts.flow_curve(*index)?.points().iter().map(|p| (1e3 * p.0, 1e6 * p.1)).collect();
            Ok(Curve { name: format!("{valve} port{number}"), points })
        })
        .collect()
}

/// The parts of the clearance volume, in the order in which they add up.
///
/// # Errors
/// [`Lack`] for sizes that are missing.
pub fn volume_parts(build: &Build) -> Result<Vec<Part>, Lack> {
    let volumes = Facts::new(build).clearance_volumes()?;
    Ok(volumes.parts().into_iter().map(|(name, m3)| Part { name, cm3: m3 * 1e6 }).collect())
}
