//! Effective area of a cylinder's valves over crank angle.

use super::take::Take;
use super::{CylinderParts, PartsError, lack};
use engine::build::facts::Lack;
use engine::cam::Valve;
use engine::flow_bench::FlowCurve;
use engine::valve_area::ValveSeat;
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
    /// Least area between valve and seat, times a coefficient.
    Seat { seat: ValveSeat, count: f64, discharge: f64 },
}

impl Flow {
    fn new(take: &Take<'_, '_>, valve: Valve, word: &str, head_m: f64, count: u32) -> Result<Self, PartsError> {
        let facts = take.facts;
        let what = if valve == Valve::Intake { "intake port flow" } else { "exhaust port flow" };
        let ports = facts.ports(valve);
        if !ports.is_empty() {
            let curves = ports.iter().map(|(n, _)| facts.flow_curve(*n)).collect::<Result<Vec<_>, Lack>>();
            return Ok(Self::Bench(curves.map_err(lack(what))?));
        }
        let throat = take.or_mm(&format!("head.{word}_throat"), 0.88 * head_m, "throats are 85 to 91 % of the valve");
        let stem = take.or_mm(&format!("head.{word}_stem"), 0.17 * head_m, "a usual stem for the valve");
        let width = take.or_mm(&format!("head.{word}_seat_width"), 0.035 * head_m, "a usual seat for the valve");
        let angle = facts.get(&format!("head.{word}_seat_angle")).map_err(lack(what))?;
        let seat =
            ValveSeat { valve_m: head_m, seat_angle_rad: angle, seat_width_m: width, throat_m: throat, stem_m: stem }
                .check()
                .map_err(|e| PartsError::Lack { what, why: Lack::Refused(e.to_string()) })?;
        let discharge = take.constant("valve.discharge");
        let text = format!("{discharge:.2} of the least area between valve and seat");
        take.note(&format!("flow ({word})"), &text, "no flow bench reading is stated; state one", "C");
        Ok(Self::Seat { seat, count: f64::from(count), discharge })
    }

    fn area_m2(&self, lift_m: f64) -> Result<f64, PartsError> {
        let what = "valve flow";
        match self {
            Self::Bench(curves) => {
                let mut sum = 0.0;
                for curve in curves {
                    // Beyond the last measured lift a port hardly gains: the last reading stands.
                    let last = curve.points().last().map_or(lift_m, |p| p.0);
                    let area = curve.effective_area_m2(lift_m.min(last));
                    sum += area.map_err(|e| PartsError::Lack { what, why: Lack::Refused(e.to_string()) })?;
                }
                Ok(sum / curves.len() as f64)
            }
            Self::Seat { seat, count, discharge } => {
                let area = seat.least_area(lift_m);
                let area = area.map_err(|e| PartsError::Lack { what, why: Lack::Refused(e.to_string()) })?;
                // The throat passes less of its area than a narrow slit does: common practice, a tenth.
                let open = (lift_m / (0.25 * seat.valve_m)).min(1.0);
                Ok(area.area_m2 * count * discharge * (1.05 - 0.1 * open))
            }
        }
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
