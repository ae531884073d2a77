//! How fine pipes are cut.

use crate::duct::DuctSpec;

/// Lengths of cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mesh {
    /// Aimed-at length of a cell on the intake side, m.
    pub intake_m: f64,
    /// The same on the exhaust side, m.
    pub exhaust_m: f64,
    /// Fewest cells of a runner or primary.
    pub least: usize,
}

impl Mesh {
    /// 30 mm and 60 mm, at least eight cells a runner: within half of one in a hundred of a mesh of 0.4 times the size on
    /// the engines of `benches/curve.rs`.
    pub const USUAL: Self = Self { intake_m: 0.030, exhaust_m: 0.060, least: 8 };

    /// For a slider: 60 mm and 90 mm. Within two in a hundred on the same engines.
    pub const QUICK: Self = Self { intake_m: 0.060, exhaust_m: 0.090, least: 4 };

    /// Between the two, 38 mm and 64 mm: within one in a hundred on the same engines.
    pub const CLOSE: Self = Self { intake_m: 0.038, exhaust_m: 0.064, least: 6 };

    /// The same with cells of half the length.
    pub fn halved(self) -> Self {
        self.times(0.5)
    }

    /// The same with cells of so many times the length.
    pub fn times(self, factor: f64) -> Self {
        Self {
            intake_m: self.intake_m * factor,
            exhaust_m: self.exhaust_m * factor,
            least: ((self.least as f64 / factor).round() as usize).max(3),
        }
    }

    pub(super) fn cells(length_m: f64, aim_m: f64, least: usize) -> usize {
        // few different numbers, so that engines of nearly the same lengths run side by side
        const USED: [usize; 24] =
            [2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 16, 18, 20, 24, 28, 32, 36, 40, 48, 56, 64, 80];
        let wanted = ((length_m / aim_m).round() as usize).max(least);
        USED.into_iter().find(|n| *n >= wanted).unwrap_or_else(|| wanted.div_ceil(20) * 20)
    }
}

/// A round pipe through these (length so far m, area m²) places.
pub(super) fn pipe(places: &[(f64, f64)], cells: usize) -> DuctSpec {
    let length_m = places[places.len() - 1].0;
    let d = |area: f64| (area * 4.0 / std::f64::consts::PI).sqrt();
    DuctSpec {
        length_m,
        diameters_m: places.iter().map(|(x, area)| (x / length_m, d(*area))).collect(),
        cells,
        roughness_m: 0.0,
        friction_factor: 1.0,
        heat_factor: 1.0,
        wall_k: 300.0,
    }
}

/// What the air before an open end adds to a pipe of this area, m: 0.6133 radii, unflanged (Levine & Schwinger 1948, from
/// memory).
pub(super) fn end_correction_m(area_m2: f64) -> f64 {
    0.6133 * (area_m2 / std::f64::consts::PI).sqrt()
}
