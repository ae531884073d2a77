//! Random numbers with a fixed seed.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// A source of noise that gives the same numbers for the same seed and purpose, on every machine.
#[derive(Debug, Clone)]
pub struct Noise {
    rng: Pcg64Mcg,
    spare: Option<f64>,
}

impl Noise {
    /// Noise for one purpose (a channel, the scatter of pulls), apart from every other purpose of that seed.
    pub fn new(seed: u64, purpose: &str) -> Self {
        // FNV-1a over the purpose: short, fixed, and good enough to keep the streams apart.
        let hash =
            purpose.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x100_0000_01b3));
        Self { rng: Pcg64Mcg::seed_from_u64(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ hash), spare: None }
    }

    /// A number from 0 to 1, all equally likely.
    pub fn uniform(&mut self) -> f64 {
        self.rng.random::<f64>()
    }

    /// A number from the normal distribution with mean 0 and standard deviation 1 (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        if let Some(z) = self.spare.take() {
            return z;
        }
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        let (sin, cos) = (std::f64::consts::TAU * self.uniform()).sin_cos();
        self.spare = Some(radius * sin);
        radius * cos
    }
}
