//! What the engine's description leads one to expect.

use engine::build::{Build, Facts, Lack};
use engine::cam::Valve;
use engine::cam::timing::timing;
use engine::compression::closing::{TrappedRatio, trapped_ratio};
use engine::compression::cranking::expected_band;
use engine::compression::{CrankingAssumptions, IntakeClosing};
use engine::propagate::Estimate;

/// What a description of the engine leads one to expect of the tests.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ExpectedFromBuild {
    /// Name of the engine, as the description has it.
    pub engine: String,
    /// Cylinders.
    pub cylinders: Option<u32>,
    /// Cylinder numbers of each bank from the front; of an engine in line, one bank. Empty: neighbours are not known.
    pub banks: Vec<Vec<u32>>,
    /// Cranking pressure.
    pub cranking: Option<ExpectedCranking>,
    /// Why there is no cranking pressure to expect: what is not stated.
    pub cranking_lacks: String,
    /// Overlap at the lowest check lift of the card, crank degrees.
    pub overlap_deg: Option<f64>,
    /// Bore, m.
    pub bore_m: Option<f64>,
}

/// The band of cranking pressure at the pressure of the description.
#[derive(Debug, Clone, PartialEq)]
pub struct ExpectedCranking {
    /// Low end, Pa gauge.
    pub low_gauge_pa: f64,
    /// High end, Pa gauge.
    pub high_gauge_pa: f64,
    /// Absolute pressure it was worked out with, Pa.
    pub local_pa: f64,
    /// Whether the description states that pressure or the height; otherwise it is assumed.
    pub local_stated: bool,
    /// Ratio from intake closing.
    pub closing_ratio: f64,
    /// Intake closing, crank degrees after bottom dead centre.
    pub closing_after_bdc_deg: f64,
    /// The check lift it counts at, in words.
    pub check_lift: String,
}

impl ExpectedCranking {
    /// The band at another absolute pressure of the room, Pa.
    ///
    /// # Source
    /// The band is the room's absolute pressure times a factor, less that pressure; the factor is geometry.
    pub fn at(&self, local_pa: f64) -> (f64, f64) {
        let moved = |gauge_pa: f64| (gauge_pa + self.local_pa) / self.local_pa * local_pa - local_pa;
        (moved(self.low_gauge_pa), moved(self.high_gauge_pa))
    }
}

impl ExpectedFromBuild {
    /// From a description of the engine.
    pub fn of(build: &Build) -> Self {
        let facts = Facts::new(build);
        let cylinders = build.block.cylinders;
        let in_line = matches!(build.block.layout.as_deref().map(str::trim), Some("inline" | "single"));
        let banks = match cylinders {
            Some(n) if build.block.banks.is_empty() && in_line && n <= 64 => {
                vec![(1..=n).collect()]
            }
            _ => build.block.banks.clone(),
        };
        let cranking = cranking(&facts);
        Self {
            engine: build.engine.name.clone().unwrap_or_default(),
            cylinders,
            banks,
            cranking_lacks: cranking.as_ref().err().map(ToString::to_string).unwrap_or_default(),
            cranking: cranking.ok(),
            overlap_deg: overlap_deg(&facts),
            bore_m: facts.stated("block.bore"),
        }
    }

    /// Whether two cylinders are neighbours in a bank; `None` where that is not known.
    pub fn neighbours(&self, a: u32, b: u32) -> Option<bool> {
        let place = |c: u32| {
            self.banks.iter().enumerate().find_map(|(n, bank)| bank.iter().position(|x| *x == c).map(|at| (n, at)))
        };
        let ((bank_a, at_a), (bank_b, at_b)) = (place(a)?, place(b)?);
        Some(bank_a == bank_b && at_a.abs_diff(at_b) == 1)
    }
}

fn overlap_deg(facts: &Facts<'_>) -> Option<f64> {
    let (intake, exhaust) = (facts.seat_events(Valve::Intake).ok()?, facts.seat_events(Valve::Exhaust).ok()?);
    // Events at two check lifts give no overlap.
    if !intake.check().same_as(exhaust.check()) {
        return None;
    }
    timing(&intake, &exhaust).ok().map(|t| t.overlap_deg)
}

fn ratio(f: &Facts<'_>) -> Result<TrappedRatio, Lack> {
    let closing = IntakeClosing::of_lobe(&f.seat_events(Valve::Intake)?)?;
    Ok(trapped_ratio(f.cylinder_sizes()?.swept_m3(), f.clearance_m3()?, f.crank()?, closing)?)
}

fn cranking(facts: &Facts<'_>) -> Result<ExpectedCranking, Lack> {
    let found = facts.figure(|f| Ok(ratio(f)?.ratio.value))?;
    let trapped = ratio(facts)?;
    let u = if found.estimate.u.is_finite() { found.estimate.u } else { 0.0 };
    let trapped = TrappedRatio { ratio: Estimate { value: found.estimate.value, u }, ..trapped };
    let band = expected_band(facts.ambient_pa()?, trapped, CrankingAssumptions::default())?;
    Ok(ExpectedCranking {
        low_gauge_pa: band.low_gauge_pa,
        high_gauge_pa: band.high_gauge_pa,
        local_pa: band.local_pa,
        local_stated: facts.stated("ambient.pressure").is_some() || facts.stated("ambient.altitude").is_some(),
        closing_ratio: band.ratio.ratio.value,
        closing_after_bdc_deg: band.ratio.closing.after_bdc_deg(),
        check_lift: band.ratio.closing.check().to_string(),
    })
}
