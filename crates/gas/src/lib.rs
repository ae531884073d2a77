//! Air: humid air, the atmosphere, and the correction of torque and power to standard air.

pub mod correction;
