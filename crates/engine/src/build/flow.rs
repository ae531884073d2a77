//! Geometry and ports of a build: what the kernels take, made of its inputs.

use super::PortFlow;
use super::facts::{Facts, Lack};
use crate::cam::Valve;
use crate::compression::{ClearanceVolumes, CylinderSizes};
use crate::flow_bench::{FlowCurve, Gas, LiftShare, effective_area_m2, mass_flow_kg_s};
use crate::fuel::{ETHANOL, GASOLINE, METHANOL, Properties, blend_by_volume};
use crate::kinematics::SliderCrank;
use crate::port_spread::Repeat;

impl Facts<'_> {
    /// Sizes of one cylinder.
    ///
    /// # Errors
    /// [`Lack::Missing`] with every size that is missing.
    pub fn cylinder_sizes(&self) -> Result<CylinderSizes, Lack> {
        let x = self.all([
            "block.bore",
            "block.stroke",
            "head.chamber_volume",
            "gasket.bore",
            "gasket.thickness",
            "block.deck_clearance",
            "piston.crown_volume",
            "piston.crevice_volume",
        ])?;
        Ok(CylinderSizes {
            bore_m: x[0],
            stroke_m: x[1],
            chamber_m3: x[2],
            gasket_bore_m: x[3],
            gasket_thickness_m: x[4],
            deck_m: x[5],
            crown_m3: x[6],
            crevice_m3: x[7],
        })
    }

    /// Parts of the clearance volume. A crevice below zero, one uncertainty under an assumed zero, is taken as it is.
    ///
    /// # Errors
    /// As [`Facts::cylinder_sizes`] and [`CylinderSizes::volumes`].
    pub fn clearance_volumes(&self) -> Result<ClearanceVolumes, Lack> {
        Ok(self.cylinder_sizes()?.volumes()?)
    }

    /// Clearance volume, m³.
    ///
    /// # Errors
    /// As [`Facts::clearance_volumes`], and when nothing is left above the piston.
    pub fn clearance_m3(&self) -> Result<f64, Lack> {
        let volumes = self.clearance_volumes()?;
        let crevice_m3 = volumes.crevice_m3;
        // The kernel refuses a crevice below zero, which an assumed 0 ± 0.5 cm³ passes through while its
        // uncertainty is worked out.
        Ok(ClearanceVolumes { crevice_m3: 0.0, ..volumes }.total_m3()? + crevice_m3)
    }

    /// Crank, rod and pin offset.
    ///
    /// # Errors
    /// [`Lack`] for what is missing or does not turn.
    pub fn crank(&self) -> Result<SliderCrank, Lack> {
        let [stroke_m, rod_m, offset_m] = self.all(["block.stroke", "block.rod_length", "block.pin_offset"])?;
        Ok(SliderCrank::from_stroke(stroke_m, rod_m, offset_m)?)
    }

    /// Absolute pressure on the spot, Pa: as stated, else from the height, else as assumed.
    ///
    /// # Errors
    /// [`Lack::Refused`] for a height that the standard atmosphere does not cover.
    pub fn ambient_pa(&self) -> Result<f64, Lack> {
        if self.build().ambient.pressure.is_none()
            && let Some(height_m) = self.stated("ambient.altitude")
        {
            return gas::atmosphere::pressure_pa(gas::atmosphere::geopotential_m(height_m))
                .map_err(|e| Lack::Refused(e.to_string()));
        }
        self.get("ambient.pressure")
    }

    /// Ports measured for one valve: index in [`super::Build::flow`], counted from 0.
    pub fn ports(&self, valve: Valve) -> Vec<(usize, &PortFlow)> {
        let wanted = super::valves::side(valve);
        self.build().flow.iter().enumerate().filter(|(_, p)| p.valve.as_deref() == Some(wanted)).collect()
    }

    /// Effective area over lift of one measured port. The flow is taken as read at the room's pressure and temperature;
    /// what one bench reads against another is in the uncertainty, the reading of a single row is not.
    ///
    /// # Errors
    /// [`Lack`] for what is missing or cannot be.
    pub fn flow_curve(&self, index: usize) -> Result<FlowCurve, Lack> {
        let port = &self.build().flow[index];
        let drop_pa = self.get(&format!("flow.{}.test_pressure", index + 1))?;
        let room_pa = port.air_pressure.as_ref().map_or(101_325.0, |p| p.si);
        let room_k = port.air_temperature.as_ref().map_or(293.15, |t| t.si);
        let factor = self.get("assumed.bench_factor")?;
        let mut rows = Vec::new();
        for (lift, flow) in port.lift.iter().zip(&port.flow) {
            let mass = mass_flow_kg_s(flow.si * factor, room_pa, room_k, Gas::AIR)?;
            rows.push((lift.si, effective_area_m2(mass, room_pa, room_k, room_pa - drop_pa, Gas::AIR)?));
        }
        Ok(FlowCurve::new(&rows)?)
    }

    /// Repeatability of the bench of one port; ±0.5 % where not stated (common practice, no source).
    ///
    /// # Errors
    /// [`Lack::Refused`] outside 0 to 20 %.
    pub fn bench_repeat(&self, index: usize) -> Result<Repeat, Lack> {
        let share = self.build().flow[index].repeatability.as_ref().map_or(0.005, |r| r.si);
        Ok(Repeat::within(share)?)
    }

    /// Share of the open time at each lift of a valve: steps of one crank degree.
    ///
    /// # Errors
    /// As [`Facts::lift_curve`].
    pub fn lift_use(&self, valve: Valve) -> Result<Vec<LiftShare>, Lack> {
        let (curve, lift) = (self.lift_curve(valve)?, self.valve_lift_curve(valve)?);
        let mut bars = Vec::new();
        let mut angle_deg = curve.start_deg();
        while angle_deg < curve.end_deg() {
            let lift_m = lift(angle_deg);
            if lift_m > 0.0 {
                bars.push(LiftShare { lift_m, share: 1.0 });
            }
            angle_deg += 1.0;
        }
        Ok(bars)
    }

    /// The fuel: a blend of gasoline and alcohols, with what the fuel sheet states put in its place.
    ///
    /// # Errors
    /// [`Lack::Refused`] for shares that pass 100 %.
    pub fn fuel(&self) -> Result<Properties, Lack> {
        let [ethanol, methanol] = self.all(["fuel.ethanol", "fuel.methanol"])?;
        if ethanol + methanol > 1.01 {
            return Err(Lack::Refused(format!(
                "{:.0} % ethanol and {:.0} % methanol cannot both be right: together they pass the whole",
                ethanol * 100.0,
                methanol * 100.0
            )));
        }
        // A stated share lies within 0 and 100 %. Moved by its own rounding it may pass either end, where
        // there is nothing more to add or take away.
        let (ethanol, methanol) = (ethanol.max(0.0), methanol.max(0.0));
        let sum = (ethanol + methanol).max(1.0);
        let (ethanol, methanol) = (ethanol / sum, methanol / sum);
        let parts = [(GASOLINE, (1.0 - ethanol - methanol).max(0.0)), (ETHANOL, ethanol), (METHANOL, methanol)];
        let mut blend = blend_by_volume(&parts)?;
        if let Some(density) = self.stated("fuel.density") {
            blend.density_kg_m3 = density;
        }
        if let Some(heating) = self.stated("fuel.heating_value") {
            blend.heating_j_kg = heating;
        }
        Ok(blend)
    }

    /// Air over fuel by mass with nothing left over: as the fuel sheet states, else of the blend.
    ///
    /// # Errors
    /// As [`Facts::fuel`].
    pub fn stoichiometric(&self) -> Result<f64, Lack> {
        match self.stated("fuel.stoichiometric") {
            Some(stated) => Ok(stated),
            None => Ok(self.fuel()?.stoichiometric()),
        }
    }
}
