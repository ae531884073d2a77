//! Geometry and walls of a pipe.

use super::friction;
use crate::lane::Lane;

/// A pipe as it is described: plain numbers of one engine.
#[derive(Debug, Clone, PartialEq)]
pub struct DuctSpec {
    /// Length, m, with what the air before an open end adds.
    pub length_m: f64,
    /// Places along the pipe as share of the length from 0 to 1, rising, and diameter there, m; straight between them.
    pub diameters_m: Vec<(f64, f64)>,
    /// Number of cells.
    pub cells: usize,
    /// Height of the wall's roughness, m.
    pub roughness_m: f64,
    /// Multiplies friction: bends, joints and pulsation.
    pub friction_factor: f64,
    /// Multiplies the heat that friction's analogy gives (Colburn: St Pr^(2/3) = f/2).
    pub heat_factor: f64,
    /// Wall temperature, K.
    pub wall_k: f64,
}

/// What a pipe has throughout.
#[derive(Debug, Clone, Copy)]
pub struct DuctShape<L> {
    /// One over the length of a cell, 1/m.
    pub inv_dx: L,
    /// Area before the first cell, m².
    pub area_first: L,
    /// Fanning friction factor of a rough wall.
    pub friction_rough: L,
    /// What a smooth wall adds, times √Re (times √2, since the kernel has 2/D at hand for 1/D).
    pub friction_smooth: L,
    /// Heat over friction: factor · Pr^(−2/3).
    pub heat: L,
    /// Wall temperature, K.
    pub wall_k: L,
}

/// What changes from cell to cell.
#[derive(Debug, Clone, Copy)]
pub struct CellShape<L> {
    /// Volume, m³.
    pub volume: L,
    /// One over the volume, 1/m³.
    pub inv_volume: L,
    /// Area of the face after the cell, m².
    pub area_after: L,
    /// Change of area through the cell over its mean.
    pub dlna: L,
    /// Two over the diameter, 1/m.
    pub two_over_d: L,
}

impl<L: Lane> DuctShape<L> {
    /// An empty place to be filled lane by lane.
    pub fn blank() -> Self {
        let x = L::one();
        Self { inv_dx: x, area_first: x, friction_rough: x, friction_smooth: x, heat: x, wall_k: x }
    }
}

impl<L: Lane> CellShape<L> {
    /// An empty place to be filled lane by lane.
    pub fn blank() -> Self {
        Self { volume: L::one(), inv_volume: L::one(), area_after: L::one(), dlna: L::zero(), two_over_d: L::one() }
    }
}

impl DuctSpec {
    /// A straight, smooth pipe without heat.
    pub fn straight(length_m: f64, diameter_m: f64, cells: usize) -> Self {
        Self {
            length_m,
            diameters_m: vec![(0.0, diameter_m), (1.0, diameter_m)],
            cells,
            roughness_m: 0.0,
            friction_factor: 0.0,
            heat_factor: 0.0,
            wall_k: 300.0,
        }
    }

    /// Diameter at a share of the length, m.
    pub fn diameter_m(&self, share: f64) -> f64 {
        let points = &self.diameters_m;
        let after = points.iter().position(|p| p.0 >= share).unwrap_or(points.len() - 1);
        let (b, a) = (points[after], points[after.saturating_sub(1)]);
        if b.0 <= a.0 { b.1 } else { a.1 + (b.1 - a.1) * (share - a.0) / (b.0 - a.0) }
    }

    /// Area at a share of the length, m².
    pub fn area_m2(&self, share: f64) -> f64 {
        let d = self.diameter_m(share);
        core::f64::consts::FRAC_PI_4 * d * d
    }

    /// Volume of the whole pipe, m³, as the cells have it.
    pub fn volume_m3(&self) -> f64 {
        (0..self.cells).map(|i| self.cell_volume_m3(i)).sum()
    }

    fn cell_volume_m3(&self, i: usize) -> f64 {
        let n = self.cells as f64;
        let (a, b) = (self.area_m2(i as f64 / n), self.area_m2((i as f64 + 1.0) / n));
        let mid = self.area_m2((i as f64 + 0.5) / n);
        self.length_m / n * (a + 4.0 * mid + b) / 6.0
    }

    /// Writes the pipe into one lane.
    pub fn put<L: Lane>(&self, lane: usize, duct: &mut DuctShape<L>, cells: &mut [CellShape<L>]) {
        let n = self.cells as f64;
        let mean_d = self.diameter_m(0.5);
        let (rough, smooth) = friction::fit(self.roughness_m / mean_d);
        duct.inv_dx.set(lane, n / self.length_m);
        duct.area_first.set(lane, self.area_m2(0.0));
        duct.friction_rough.set(lane, rough * self.friction_factor);
        duct.friction_smooth.set(lane, smooth * self.friction_factor / core::f64::consts::SQRT_2);
        duct.heat.set(lane, self.heat_factor * 0.71f64.powf(-2.0 / 3.0));
        duct.wall_k.set(lane, self.wall_k);
        for (i, cell) in cells.iter_mut().enumerate() {
            let (a, b) = (self.area_m2(i as f64 / n), self.area_m2((i as f64 + 1.0) / n));
            let volume = self.cell_volume_m3(i);
            cell.volume.set(lane, volume);
            cell.inv_volume.set(lane, 1.0 / volume);
            cell.area_after.set(lane, b);
            cell.dlna.set(lane, (b - a) / (volume * n / self.length_m));
            cell.two_over_d.set(lane, 2.0 / self.diameter_m((i as f64 + 0.5) / n));
        }
    }
}
