//! Open ends of all lanes, packed.
//!
//! Engines side by side stand at different crank angles: of a valve's lanes some are shut, some let in, some let out.
//! The lanes that are open are gathered by direction, from all ends, into full sets of lanes, solved, and put back.
//! Each is the same arithmetic wherever it is computed.

use super::kernels::{Enter, Leave, Shut};
use super::network::{At, End, Pipe};
use crate::duct::state::Full;
use crate::end::{Face, Vessel, Which};
use crate::lane::Lane;

/// An end of a pipe with a vessel behind it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub pipe: usize,
    pub which: Which,
    pub at: At,
}

impl Place {
    /// Index among a pipe's ends.
    pub(super) fn side(&self) -> usize {
        usize::from(self.which == Which::Last)
    }

    fn end<'a, L: Lane>(&self, pipes: &'a [Pipe<L>]) -> &'a End<L> {
        &pipes[self.pipe].ends[self.side()]
    }
}

/// Vessels that stand behind ends.
#[derive(Clone, Copy)]
pub(super) struct Vessels<'a, L: Lane> {
    pub reservoirs: &'a [Vessel<L>],
    pub volumes: &'a [Vessel<L>],
    pub outside: &'a [Vessel<L>],
}

impl<'a, L: Lane> Vessels<'a, L> {
    pub(super) fn at(&self, at: At) -> &'a Vessel<L> {
        match at {
            At::Reservoir(i) => &self.reservoirs[i],
            At::Volume(i) => &self.volumes[i],
            At::Outside(i) => &self.outside[i],
        }
    }
}

/// Ends with vessels behind them, one after the other, and room to work in.
#[derive(Debug, Clone)]
pub(super) struct Packed<L: Lane> {
    pub places: Vec<Place>,
    pub faces: Vec<Face<L>>,
    entering: Vec<(usize, usize)>,
    leaving: Vec<(usize, usize)>,
}

impl<L: Lane> Packed<L> {
    pub(super) fn new() -> Self {
        Self { places: Vec::new(), faces: Vec::new(), entering: Vec::new(), leaving: Vec::new() }
    }

    /// Solves all ends; `faces` then holds them in order.
    pub(super) fn solve(&mut self, pipes: &[Pipe<L>], points: &[[Full<L>; 2]], vessels: &Vessels<'_, L>) {
        let Some(first) = self.places.first() else { return };
        let zero = L::zero();
        let blank = Face { mass: zero, h0: zero, p: zero, v: zero, t: zero, yb: zero, yf: zero };
        self.faces.resize(self.places.len(), blank);
        L::widest(Shut { ends: &self.places, points, faces: &mut self.faces });
        self.entering.clear();
        self.leaving.clear();
        for (e, place) in self.places.iter().enumerate() {
            let (vessel, end, face) = (vessels.at(place.at), place.end(pipes), &self.faces[e]);
            for i in 0..L::WIDTH {
                if vessel.p.get(i) > face.p.get(i) {
                    if end.share_in.get(i) > 0.0 {
                        self.entering.push((e, i));
                    }
                } else if end.share_out.get(i) > 0.0 {
                    self.leaving.push((e, i));
                }
            }
        }
        let (mut end, mut vessel) = (points[first.pipe][first.side()], *vessels.at(first.at));
        let (mut out, mut share, mut guess) = (zero, zero, zero);
        for chunk in self.entering.chunks(L::WIDTH) {
            for k in 0..L::WIDTH {
                // places beyond the last repeat it
                let (e, i) = chunk[k.min(chunk.len() - 1)];
                let place = &self.places[e];
                let (from, v) = (&points[place.pipe][place.side()], vessels.at(place.at));
                take_end(&mut end, k, from, i);
                out.set(k, place.which.sign());
                let own = place.end(pipes);
                share.take(k, &own.share_in, i);
                guess.take(k, &own.last.face.u, i);
                vessel.p.take(k, &v.p, i);
                vessel.t.take(k, &v.t, i);
                vessel.r.take(k, &v.r, i);
                vessel.gm1.take(k, &v.gm1, i);
            }
            let face =
                L::widest(Enter { end: &end, outward: out * end.at.u, vessel: &vessel, share, guess: -(out * guess) });
            for (k, (e, i)) in chunk.iter().enumerate() {
                let (to, v) = (&mut self.faces[*e], vessels.at(self.places[*e].at));
                to.mass.take(*i, &face.mass, k);
                to.p.take(*i, &face.p, k);
                to.v.take(*i, &face.v, k);
                to.t.take(*i, &face.t, k);
                to.h0.take(*i, &v.h, *i);
                to.yb.take(*i, &v.yb, *i);
                to.yf.take(*i, &v.yf, *i);
            }
        }
        for chunk in self.leaving.chunks(L::WIDTH) {
            for k in 0..L::WIDTH {
                let (e, i) = chunk[k.min(chunk.len() - 1)];
                let place = &self.places[e];
                let from = &points[place.pipe][place.side()];
                take_end(&mut end, k, from, i);
                end.poly.r.take(k, &from.poly.r, i);
                for n in 0..4 {
                    end.poly.c[n].take(k, &from.poly.c[n], i);
                }
                out.set(k, place.which.sign());
                let own = place.end(pipes);
                share.take(k, &own.share_out, i);
                guess.take(k, &own.last.face.u, i);
                vessel.p.take(k, &vessels.at(place.at).p, i);
            }
            let face =
                L::widest(Leave { end: &end, outward: out * end.at.u, vessel_p: vessel.p, share, guess: out * guess });
            for (k, (e, i)) in chunk.iter().enumerate() {
                let to = &mut self.faces[*e];
                to.mass.take(*i, &face.mass, k);
                to.h0.take(*i, &face.h0, k);
                to.p.take(*i, &face.p, k);
                to.v.take(*i, &face.v, k);
                to.t.take(*i, &face.t, k);
            }
        }
    }
}

/// What both directions need of an end: that of lane `i` into place `k`.
#[inline(always)]
fn take_end<L: Lane>(end: &mut Full<L>, k: usize, from: &Full<L>, i: usize) {
    end.at.p.take(k, &from.at.p, i);
    end.rho.take(k, &from.rho, i);
    end.inv_rho.take(k, &from.inv_rho, i);
    end.gm1.take(k, &from.gm1, i);
    end.c.take(k, &from.c, i);
    end.at.u.take(k, &from.at.u, i);
}
