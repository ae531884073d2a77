use cycle::constants::Constants;
use cycle::cylinder::*;
use cycle::gas_state::two_range::CylinderGas;
use cycle::gas_state::{Charge, Fuel};
use cycle::lane::*;
use engine::fuel::GASOLINE;
use engine::kinematics::SliderCrank;
use std::f64::consts::PI;
use std::sync::Arc;
struct Run<'a, L: Lane> {
    c: &'a mut Cylinder<L>,
    spec: &'a CylinderSpec<L>,
    gas: &'a CylinderGas<L>,
    n: usize,
    h: f64,
    dt: f64,
}
impl<L: Lane> pulp::NullaryFnOnce for Run<'_, L> {
    type Output = f64;
    #[inline(always)]
    fn call(self) -> f64 {
        let mut w = L::zero();
        let t0 = self.c.theta.get(0);
        for i in 1..=self.n {
            let th = L::splat(t0 + self.h * i as f64);
            let v = self
                .spec
                .kinematics
                .volume(L::splat((t0 + self.h * i as f64).sin()), L::splat((t0 + self.h * i as f64).cos()));
            let p = self.c.step(self.spec, self.gas, th, v, L::splat(self.dt), &Exchange::none());
            w += p.work;
        }
        w.get(0)
    }
}
fn go<L: Lane>(name: &str) {
    let fuel = Fuel::blend(&GASOLINE, 0.0, 0.0).unwrap();
    let charge = Arc::new(Charge::new(&fuel, 0.88, 0.008).unwrap());
    let crank = SliderCrank::from_stroke(0.092, 0.155, 0.0).unwrap();
    let swept = PI / 4.0 * 0.099 * 0.099 * 0.092;
    let mut pt = CylinderPoint::new(
        crank,
        0.099,
        swept / 9.5,
        4800. * PI / 30.0,
        (-120f64.to_radians(), 125f64.to_radians()),
        charge.clone(),
        Constants::shipped(),
    );
    pt.phasing = Phasing::Ca50 { deg: 8.0 };
    let spec = CylinderSpec::<L>::from_points(&[&pt], HeatModel::Woschni);
    let gas = CylinderGas::<L>::from_charges(&[&charge]);
    let yf = 0.95 * charge.fuel_per_air / (1.0 + charge.fuel_per_air);
    let (mut total, mut steps, mut w) = (0.0, 0usize, 0.0);
    for _ in 0..200 {
        let mut c = Cylinder::new(
            &spec,
            &gas,
            L::splat(-121f64.to_radians()),
            L::splat(1.1e5),
            L::splat(380.0),
            L::splat(0.05),
            L::splat(yf),
        );
        let n = 246usize;
        let h = 1f64.to_radians();
        let t = std::time::Instant::now();
        w = pulp::Arch::new().dispatch(Run { c: &mut c, spec: &spec, gas: &gas, n, h, dt: h / pt.speed_rad_s });
        total += t.elapsed().as_secs_f64();
        steps += n;
    }
    println!(
        "{name}: {:.1} ns per step, {:.2} ns per step and lane, work {w:.4}",
        1e9 * total / steps as f64,
        1e9 * total / steps as f64 / L::WIDTH as f64
    );
}
fn main() {
    go::<f64>("f64");
    go::<F64x4>("f64x4");
    go::<F32x8>("f32x8");
    go::<F32x16>("f32x16");
}
