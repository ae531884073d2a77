//! Steady flow in ducts against gas dynamics: friction, heat, change of area.

use crate::flow_rig::{Rig, Table, rest};
use cycle::duct::DuctSpec;
use cycle::solve::network::Behind;

const R: f64 = 287.0;

fn mach(p: &cycle::duct::Point<f64>, gamma: f64) -> f64 {
    p.u / (gamma * R * p.t).sqrt()
}

/// A pipe between two reservoirs until it is steady; Mach numbers, pressures and temperatures at both faces.
fn steady(
    gamma: f64,
    spec: &DuctSpec,
    tune: impl Fn(&mut Rig),
    (p0, t0): (f64, f64),
    p_end: f64,
    end_s: f64,
) -> [(f64, f64, f64); 2] {
    let mut rig = Rig::new(gamma, R);
    let from = rig.reservoir(p0, t0);
    let to = rig.reservoir(p_end, t0);
    let pipe = rig.pipe(spec, Behind::Vessel(from), Behind::Vessel(to));
    rig.net.fill(pipe, |_| rest(0.5 * (p0 + p_end), t0));
    tune(&mut rig);
    // flow without friction takes long to settle, and heat keeps a little of the pipe's own note alive: the mean of the last fifth counts
    let (mut last_s, mut span_s, mut sums) = (0.0, 0.0, [[0.0; 3]; 2]);
    rig.run(end_s, 0.8, |time_s, net| {
        let dt = time_s - last_s;
        last_s = time_s;
        if time_s < 0.8 * end_s {
            return;
        }
        span_s += dt;
        for (sum, end) in sums.iter_mut().zip(&net.pipes[pipe].ends) {
            let face = end.last.face;
            for (s, x) in sum.iter_mut().zip([mach(&face, gamma), face.p, face.t]) {
                *s += x * dt;
            }
        }
    });
    sums.map(|[m, p, t]| (m / span_s, p / span_s, t / span_s))
}

#[test]
fn friction_as_fanno() {
    let t = Table::read("cycle_flow/t05_fanno_duct.csv");
    for row in 0..t.len() {
        let of = |name: &str| t.number(row, name);
        let (g, m1) = (of("gamma_1"), of("mach_1"));
        let stagnation = (1.0 + 0.5 * (g - 1.0) * m1 * m1).powf(g / (g - 1.0));
        let (p1, t0) = (1e5, 400.0);
        let error = |n: usize| {
            let spec = DuctSpec::straight(1.0, 0.04, n);
            let f = of("fourfL_over_D_1") * 0.04 / 4.0;
            let tune = |rig: &mut Rig| {
                rig.net.pipes[0].shape.friction_rough = f;
                rig.net.pipes[0].shape.friction_smooth = 0.0;
            };
            let got = steady(g, &spec, tune, (p1 * stagnation, t0), p1 * of("p2_over_p1_1"), 0.25);
            [got[0].0 / m1 - 1.0, got[1].0 / of("mach_2") - 1.0, got[0].1 / p1 - 1.0]
        };
        let found = [20, 40, 80].map(error);
        let order = order(&found);
        println!("Fanno {m1}: 20, 40, 80 cells {found:.5?}, order {order:.2}");
        assert!(found[2].iter().all(|x| x.abs() < 1e-4), "{found:?}");
        assert!(order > 1.8, "{order}: {found:?}");
    }
}

/// Order of convergence of a steady flow, from its greatest errors on meshes of 20, 40 and 80 cells. The step is of second order
/// in space and time, friction and heat included.
fn order(found: &[[f64; 3]; 3]) -> f64 {
    let worst = |e: &[f64; 3]| e.iter().fold(0.0f64, |a, b| a.max(b.abs()));
    assert!(worst(&found[1]) < worst(&found[0]) && worst(&found[2]) < worst(&found[1]), "{found:?}");
    (worst(&found[0]) / worst(&found[2])).log2() / 2.0
}

#[test]
fn heat_as_rayleigh() {
    let t = Table::read("cycle_flow/t05_rayleigh_duct.csv");
    for row in 0..t.len() {
        let of = |name: &str| t.number(row, name);
        let (g, m1, t01, t02) = (of("gamma_1"), of("mach_1"), of("t01_K"), of("t02_K"));
        let stagnation = (1.0 + 0.5 * (g - 1.0) * m1 * m1).powf(g / (g - 1.0));
        let p1 = 1e5;
        // a wall so hot (or cold) that the gas does not matter, and so little friction that it does not act:
        // dT0/dx = 2 f/D · heat · (T wall − T)
        let (f, wall) = (1e-12, 1e10 * (t02 - t01).signum());
        let heat = (t02 - t01) / (2.0 * f / 0.04 * wall);
        let tune = |rig: &mut Rig| {
            let shape = &mut rig.net.pipes[0].shape;
            shape.friction_rough = f;
            shape.friction_smooth = 0.0;
            shape.heat = heat;
            shape.wall_k = wall;
        };
        let found = [20, 40, 80].map(|n| {
            let spec = DuctSpec::straight(1.0, 0.04, n);
            let got = steady(g, &spec, tune, (p1 * stagnation, t01), p1 * of("p2_over_p1_1"), 1.0);
            [got[0].0 / m1 - 1.0, got[1].0 / of("mach_2") - 1.0, got[1].2 / got[0].2 / of("t2_over_t1_1") - 1.0]
        });
        let order = order(&found);
        println!("Rayleigh {m1}: 20, 40, 80 cells {found:.5?}, order {order:.2}");
        assert!(found[2].iter().all(|x| x.abs() < 2e-4), "{found:?}");
        assert!(order > 1.8, "{order}: {found:?}");
    }
}

#[test]
fn a_smooth_change_of_area() {
    let t = Table::read("cycle_flow/t05_area_change.csv");
    for row in 0..t.len() {
        if !t.text(row, "type").starts_with("isentropic_contraction") {
            continue;
        }
        let of = |name: &str| t.number(row, name);
        let (g, ratio, m1) = (of("gamma_1"), of("small_over_large_area_1"), of("mach_1"));
        if of("mach_2") > 0.85 {
            continue; // near choking a change of area has no settled answer
        }
        let stagnation = (1.0 + 0.5 * (g - 1.0) * m1 * m1).powf(g / (g - 1.0));
        let d = 0.05;
        let small = d * ratio.sqrt();
        let spec = DuctSpec {
            diameters_m: vec![(0.0, d), (0.3, d), (0.7, small), (1.0, small)],
            ..DuctSpec::straight(1.0, d, 80)
        };
        let p1 = 1e5;
        let end_s = if of("p2_over_p1_1") * 1.005 > stagnation { 1.0 } else { 0.25 };
        let got = steady(g, &spec, |_| {}, (p1 * stagnation, 350.0), p1 * of("p2_over_p1_1"), end_s);
        let off = [got[0].0 / m1 - 1.0, got[1].0 / of("mach_2") - 1.0, got[1].1 / got[0].1 / of("p2_over_p1_1") - 1.0];
        println!("contraction {ratio} {m1}: {off:.5?}");
        assert!(off.iter().all(|x| x.abs() < 5e-3), "{off:?}");
    }
}

#[test]
fn friction_fits_the_table() {
    let t = Table::read("cycle_flow/t05_pipe_friction.csv");
    for row in 0..t.len() {
        let text = t.text(row, "f_darcy_haaland_1");
        if text.is_empty() {
            continue;
        }
        let expected: f64 = text.parse().expect("a number");
        let got = cycle::duct::friction::haaland(t.number(row, "reynolds_1"), t.number(row, "roughness_over_d_1"));
        assert!((got / expected - 1.0).abs() < 1e-6, "{got} for {expected}");
    }
}
