//! What presses the air in: blowers driven by the crank, turbochargers, charge coolers.
//!
//! | module | what it is |
//! |---|---|
//! | [`displacement`] | positive-displacement blower with bypass |
//! | [`centrifugal`] | centrifugal wheel on a belt or a turbine's shaft |
//! | [`turbo`] | turbine, wastegate and the balance of power |
//! | [`cooler`] | charge cooler |
//!
//! All are steady at every instant: what flows through follows the pressures on both sides at once. The arithmetic of
//! ratios and efficiencies is [`engine::blower`]; here are the characteristics over speed and pressure ratio.

pub mod centrifugal;
pub mod cooler;
pub mod displacement;
pub mod turbo;

/// What a compressor does at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Delivery {
    /// Mass flow, kg/s, from inlet to outlet; below zero where gas leaks back.
    pub flow_kg_s: f64,
    /// Temperature of what leaves, K.
    pub outlet_k: f64,
    /// Power taken from the shaft, W, without bearings and belt.
    pub gas_w: f64,
    /// Isentropic efficiency.
    pub efficiency: f64,
}
