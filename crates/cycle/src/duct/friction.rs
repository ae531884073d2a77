//! Wall friction of a pipe: a fit to the usual formula that needs one square root in a cell.

/// Viscosity of gas, Pa·s, as `MU_0 + MU_1 · T`: within 7 % of Sutherland's law for air (1.458e-6 T^1.5/(T + 110.4))
/// from 280 to 1400 K. Friction follows viscosity by its square root at most.
pub const MU_0: f64 = 0.98e-5;
/// See [`MU_0`], Pa·s/K.
pub const MU_1: f64 = 3.05e-8;

/// Darcy friction factor of a rough pipe by Haaland (J. Fluids Eng. 105, 1983, from memory): turbulent flow.
///
/// # Checked by
/// `friction_fits_the_table`: validation/cycle, table of pipe friction.
pub fn haaland(reynolds: f64, roughness_over_d: f64) -> f64 {
    let x = -1.8 * ((roughness_over_d / 3.7).powf(1.11) + 6.9 / reynolds).log10();
    1.0 / (x * x)
}

/// Fanning friction factor as `rough + smooth/√Re`, least squares over Re 1e4 to 1e6 against a quarter of [`haaland`].
/// Within 8 % of it there.
pub fn fit(roughness_over_d: f64) -> (f64, f64) {
    // weights 1/f²: relative error counts
    let (mut s11, mut s12, mut s22, mut b1, mut b2) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for i in 0..=40 {
        let re = 10f64.powf(4.0 + 2.0 * f64::from(i) / 40.0);
        let f = haaland(re, roughness_over_d) / 4.0;
        let (x1, x2) = (1.0 / f, 1.0 / (re.sqrt() * f));
        s11 += x1 * x1;
        s12 += x1 * x2;
        s22 += x2 * x2;
        b1 += x1;
        b2 += x2;
    }
    let det = s11 * s22 - s12 * s12;
    ((b1 * s22 - b2 * s12) / det, (b2 * s11 - b1 * s12) / det)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fit_is_close() {
        for rough in [0.0, 1e-4, 1e-3, 5e-3] {
            let (a, b) = fit(rough);
            for re in [1e4, 3e4, 1e5, 3e5, 1e6] {
                let f = haaland(re, rough) / 4.0;
                let fitted = a + b / f64::sqrt(re);
                assert!((fitted / f - 1.0).abs() < 0.08, "roughness {rough}, Re {re}: {fitted} for {f}");
            }
        }
    }

    #[test]
    fn viscosity_is_close_to_sutherland() {
        for t in [280.0, 300.0, 400.0, 600.0, 800.0, 1000.0, 1200.0, 1400.0f64] {
            let mu = 1.458e-6 * t.powf(1.5) / (t + 110.4);
            assert!(((MU_0 + MU_1 * t) / mu - 1.0).abs() < 0.07, "{t} K: {} for {mu}", MU_0 + MU_1 * t);
        }
    }
}
