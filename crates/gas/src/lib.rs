//! Air: humid air, the atmosphere, and the correction of torque and power to standard air.

pub mod atmosphere;
pub mod correction;
mod error;
pub mod humid_air;

pub use error::AirError;
