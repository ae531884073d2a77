//! Lanes of four, eight and sixteen: arrays whose operations are short fixed loops.
//!
//! The compiler turns each loop into one instruction where the function around it is compiled for an instruction set
//! that has it; [`Lane::widest`] sees to that.

use super::{Lane, LaneMask, exp_f32, exp_f64, ln_f32, ln_f64};
use core::ops::{Add, AddAssign, Div, DivAssign, Mul, MulAssign, Neg, Sub, SubAssign};

macro_rules! wide {
    ($name:ident, $mask:ident, $float:ident, $n:literal, $align:literal, $exp:ident, $ln:ident, $on:path, $says:literal) => {
        #[doc = $says]
        #[derive(Debug, Clone, Copy, PartialEq)]
        #[repr(align($align))]
        pub struct $name(pub [$float; $n]);

        #[doc = concat!("Which of the ", stringify!($n), " lanes a condition holds in.")]
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub struct $mask(pub [bool; $n]);

        impl $name {
            #[inline(always)]
            fn map(self, f: impl Fn($float) -> $float) -> Self {
                let mut out = self.0;
                for i in 0..$n {
                    out[i] = f(self.0[i]);
                }
                Self(out)
            }
            #[inline(always)]
            fn zip(self, other: Self, f: impl Fn($float, $float) -> $float) -> Self {
                let mut out = self.0;
                for i in 0..$n {
                    out[i] = f(self.0[i], other.0[i]);
                }
                Self(out)
            }
            #[inline(always)]
            fn test(self, other: Self, f: impl Fn($float, $float) -> bool) -> $mask {
                let mut out = [false; $n];
                for i in 0..$n {
                    out[i] = f(self.0[i], other.0[i]);
                }
                $mask(out)
            }
        }

        impl Add for $name {
            type Output = Self;
            #[inline(always)]
            fn add(self, other: Self) -> Self {
                self.zip(other, |a, b| a + b)
            }
        }
        impl Sub for $name {
            type Output = Self;
            #[inline(always)]
            fn sub(self, other: Self) -> Self {
                self.zip(other, |a, b| a - b)
            }
        }
        impl Mul for $name {
            type Output = Self;
            #[inline(always)]
            fn mul(self, other: Self) -> Self {
                self.zip(other, |a, b| a * b)
            }
        }
        impl Div for $name {
            type Output = Self;
            #[inline(always)]
            fn div(self, other: Self) -> Self {
                self.zip(other, |a, b| a / b)
            }
        }
        impl Neg for $name {
            type Output = Self;
            #[inline(always)]
            fn neg(self) -> Self {
                self.map(|a| -a)
            }
        }
        impl AddAssign for $name {
            #[inline(always)]
            fn add_assign(&mut self, other: Self) {
                *self = *self + other;
            }
        }
        impl SubAssign for $name {
            #[inline(always)]
            fn sub_assign(&mut self, other: Self) {
                *self = *self - other;
            }
        }
        impl MulAssign for $name {
            #[inline(always)]
            fn mul_assign(&mut self, other: Self) {
                *self = *self * other;
            }
        }
        impl DivAssign for $name {
            #[inline(always)]
            fn div_assign(&mut self, other: Self) {
                *self = *self / other;
            }
        }

        impl LaneMask for $mask {
            #[inline(always)]
            fn splat(value: bool) -> Self {
                Self([value; $n])
            }
            #[inline(always)]
            fn get(self, i: usize) -> bool {
                self.0[i]
            }
            #[inline(always)]
            fn set(&mut self, i: usize, value: bool) {
                self.0[i] = value;
            }
            #[inline(always)]
            fn and(self, other: Self) -> Self {
                let mut out = self.0;
                for i in 0..$n {
                    out[i] &= other.0[i];
                }
                Self(out)
            }
            #[inline(always)]
            fn or(self, other: Self) -> Self {
                let mut out = self.0;
                for i in 0..$n {
                    out[i] |= other.0[i];
                }
                Self(out)
            }
            #[inline(always)]
            fn not(self) -> Self {
                let mut out = self.0;
                for i in 0..$n {
                    out[i] = !self.0[i];
                }
                Self(out)
            }
            #[inline(always)]
            fn any(self) -> bool {
                let mut out = false;
                for i in 0..$n {
                    out |= self.0[i];
                }
                out
            }
            #[inline(always)]
            fn all(self) -> bool {
                let mut out = true;
                for i in 0..$n {
                    out &= self.0[i];
                }
                out
            }
        }

        impl Lane for $name {
            type Mask = $mask;
            const WIDTH: usize = $n;
            const EPSILON: f64 = $float::EPSILON as f64;

            #[inline(always)]
            fn widest<K: super::Kernel>(kernel: K) -> K::Output {
                $on(kernel)
            }

            #[inline(always)]
            fn splat(value: f64) -> Self {
                Self([value as $float; $n])
            }
            #[inline(always)]
            fn get(self, i: usize) -> f64 {
                self.0[i] as f64
            }
            #[inline(always)]
            fn set(&mut self, i: usize, value: f64) {
                self.0[i] = value as $float;
            }
            #[inline(always)]
            fn take(&mut self, k: usize, from: &Self, i: usize) {
                self.0[k % $n] = from.0[i % $n];
            }
            #[inline(always)]
            fn with_neighbour(self) -> Self {
                let mut out = self.0;
                for i in 0..$n {
                    out[i] += self.0[i ^ 1];
                }
                Self(out)
            }
            #[inline(always)]
            fn min(self, other: Self) -> Self {
                self.zip(other, |a, b| if a < b { a } else { b })
            }
            #[inline(always)]
            fn max(self, other: Self) -> Self {
                self.zip(other, |a, b| if a > b { a } else { b })
            }
            #[inline(always)]
            fn abs(self) -> Self {
                self.map($float::abs)
            }
            #[inline(always)]
            fn sqrt(self) -> Self {
                self.map($float::sqrt)
            }
            #[inline(always)]
            fn floor(self) -> Self {
                // rounds to the nearest whole number, then steps back where that was above
                const MAGIC: $float = 1.5 / $float::EPSILON;
                self.map(|a| {
                    let near = (a + MAGIC) - MAGIC;
                    if near > a { near - 1.0 } else { near }
                })
            }
            #[inline(always)]
            fn exp(self) -> Self {
                self.map($exp)
            }
            #[inline(always)]
            fn ln(self) -> Self {
                self.map($ln)
            }
            #[inline(always)]
            fn lt(self, other: Self) -> $mask {
                self.test(other, |a, b| a < b)
            }
            #[inline(always)]
            fn le(self, other: Self) -> $mask {
                self.test(other, |a, b| a <= b)
            }
            #[inline(always)]
            fn gt(self, other: Self) -> $mask {
                self.test(other, |a, b| a > b)
            }
            #[inline(always)]
            fn ge(self, other: Self) -> $mask {
                self.test(other, |a, b| a >= b)
            }
            #[inline(always)]
            fn select(mask: $mask, a: Self, b: Self) -> Self {
                let mut out = a.0;
                for i in 0..$n {
                    out[i] = if mask.0[i] { a.0[i] } else { b.0[i] };
                }
                Self(out)
            }
        }
    };
}

wide!(F64x4, Mask4, f64, 4, 32, exp_f64, ln_f64, super::on_256, "Four engines side by side in double precision.");
wide!(F32x8, Mask8, f32, 8, 32, exp_f32, ln_f32, super::on_256, "Eight engines side by side in single precision.");
wide!(F32x16, Mask16, f32, 16, 64, exp_f32, ln_f32, super::on_512, "Sixteen engines side by side in single precision.");
