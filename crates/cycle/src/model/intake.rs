//! Duct, throttle, plenum and runners.

use super::assemble::{Builder, Operating};
use super::mesh::{Mesh, end_correction_m, pipe};
use crate::duct::DuctSpec;
use crate::parts::EngineParts;
use crate::solve::layout::{Side, VolumeSize};
use crate::solve::network::{At, Behind};
use std::f64::consts::PI;

/// Effective area of a throttle open to a share of its area, with what is before it: dynamic heads at the throttle's
/// full area add, the last one is lost behind it.
pub(super) fn throttle_area_m2(parts: &EngineParts, operating: &Operating) -> f64 {
    let full = parts.intake.throttle_area_m2;
    let plate = operating.throttle.min(1.0) * full;
    (1.0 / (plate * plate) + parts.intake.entry_loss / (full * full)).sqrt().recip()
}

/// Share of the charge of full load at this speed that the throttle lets through, above 0 to 1: 1 at full load.
///
/// Model: an engine draws eight tenths of its displacement, a throttle passes at most its area at sound speed (0.58 of
/// 345 m/s for the density in a choked throat); between the two a smooth passage.
pub(super) fn load_share(parts: &EngineParts, operating: &Operating) -> f64 {
    let drawn_m3_s = 0.8 * parts.displacement_m3 * operating.speed_rad_s / (4.0 * PI);
    let share = |throttle: f64| {
        let area = throttle_area_m2(parts, &Operating { throttle, ..*operating });
        (1.0 + (drawn_m3_s / (area * 0.58 * 345.0)).powi(4)).powf(-0.25)
    };
    share(operating.throttle) / share(1.0)
}

/// Temperature of a wall at part load, K, from that at full load and that of what cools it.
///
/// Model: heat to a wall goes with the charge to the power 0.75 (Taylor and Toong, ASME 57-HT-17, 1957, from memory),
/// and so does what the wall is warmer than what cools it. Left out: that the gas itself is a little cooler.
pub(super) fn wall_k(full_k: f64, cooled_by_k: f64, load_share: f64) -> f64 {
    cooled_by_k + (full_k - cooled_by_k) * load_share.powf(0.75)
}

/// Adds the intake side; gives the pipe of each cylinder, which ends at its valve.
pub(super) fn add(b: &mut Builder<'_>, mesh: &Mesh) -> Vec<usize> {
    let parts = b.parts;
    let intake = &parts.intake;
    let ambient = &parts.ambient;
    let air = b.reservoir(Side::Intake, (ambient.p_pa, ambient.t_k, 0.0));
    let n = parts.cylinders.len();
    let runner = |length_m: f64, from_m2: f64| {
        let cells = Mesh::cells(intake.runner_m, mesh.intake_m, mesh.least);
        let spec = pipe(&[(0.0, from_m2), (length_m, intake.port_area_m2)], cells);
        DuctSpec {
            roughness_m: b.constants.get("duct.intake_roughness"),
            friction_factor: b.constants.get("duct.friction_factor"),
            heat_factor: b.constants.get("duct.intake_heat_factor"),
            wall_k: intake.wall_k,
            ..spec
        }
    };
    if intake.individual {
        let each = throttle_area_m2(parts, b.operating) / n as f64;
        let spec = runner(intake.runner_m + end_correction_m(intake.runner_area_m2), intake.runner_area_m2);
        let share = (each / intake.runner_area_m2).min(1.0);
        let fill = (ambient.p_pa, ambient.t_k + 5.0);
        return (0..n)
            .map(|_| {
                b.pipe(Side::Intake, spec.clone(), [Behind::Vessel(air), b.to_come()], [[share; 2], [1.0; 2]], fill)
            })
            .collect();
    }
    let area = throttle_area_m2(parts, b.operating);
    let (p, t) = b.guess_manifold();
    let plenum_m3 = intake.plenum_m3 / intake.planes as f64;
    let plenum = b.volume(VolumeSize { v_m3: plenum_m3, p_pa: p, t_k: t, yb: 0.0 });
    if let At::Volume(i) = plenum {
        b.layout.manifold = Some(i);
    }
    if parts.charger.is_some() {
        // the blower or compressor draws from a volume of its own behind the throttle or filter
        let v_m3 = (0.25 * intake.plenum_m3).max(1e-3);
        let inlet = b.volume(VolumeSize { v_m3, p_pa: ambient.p_pa, t_k: ambient.t_k, yb: 0.0 });
        b.opening(air, inlet, area);
        b.layout.charger = Some((inlet, plenum));
    } else if let Some(duct) = intake.duct {
        // the throttle is the end of the duct at the plenum
        let cells = Mesh::cells(duct.length_m, 2.0 * mesh.intake_m, mesh.least / 2);
        let long_m = duct.length_m + end_correction_m(duct.area_m2);
        let spec = DuctSpec {
            roughness_m: b.constants.get("duct.intake_roughness"),
            friction_factor: b.constants.get("duct.friction_factor"),
            heat_factor: 1.0,
            wall_k: ambient.t_k,
            ..pipe(&[(0.0, duct.area_m2), (long_m, duct.area_m2)], cells)
        };
        let share = (area / duct.area_m2).min(1.0);
        let ends = [Behind::Vessel(air), Behind::Vessel(plenum)];
        b.pipe(Side::Intake, spec, ends, [[1.0; 2], [share; 2]], (ambient.p_pa, ambient.t_k));
    } else {
        b.opening(air, plenum, area / intake.planes as f64);
    }
    let other = if intake.planes == 2 {
        let plane = b.volume(VolumeSize { v_m3: plenum_m3, p_pa: p, t_k: t, yb: 0.0 });
        b.opening(air, plane, area / 2.0);
        plane
    } else {
        plenum
    };
    let spec = runner(intake.runner_m, intake.runner_area_m2);
    // every other cylinder in the order of firing hangs on the same plane
    let turn = |i: usize| parts.cylinders.iter().filter(|c| c.fires_rad < parts.cylinders[i].fires_rad).count();
    (0..n)
        .map(|i| {
            let from = if turn(i).is_multiple_of(2) { plenum } else { other };
            b.pipe(Side::Intake, spec.clone(), [Behind::Vessel(from), b.to_come()], [[1.0; 2]; 2], (p, t))
        })
        .collect()
}
