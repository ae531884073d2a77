//! One step of one pipe.

use super::flux::{EndFlux, Flux, Side, hllc};
use super::limiter::monotonised_central as mc;
use super::shape::{CellShape, DuctShape};
use super::state::{Cell, Full, Gas, Point, temperature};
use crate::lane::{Lane, apart};

/// Both faces of a cell half a step later.
#[derive(Debug, Clone, Copy)]
struct Faces<L> {
    left: Point<L>,
    right: Point<L>,
}

/// What the walls do in a whole step: share of the momentum that friction takes, and rise of temperature, K, by its heat and
/// by that of the walls.
#[derive(Debug, Clone, Copy)]
struct Walls<L> {
    drag: L,
    warming: L,
}

#[inline(always)]
fn walls<L: Lane>(cell: &Full<L>, shape: &CellShape<L>, duct: &DuctShape<L>, dt_s: L) -> Walls<L> {
    let speed = cell.at.u.abs();
    let mu = L::splat(super::friction::MU_0) + L::splat(super::friction::MU_1) * cell.at.t;
    let drag = dt_s
        * shape.two_over_d
        * (duct.friction_rough * speed + duct.friction_smooth * (mu * speed * cell.inv_rho * shape.two_over_d).sqrt());
    // cp/cv is gm1 + 1; u²/cv is u² (γ − 1)/R
    let gamma = cell.gm1 + L::one();
    let warming = drag * (duct.heat * gamma * (duct.wall_k - cell.at.t) + speed * speed * cell.gm1 / cell.poly.r);
    Walls { drag, warming }
}

/// Straight lines through the cell by its neighbours, carried half a step on.
#[inline(always)]
fn half_step<L: Lane>(
    before: &Point<L>,
    cell: &Full<L>,
    after: &Point<L>,
    dlna: L,
    walls: &Walls<L>,
    half_dt_dx: L,
) -> Faces<L> {
    let half = L::splat(0.5);
    let w = &cell.at;
    let dp = mc(w.p - before.p, after.p - w.p);
    let du = mc(w.u - before.u, after.u - w.u);
    let dt = mc(w.t - before.t, after.t - w.t);
    let db = mc(w.yb - before.yb, after.yb - w.yb);
    let df = mc(w.yf - before.yf, after.yf - w.yf);
    let k = half_dt_dx;
    let widening = du + w.u * dlna;
    let ku = k * w.u;
    let p = w.p - ku * dp - k * (cell.gm1 + L::one()) * w.p * widening;
    let warmer = half * walls.warming;
    let p = p + w.p * cell.inv_t * warmer;
    let u = w.u - ku * du - k * dp * cell.inv_rho - half * walls.drag * w.u;
    let t = w.t - ku * dt - k * cell.gm1 * w.t * widening + warmer;
    let yb = w.yb - ku * db;
    let yf = w.yf - ku * df;
    let (dp, du, dt, db, df) = (half * dp, half * du, half * dt, half * db, half * df);
    // in a strong expansion half a step could empty the cell: a tenth of it stays
    let tenth = L::splat(0.1);
    let (least_p, least_t) = (tenth * w.p, tenth * w.t);
    Faces {
        left: Point { p: (p - dp).max(least_p), u: u - du, t: (t - dt).max(least_t), yb: yb - db, yf: yf - df },
        right: Point { p: (p + dp).max(least_p), u: u + du, t: (t + dt).max(least_t), yb: yb + db, yf: yf + df },
    }
}

/// Gas constant times temperature, energy with motion, and sound at a face.
#[inline(always)]
fn face_gas<L: Lane>(gas: &Gas<L>, cell: &Full<L>, burned_e: L, fuel_e: L, at: &Point<L>) -> (L, L, L) {
    let half = L::splat(0.5);
    let (db, df) = (at.yb - cell.at.yb, at.yf - cell.at.yf);
    let r = cell.poly.r + db * gas.burned_less_air.r + df * gas.fuel_less_air.r;
    let e = cell.poly.e(at.t) + db * burned_e + df * fuel_e + half * at.u * at.u;
    (r * at.t, e, cell.c * (half + half * at.t * cell.inv_t))
}

/// Density, energy and sound at both faces of a cell. Gas constant and energy of a face's own composition by a straight
/// line from the cell's; sound likewise (it sets wave speeds only).
#[inline(always)]
fn sides<L: Lane>(gas: &Gas<L>, cell: &Full<L>, faces: &Faces<L>) -> [Side<L>; 2] {
    let burned_e = gas.burned_less_air.e(cell.at.t);
    let fuel_e = gas.fuel_less_air.e(cell.at.t);
    let left = face_gas(gas, cell, burned_e, fuel_e, &faces.left);
    let right = face_gas(gas, cell, burned_e, fuel_e, &faces.right);
    // one quotient for both densities
    let inv = (left.0 * right.0).recip();
    let rho = [faces.left.p * (inv * right.0), faces.right.p * (inv * left.0)];
    [
        Side { at: faces.left, rho: rho[0], en: rho[0] * left.1, c: left.2 },
        Side { at: faces.right, rho: rho[1], en: rho[1] * right.1, c: right.2 },
    ]
}

/// Point values at both ends of a pipe half a step later (velocity still from first to last cell), with the end
/// cells' own: what the ends are solved with.
#[inline(always)]
pub fn end_points<L: Lane>(
    gas: &Gas<L>,
    cells: &[Cell<L>],
    shapes: &[CellShape<L>],
    duct: &DuctShape<L>,
    ghosts: [&Point<L>; 2],
    dt_s: L,
) -> [Full<L>; 2] {
    let n = cells.len();
    let k = L::splat(0.5) * dt_s * duct.inv_dx;
    let first = Full::of(gas, &cells[0]);
    let last = Full::of(gas, &cells[n - 1]);
    let second = if n > 1 { Full::of(gas, &cells[1]).at } else { *ghosts[1] };
    let before_last = if n > 1 { Full::of(gas, &cells[n - 2]).at } else { *ghosts[0] };
    let at_first = walls(&first, &shapes[0], duct, dt_s);
    let at_last = walls(&last, &shapes[n - 1], duct, dt_s);
    let left = half_step(ghosts[0], &first, &second, shapes[0].dlna, &at_first, k).left;
    let right = half_step(&before_last, &last, ghosts[1], shapes[n - 1].dlna, &at_last, k).right;
    [at_face(gas, &first, left), at_face(gas, &last, right)]
}

#[inline(always)]
fn at_face<L: Lane>(gas: &Gas<L>, cell: &Full<L>, at: Point<L>) -> Full<L> {
    let poly = gas.poly(at.yb, at.yf);
    let rt = poly.r * at.t;
    let rho = at.p / rt;
    let c = ((cell.gm1 + L::one()) * rt).sqrt();
    Full { at, rho, inv_rho: rho.recip(), inv_t: at.t.recip(), cv: cell.cv, gm1: cell.gm1, c, poly }
}

/// What the walls did in a step, over the whole pipe.
#[derive(Debug, Clone, Copy)]
pub struct Swept<L> {
    /// Greatest (|u| + c)/dx met, 1/s.
    pub rate: L,
    /// Heat from the walls to the gas in the step, J.
    pub heat_j: L,
}

/// Room to work in for pipes of up to so many cells.
#[derive(Debug, Clone)]
pub struct Room<L> {
    full: Vec<Full<L>>,
    sides: Vec<[Side<L>; 2]>,
    flux: Vec<Flux<L>>,
    drags: Vec<L>,
}

impl<L: Lane> Room<L> {
    /// For pipes of up to `cells` cells.
    pub fn new(gas: &Gas<L>, cells: usize) -> Self {
        let x = L::one();
        let at = Point::at_rest(x, x, x, x);
        let full = Full::of(gas, &Cell::from_point(gas, &at));
        let side = Side { at, rho: x, en: x, c: x };
        Self {
            full: vec![full; cells],
            sides: vec![[side; 2]; cells],
            flux: vec![Flux::wall(x); cells + 1],
            drags: vec![x; cells],
        }
    }

    /// Most cells of a pipe.
    pub fn cells(&self) -> usize {
        self.sides.len()
    }
}

/// Carries a pipe through one step, given the flux at both ends.
///
/// `dt_s` has to satisfy `rate · dt ≤ 1` for the greatest `(|u| + c)/dx` of the pipe, which the last step's [`Swept`]
/// tells closely enough with a tenth to spare.
///
/// # Panics
/// With less room than the pipe has cells.
#[inline(always)]
#[allow(clippy::too_many_arguments)]
pub fn sweep<L: Lane>(
    gas: &Gas<L>,
    cells: &mut [Cell<L>],
    shapes: &[CellShape<L>],
    duct: &DuctShape<L>,
    ends: [&EndFlux<L>; 2],
    dt_s: L,
    room: &mut Room<L>,
) -> Swept<L> {
    let n = cells.len();
    let k = L::splat(0.5) * dt_s * duct.inv_dx;
    let mut rate = L::zero();
    let mut heat = L::zero();
    // several loops, and in each no cell waits for another
    let (full, both, flux) = (&mut room.full[..n], &mut room.sides[..n], &mut room.flux[..=n]);
    let drags = &mut room.drags[..n];
    for i in 0..n {
        let i = apart(i);
        full[i] = Full::of(gas, &cells[i]);
        rate = rate.max(full[i].at.u.abs() + full[i].c);
    }
    for i in 0..n {
        let i = apart(i);
        let before = if i > 0 { &full[i - 1].at } else { &ends[0].face };
        let after = if i + 1 < n { &full[i + 1].at } else { &ends[1].face };
        let own = walls(&full[i], &shapes[i], duct, dt_s);
        drags[i] = own.drag;
        let faces = half_step(before, &full[i], after, shapes[i].dlna, &own, k);
        both[i] = sides(gas, &full[i], &faces);
    }
    flux[0] = ends[0].flux;
    for i in 1..n {
        let i = apart(i);
        flux[i] = hllc(&both[i - 1][1], &both[i][0]);
    }
    flux[n] = ends[1].flux;
    let mut area_in = duct.area_first;
    for i in 0..n {
        let i = apart(i);
        let fluxes = [&flux[i], &flux[i + 1]];
        heat += update(gas, &mut cells[i], &full[i], &shapes[i], duct, area_in, fluxes, drags[i], dt_s);
        area_in = shapes[i].area_after;
    }
    Swept { rate: rate * duct.inv_dx, heat_j: heat }
}

/// Adds what came through both faces, the push of the walls, friction and heat.
#[inline(always)]
#[allow(clippy::too_many_arguments)]
fn update<L: Lane>(
    gas: &Gas<L>,
    cell: &mut Cell<L>,
    old: &Full<L>,
    shape: &CellShape<L>,
    duct: &DuctShape<L>,
    area_in: L,
    [flux_in, flux_out]: [&Flux<L>; 2],
    drag: L,
    dt_s: L,
) -> L {
    let half = L::splat(0.5);
    let q = dt_s * shape.inv_volume;
    let (ka, kb) = (q * area_in, q * shape.area_after);
    let rho = cell.rho + (ka * flux_in.mass - kb * flux_out.mass);
    let mut mom = cell.mom + (ka * (flux_in.mom - old.at.p) - kb * (flux_out.mom - old.at.p));
    let mut en = cell.en + (ka * flux_in.en - kb * flux_out.en);
    let burned = cell.burned + (ka * flux_in.burned - kb * flux_out.burned);
    let fuel = cell.fuel + (ka * flux_in.fuel - kb * flux_out.fuel);
    // friction on the mean of the momentum before and after; one quotient for it and for the density
    let held = L::one() + half * drag;
    let inv = (held * rho).recip();
    mom = (mom - half * drag * cell.mom) * (inv * rho);
    let inv_rho = inv * held;
    let heat = drag * duct.heat * rho * (old.poly.r + old.cv) * (duct.wall_k - old.at.t);
    en += heat;
    let u = mom * inv_rho;
    let poly = gas.poly(burned * inv_rho, fuel * inv_rho);
    let t = temperature(&poly, en * inv_rho - half * u * u, cell.t);
    *cell = Cell { rho, mom, en, burned, fuel, t };
    heat * shape.volume
}
