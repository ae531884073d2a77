//! Exponential and logarithm without branches, so that they run in all lanes at once.

/// e to the power `x`, relative error below 1e-14. `x` outside ±708 is limited to that range.
///
/// x = n ln 2 + r with |r| ≤ ln 2 / 2; e^r by its Taylor series to r¹³ (remainder below 1e-17).
#[inline(always)]
pub fn exp_f64(x: f64) -> f64 {
    const MAGIC: f64 = 6_755_399_441_055_744.0; // 1.5 * 2^52: adding it rounds to a whole number
    const LN2_HI: f64 = 6.931_471_803_691_238e-1;
    const LN2_LO: f64 = 1.908_214_929_270_587_7e-10;
    let x = if x < 708.0 { x } else { 708.0 };
    let x = if x > -708.0 { x } else { -708.0 };
    let shifted = x * core::f64::consts::LOG2_E + MAGIC;
    let n = shifted - MAGIC;
    let r = (x - n * LN2_HI) - n * LN2_LO;
    let mut p = 1.0 / 6_227_020_800.0;
    for c in [
        1.0 / 479_001_600.0,
        1.0 / 39_916_800.0,
        1.0 / 3_628_800.0,
        1.0 / 362_880.0,
        1.0 / 40_320.0,
        1.0 / 5_040.0,
        1.0 / 720.0,
        1.0 / 120.0,
        1.0 / 24.0,
        1.0 / 6.0,
        0.5,
        1.0,
        1.0,
    ] {
        p = p * r + c;
    }
    // the low bits of the shifted number are n in two's complement
    let scale = f64::from_bits((shifted.to_bits().wrapping_add(1023)) << 52);
    p * scale
}

/// e to the power `x`, relative error below 2e-7. `x` outside ±87 is limited to that range.
///
/// As [`exp_f64`], with the Taylor series to r⁷ (remainder below 6e-9).
#[inline(always)]
pub fn exp_f32(x: f32) -> f32 {
    const MAGIC: f32 = 12_582_912.0; // 1.5 * 2^23
    const LN2_HI: f32 = 0.693_359_4;
    const LN2_LO: f32 = -2.121_944_4e-4;
    let x = if x < 87.0 { x } else { 87.0 };
    let x = if x > -87.0 { x } else { -87.0 };
    let shifted = x * core::f32::consts::LOG2_E + MAGIC;
    let n = shifted - MAGIC;
    let r = (x - n * LN2_HI) - n * LN2_LO;
    let mut p = 1.0 / 5_040.0;
    for c in [1.0 / 720.0, 1.0 / 120.0, 1.0 / 24.0, 1.0 / 6.0, 0.5, 1.0, 1.0] {
        p = p * r + c;
    }
    let scale = f32::from_bits((shifted.to_bits().wrapping_add(127)) << 23);
    p * scale
}

/// Natural logarithm of a positive normal number, error below 1e-14 of the larger of one and the result.
///
/// x = 2^k m with m from √½ to √2; ln m = 2 atanh s, s = (m − 1)/(m + 1), |s| ≤ 0.172, series to s¹⁹.
#[inline(always)]
pub fn ln_f64(x: f64) -> f64 {
    const LN2_HI: f64 = 6.931_471_803_691_238e-1;
    const LN2_LO: f64 = 1.908_214_929_270_587_7e-10;
    const SQRT_HALF_BITS: u64 = 0x3fe6_a09e_667f_3bcd;
    const ONE_BITS: u64 = 0x3ff0_0000_0000_0000;
    let shifted = x.to_bits().wrapping_add(ONE_BITS - SQRT_HALF_BITS);
    // the exponent as a number, without an integer conversion: 2^52 + e, minus 2^52
    let e = f64::from_bits((shifted >> 52) | 0x4330_0000_0000_0000) - 4_503_599_627_370_496.0;
    let k = e - 1023.0;
    let m = f64::from_bits((shifted & 0x000f_ffff_ffff_ffff).wrapping_add(SQRT_HALF_BITS));
    let s = (m - 1.0) / (m + 1.0);
    let z = s * s;
    let mut p = 2.0 / 19.0;
    for c in [2.0 / 17.0, 2.0 / 15.0, 2.0 / 13.0, 2.0 / 11.0, 2.0 / 9.0, 2.0 / 7.0, 2.0 / 5.0, 2.0 / 3.0] {
        p = p * z + c;
    }
    k * LN2_HI + (2.0 * s + (s * z * p + k * LN2_LO))
}

/// Natural logarithm of a positive normal number, error below 2e-7 of the larger of one and the result.
///
/// As [`ln_f64`], with the series to s⁹.
#[inline(always)]
pub fn ln_f32(x: f32) -> f32 {
    const LN2_HI: f32 = 0.693_359_4;
    const LN2_LO: f32 = -2.121_944_4e-4;
    const SQRT_HALF_BITS: u32 = 0x3f35_04f3;
    const ONE_BITS: u32 = 0x3f80_0000;
    let shifted = x.to_bits().wrapping_add(ONE_BITS - SQRT_HALF_BITS);
    let e = f32::from_bits((shifted >> 23) | 0x4b00_0000) - 8_388_608.0;
    let k = e - 127.0;
    let m = f32::from_bits((shifted & 0x007f_ffff).wrapping_add(SQRT_HALF_BITS));
    let s = (m - 1.0) / (m + 1.0);
    let z = s * s;
    let mut p = 2.0 / 9.0;
    for c in [2.0 / 7.0, 2.0 / 5.0, 2.0 / 3.0] {
        p = p * z + c;
    }
    k * LN2_HI + (2.0 * s + (s * z * p + k * LN2_LO))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exponential_agrees_with_the_standard_library() {
        for i in -7000..=7000 {
            let x = f64::from(i) * 0.1 + 0.013;
            assert!((exp_f64(x) / x.exp() - 1.0).abs() < 1e-14, "x = {x}");
        }
        for i in -860..=860 {
            let x = i as f32 * 0.1 + 0.013;
            let exact = f64::from(x).exp();
            assert!((f64::from(exp_f32(x)) / exact - 1.0).abs() < 2e-7, "x = {x}: {} for {exact}", exp_f32(x));
        }
    }

    #[test]
    fn logarithm_agrees_with_the_standard_library() {
        for i in -600..=600 {
            let x = 10f64.powf(f64::from(i) * 0.05) * 1.37;
            assert!((ln_f64(x) - x.ln()).abs() < 1e-14 * x.ln().abs().max(1.0), "x = {x}");
            let y = 10f32.powf(i as f32 * 0.05);
            if y.is_normal() {
                let exact = f64::from(y).ln();
                assert!((f64::from(ln_f32(y)) - exact).abs() < 2e-7 * exact.abs().max(1.0), "y = {y}");
            }
        }
        for i in 1..2000 {
            let x = 0.5 + f64::from(i) * 1e-3;
            assert!((ln_f64(x) - x.ln()).abs() < 1e-15, "x = {x}");
        }
    }
}
