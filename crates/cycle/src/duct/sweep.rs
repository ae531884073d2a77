//! One step of one pipe.

use super::flux::{EndFlux, Flux, Side, hllc};
use super::limiter::monotonised_central as mc;
use super::shape::{CellShape, DuctShape};
use super::state::{Cell, Full, Gas, Point, temperature};
use crate::lane::Lane;

/// Both faces of a cell half a step later.
#[derive(Debug, Clone, Copy)]
struct Faces<L> {
    left: Point<L>,
    right: Point<L>,
}

/// Straight lines through the cell by its neighbours, carried half a step on.
#[inline(always)]
fn half_step<L: Lane>(before: &Point<L>, cell: &Full<L>, after: &Point<L>, dlna: L, half_dt_dx: L) -> Faces<L> {
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
    let u = w.u - ku * du - k * dp * cell.inv_rho;
    let t = w.t - ku * dt - k * cell.gm1 * w.t * widening;
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

/// Density, energy and sound at a face of a cell. Gas constant and energy of the face's own composition by a straight
/// line from the cell's; sound likewise (it sets wave speeds only).
#[inline(always)]
fn side<L: Lane>(gas: &Gas<L>, cell: &Full<L>, burned_e: L, fuel_e: L, inv_t: L, at: Point<L>) -> Side<L> {
    let half = L::splat(0.5);
    let (db, df) = (at.yb - cell.at.yb, at.yf - cell.at.yf);
    let r = cell.r + db * gas.burned_less_air.r + df * gas.fuel_less_air.r;
    let rho = at.p / (r * at.t);
    let e = cell.poly.e(at.t) + db * burned_e + df * fuel_e;
    let c = cell.c * (half + half * at.t * inv_t);
    Side { at, rho, en: rho * (e + half * at.u * at.u), c }
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
    let left = half_step(ghosts[0], &first, &second, shapes[0].dlna, k).left;
    let right = half_step(&before_last, &last, ghosts[1], shapes[n - 1].dlna, k).right;
    [at_face(gas, &first, left), at_face(gas, &last, right)]
}

#[inline(always)]
fn at_face<L: Lane>(gas: &Gas<L>, cell: &Full<L>, at: Point<L>) -> Full<L> {
    let poly = gas.poly(at.yb, at.yf);
    let rt = poly.r * at.t;
    let rho = at.p / rt;
    let c = ((cell.gm1 + L::one()) * rt).sqrt();
    Full { at, rho, inv_rho: rho.recip(), r: poly.r, gm1: cell.gm1, c, poly }
}

/// What the walls did in a step, over the whole pipe.
#[derive(Debug, Clone, Copy)]
pub struct Swept<L> {
    /// Greatest (|u| + c)/dx met, 1/s.
    pub rate: L,
    /// Heat from the walls to the gas in the step, J.
    pub heat_j: L,
}

/// Carries a pipe through one step, given the flux at both ends.
///
/// `dt_s` has to satisfy `rate · dt ≤ 1` for the greatest `(|u| + c)/dx` of the pipe, which the last step's [`Swept`]
/// tells closely enough with a fifth to spare.
#[inline(always)]
pub fn sweep<L: Lane>(
    gas: &Gas<L>,
    cells: &mut [Cell<L>],
    shapes: &[CellShape<L>],
    duct: &DuctShape<L>,
    ends: [&EndFlux<L>; 2],
    dt_s: L,
) -> Swept<L> {
    let n = cells.len();
    let k = L::splat(0.5) * dt_s * duct.inv_dx;
    let mut rate = L::zero();
    let mut heat = L::zero();
    // what is carried from cell to cell: flux in at the left, own state, right side for the next flux
    let mut flux_in = ends[0].flux;
    let mut before = ends[0].face;
    let mut area_in = duct.area_first;
    let mut here = Full::of(gas, &cells[0]);
    let mut pending: Option<(Side<L>, Full<L>)> = None;
    for i in 0..n {
        let (after_full, after) = if i + 1 < n {
            let full = Full::of(gas, &cells[i + 1]);
            (full, full.at)
        } else {
            (here, ends[1].face)
        };
        let faces = half_step(&before, &here, &after, shapes[i].dlna, k);
        let burned_e = gas.burned_less_air.e(here.at.t);
        let fuel_e = gas.fuel_less_air.e(here.at.t);
        let inv_t = here.at.t.recip();
        if let Some((left, last)) = pending {
            let right = side(gas, &here, burned_e, fuel_e, inv_t, faces.left);
            let flux = hllc(&left, &right);
            heat += update(gas, &mut cells[i - 1], &last, &shapes[i - 1], duct, area_in, &flux_in, &flux, dt_s);
            area_in = shapes[i - 1].area_after;
            flux_in = flux;
        }
        pending = Some((side(gas, &here, burned_e, fuel_e, inv_t, faces.right), here));
        rate = rate.max(here.at.u.abs() + here.c);
        before = here.at;
        here = after_full;
    }
    if let Some((_, last)) = pending {
        heat += update(gas, &mut cells[n - 1], &last, &shapes[n - 1], duct, area_in, &flux_in, &ends[1].flux, dt_s);
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
    flux_in: &Flux<L>,
    flux_out: &Flux<L>,
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
    // friction and heat with the velocity of the old state; the new momentum shrinks by a share, never past zero
    let speed = old.at.u.abs();
    let mu = L::splat(super::friction::MU_0) + L::splat(super::friction::MU_1) * old.at.t;
    let drag = dt_s
        * shape.two_over_d
        * (duct.friction_rough * speed + duct.friction_smooth * (mu * speed * old.inv_rho * shape.two_over_d).sqrt());
    mom /= L::one() + drag;
    let cp = old.r + old.r / old.gm1;
    let heat = drag * duct.heat * rho * cp * (duct.wall_k - old.at.t);
    en += heat;
    let inv_rho = rho.recip();
    let u = mom * inv_rho;
    let poly = gas.poly(burned * inv_rho, fuel * inv_rho);
    let t = temperature(&poly, en * inv_rho - half * u * u, cell.t);
    *cell = Cell { rho, mom, en, burned, fuel, t };
    heat / shape.inv_volume
}
