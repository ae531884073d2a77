//! B-splines of degree 5 on equally spaced knots, and their derivatives.
//!
//! A lift of degree 5 has a jerk of degree 2 that is continuous with its slope. Coefficients outside
//! the stored ones are zero (the base circle), or repeat (a whole turn).
//!
//! # Source
//! de Boor, *A Practical Guide to Splines* (recurrence and derivative formula; from memory).

/// Degree of every lift spline here.
pub(super) const DEGREE: usize = 5;

/// A spline: coefficient j belongs to the basis function over knots j to j + 6, knot i lying at
/// `start_deg + i · spacing_deg`.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct UniformSpline {
    pub(super) start_deg: f64,
    pub(super) spacing_deg: f64,
    pub(super) coefficients: Vec<f64>,
    pub(super) periodic: bool,
}

impl UniformSpline {
    pub(super) fn end_deg(&self) -> f64 {
        let knots = self.coefficients.len() + if self.periodic { 0 } else { DEGREE };
        self.start_deg + self.spacing_deg * knots as f64
    }

    fn coefficient(&self, j: isize) -> f64 {
        let n = self.coefficients.len() as isize;
        if self.periodic {
            self.coefficients[j.rem_euclid(n) as usize]
        } else if (0..n).contains(&j) {
            self.coefficients[j as usize]
        } else {
            0.0
        }
    }

    /// The derivative of the given order (0 to 4) at an angle.
    pub(super) fn derivative(&self, angle_deg: f64, order: usize) -> f64 {
        let x = (angle_deg - self.start_deg) / self.spacing_deg;
        let interval = x.floor();
        let degree = DEGREE - order;
        let basis = basis(x - interval, degree);
        let mut sum = 0.0;
        for (k, value) in basis[..=degree].iter().enumerate() {
            sum += value * self.difference(interval as isize - degree as isize + k as isize, order);
        }
        sum / self.spacing_deg.powi(order as i32)
    }

    fn difference(&self, j: isize, order: usize) -> f64 {
        if order == 0 { self.coefficient(j) } else { self.difference(j, order - 1) - self.difference(j - 1, order - 1) }
    }
}

/// Values of the degree + 1 basis functions that are not zero at a place `t` (0 to 1) between two
/// knots, the one that started earliest first.
pub(super) fn basis(t: f64, degree: usize) -> [f64; DEGREE + 1] {
    let mut values = [0.0; DEGREE + 1];
    values[0] = 1.0;
    for d in 1..=degree {
        let mut carried = 0.0;
        for k in 0..d {
            // Right neighbour's knot distance: the function k of degree d - 1 runs from k - (d - 1) to k + 1.
            let share = values[k] / d as f64;
            values[k] = carried + (k as f64 + 1.0 - t) * share;
            carried = (t + d as f64 - 1.0 - k as f64) * share;
        }
        values[d] = carried;
    }
    values
}

/// Weights of an order-`order` derivative in the coefficients around an angle: `(first index, weights)`.
pub(super) fn derivative_weights(start_deg: f64, spacing_deg: f64, angle_deg: f64, order: usize) -> (isize, [f64; 6]) {
    let x = (angle_deg - start_deg) / spacing_deg;
    let interval = x.floor();
    let degree = DEGREE - order;
    let values = basis(x - interval, degree);
    // Function k of the lower degree takes the order-th difference of the coefficients that end with its own.
    let binomial: &[f64] = match order {
        0 => &[1.0],
        1 => &[1.0, -1.0],
        2 => &[1.0, -2.0, 1.0],
        3 => &[1.0, -3.0, 3.0, -1.0],
        _ => &[1.0, -4.0, 6.0, -4.0, 1.0],
    };
    let mut weights = [0.0; 6];
    for (k, value) in values[..=degree].iter().enumerate() {
        for (back, sign) in binomial.iter().enumerate() {
            weights[order + k - back] += value * sign / spacing_deg.powi(order as i32);
        }
    }
    (interval as isize - DEGREE as isize, weights)
}

/// Integral of the product of two third derivatives' basis functions `apart` knots from each other,
/// in knot spacings: degree-2 functions, so the degree-5 function at whole numbers.
pub(super) fn jerk_overlap(apart: usize) -> f64 {
    [66.0 / 120.0, 26.0 / 120.0, 1.0 / 120.0].get(apart).copied().unwrap_or(0.0)
}

/// The penalty band: entry d of the result multiplies coefficients d apart in the integral of jerk
/// squared, in units of spacing⁻⁵, for a coefficient far from any end (ends see zeros beyond).
pub(super) fn jerk_penalty_band() -> [f64; DEGREE + 1] {
    const DIFFERENCE: [f64; 4] = [1.0, -3.0, 3.0, -1.0];
    let mut band = [0.0; DEGREE + 1];
    for (d, entry) in band.iter_mut().enumerate() {
        for (a, first) in DIFFERENCE.iter().enumerate() {
            for (b, second) in DIFFERENCE.iter().enumerate() {
                let apart = (a as isize - b as isize + d as isize).unsigned_abs();
                *entry += first * second * jerk_overlap(apart);
            }
        }
    }
    band
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn basis_functions_add_up_to_one_and_meet_the_known_values() {
        for t in [0.0, 0.3, 0.99] {
            for degree in 0..=DEGREE {
                let sum: f64 = basis(t, degree)[..=degree].iter().sum();
                assert!((sum - 1.0).abs() < 1e-14);
            }
        }
        let at_knot = basis(0.0, 5);
        for (value, known) in at_knot.iter().zip([1.0, 26.0, 66.0, 26.0, 1.0, 0.0]) {
            assert!((value - known / 120.0).abs() < 1e-15, "{at_knot:?}");
        }
    }

    #[test]
    fn weights_are_the_derivative() {
        let spline = UniformSpline {
            start_deg: -3.0,
            spacing_deg: 1.7,
            coefficients: (0..12).map(|k| ((k * k) as f64 * 0.37).sin()).collect(),
            periodic: false,
        };
        for order in 0..=4 {
            for angle_deg in [4.3, 9.0, 11.2] {
                let (first, weights) = derivative_weights(-3.0, 1.7, angle_deg, order);
                let direct: f64 =
                    weights.iter().enumerate().map(|(k, w)| w * spline.coefficient(first + k as isize)).sum();
                let through = spline.derivative(angle_deg, order);
                assert!((direct - through).abs() < 1e-12, "order {order}: {direct} {through}");
                if order > 0 {
                    let step = 1e-5;
                    let slope = (spline.derivative(angle_deg + step, order - 1)
                        - spline.derivative(angle_deg - step, order - 1))
                        / (2.0 * step);
                    // A kink in the fifth derivative costs step × its jump; rounding 1e-16 / step.
                    assert!((slope - through).abs() < 1e-4, "order {order}: {slope} {through}");
                }
            }
        }
    }
}
