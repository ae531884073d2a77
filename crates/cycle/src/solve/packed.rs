//! Open ends of all lanes, packed.
//!
//! Engines side by side stand at different crank angles: of a valve's lanes some are shut, some let in, some let out.
//! The lanes that are open are gathered by direction, from all ends, into full sets of lanes, solved, and put back.
//! Each is the same arithmetic wherever it is computed.

use super::kernels::{Enter, Leave, Shut};
use crate::duct::state::Full;
use crate::end::{Face, Vessel};
use crate::lane::Lane;

/// Ends with vessels behind them, one after the other, and room to work in.
#[derive(Debug, Clone)]
pub(super) struct Packed<L: Lane> {
    pub ends: Vec<Full<L>>,
    pub outward: Vec<L>,
    pub vessels: Vec<Vessel<L>>,
    pub share_in: Vec<L>,
    pub share_out: Vec<L>,
    pub faces: Vec<Face<L>>,
    entering: Vec<(usize, usize)>,
    leaving: Vec<(usize, usize)>,
}

impl<L: Lane> Packed<L> {
    pub(super) fn new() -> Self {
        Self {
            ends: Vec::new(),
            outward: Vec::new(),
            vessels: Vec::new(),
            share_in: Vec::new(),
            share_out: Vec::new(),
            faces: Vec::new(),
            entering: Vec::new(),
            leaving: Vec::new(),
        }
    }

    pub(super) fn clear(&mut self) {
        self.ends.clear();
        self.outward.clear();
        self.vessels.clear();
        self.share_in.clear();
        self.share_out.clear();
    }

    pub(super) fn push(&mut self, end: &Full<L>, outward: L, vessel: Vessel<L>, share_in: L, share_out: L) {
        self.ends.push(*end);
        self.outward.push(outward);
        self.vessels.push(vessel);
        self.share_in.push(share_in);
        self.share_out.push(share_out);
    }

    /// Solves all ends; `faces` then holds them in order.
    pub(super) fn solve(&mut self) {
        let zero = L::zero();
        let blank = Face { mass: zero, h0: zero, p: zero, v: zero, t: zero, yb: zero, yf: zero };
        self.faces.resize(self.ends.len(), blank);
        L::widest(Shut { ends: &self.ends, outward: &self.outward, faces: &mut self.faces });
        self.entering.clear();
        self.leaving.clear();
        for e in 0..self.ends.len() {
            for i in 0..L::WIDTH {
                if self.vessels[e].p.get(i) > self.faces[e].p.get(i) {
                    if self.share_in[e].get(i) > 0.0 {
                        self.entering.push((e, i));
                    }
                } else if self.share_out[e].get(i) > 0.0 {
                    self.leaving.push((e, i));
                }
            }
        }
        for chunk in self.entering.chunks(L::WIDTH) {
            let (e, _) = chunk[0];
            let (mut end, mut vessel) = (self.ends[e], self.vessels[e]);
            let (mut outward, mut share) = (self.outward[e], self.share_in[e]);
            for k in 0..L::WIDTH {
                // places beyond the last repeat it
                let (e, i) = chunk[k.min(chunk.len() - 1)];
                let (from, v) = (&self.ends[e], &self.vessels[e]);
                end.at.p.take(k, &from.at.p, i);
                end.rho.take(k, &from.rho, i);
                end.inv_rho.take(k, &from.inv_rho, i);
                end.gm1.take(k, &from.gm1, i);
                end.c.take(k, &from.c, i);
                outward.take(k, &self.outward[e], i);
                share.take(k, &self.share_in[e], i);
                vessel.p.take(k, &v.p, i);
                vessel.t.take(k, &v.t, i);
                vessel.r.take(k, &v.r, i);
                vessel.gm1.take(k, &v.gm1, i);
            }
            let face = L::widest(Enter { end: &end, outward, vessel: &vessel, share });
            for (k, (e, i)) in chunk.iter().enumerate() {
                let (to, v) = (&mut self.faces[*e], &self.vessels[*e]);
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
            let (e, _) = chunk[0];
            let (mut end, mut outward) = (self.ends[e], self.outward[e]);
            let (mut vessel_p, mut share) = (self.vessels[e].p, self.share_out[e]);
            for k in 0..L::WIDTH {
                let (e, i) = chunk[k.min(chunk.len() - 1)];
                let from = &self.ends[e];
                end.at.p.take(k, &from.at.p, i);
                end.rho.take(k, &from.rho, i);
                end.inv_rho.take(k, &from.inv_rho, i);
                end.gm1.take(k, &from.gm1, i);
                end.c.take(k, &from.c, i);
                end.r.take(k, &from.r, i);
                end.poly.r.take(k, &from.poly.r, i);
                for n in 0..4 {
                    end.poly.c[n].take(k, &from.poly.c[n], i);
                }
                outward.take(k, &self.outward[e], i);
                share.take(k, &self.share_out[e], i);
                vessel_p.take(k, &self.vessels[e].p, i);
            }
            let face = L::widest(Leave { end: &end, outward, vessel_p, share });
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
