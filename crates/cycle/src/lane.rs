//! One number, or several side by side: the arithmetic that every kernel is written in.
//!
//! A lane holds one engine at one operating point, or a pair of them the two halves of one. Lanes do not mix: each operation
//! is element by element, and the result in a lane does not depend on its neighbours; [`Lane::with_neighbour`] alone adds up
//! a pair. There is no fused multiply-add: a product and a sum are rounded
//! one after the other, so that a result is the same to the last bit on every machine, whatever its instruction set.
//!
//! `exp` and `ln` of the wide lanes are range reduction and a polynomial of ours (Taylor and the atanh series, ranges
//! in [`exp_f64`] and its neighbours); the plain `f64` uses the standard library.

use core::fmt::Debug;
use core::ops::{Add, AddAssign, Div, DivAssign, Mul, MulAssign, Neg, Sub, SubAssign};

mod elementary;
mod wide;

pub use elementary::{exp_f32, exp_f64, ln_f32, ln_f64};
pub use wide::{F32x8, F32x16, F64x4, Mask4, Mask8, Mask16};

/// Which lanes a condition holds in.
pub trait LaneMask: Copy + Debug + Send + Sync + 'static {
    /// The same answer in every lane.
    fn splat(value: bool) -> Self;
    /// The answer in lane `i`.
    fn get(self, i: usize) -> bool;
    /// Writes the answer of lane `i`.
    fn set(&mut self, i: usize, value: bool);
    /// Holds where both hold.
    fn and(self, other: Self) -> Self;
    /// Holds where either holds.
    fn or(self, other: Self) -> Self;
    /// Holds where this does not.
    fn not(self) -> Self;
    /// Holds in at least one lane.
    fn any(self) -> bool;
    /// Holds in every lane.
    fn all(self) -> bool;
}

/// A piece of work that is worth a call of its own on wide instructions.
///
/// `run` has to be `#[inline(always)]`, and all that it calls: only what becomes part of the one function that is
/// compiled for the wide instructions runs on them.
pub trait Kernel {
    /// What it gives.
    type Output;
    /// Does it.
    fn run(self) -> Self::Output;
}

/// The index of a loop's round, such that the compiler does not pack rounds together: lanes are as wide as the instructions
/// already, and what it makes of both is several times slower.
#[inline(always)]
pub fn apart(i: usize) -> usize {
    core::hint::black_box(i)
}

struct Call<K>(K);

impl<K: Kernel> pulp::NullaryFnOnce for Call<K> {
    type Output = K::Output;
    #[inline(always)]
    fn call(self) -> K::Output {
        self.0.run()
    }
}

#[cfg(target_arch = "x86_64")]
#[inline(always)]
fn on_256<K: Kernel>(kernel: K) -> K::Output {
    match pulp::x86::V3::try_new() {
        Some(wide) => wide.vectorize(Call(kernel)),
        // not compiled a second time for machines before 2013: `run_on` gives them double precision
        None => panic!("eight lanes on a machine without AVX2: ask has_256 first"),
    }
}

#[cfg(target_arch = "x86_64")]
#[inline(always)]
fn on_512<K: Kernel>(kernel: K) -> K::Output {
    match pulp::x86::V4::try_new() {
        Some(wide) => wide.vectorize(Call(kernel)),
        None => panic!("sixteen lanes on a machine without AVX-512: ask has_512 first"),
    }
}

#[cfg(not(target_arch = "x86_64"))]
#[inline(always)]
fn on_256<K: Kernel>(kernel: K) -> K::Output {
    kernel.run()
}

#[cfg(not(target_arch = "x86_64"))]
#[inline(always)]
fn on_512<K: Kernel>(kernel: K) -> K::Output {
    kernel.run()
}

/// Whether the machine runs eight lanes (AVX2 on x86; everywhere else).
pub fn has_256() -> bool {
    #[cfg(target_arch = "x86_64")]
    return pulp::x86::V3::try_new().is_some();
    #[cfg(not(target_arch = "x86_64"))]
    return true;
}

/// Whether the machine runs sixteen lanes as fast as it can.
pub fn has_512() -> bool {
    #[cfg(target_arch = "x86_64")]
    return pulp::x86::V4::try_new().is_some();
    #[cfg(not(target_arch = "x86_64"))]
    return false;
}

/// A number for each engine that is computed side by side. See the head of the module.
pub trait Lane:
    Copy
    + Debug
    + Send
    + Sync
    + 'static
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + AddAssign
    + SubAssign
    + MulAssign
    + DivAssign
{
    /// What a comparison gives.
    type Mask: LaneMask;
    /// Number of lanes.
    const WIDTH: usize;
    /// Smallest relative step of the arithmetic (2.2e-16 or 1.2e-7).
    const EPSILON: f64;

    /// Runs a kernel on the instructions that suit these lanes; the result is the same to the last bit whatever they
    /// are.
    ///
    /// # Panics
    /// Where the machine has no such instructions, see [`has_256`] and [`has_512`].
    fn widest<K: Kernel>(kernel: K) -> K::Output;

    /// The same number in every lane.
    fn splat(value: f64) -> Self;
    /// The number in lane `i`. Panics if `i` is not below [`Lane::WIDTH`].
    fn get(self, i: usize) -> f64;
    /// Writes the number of lane `i`. Panics if `i` is not below [`Lane::WIDTH`].
    fn set(&mut self, i: usize, value: f64);

    /// Puts the number of lane `i` of another into lane `k`; both count on from the first lane beyond the last.
    fn take(&mut self, k: usize, from: &Self, i: usize);

    /// The sum with the lane beside: 0 with 1, 2 with 3 and so on, the same in both. A single lane stays as it is.
    fn with_neighbour(self) -> Self;

    /// The smaller. Where one is not a number the other operand is given (`self < other ? self : other`).
    fn min(self, other: Self) -> Self;
    /// The larger. Where one is not a number the other operand is given (`self > other ? self : other`).
    fn max(self, other: Self) -> Self;
    /// Without its sign.
    fn abs(self) -> Self;
    /// Square root. Not a number below zero.
    fn sqrt(self) -> Self;
    /// Largest whole number not above. Within ±2e9 in `f64`, ±8e6 in `f32`.
    fn floor(self) -> Self;
    /// e to this power, relative error below 1e-14 in `f64`, 2e-7 in `f32`, for results that are normal numbers; outside
    /// that the exponent is limited to the range.
    fn exp(self) -> Self;
    /// Natural logarithm of a positive normal number, error below 1e-14 or 2e-7 of the larger of one and the result.
    fn ln(self) -> Self;

    /// Less than.
    fn lt(self, other: Self) -> Self::Mask;
    /// Less than or equal.
    fn le(self, other: Self) -> Self::Mask;
    /// Greater than.
    fn gt(self, other: Self) -> Self::Mask;
    /// Greater than or equal.
    fn ge(self, other: Self) -> Self::Mask;
    /// `a` where the mask holds, else `b`.
    fn select(mask: Self::Mask, a: Self, b: Self) -> Self;

    /// Zero in every lane.
    #[inline(always)]
    fn zero() -> Self {
        Self::splat(0.0)
    }
    /// One in every lane.
    #[inline(always)]
    fn one() -> Self {
        Self::splat(1.0)
    }
    /// One over this.
    #[inline(always)]
    fn recip(self) -> Self {
        Self::one() / self
    }
    /// `self * a + b`, rounded after the product and after the sum.
    #[inline(always)]
    fn mul_add(self, a: Self, b: Self) -> Self {
        self * a + b
    }
    /// `self` to the power `exponent`, for a positive `self`.
    #[inline(always)]
    fn powf(self, exponent: Self) -> Self {
        (self.ln() * exponent).exp()
    }
    /// A number for each lane from a function of its index.
    #[inline(always)]
    fn from_fn(mut f: impl FnMut(usize) -> f64) -> Self {
        let mut out = Self::zero();
        for i in 0..Self::WIDTH {
            out.set(i, f(i));
        }
        out
    }
    /// Is it a finite number, lane by lane?
    #[inline(always)]
    fn finite(self) -> Self::Mask {
        // zero times a number that is not finite is not a number, and compares false
        (self * Self::zero()).le(Self::zero())
    }
}

impl LaneMask for bool {
    #[inline(always)]
    fn splat(value: bool) -> Self {
        value
    }
    #[inline(always)]
    fn get(self, _i: usize) -> bool {
        self
    }
    #[inline(always)]
    fn set(&mut self, _i: usize, value: bool) {
        *self = value;
    }
    #[inline(always)]
    fn and(self, other: Self) -> Self {
        self & other
    }
    #[inline(always)]
    fn or(self, other: Self) -> Self {
        self | other
    }
    #[inline(always)]
    fn not(self) -> Self {
        !self
    }
    #[inline(always)]
    fn any(self) -> bool {
        self
    }
    #[inline(always)]
    fn all(self) -> bool {
        self
    }
}

impl Lane for f64 {
    type Mask = bool;
    const WIDTH: usize = 1;
    const EPSILON: f64 = f64::EPSILON;

    #[inline(always)]
    fn widest<K: Kernel>(kernel: K) -> K::Output {
        kernel.run()
    }
    #[inline(always)]
    fn splat(value: f64) -> Self {
        value
    }
    #[inline(always)]
    fn get(self, i: usize) -> f64 {
        assert!(i == 0, "one lane");
        self
    }
    #[inline(always)]
    fn set(&mut self, i: usize, value: f64) {
        assert!(i == 0, "one lane");
        *self = value;
    }
    #[inline(always)]
    fn take(&mut self, k: usize, from: &Self, i: usize) {
        assert!(k == 0 && i == 0, "one lane");
        *self = *from;
    }
    #[inline(always)]
    fn with_neighbour(self) -> Self {
        self
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        if self < other { self } else { other }
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        if self > other { self } else { other }
    }
    #[inline(always)]
    fn abs(self) -> Self {
        f64::abs(self)
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }
    #[inline(always)]
    fn floor(self) -> Self {
        f64::floor(self)
    }
    #[inline(always)]
    fn exp(self) -> Self {
        f64::exp(self)
    }
    #[inline(always)]
    fn ln(self) -> Self {
        f64::ln(self)
    }
    #[inline(always)]
    fn powf(self, exponent: Self) -> Self {
        f64::powf(self, exponent)
    }
    #[inline(always)]
    fn lt(self, other: Self) -> bool {
        self < other
    }
    #[inline(always)]
    fn le(self, other: Self) -> bool {
        self <= other
    }
    #[inline(always)]
    fn gt(self, other: Self) -> bool {
        self > other
    }
    #[inline(always)]
    fn ge(self, other: Self) -> bool {
        self >= other
    }
    #[inline(always)]
    fn select(mask: bool, a: Self, b: Self) -> Self {
        if mask { a } else { b }
    }
}
