//! Effective area of a cylinder's valves over crank angle.

use super::take::Take;
use super::{CylinderParts, PartsError, between, lack};
use engine::build::facts::Lack;
use engine::cam::Valve;
use engine::flow_bench::FlowCurve;
use std::f64::consts::FRAC_PI_4;

/// Valves of one kind of a cylinder.
#[derive(Debug, Clone, PartialEq)]
pub struct ValveTable {
    /// Effective area of all of them together, m², for flow the way the bench measured it, at each degree of the
    /// cylinder's own cycle: entry 0 is firing top dead centre, 720 entries.
    pub area_m2: Vec<f64>,
    /// Opens, rad after firing top dead centre, within 0 … 4π.
    pub opens_rad: f64,
    /// Closes; may pass 4π.
    pub closes_rad: f64,
    /// Area for flow the other way over [`ValveTable::area_m2`].
    pub reverse_share: f64,
    /// Cross-section of the port just before the valve, m².
    pub port_area_m2: f64,
    /// Valves.
    pub count: u32,
    /// Diameter of one valve head, m.
    pub head_m: f64,
    /// Greatest lift, m.
    pub lift_m: f64,
}

impl ValveTable {
    pub(super) fn new(take: &Take<'_, '_>, valve: Valve, cylinders: &[CylinderParts]) -> Result<Self, PartsError> {
        let facts = take.facts;
        let head = &facts.build().head;
        let (word, stated) = match valve {
            Valve::Intake => ("intake", head.intake_valves),
            Valve::Exhaust => ("exhaust", head.exhaust_valves),
        };
        let what = if valve == Valve::Intake { "intake valve" } else { "exhaust valve" };
        let count = stated.unwrap_or_else(|| {
            take.note(&format!("head.{word}_valves"), "1", "one valve of each kind", "C");
            1
        });
        let none = |found: String, expected| PartsError::NoEngine { what: format!("{what}s"), found, expected };
        if !(1..=4).contains(&count) {
            return Err(none(count.to_string(), "1 to 4 for a cylinder"));
        }
        let lift = facts.valve_lift_curve(valve).map_err(lack(what))?;
        let curve = facts.lift_curve(valve).map_err(lack(what))?;
        let head_m = facts.get(&format!("head.{word}_valve")).map_err(lack(what))?;
        let bore_m = cylinders[0].bore_m;
        if !(head_m > 0.0 && head_m < bore_m) {
            return Err(none(
                format!("{:.1} mm", head_m * 1e3),
                "a head larger than nothing and smaller than the bore",
            ));
        }
        let flow = Flow::new(take, valve, word, head_m, count)?;
        // Lift curves count from the top dead centre of overlap, a turn before the firing one.
        let (start, end) = (curve.start_deg(), curve.end_deg());
        let fine = 10;
        let steps = ((end - start) * f64::from(fine)).ceil() as usize;
        let mut area_m2 = vec![0.0; 720];
        let (mut opens, mut closes, mut lift_m): (Option<f64>, f64, f64) = (None, end, 0.0);
        for k in 0..=steps {
            let angle = start + k as f64 / f64::from(fine);
            let h = lift(angle);
            lift_m = lift_m.max(h);
            // A tenth of a millimetre is where a seat begins to pass gas.
            if h > 1e-5 {
                opens.get_or_insert(angle);
                closes = angle;
            }
        }
        let opens = opens.ok_or_else(|| none("no lift".into(), "a valve that opens"))?;
        for (k, area) in area_m2.iter_mut().enumerate() {
            let mut angle = k as f64 - 360.0;
            while angle < start {
                angle += 720.0;
            }
            let h = lift(angle);
            if angle <= end && h > 1e-5 {
                *area = flow.area_m2(h)?;
            }
        }
        if !(area_m2.iter().sum::<f64>() > 0.0) {
            return Err(none("no area".into(), "a valve that opens"));
        }
        let opens_deg = (opens + 360.0).rem_euclid(720.0);
        let port_area_m2 = port_area(take, valve, word, head_m, count);
        Ok(Self {
            area_m2,
            opens_rad: opens_deg.to_radians(),
            closes_rad: (opens_deg + closes - opens).to_radians(),
            reverse_share: take.constant("valve.reverse_share"),
            port_area_m2,
            count,
            head_m,
            lift_m,
        })
    }

    /// Effective area, m², at an angle of the cylinder's own cycle, rad after firing top dead centre.
    pub fn at_m2(&self, theta_rad: f64) -> f64 {
        let deg = theta_rad.to_degrees().rem_euclid(720.0);
        let k = deg.floor();
        let (a, b) = (self.area_m2[k as usize % 720], self.area_m2[(k as usize + 1) % 720]);
        a + (deg - k) * (b - a)
    }
}

/// Where effective area comes from.
enum Flow {
    /// Mean of the measured ports.
    Bench(Vec<FlowCurve>),
    /// The usual curve, each measured lift and what its flow is of that curve's: straight between them, level beyond.
    /// Without a reading the usual curve itself.
    Usual { curve: UsualCurve, ratios: Vec<(f64, f64)> },
}

/// Fewer readings than this say how much a port flows, not over which lift.
const READINGS_OF_A_CURVE: usize = 3;

impl Flow {
    fn new(take: &Take<'_, '_>, valve: Valve, word: &str, head_m: f64, count: u32) -> Result<Self, PartsError> {
        let facts = take.facts;
        let what = if valve == Valve::Intake { "intake port flow" } else { "exhaust port flow" };
        let ports = facts.ports(valve);
        let curves = ports.iter().map(|(n, _)| facts.flow_curve(*n)).collect::<Result<Vec<_>, Lack>>();
        let curves = curves.map_err(lack(what))?;
        if !curves.is_empty() && curves.iter().all(|c| c.points().len() >= READINGS_OF_A_CURVE) {
            return Ok(Self::Bench(curves));
        }
        let curve = UsualCurve::new(take, word, head_m, count);
        let mut read: Vec<(f64, f64)> = Vec::new();
        for &(lift, area) in curves.iter().flat_map(FlowCurve::points) {
            read.push((lift, area / curve.area_m2(lift)));
        }
        read.sort_by(|a, b| a.0.total_cmp(&b.0));
        // ports read at one lift count by their mean
        let mean = |same: &[(f64, f64)]| (same[0].0, same.iter().map(|r| r.1).sum::<f64>() / same.len() as f64);
        let ratios: Vec<(f64, f64)> = read.chunk_by(|a, b| a.0 == b.0).map(mean).collect();
        let shape = format!(
            "{:.2} of the curtain at low lift, up to {:.2} of the throat less the stem",
            curve.of_curtain, curve.of_throat
        );
        if ratios.is_empty() {
            take.note(&format!("flow ({word})"), &shape, "no flow bench reading is stated; state one", "C");
        } else {
            let text = format!("{shape}, times what brings it through the readings");
            take.note(&format!("flow ({word})"), &text, "fewer than three readings of a port make no curve", "C");
        }
        Ok(Self::Usual { curve, ratios })
    }

    fn area_m2(&self, lift_m: f64) -> Result<f64, PartsError> {
        match self {
            Self::Bench(curves) => {
                let mut sum = 0.0;
                for curve in curves {
                    // Beyond the last measured lift a port hardly gains: the last reading stands.
                    let last = curve.points().last().map_or(lift_m, |p| p.0);
                    let area = curve.effective_area_m2(lift_m.min(last));
                    let what = "valve flow";
                    sum += area.map_err(|e| PartsError::Lack { what, why: Lack::Refused(e.to_string()) })?;
                }
                Ok(sum / curves.len() as f64)
            }
            Self::Usual { curve, ratios } => Ok(curve.area_m2(lift_m) * between(ratios, lift_m).unwrap_or(1.0)),
        }
    }
}

/// The usual flow of a valve over lift: a share of the curtain (valve circumference times lift) while that is small, a
/// share of the throat less the stem when it is wide open, and in between the two as one behind the other,
/// `A = (A₁⁻⁴ + A₂⁻⁴)^(−¼)`. Common practice, no source: it follows the curves that benches draw of good production
/// ports within about 4 %.
struct UsualCurve {
    head_m: f64,
    throat_m2: f64,
    count: f64,
    of_curtain: f64,
    of_throat: f64,
}

impl UsualCurve {
    fn new(take: &Take<'_, '_>, word: &str, head_m: f64, count: u32) -> Self {
        let throat = take.or_mm(&format!("head.{word}_throat"), 0.88 * head_m, "throats are 85 to 91 % of the valve");
        let stem = take.or_mm(&format!("head.{word}_stem"), 0.17 * head_m, "a usual stem for the valve");
        let shared = if count > 1 { take.constant("valve.pair_share") } else { 1.0 };
        let fully = if word == "intake" { "valve.intake_discharge" } else { "valve.exhaust_discharge" };
        Self {
            head_m,
            throat_m2: FRAC_PI_4 * (throat * throat - stem * stem).max(0.1 * throat * throat),
            count: f64::from(count),
            of_curtain: shared * take.constant("valve.curtain_discharge"),
            of_throat: shared * take.constant(fully),
        }
    }

    /// Effective area of all valves, m², at a lift above zero, m.
    fn area_m2(&self, lift_m: f64) -> f64 {
        let curtain = self.of_curtain * std::f64::consts::PI * self.head_m * lift_m;
        let throat = self.of_throat * self.throat_m2;
        self.count * (curtain.powi(-4) + throat.powi(-4)).powf(-0.25)
    }
}

/// Cross-section of the port near the valve.
fn port_area(take: &Take<'_, '_>, valve: Valve, word: &str, head_m: f64, count: u32) -> f64 {
    let throat = take.facts.stated(&format!("head.{word}_throat")).unwrap_or(0.88 * head_m);
    let throats = f64::from(count) * FRAC_PI_4 * throat * throat;
    if valve == Valve::Intake
        && let Some(stated) = take.facts.stated("head.intake_port_area")
    {
        return stated;
    }
    let share = if valve == Valve::Intake { 0.85 } else { 0.95 };
    let area = share * throats;
    let key = format!("head.{word}_port_area");
    let why = "ports are a little narrower than the throats";
    take.note(&key, &format!("{:.1} cm²", area * 1e4), why, "C");
    area
}
