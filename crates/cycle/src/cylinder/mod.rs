//! What happens above the piston: mass, energy, composition, burning, heat to the walls, knock.
//!
//! Model: one well-mixed gas at one pressure. While it burns, the share that is burned and the rest have
//! temperatures of their own for what hangs on them strongly: the splitting of hot burned gas and the reactions
//! before knock; energy is summed at the mean temperature. Against zones kept fully apart the pressure during burning
//! differs by less than one in a hundred, before and after not at all.
//! Energy is the state; temperature and pressure follow from it, so that nothing is lost to rounding of a cycle.
//!
//! | module | what it is |
//! |---|---|
//! | [`kinematics`] | volume over crank angle, in lanes |
//! | [`point`] | everything a cylinder has to know at one operating point |
//! | [`step`] | one step in time |
//! | [`exchange`] | what goes into a step and comes out of it |
//! | [`wiebe`] | burned share over crank angle |
//! | [`flame`] | laminar and turbulent flame speed |
//! | [`burn_plan`] | how long burning takes and when it happens, once a cycle |
//! | [`heat_transfer`] | Woschni and Hohenberg |
//! | [`closed`] | a cylinder with its valves shut, for checks and for comparison |
//!
//! Left out: crevices (gas held at the rings near top dead centre and given back; the combustion efficiency stands for
//! part of it), swirl and tumble as such, and unequal mixture within a cylinder.

pub mod burn_plan;
pub mod closed;
pub mod exchange;
pub mod flame;
pub mod heat_transfer;
pub mod kinematics;
pub mod point;
pub mod step;
mod temperature;
pub mod wiebe;

pub use burn_plan::{BurnPlan, Phasing, Trapped};
pub use exchange::{CycleSummary, Exchange, StepParts};
pub use heat_transfer::HeatModel;
pub use kinematics::Kinematics;
pub use point::{CylinderPoint, CylinderSpec};
pub use step::Cylinder;
