//! Knock: how far the unburned gas has come on its way to firing by itself.
//!
//! Model: the ignition delay of Douaud and Eyzat (SAE 780080, 1978, constants from memory),
//! `τ = 17.68 ms · (ON/100)^3.402 · p^−1.7 · exp(3800/T)` with p in atmospheres and T of the unburned gas, summed as
//! `∫dt/τ` (Livengood and Wu); knock when the sum passes 1 before burning ends. As printed the sum is 2 to 3 at best
//! torque on pump fuel, where engines run without knock. It is therefore never shown as it stands: the rate is
//! multiplied by a factor found by calibration, and only the margin in degrees of spark is given, with its uncertainty.
//!
//! Octane: `ON = RON − K (RON − MON)`; K of 0.5 is the number on pumps of North America.
//! Left out: hot spots and deposits, swirl, and the chemistry between 700 and 900 K that a single delay cannot have.

/// Delay before the unburned gas fires by itself, s, as printed: octane number, pressure (Pa), temperature (K).
pub fn delay_s(octane: f64, p_pa: f64, t_k: f64) -> f64 {
    17.68e-3 * (octane / 100.0).powf(3.402) * (p_pa / 101_325.0).powf(-1.7) * (3800.0 / t_k).exp()
}

/// Logarithm of the constant part of one over the delay: what the step in lanes adds pressure and temperature to.
///
/// `ln(1/τ) = this + 1.7 ln(p/Pa) − 3800 K / T`; `factor` multiplies the rate.
pub fn ln_rate(octane: f64, factor: f64) -> f64 {
    factor.ln() - 17.68e-3f64.ln() - 3.402 * (octane / 100.0).ln() - 1.7 * 101_325.0f64.ln()
}

/// Octane number that counts, from research and motor numbers and the weight K of their difference.
pub fn octane_index(ron: f64, mon: f64, weight: f64) -> f64 {
    ron - weight * (ron - mon)
}

/// By how much the logarithm of the integral falls when burning is moved one degree later, where half is burned at
/// `ca50_deg` after top dead centre: the step of the search for the spark, and what degrees of margin are counted by.
///
/// A parabola fitted (least squares) to closed cycles of the model itself at ratios of 8.5 to 12, 1 to 2.4 bar and 1,500 to
/// 6,000 rpm: within 13 % from 6 to 30 degrees, within 30 % up to 42. It flattens where burning is late, since the integral of
/// compression alone stays. Checked by `later_burning_lowers_the_integral`.
pub fn ln_per_deg(ca50_deg: f64) -> f64 {
    (0.0565 - 6.1e-5 * (ca50_deg - 20.0).powi(2)).max(0.02)
}

/// Degrees by which burning has to be later for the integral to be 1, from the integral (above zero) where half is burned at
/// `ca50_deg`; below zero where knock is that many degrees away. Within 60 degrees either way; not a number for an integral
/// that is none.
pub fn degrees_to_border(ca50_deg: f64, integral: f64) -> f64 {
    let ln = integral.ln();
    let mut degrees = ln / ln_per_deg(ca50_deg);
    // The mean slope on the way, by Simpson's rule: exact for the parabola.
    for _ in 0..8 {
        let (middle, end) = (ln_per_deg(ca50_deg + 0.5 * degrees), ln_per_deg(ca50_deg + degrees));
        degrees = (6.0 * ln / (ln_per_deg(ca50_deg) + 4.0 * middle + end)).clamp(-60.0, 60.0);
    }
    degrees
}

/// How unsure the border of knock is, degrees of spark at 95 %: what the spread of the calibrated factor is worth.
pub fn unsure_deg(constants: &crate::constants::Constants) -> f64 {
    let key = "knock.rate_factor";
    degrees_to_border(constants.get("burn.best_ca50"), 1.0 + constants.spread(key) / constants.get(key))
}
