use cycle::constants::Constants;
use cycle::cylinder::closed::{Start, closed_cycle};
use cycle::cylinder::{CylinderPoint, HeatModel, Phasing};
use cycle::gas_state::{Charge, Fuel};
use engine::fuel::GASOLINE;
use engine::kinematics::SliderCrank;
use std::f64::consts::PI;
use std::sync::Arc;
fn main() {
    let fuel = Fuel::blend(&GASOLINE, 0.0, 0.0).unwrap();
    for (name, bore, stroke, rod, cr, oct, p, t, lam, rpms) in [
        ("5.7 NA", 0.099, 0.092, 0.155, 10.5, 91.0, 1.15e5, 375.0, 0.87, [2000., 4800., 6000.]),
        ("1.9 4v", 0.082, 0.090, 0.146, 9.5, 87.0, 1.12e5, 375.0, 0.87, [1000., 2500., 6000.]),
        ("6.2 sc", 0.10325, 0.092, 0.155, 9.1, 91.0, 1.85e5, 385.0, 0.82, [2000., 3800., 6100.]),
    ] {
        let charge = Arc::new(Charge::new(&fuel, lam, 0.008).unwrap());
        for rpm in rpms {
            let yb = 0.05;
            let yf = (1.0 - yb) * charge.fuel_per_air / (1.0 + charge.fuel_per_air);
            for ca50 in [4.0, 6.0, 8.0, 10.0, 12.0] {
                let crank = SliderCrank::from_stroke(stroke, rod, 0.0).unwrap();
                let swept = PI / 4.0 * bore * bore * stroke;
                let mut pt = CylinderPoint::new(
                    crank,
                    bore,
                    swept / (cr - 1.0),
                    rpm * PI / 30.0,
                    (-120f64.to_radians(), 125f64.to_radians()),
                    charge.clone(),
                    Constants::shipped(),
                );
                pt.octane = oct;
                pt.phasing = Phasing::Ca50 { deg: ca50 };
                let s = Start { p_pa: p, t_k: t, yb, yf };
                let c = closed_cycle(&pt, HeatModel::Woschni, &s, 0.0, 0.5).unwrap();
                let e = c.trace.last().unwrap();
                let fuel_j = c.summary.trapped.mass_kg * yf * charge.heating_vapour_j_kg;
                println!(
                    "{name} {rpm} ca50 {ca50} spark {:.1} d1090 {:.1} d010 {:.1} SL {:.2} ST {:.1} pmax {:.1} @{:.0} Tmax {:.0} Tu {:.0} KI {:.2} wall {:.1}% work/fuel {:.3} Tevo {:.0} pevo {:.2} gIMEPcl {:.2}",
                    c.summary.plan.spark_btdc_deg,
                    c.summary.plan.duration_10_90_deg,
                    c.summary.plan.duration_0_10_deg,
                    c.summary.plan.laminar_m_s,
                    c.summary.plan.turbulent_m_s,
                    c.summary.p_max_pa / 1e5,
                    c.summary.p_max_deg,
                    c.summary.t_max_k,
                    c.summary.t_unburned_max_k,
                    c.summary.knock_integral / 0.4,
                    100.0 * e.wall_j / fuel_j,
                    e.work_j / fuel_j,
                    e.t_k,
                    e.p_pa / 1e5,
                    e.work_j / swept / 1e5
                );
            }
        }
    }
}
