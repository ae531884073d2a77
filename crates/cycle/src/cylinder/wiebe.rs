//! Burned share of the charge over crank angle.
//!
//! Model: `x = 1 − exp(−a y^(m+1))` with `y` from 0 at the start of burning to 1 at its end (Wiebe). A form in general
//! use that fits measured burn curves with two numbers; here `a = 6.908`, which ends at 99.9 %, and `m = 2`
//! (from memory). In the cylinder the share is divided by its end value, so that all of the charge burns.

use crate::lane::{Lane, LaneMask};

/// `a` that ends at 99.9 %.
pub const A: f64 = 6.908;
/// Share of the whole duration at which 10, 50 and 90 % are burned, for [`A`] and `m = 2`, of the divided form.
pub const Y10: f64 = 0.247_907_2;
/// See [`Y10`].
pub const Y50: f64 = 0.464_460_6;
/// See [`Y10`].
pub const Y90: f64 = 0.692_452_8;

/// Burned share and its slope at a share `y` (0 … 1) of the duration, any `a` above 0 and `m` above −1.
pub fn share(y: f64, a: f64, m: f64) -> (f64, f64) {
    let left = (-a * y.powf(m + 1.0)).exp();
    (1.0 - left, a * (m + 1.0) * y.powf(m) * left)
}

/// Share of the duration at which a share `x` (0 … 1) is burned.
pub fn time_of(x: f64, a: f64, m: f64) -> f64 {
    (-(1.0 - x).ln() / a).powf(1.0 / (m + 1.0))
}

/// Burned share for `m = 2` in lanes: 0 before the start; after the end the end value, `1 − e^(−a)` times `whole`.
#[inline(always)]
pub fn burned<L: Lane>(theta: L, start: L, duration: L, a: L, whole: L) -> L {
    let y = ((theta - start) / duration).max(L::zero()).min(L::one());
    let x = (L::one() - (-(a * y * y * y)).exp()) * whole;
    L::select(y.gt(L::zero()), x, L::zero())
}

/// Whether burning goes on between two angles.
#[inline(always)]
pub fn goes_on<L: Lane>(from: L, to: L, start: L, duration: L) -> L::Mask {
    to.gt(start).and(from.lt(start + duration))
}
