//! The intake side: runners, plenum, throttle, what the air comes through.

use super::exhaust::has_whole_exhaust;
use super::take::Take;
use super::{PartsError, ValveTable, lack};
use engine::tuned_length::Manifold;
use std::f64::consts::FRAC_PI_4;

/// Pipe from the filter to the throttle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InletDuct {
    /// Length, m.
    pub length_m: f64,
    /// Cross-section, m².
    pub area_m2: f64,
}

/// Intake side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IntakeParts {
    /// Runner with port, valve to plenum, m.
    pub runner_m: f64,
    /// Its cross-section at the plenum, m².
    pub runner_area_m2: f64,
    /// Its cross-section at the valve, m².
    pub port_area_m2: f64,
    /// A throttle for each cylinder and no plenum.
    pub individual: bool,
    /// Plenums, each with its share of the throttles: two with a dual-plane manifold, which every other cylinder in the
    /// firing order hangs on.
    pub planes: usize,
    /// All plenums together, m³; zero with individual throttles.
    pub plenum_m3: f64,
    /// Area of all throttles wide open, m².
    pub throttle_area_m2: f64,
    /// What the air comes through before the throttle, where it is a pipe.
    pub duct: Option<InletDuct>,
    /// Loss of filter and duct before the throttle, in dynamic heads at the throttle.
    pub entry_loss: f64,
    /// Wall of the runners, K.
    pub wall_k: f64,
}

impl IntakeParts {
    pub(super) fn new(
        take: &Take<'_, '_>,
        displacement_m3: f64,
        cylinders: usize,
        valve: &ValveTable,
        charged: bool,
    ) -> Result<Self, PartsError> {
        let build = take.facts.build();
        let word = build.intake.manifold.clone().map(|m| m.to_lowercase());
        let individual = word.as_deref().is_some_and(|m| m.contains("individual"));
        let kind = match word.as_deref() {
            Some("single plane") => Some(Manifold::SinglePlane),
            Some("dual plane") => Some(Manifold::DualPlane),
            Some("tunnel ram") => Some(Manifold::TunnelRam),
            Some("long runner") => Some(Manifold::LongRunner),
            _ => None,
        };
        let usual = match kind {
            _ if individual => 0.30,
            Some(kind) => {
                let (low, high) = kind.usual_length_m();
                0.5 * (low + high)
            }
            None if charged => 0.22,
            None => 0.33,
        };
        let runner_m = take.or_mm("intake.runner_length", usual, "a usual length for this kind of manifold");
        let runner_area_m2 = take.facts.stated("intake.runner_area").unwrap_or_else(|| {
            let area = 1.15 * valve.port_area_m2;
            let why = "runners open a little towards the plenum";
            take.note("intake.runner_area", &format!("{:.1} cm²", area * 1e4), why, "C");
            area
        });
        let plenum_m3 = if individual {
            0.0
        } else {
            let share = if charged { 0.8 } else { 1.0 };
            let text = format!("{:.1} L", share * displacement_m3 * 1e3);
            take.or(
                "intake.plenum_volume",
                share * displacement_m3,
                &text,
                "plenums hold 0.8 to 1.5 displacements",
                "C",
            )
        };
        let throttles = f64::from(build.intake.throttles.unwrap_or(if individual { cylinders as u32 } else { 1 }));
        let throttle_area_m2 = match take.facts.stated("intake.throttle_bore") {
            Some(bore) => throttles * FRAC_PI_4 * bore * bore,
            None => {
                // So wide that air passes at 70 m/s at the rev limit; what is pressed in is about twice as much.
                let limit = take.facts.stated("engine.rev_limit").unwrap_or(650.0);
                let drawn = if charged { 2.0 } else { 1.0 } * displacement_m3;
                let all = drawn * limit / (4.0 * std::f64::consts::PI) / 70.0;
                let all = if individual { 1.1 * valve.port_area_m2 * cylinders as f64 } else { all };
                let bore_m = (all / throttles / FRAC_PI_4).sqrt();
                take.or_mm("intake.throttle_bore", bore_m, "so wide that it hardly takes anything at full load");
                all
            }
        };
        if !(throttle_area_m2 > 0.0) {
            return Err(lack("throttle")(engine::build::Lack::Refused("a throttle without area".into())));
        }
        let over_the_top = matches!(kind, Some(Manifold::SinglePlane | Manifold::DualPlane | Manifold::TunnelRam));
        let in_a_car = has_whole_exhaust(take) && !over_the_top && !individual && !charged;
        let duct = in_a_car.then(|| {
            let length_m = take.constant("intake.duct_length");
            let area_m2 = take.constant("intake.duct_area") * throttle_area_m2;
            let bore_mm = 1e3 * (area_m2 / FRAC_PI_4).sqrt();
            let text = format!("{:.0} mm of {bore_mm:.0} mm bore", 1e3 * length_m);
            let why = "an engine with its whole exhaust has its air cleaner too, and a duct from there to the throttle";
            take.note("intake duct", &text, why, "C");
            InletDuct { length_m, area_m2 }
        });
        let two = kind == Some(Manifold::DualPlane) && !charged && cylinders >= 4 && cylinders.is_multiple_of(2);
        if two {
            let text = "two planes with half the plenum and the throttles each";
            take.note("intake planes", text, "a dual-plane manifold without a cut in its divider", "C");
        }
        Ok(Self {
            duct,
            planes: if two { 2 } else { 1 },
            runner_m,
            runner_area_m2,
            port_area_m2: valve.port_area_m2,
            individual,
            plenum_m3,
            throttle_area_m2,
            entry_loss: take.constant("intake.entry_loss"),
            wall_k: take.constant("intake.wall_temperature"),
        })
    }
}
