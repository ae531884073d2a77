//! Ports, primaries, collectors and what is behind them.

use super::assemble::Builder;
use super::intake;
use super::mesh::{Mesh, end_correction_m, pipe};
use crate::duct::DuctSpec;
use crate::end::Which;
use crate::parts::{ChargerParts, ExhaustParts, Joined, Tail};
use crate::solve::layout::{Side, VolumeSize};
use crate::solve::network::Behind;

/// Gas and pipes at the start: what a first cycle finds.
const START_K: f64 = 950.0;

/// Adds the exhaust side; gives the pipe of each cylinder, which begins at its valve.
pub(super) fn add(b: &mut Builder<'_>, mesh: &Mesh) -> Vec<usize> {
    let parts = b.parts;
    let exhaust = &parts.exhaust;
    let p = parts.ambient.p_pa;
    let air = b.reservoir(Side::Exhaust, (p, parts.ambient.t_k, 0.0));
    let fill = (1.02 * p, START_K);
    if let ChargerParts::Turbo(turbo) = &parts.charger {
        let v_m3 = 0.3 * parts.displacement_m3;
        let scroll = b.volume(VolumeSize { v_m3, p_pa: p + 0.7 * turbo.boost_pa, t_k: START_K, yb: 1.0 });
        b.opening(scroll, air, 1.5 * turbo.turbine.area_m2);
        b.layout.turbine = Some(b.sizes.openings.len() - 1);
        b.set_scroll(scroll);
    }
    let n = parts.cylinders.len();
    let wall_k = wall_of(b, exhaust.wall_k);
    let primary = |b: &Builder<'_>, extra_m: f64| {
        let length = exhaust.primary_m.max(1.5 * exhaust.port_m);
        let port = exhaust.port_m;
        let cells = Mesh::cells(length, mesh.exhaust_m, mesh.least);
        let places = [
            (0.0, exhaust.port_area_m2),
            (port, exhaust.port_area_m2),
            (1.5 * port, exhaust.primary_area_m2),
            (length + extra_m, exhaust.primary_area_m2),
        ];
        wall(b, pipe(&places, cells), wall_k)
    };
    let to_valve = b.to_come();
    match &exhaust.joined {
        Joined::Separate => {
            let end = b.scroll().unwrap_or(air);
            let spec = primary(b, if end == air { end_correction_m(exhaust.primary_area_m2) } else { 0.0 });
            let pipes: Vec<usize> = (0..n)
                .map(|_| b.pipe(Side::Exhaust, spec.clone(), [to_valve, Behind::Vessel(end)], [[1.0; 2]; 2], fill))
                .collect();
            b.layout.collectors = pipes.iter().map(|p| (*p, Which::Last)).collect();
            pipes
        }
        Joined::Groups(groups) => {
            let mut pipes = vec![0; n];
            for group in groups {
                let junction = b.junction();
                let spec = primary(b, 0.0);
                for &cylinder in group {
                    let ends = [to_valve, Behind::Junction(junction)];
                    pipes[cylinder] = b.pipe(Side::Exhaust, spec.clone(), ends, [[1.0; 2]; 2], fill);
                }
                behind(b, mesh, exhaust, junction, air, fill, group.len());
            }
            pipes
        }
        Joined::Pairs { groups, secondary_m, secondary_area_m2 } => {
            let mut pipes = vec![0; n];
            for pairs in groups {
                let collector = b.junction();
                for pair in pairs {
                    let junction = b.junction();
                    let spec = primary(b, 0.0);
                    for &cylinder in pair {
                        let ends = [to_valve, Behind::Junction(junction)];
                        pipes[cylinder] = b.pipe(Side::Exhaust, spec.clone(), ends, [[1.0; 2]; 2], fill);
                    }
                    let cells = Mesh::cells(*secondary_m, mesh.exhaust_m, mesh.least / 2);
                    let places = [(0.0, *secondary_area_m2), (*secondary_m, *secondary_area_m2)];
                    let spec = wall(b, pipe(&places, cells), wall_k);
                    let ends = [Behind::Junction(junction), Behind::Junction(collector)];
                    b.pipe(Side::Exhaust, spec, ends, [[1.0; 2]; 2], fill);
                }
                behind(b, mesh, exhaust, collector, air, fill, pairs.iter().map(Vec::len).sum());
            }
            pipes
        }
    }
}

/// The wall of a pipe on this side.
fn wall(b: &Builder<'_>, spec: DuctSpec, wall_k: f64) -> DuctSpec {
    DuctSpec {
        roughness_m: b.constants.get("duct.exhaust_roughness"),
        friction_factor: b.constants.get("duct.friction_factor"),
        heat_factor: b.constants.get("duct.exhaust_heat_factor"),
        wall_k,
        ..spec
    }
}

/// Temperature of a pipe's wall at this load, K: pipes are cooled by the air around them.
fn wall_of(b: &Builder<'_>, full_k: f64) -> f64 {
    intake::wall_k(full_k, b.parts.ambient.t_k, intake::load_share(b.parts, b.operating))
}

/// The collector with what follows it.
fn behind(
    b: &mut Builder<'_>,
    mesh: &Mesh,
    exhaust: &ExhaustParts,
    junction: usize,
    air: crate::solve::network::At,
    fill: (f64, f64),
    cylinders: usize,
) {
    let (d_collector, a) = (exhaust.collector_m, exhaust.collector_area_m2);
    // behind the primaries the gas has cooled
    let wall_k = wall_of(b, exhaust.wall_k - 150.0);
    let fill = (fill.0, fill.1 - 100.0);
    if let Some(scroll) = b.scroll() {
        // all collectors lead into the turbine's housing
        let cells = Mesh::cells(d_collector, mesh.exhaust_m, mesh.least / 2);
        let spec = wall(b, pipe(&[(0.0, a), (d_collector, a)], cells), wall_k);
        let ends = [Behind::Junction(junction), Behind::Vessel(scroll)];
        let index = b.pipe(Side::Exhaust, spec, ends, [[1.0; 2]; 2], fill);
        b.layout.collectors.push((index, Which::First));
        return;
    }
    let pipe_index = match exhaust.tail {
        Tail::Open => {
            let cells = Mesh::cells(d_collector, mesh.exhaust_m, mesh.least / 2);
            let spec = wall(b, pipe(&[(0.0, a), (d_collector + end_correction_m(a), a)], cells), wall_k);
            b.pipe(Side::Exhaust, spec, [Behind::Junction(junction), Behind::Vessel(air)], [[1.0; 2]; 2], fill)
        }
        Tail::Pipe { area_m2, length_m, loss } => {
            let whole = d_collector + length_m;
            let cells = Mesh::cells(whole, 1.5 * mesh.exhaust_m, mesh.least);
            let cone = (d_collector + 0.1 * length_m).min(whole);
            let spec = wall(b, pipe(&[(0.0, a), (d_collector, a), (cone, area_m2), (whole, area_m2)], cells), wall_k);
            // the silencer: a volume in which one dynamic head is lost, and an opening that takes the rest
            let parts = b.parts;
            let share = cylinders as f64 / parts.cylinders.len() as f64;
            let v_m3 = 3.0 * share * parts.displacement_m3;
            let silencer = b.volume(VolumeSize { v_m3, p_pa: fill.0, t_k: fill.1 - 150.0, yb: 1.0 });
            b.opening(silencer, air, area_m2 / (loss - 1.0).max(0.2).sqrt());
            b.pipe(Side::Exhaust, spec, [Behind::Junction(junction), Behind::Vessel(silencer)], [[1.0; 2]; 2], fill)
        }
    };
    b.layout.collectors.push((pipe_index, Which::First));
}
