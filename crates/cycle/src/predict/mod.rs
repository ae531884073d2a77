//! What an engine will do: its curve from its build, with what the result is worth.
//!
//! | module | what it is |
//! |---|---|
//! | [`many`] | operating points, side by side and on all cores, with the same result whatever their number |
//! | [`figures`] | torque, power, filling and the rest of one point |
//! | [`band`] | how unsure the curve is, from inputs and constants |
//! | [`idle()`] | the throttle at which it idles, and how |
//! | [`notes`] | what lies outside of what the model is meant for |
//!
//! Model: see `docs/model.md`. Nothing here has an engine's own constants.

pub mod band;
pub mod figures;
pub mod idle;
pub mod many;
pub mod notes;

pub use band::{Band, Moved};
pub use figures::{CylinderFigures, EnergyShares, Figures};
pub use idle::{Idle, idle};
pub use notes::{Note, Weight};

use crate::constants::Constants;
use crate::cylinder::HeatModel;
use crate::gas_state::ChargeError;
use crate::model::{Assembled, Mesh, Operating};
use crate::parts::{EngineParts, PartsError};
use crate::solve::run::{Ran, Settle, Settled};
use engine::build::Build;
use engine::build::facts::UsedAssumption;
use many::{Precision, run_many};

/// What to compute, and how finely.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// Operating points.
    pub operating: Vec<Operating>,
    /// Mesh.
    pub mesh: Mesh,
    /// Heat transfer in the cylinders.
    pub heat: HeatModel,
    /// When a cycle counts as settled.
    pub settle: Settle,
    /// Arithmetic.
    pub precision: Precision,
    /// Also on a mesh of twice the cell length: what the mesh is worth.
    pub mesh_check: bool,
}

impl Request {
    /// Full load at these speeds, rpm.
    pub fn full_load(rpm: &[f64]) -> Self {
        Self::at(rpm.iter().map(|&r| Operating::full_load(r)).collect())
    }

    /// These operating points.
    pub fn at(operating: Vec<Operating>) -> Self {
        Self {
            operating,
            mesh: Mesh::USUAL,
            heat: HeatModel::Woschni,
            settle: Settle::USUAL,
            precision: Precision::Quick,
            mesh_check: true,
        }
    }

    /// Without the check of the mesh.
    pub fn quick(mut self) -> Self {
        self.mesh_check = false;
        self
    }
}

/// Why there is no prediction at all.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PredictError {
    /// The build makes no engine that runs.
    #[error(transparent)]
    Parts(#[from] PartsError),
    /// Fuel or mixture.
    #[error(transparent)]
    Charge(#[from] ChargeError),
    /// An operating point that cannot be.
    #[error("{what} of {value} is not possible: expected {expected}")]
    Operating {
        /// Which number.
        what: &'static str,
        /// What was given.
        value: String,
        /// What is expected.
        expected: &'static str,
    },
}

/// One operating point.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Speed and load.
    pub operating: Operating,
    /// How the cycle ended.
    pub settled: Settled,
    /// Change of work and air from the cycle before, share; where cycles came nearer at a steady rate, what is still to
    /// come.
    pub change: f64,
    /// Cycles computed.
    pub cycles: usize,
    /// The figures; `None` where a number was lost on the way.
    pub figures: Option<Figures>,
    /// Torque on this mesh less torque on one of twice the cell length, N·m; `None` where it was not asked for.
    pub mesh_change_nm: Option<f64>,
    /// How unsure torque is, N·m at 95 %; `None` where it was not asked for.
    pub band_nm: Option<f64>,
    /// What lies outside of what the model is meant for.
    pub notes: Vec<Note>,
}

/// A whole prediction.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// The engine's name.
    pub name: String,
    /// The engine as plain numbers.
    pub parts: EngineParts,
    /// Points in the order asked for.
    pub points: Vec<Point>,
    /// Cells of the network.
    pub cells: usize,
    /// What had to be assumed.
    pub assumptions: Vec<UsedAssumption>,
    /// Band with what it hangs on, where it was asked for.
    pub band: Option<Band>,
}

impl Prediction {
    /// The point of greatest torque among those that have figures.
    pub fn best_torque(&self) -> Option<(&Point, &Figures)> {
        self.best(|f| f.torque_nm)
    }

    /// The point of greatest power.
    pub fn best_power(&self) -> Option<(&Point, &Figures)> {
        self.best(|f| f.power_w)
    }

    fn best(&self, of: impl Fn(&Figures) -> f64) -> Option<(&Point, &Figures)> {
        let with = self.points.iter().filter_map(|p| p.figures.as_ref().map(|f| (p, f)));
        with.max_by(|a, b| of(a.1).total_cmp(&of(b.1)))
    }
}

/// Predicts a build with the shipped constants.
///
/// # Errors
/// [`PredictError`] naming the part, the mixture or the operating point that cannot be.
pub fn predict(build: &Build, request: &Request) -> Result<Prediction, PredictError> {
    let parts = EngineParts::from_build(build)?;
    predict_parts(&parts, Constants::shipped(), request)
}

/// Predicts an engine as plain numbers with a set of constants.
///
/// # Errors
/// As [`predict`].
pub fn predict_parts(
    parts: &EngineParts,
    constants: &Constants,
    request: &Request,
) -> Result<Prediction, PredictError> {
    let made = assemble_all(parts, constants, request, &request.mesh)?;
    let cells = made.first().map_or(0, |a| a.layout.cells());
    let mut ran = run_many(&made, request.heat, &request.settle, request.precision);
    // A number lost in single precision gets a second chance in double.
    let lost: Vec<usize> = (0..ran.len()).filter(|&i| ran[i].settled == Settled::Lost).collect();
    if !lost.is_empty() && request.precision == Precision::Quick {
        let again: Vec<Assembled> = lost.iter().map(|&i| made[i].clone()).collect();
        for (i, r) in lost.into_iter().zip(run_many(&again, request.heat, &request.settle, Precision::Double)) {
            ran[i] = r;
        }
    }
    let coarse = if request.mesh_check {
        let coarse = assemble_all(parts, constants, request, &request.mesh.times(2.0))?;
        run_many(&coarse, request.heat, &request.settle, request.precision)
    } else {
        Vec::new()
    };
    let figures_of = |made: &Assembled, ran: &Ran, operating: &Operating| {
        Figures::new(parts, constants, operating, &made.sizes, ran)
    };
    let mut points = Vec::new();
    for (i, operating) in request.operating.iter().enumerate() {
        let figures = figures_of(&made[i], &ran[i], operating);
        let mesh_change_nm = coarse.get(i).and_then(|c| {
            let coarse = figures_of(&made[i], c, operating)?;
            Some(figures.as_ref()?.torque_nm - coarse.torque_nm)
        });
        let notes = notes::notes(parts, operating, &ran[i], figures.as_ref(), mesh_change_nm);
        points.push(Point {
            operating: *operating,
            settled: ran[i].settled,
            change: ran[i].change,
            cycles: ran[i].cycles,
            figures,
            mesh_change_nm,
            band_nm: None,
            notes,
        });
    }
    Ok(Prediction {
        name: parts.name.clone(),
        parts: parts.clone(),
        points,
        cells,
        assumptions: parts.assumptions.clone(),
        band: None,
    })
}

/// Torque of several engines at the operating points of a request, N·m; not a number where there is none.
fn torques(engines: &[(EngineParts, Constants)], request: &Request) -> Result<Vec<Vec<f64>>, PredictError> {
    let mut made = Vec::new();
    for (parts, constants) in engines {
        made.extend(assemble_all(parts, constants, request, &request.mesh)?);
    }
    let ran = run_many(&made, request.heat, &request.settle, request.precision);
    let n = request.operating.len();
    let of = |i: usize| {
        let (parts, constants) = &engines[i / n];
        let figures = Figures::new(parts, constants, &request.operating[i % n], &made[i].sizes, &ran[i]);
        figures.map_or(f64::NAN, |f| f.torque_nm)
    };
    Ok((0..engines.len()).map(|e| (e * n..(e + 1) * n).map(of).collect()).collect())
}

fn assemble_all(
    parts: &EngineParts,
    constants: &Constants,
    request: &Request,
    mesh: &Mesh,
) -> Result<Vec<Assembled>, PredictError> {
    for operating in &request.operating {
        check(operating)?;
    }
    Ok(crate::model::assemble_all(parts, &request.operating, mesh, constants)?)
}

fn check(operating: &Operating) -> Result<(), PredictError> {
    let rpm = operating.rpm();
    if !(200.0..=25_000.0).contains(&rpm) {
        let expected = "200 to 25,000 rpm";
        return Err(PredictError::Operating { what: "a speed", value: format!("{rpm:.0} rpm"), expected });
    }
    if !(operating.throttle > 0.0 && operating.throttle <= 1.0) {
        let value = format!("{:.2} %", 100.0 * operating.throttle);
        return Err(PredictError::Operating { what: "a throttle", value, expected: "above 0 and up to 100 %" });
    }
    Ok(())
}
