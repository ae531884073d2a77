//! All of an engine for one operating point.

use super::mesh::Mesh;
use super::{charging, exhaust, intake};
use crate::constants::Constants;
use crate::cylinder::{CylinderPoint, Phasing};
use crate::duct::DuctSpec;
use crate::end::Which;
use crate::gas_state::{Charge, ChargeError};
use crate::parts::{ChargerParts, EngineParts, ValveTable};
use crate::solve::layout::{Layout, PipeLayout, Side, Sizes, ValveLayout, VolumeSize};
use crate::solve::network::{At, Behind};
use std::f64::consts::PI;
use std::sync::Arc;

/// At what speed and load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Operating {
    /// Speed of the crank, rad/s.
    pub speed_rad_s: f64,
    /// Throttle: share of its area, above 0 to 1.
    pub throttle: f64,
    /// Lambda in place of the engine's own.
    pub lambda: Option<f64>,
    /// When it burns, in place of the engine's own.
    pub phasing: Option<Phasing>,
}

impl Operating {
    /// Full load at a speed in rpm.
    pub fn full_load(rpm: f64) -> Self {
        Self { speed_rad_s: rpm * PI / 30.0, throttle: 1.0, lambda: None, phasing: None }
    }

    /// Speed, rpm.
    pub fn rpm(&self) -> f64 {
        self.speed_rad_s * 30.0 / PI
    }
}

/// An engine at an operating point, ready to run.
#[derive(Debug, Clone)]
pub struct Assembled {
    /// What is connected to what.
    pub layout: Layout,
    /// Sizes.
    pub sizes: Sizes,
}

pub(super) struct Builder<'a> {
    pub parts: &'a EngineParts,
    pub operating: &'a Operating,
    pub constants: &'a Constants,
    pub layout: Layout,
    pub sizes: Sizes,
    junctions: usize,
    scroll: Option<At>,
}

impl Builder<'_> {
    pub(super) fn reservoir(&mut self, side: Side, state: (f64, f64, f64)) -> At {
        self.layout.reservoirs.push(side);
        self.sizes.reservoirs.push(state);
        At::Reservoir(self.sizes.reservoirs.len() - 1)
    }

    pub(super) fn volume(&mut self, size: VolumeSize) -> At {
        self.layout.volumes += 1;
        self.sizes.volumes.push(size);
        At::Volume(self.layout.volumes - 1)
    }

    pub(super) fn opening(&mut self, a: At, b: At, area_m2: f64) {
        self.layout.openings.push((a, b));
        self.sizes.openings.push(area_m2);
    }

    /// The turbine's housing, where there is one.
    pub(super) fn scroll(&self) -> Option<At> {
        self.scroll
    }

    pub(super) fn set_scroll(&mut self, at: At) {
        self.scroll = Some(at);
    }

    pub(super) fn junction(&mut self) -> usize {
        self.junctions += 1;
        self.junctions - 1
    }

    /// What a pipe's end is until a valve is put there.
    pub(super) fn to_come(&self) -> Behind {
        Behind::Closed
    }

    pub(super) fn pipe(
        &mut self,
        side: Side,
        spec: DuctSpec,
        ends: [Behind; 2],
        shares: [[f64; 2]; 2],
        fill: (f64, f64),
    ) -> usize {
        self.layout.pipes.push(PipeLayout { cells: spec.cells, first: ends[0], last: ends[1], side });
        self.sizes.pipes.push(spec);
        self.sizes.shares.push(shares);
        self.sizes.fill.push(fill);
        self.layout.pipes.len() - 1
    }

    /// Pressure and temperature that the manifold is thought to start with.
    pub(super) fn guess_manifold(&self) -> (f64, f64) {
        let air = &self.parts.ambient;
        match charging::guess_ratio(self.parts, self.operating) {
            Some(ratio) => (ratio * air.p_pa, air.t_k + 30.0),
            None => {
                // what the engine draws at the throttle's share, at most at sound speed
                let area = intake::throttle_area_m2(self.parts, self.operating);
                let drawn = self.parts.displacement_m3 * self.operating.speed_rad_s / (4.0 * PI);
                let x = (drawn / (area * 0.58 * 345.0)).powi(2);
                ((air.p_pa / (1.0 + x).sqrt()).max(0.2 * air.p_pa), air.t_k + 5.0)
            }
        }
    }

    fn valve(&mut self, cylinder: usize, pipe: usize, side: Side, table: &Arc<Vec<f64>>, reverse: f64) {
        let behind = Behind::Vessel(At::Outside(cylinder));
        let which = match side {
            Side::Intake => {
                self.layout.pipes[pipe].last = behind;
                Which::Last
            }
            Side::Exhaust => {
                self.layout.pipes[pipe].first = behind;
                Which::First
            }
        };
        self.layout.valves.push(ValveLayout { cylinder, side, pipe, which });
        self.sizes.valves.push(table.clone());
        self.sizes.reverse.push(reverse);
    }
}

/// A valve's table as share of its port, one degree a step, the end joined to the start.
fn shares(valve: &ValveTable) -> Arc<Vec<f64>> {
    let mut table: Vec<f64> = valve.area_m2.iter().map(|a| (a / valve.port_area_m2).min(1.0)).collect();
    table.push(table[0]);
    Arc::new(table)
}

/// Puts an engine together for one operating point.
///
/// # Errors
/// [`ChargeError`] for a lambda or a fuel that cannot burn.
pub fn assemble(
    parts: &EngineParts,
    operating: &Operating,
    mesh: &Mesh,
    constants: &Constants,
) -> Result<Assembled, ChargeError> {
    Ok(assemble_with(parts, operating, mesh, constants, &Tables::new(parts), charge(parts, operating)?))
}

/// Puts an engine together for several operating points: what they have in common is worked out once.
///
/// # Errors
/// As [`assemble`].
pub fn assemble_all(
    parts: &EngineParts,
    operating: &[Operating],
    mesh: &Mesh,
    constants: &Constants,
) -> Result<Vec<Assembled>, ChargeError> {
    let tables = Tables::new(parts);
    let mut charges: Vec<Arc<Charge>> = Vec::new();
    let mut made = Vec::with_capacity(operating.len());
    for one in operating {
        let lambda = lambda(parts, one);
        let known = charges.iter().find(|c| c.lambda.to_bits() == lambda.to_bits()).cloned();
        let charge = match known {
            Some(charge) => charge,
            None => {
                let new = charge(parts, one)?;
                charges.push(new.clone());
                new
            }
        };
        made.push(assemble_with(parts, one, mesh, constants, &tables, charge));
    }
    Ok(made)
}

fn lambda(parts: &EngineParts, operating: &Operating) -> f64 {
    operating.lambda.or_else(|| parts.mixture.lambda.at(operating.speed_rad_s)).unwrap_or(0.9)
}

fn charge(parts: &EngineParts, operating: &Operating) -> Result<Arc<Charge>, ChargeError> {
    let charge = Charge::new(&parts.mixture.fuel, lambda(parts, operating), parts.ambient.water_per_dry_air)?;
    Ok(Arc::new(charge))
}

/// Valves as shares of their ports.
struct Tables {
    intake: Arc<Vec<f64>>,
    exhaust: Arc<Vec<f64>>,
}

impl Tables {
    fn new(parts: &EngineParts) -> Self {
        Self { intake: shares(&parts.intake_valve), exhaust: shares(&parts.exhaust_valve) }
    }
}

fn assemble_with(
    parts: &EngineParts,
    operating: &Operating,
    mesh: &Mesh,
    constants: &Constants,
    tables: &Tables,
    charge: Arc<Charge>,
) -> Assembled {
    let n = parts.cylinders.len();
    let mut b = Builder {
        parts,
        operating,
        constants,
        layout: Layout {
            pipes: Vec::new(),
            volumes: 0,
            reservoirs: Vec::new(),
            openings: Vec::new(),
            cylinders: n,
            valves: Vec::new(),
            charger: None,
            turbine: None,
            manifold: None,
            collectors: Vec::new(),
            half: false,
            shared_volumes: Vec::new(),
            shared_pipes: Vec::new(),
        },
        sizes: Sizes {
            pipes: Vec::new(),
            shares: Vec::new(),
            fill: Vec::new(),
            volumes: Vec::new(),
            reservoirs: Vec::new(),
            openings: Vec::new(),
            cylinders: Vec::new(),
            phases_rad: parts.cylinders.iter().map(|c| c.fires_rad).collect(),
            valves: Vec::new(),
            reverse: Vec::new(),
            charge: charge.clone(),
            speed_rad_s: operating.speed_rad_s,
            charger: charging::charging(parts, operating),
            control: charging::start(parts),
            trapped: (0.0, 0.0),
        },
        junctions: 0,
        scroll: None,
    };
    let runners = intake::add(&mut b, mesh);
    let primaries = exhaust::add(&mut b, mesh);
    for c in 0..n {
        b.valve(c, runners[c], Side::Intake, &tables.intake, parts.intake_valve.reverse_share);
        b.valve(c, primaries[c], Side::Exhaust, &tables.exhaust, parts.exhaust_valve.reverse_share);
    }
    let (p, t) = b.guess_manifold();
    b.sizes.trapped = (p, t + 30.0);
    let phasing = operating.phasing.unwrap_or_else(|| match parts.mixture.spark_btdc_deg.at(operating.speed_rad_s) {
        Some(btdc_deg) => Phasing::Spark { btdc_deg },
        None => Phasing::KnockLimited { margin_deg: 0.0 },
    });
    let weight = constants.get("knock.octane_weight");
    let (coolant_k, load) = (constants.get("cylinder.coolant_temperature"), intake::load_share(parts, operating));
    for own in &parts.cylinders {
        // the closing of the cycle before ends where the next begins
        let shut = (parts.intake_valve.closes_rad - 4.0 * PI, parts.exhaust_valve.opens_rad);
        let mut point = CylinderPoint::new(
            parts.crank,
            own.bore_m,
            own.clearance_m3,
            operating.speed_rad_s,
            shut,
            charge.clone(),
            constants,
        );
        point.wall_k = point.wall_k.map(|full_k| intake::wall_k(full_k, coolant_k, load));
        point.crankcase_pa = parts.ambient.p_pa;
        point.octane = crate::knock::octane_index(parts.mixture.ron, parts.mixture.mon, weight);
        point.burn.flame_fuel = parts.mixture.flame_fuel;
        point.phasing = phasing;
        b.sizes.cylinders.push(point);
    }
    debug_assert!(!matches!(parts.charger, ChargerParts::None) || b.sizes.charger.is_none());
    Assembled { layout: b.layout, sizes: b.sizes }
}
