//! One step in time of a cylinder.
//!
//! Mass, composition and energy take up what came through the valves; fresh gas burns by the plan of the cycle; heat
//! goes to the walls and a little gas past the rings; the piston takes its work at the mean of the pressures at both
//! ends of the step, which makes the step second order and stable at any length. Temperature is then found by Newton
//! steps from the energy, so that the energy itself is never rounded by an iteration: what is left of it is made up
//! in the next step.

use super::burn_plan::{BurnPlan, Trapped, next_later_deg};
use super::exchange::{CycleSummary, Exchange, StepParts};
use super::heat_transfer::{C1_CLOSED, C1_EXCHANGE, C2_BURNING, HeatModel, hohenberg, woschni};
use super::point::CylinderSpec;
use super::temperature::Solve;
use super::wiebe;
use crate::gas_state::two_range::CylinderGas;
use crate::lane::{Lane, LaneMask};
use std::f64::consts::PI;

/// One cylinder in all lanes.
#[derive(Debug, Clone)]
pub struct Cylinder<L> {
    /// Mass, kg.
    pub m: L,
    /// Share of burned gas.
    pub yb: L,
    /// Share of fuel vapour.
    pub yf: L,
    /// Sensible energy with what hot gas holds as fragments, J.
    pub u: L,
    /// Mean temperature, K.
    pub t: L,
    /// Pressure, Pa.
    pub p: L,
    /// Volume, m³.
    pub v: L,
    /// Crank angle, rad after firing top dead centre, −2π … 2π.
    pub theta: L,
    /// Temperature of the unburned gas while it burns, K.
    pub t_unburned: L,
    /// Knock integral of this cycle so far.
    pub knock: L,
    x: L,
    ln_p: L,
    start: L,
    duration: L,
    a: L,
    whole: L,
    converts: L,
    given: L,
    trap_p: L,
    trap_v: L,
    trap_t: L,
    p_max: L,
    p_max_theta: L,
    t_max: L,
    t_u_max: L,
    later_deg: Vec<f64>,
    plans: Vec<BurnPlan>,
    trapped: Vec<Trapped>,
    last: Vec<Option<CycleSummary>>,
}

impl<L: Lane> Cylinder<L> {
    /// A cylinder at an angle (rad) with a gas of this pressure, temperature and composition.
    pub fn new(spec: &CylinderSpec<L>, gas: &CylinderGas<L>, theta: L, p: L, t: L, yb: L, yf: L) -> Self {
        let zero = L::zero();
        let v = spec.kinematics.volume_at(theta);
        let none = BurnPlan::none();
        let nothing = Trapped { mass_kg: 0.0, yb: 0.0, yf: 0.0, t_k: 300.0, p_pa: 1e5, v_m3: 1e-4 };
        let mut made = Self {
            m: zero,
            yb,
            yf,
            u: zero,
            t,
            p,
            v,
            theta,
            t_unburned: t,
            knock: zero,
            x: zero,
            ln_p: p.ln(),
            start: L::splat(none.start_rad),
            duration: L::splat(none.duration_rad),
            a: L::splat(none.a),
            whole: L::splat(none.whole),
            converts: zero,
            given: zero,
            trap_p: p,
            trap_v: v,
            trap_t: t,
            p_max: zero,
            p_max_theta: zero,
            t_max: zero,
            t_u_max: zero,
            later_deg: vec![0.0; L::WIDTH],
            plans: vec![none; L::WIDTH],
            trapped: vec![nothing; L::WIDTH],
            last: vec![None; L::WIDTH],
        };
        made.refill(gas);
        made
    }

    /// Mass and energy anew from pressure, temperature, volume and composition, in every lane.
    fn refill(&mut self, gas: &CylinderGas<L>) {
        self.m = self.p * self.v / (gas.r_of(self.yb, self.yf) * self.t);
        let (e, _) = gas.mixed(self.yb, self.yf).e_cv(self.t);
        let extra = gas.extra.at(self.t, self.ln_p);
        self.u = self.m * (e + self.yb * extra.e);
    }

    /// A new engine in lane `i`: state as in [`Cylinder::new`], nothing of the old one is left.
    pub fn set_lane(&mut self, i: usize, from: &Cylinder<f64>) {
        let pairs = [
            (&mut self.m, from.m),
            (&mut self.yb, from.yb),
            (&mut self.yf, from.yf),
            (&mut self.u, from.u),
            (&mut self.t, from.t),
            (&mut self.p, from.p),
            (&mut self.v, from.v),
            (&mut self.theta, from.theta),
            (&mut self.t_unburned, from.t_unburned),
            (&mut self.knock, from.knock),
            (&mut self.x, from.x),
            (&mut self.ln_p, from.ln_p),
            (&mut self.start, from.start),
            (&mut self.duration, from.duration),
            (&mut self.a, from.a),
            (&mut self.whole, from.whole),
            (&mut self.converts, from.converts),
            (&mut self.given, from.given),
            (&mut self.trap_p, from.trap_p),
            (&mut self.trap_v, from.trap_v),
            (&mut self.trap_t, from.trap_t),
            (&mut self.p_max, from.p_max),
            (&mut self.p_max_theta, from.p_max_theta),
            (&mut self.t_max, from.t_max),
            (&mut self.t_u_max, from.t_u_max),
        ];
        for (to, value) in pairs {
            to.set(i, value);
        }
        self.later_deg[i] = from.later_deg[0];
        self.plans[i] = from.plans[0];
        self.trapped[i] = from.trapped[0];
        self.last[i] = from.last[0];
    }

    /// The last whole closed cycle of lane `i`; `None` before there was one.
    pub fn summary(&self, i: usize) -> Option<&CycleSummary> {
        self.last[i].as_ref()
    }

    /// How much later than best torque lane `i` burns because of knock, degrees.
    pub fn later_deg(&self, i: usize) -> f64 {
        self.later_deg[i]
    }

    /// Sets that, as from a neighbouring speed.
    pub fn set_later_deg(&mut self, i: usize, later_deg: f64) {
        self.later_deg[i] = later_deg;
    }

    /// One step to the angle `theta_new` (rad, −2π … 2π) and volume `v_new` (m³) in `dt` seconds.
    #[inline(always)]
    pub fn step(
        &mut self,
        spec: &CylinderSpec<L>,
        gas: &CylinderGas<L>,
        theta_new: L,
        v_new: L,
        dt: L,
        flow: &Exchange<L>,
    ) -> StepParts<L> {
        let (zero, one, half) = (L::zero(), L::one(), L::splat(0.5));
        let closed = self.theta.ge(spec.ivc).and(self.theta.lt(spec.evo));

        // Gas past the rings: choked while the pressure is twice that below, else as an incompressible leak.
        let over = (self.p - spec.crankcase).max(zero);
        let driving = self.p.min(over * L::splat(2.0));
        let r_old = gas.r_of(self.yb, self.yf);
        let blowby_m =
            L::splat(0.66) * spec.blowby * dt * (self.p * driving).max(zero).sqrt() / (r_old * self.t).sqrt();

        // Fuel for the air that came in without.
        let wanted = flow.fresh_in_m * gas.fuel_per_air - flow.fresh_in_yf_m;
        let fuel_added = spec.fuelled * wanted.max(zero);
        let fuel_h = -(fuel_added * spec.latent);

        let left = flow.out_m + blowby_m;
        let kept = self.m - left;
        let m_new = kept + flow.in_m + fuel_added;
        let mut mb = kept * self.yb + flow.in_yb_m;
        let mut mf = kept * self.yf + flow.in_yf_m + fuel_added;

        // Burning.
        let x_new = wiebe::burned(theta_new, self.start, self.duration, self.a, self.whole);
        let x_old = self.x;
        let burns = wiebe::goes_on::<L>(self.theta, theta_new, self.start, self.duration);
        let dx = L::select(burns, (x_new - x_old).max(zero), zero);
        let share = self.converts * (dx / (one - x_old).max(L::splat(1e-4))).min(one);
        let burned_f = L::select(burns, mf * share, zero);
        let fresh = m_new - mb;
        mb = L::select(burns, mb + fresh * share, mb);
        mf -= burned_f;
        let heat_released = burned_f * gas.heat * spec.efficiency + self.given * dx;
        self.x = L::select(burns, x_new, x_old);
        let after_end = theta_new.ge(self.start + self.duration);
        let burning = self.x.gt(zero).and(after_end.not()).and(closed).and(self.converts.gt(zero));

        let over_m = m_new.recip();
        let yb = mb * over_m;
        let yf = mf * over_m;

        let wall_heat = self.wall_heat(spec, closed, dt);
        let mixed = gas.mixed(yb, yf);
        let r_new = gas.r_of(yb, yf);
        let (e_old, _) = mixed.e_cv(self.t);
        let blowby_h = blowby_m * (e_old + r_old * self.t);

        // Temperature from energy. The work is in it by the pressure at the end.
        let dv = v_new - self.v;
        let before = self.u + flow.in_h - flow.out_h + fuel_h + heat_released - wall_heat - blowby_h;
        let before = before - half * self.p * dv;
        let mut solve = Solve {
            gas,
            mixed: &mixed,
            m: m_new,
            v: v_new,
            yb,
            r: r_new,
            burning,
            x: self.x,
            r_unburned: gas.r_of(self.fresh_yb(), self.fresh_yf(gas)),
            t_unburned: self.t_unburned,
            ln_p_old: self.ln_p,
            kappa: L::splat(0.24),
            hot: self.t.gt(L::splat(1300.0)).or(burns),
        };
        let (_, cv_u) = mixed.e_cv(self.t_unburned);
        solve.kappa = r_new / (cv_u + r_new);
        // A first guess along the isentrope, with what was released.
        let (_, cv_old) = mixed.e_cv(self.t);
        let kappa_v = r_new / cv_old;
        let grown = (v_new - self.v) / half / (v_new + self.v);
        let mut t = self.t * (one - kappa_v * grown) + (heat_released - wall_heat) * over_m / cv_old;
        t = L::select(t.gt(L::splat(150.0)), t, self.t);
        // each squares what is off: two are enough in single precision
        let steps = if L::EPSILON < 1e-10 { 3 } else { 2 };
        for _ in 0..steps {
            let at = solve.at(t);
            let off = before - half * at.p * dv - m_new * at.e;
            let slope = m_new * at.cv + half * dv * at.p / t;
            t = (t + off / slope).max(L::splat(100.0));
        }
        let at = solve.at(t);
        let p = at.p;
        let work = half * (self.p + p) * dv;
        self.u = self.u + flow.in_h - flow.out_h + fuel_h + heat_released - wall_heat - blowby_h - work;

        // Unburned gas, and how near it is to firing.
        let open_to_knock = closed.and(self.x.lt(L::splat(0.95))).and(self.converts.gt(zero));
        if open_to_knock.any() {
            let ln_mid = half * (self.ln_p + at.ln_p);
            let t_mid = half * (self.t_unburned + at.t_unburned);
            let rate = (spec.knock_ln + L::splat(1.7) * ln_mid - L::splat(3800.0) / t_mid).exp();
            self.knock = L::select(open_to_knock, self.knock + rate * dt, self.knock);
        }
        let following = closed.and(burning.or(self.x.gt(zero)));
        self.t_unburned = L::select(following, at.t_unburned, t);
        self.t_u_max = L::select(open_to_knock, self.t_u_max.max(self.t_unburned), self.t_u_max);

        let higher = p.gt(self.p_max).and(closed);
        self.p_max = L::select(higher, p, self.p_max);
        self.p_max_theta = L::select(higher, theta_new, self.p_max_theta);
        self.t_max = self.t_max.max(t);

        let from = self.theta;
        (self.m, self.yb, self.yf) = (m_new, yb, yf);
        (self.t, self.p, self.v, self.ln_p) = (t, p, v_new, at.ln_p);
        self.theta = theta_new;

        let shuts = from.lt(spec.ivc).and(theta_new.ge(spec.ivc));
        let opens = from.lt(spec.evo).and(theta_new.ge(spec.evo));
        if shuts.any() {
            self.intake_shuts(spec, shuts);
        }
        if opens.any() {
            self.exhaust_opens(spec, opens);
        }
        StepParts { work, wall_heat, heat_released, fuel_added, fuel_h, blowby_m, blowby_h }
    }

    /// Share of burned gas in what has not burned yet: the residual.
    #[inline(always)]
    fn fresh_yb(&self) -> L {
        let left = (L::one() - self.x).max(L::splat(1e-3));
        ((self.yb - self.x) / left).max(L::zero())
    }

    #[inline(always)]
    fn fresh_yf(&self, gas: &CylinderGas<L>) -> L {
        let fresh = L::one() - self.fresh_yb();
        fresh * gas.fuel_per_air / (L::one() + gas.fuel_per_air)
    }

    #[inline(always)]
    fn wall_heat(&self, spec: &CylinderSpec<L>, closed: L::Mask, dt: L) -> L {
        let h = match spec.heat_model {
            HeatModel::Adiabatic => return L::zero(),
            HeatModel::Hohenberg => hohenberg(self.v, self.ln_p, self.t, spec.piston_speed),
            HeatModel::Woschni => {
                let after_start = closed.and(self.theta.gt(self.start));
                let c1 = L::select(closed, L::splat(C1_CLOSED), L::splat(C1_EXCHANGE));
                // The pressure without burning, along a polytrope from where the intake valve shut.
                let mut w = c1 * spec.piston_speed;
                if after_start.any() {
                    let motored = self.trap_p * (L::splat(1.33) * (self.trap_v / self.v).ln()).exp();
                    let push = spec.displaced * self.trap_t / (self.trap_p * self.trap_v);
                    let own = L::splat(C2_BURNING) * push * (self.p - motored).max(L::zero());
                    w = L::select(after_start, w + own, w);
                }
                woschni(spec.bore, self.ln_p, self.t, w)
            }
        };
        let area = spec.kinematics.area;
        let liner = L::splat(4.0) * (self.v - spec.kinematics.clearance) / spec.bore;
        // The chamber's roof has a little more surface than the bore: common practice, a tenth.
        let head = L::splat(1.1) * area * (self.t - spec.head_k);
        let sum = head + area * (self.t - spec.piston_k) + liner.max(L::zero()) * (self.t - spec.liner_k);
        spec.heat_factor * h * sum * dt
    }

    #[cold]
    #[inline(never)]
    fn intake_shuts(&mut self, spec: &CylinderSpec<L>, lanes: L::Mask) {
        for i in 0..L::WIDTH {
            if !lanes.get(i) {
                continue;
            }
            let trapped = Trapped {
                mass_kg: self.m.get(i),
                yb: self.yb.get(i),
                yf: self.yf.get(i),
                t_k: self.t.get(i),
                p_pa: self.p.get(i),
                v_m3: self.v.get(i),
            };
            let plan = BurnPlan::new(spec.point(i), &trapped, self.later_deg[i]);
            self.start.set(i, plan.start_rad);
            self.duration.set(i, plan.duration_rad);
            self.a.set(i, plan.a);
            self.whole.set(i, plan.whole);
            self.converts.set(i, plan.converts);
            self.given.set(i, plan.given_j);
            self.trap_p.set(i, trapped.p_pa);
            self.trap_v.set(i, trapped.v_m3);
            self.trap_t.set(i, trapped.t_k);
            for zeroed in [&mut self.x, &mut self.knock, &mut self.p_max, &mut self.t_max, &mut self.t_u_max] {
                zeroed.set(i, 0.0);
            }
            self.t_unburned.set(i, trapped.t_k);
            self.plans[i] = plan;
            self.trapped[i] = trapped;
        }
    }

    #[cold]
    #[inline(never)]
    fn exhaust_opens(&mut self, spec: &CylinderSpec<L>, lanes: L::Mask) {
        for i in 0..L::WIDTH {
            if !lanes.get(i) {
                continue;
            }
            let trapped = self.trapped[i];
            let summary = CycleSummary {
                p_max_pa: self.p_max.get(i),
                p_max_deg: self.p_max_theta.get(i) * 180.0 / PI,
                t_max_k: self.t_max.get(i),
                t_unburned_max_k: self.t_u_max.get(i),
                plan: self.plans[i],
                knock_integral: self.knock.get(i),
                later_deg: self.later_deg[i],
                trapped,
                lambda: trapped.lambda(spec.point(i)),
                t_evo_k: self.t.get(i),
                p_evo_pa: self.p.get(i),
            };
            self.later_deg[i] = next_later_deg(spec.point(i), self.later_deg[i], summary.knock_integral);
            self.last[i] = Some(summary);
        }
    }
}
