//! The sections of a build.

use super::input::Input;
use super::section::section;
use crate::cam::{CheckLift, Reference};

section! {
    /// What the engine is called and what is asked of it.
    EnginePart
    values {
        /// Displacement as printed or claimed; held against bore, stroke and cylinders.
        stated_displacement: Volume,
        /// Speed at which the ignition is cut.
        rev_limit: Speed,
        /// Power to expect, as observed at the brake; injectors and pump are judged by it.
        expected_power: Power,
        /// Speed of that power.
        expected_power_speed: Speed,
        /// Volumetric efficiency at manifold state, for the boost estimate.
        volumetric_efficiency: Share,
    }
    lists {}
    words {
        /// Name of the engine.
        name,
        /// Use it is built for.
        built_for,
        /// Use whose limits judge it, where `built_for` is not one of them: street, drag, endurance or marine.
        limits_for,
        /// Conditions for limits, with commas between: "nitrous, aluminium rod". Boost and alcohol are known by themselves.
        conditions,
        /// Anything worth saying.
        note,
    }
    counts {}
    extra {}
}
section! {
    /// Block, crank and rod.
    Block
    values {
        /// Bore, finished, diameter.
        bore: Size,
        /// Stroke of the piston.
        stroke: Size,
        /// Rod between centres.
        rod_length: Size,
        /// Pin offset, positive towards the side the crankpin moves to after top dead centre.
        pin_offset: Length,
        /// Piston below the block face at top dead centre; negative above it.
        deck_clearance: Length,
        /// Crank centre to block face.
        deck_height: Size,
        /// Angle between the banks, crank-case degrees.
        bank_angle: CrankAngle,
    }
    lists {
        /// Bore of each cylinder, in the order of their numbers; `bore` takes the list as well.
        bore_each: Size,
        /// Deck clearance of each cylinder; `deck_clearance` takes the list as well.
        deck_clearance_each: Length,
    }
    words {
        /// Layout: inline, vee, flat or single.
        layout,
        /// Which end cylinder 1 is at, and how numbers run.
        numbering,
    }
    counts {
        /// Number of cylinders.
        cylinders,
    }
    extra {
        /// Firing order, every cylinder once.
        firing_order: Vec<u32> = Takes::Counts,
        /// Cylinder numbers of each bank, from the front.
        banks: Vec<Vec<u32>> = Takes::CountLists,
    }
}
section! {
    /// Connecting rod, as weighed.
    Rod
    values {
        /// Mass of the big end with cap and bolts.
        big_end_mass: Mass,
        /// Mass of the small end.
        small_end_mass: Mass,
        /// Mass of both bearing shells.
        bearing_mass: Mass,
        /// Oil carried by one crankpin.
        oil_mass: Mass,
        /// Mass that goes round on the piston's side of the rod bolts: big end without cap, bolts and lower shell.
        above_bolts_mass: Mass,
        /// Share of the reciprocating mass to balance.
        balance_share: Share,
        /// Tension that the maker allows one rod bolt.
        bolt_limit: Force,
    }
    lists {}
    words {}
    counts {
        /// Bolts of one rod.
        bolts,
        /// Rods on one crankpin.
        rods_per_pin,
    }
    extra {}
}
section! {
    /// Piston, pin and rings.
    Piston
    values {
        /// Crown volume: dish and valve pockets positive, dome negative.
        crown_volume: SignedVolume,
        /// Volume above the top ring, around the top land.
        crevice_volume: Volume,
        /// Pin centre to the flat of the crown.
        compression_height: Size,
        /// Mass of the bare piston.
        mass: Mass,
        /// Mass of the pin.
        pin_mass: Mass,
        /// Mass of the pin locks, both.
        locks_mass: Mass,
        /// Mass of the ring set.
        rings_mass: Mass,
        /// Depth of the intake valve relief along the valve stem; 0 for a flat crown.
        intake_relief_depth: Length,
        /// Depth of the exhaust valve relief along the valve stem; 0 for a flat crown.
        exhaust_relief_depth: Length,
        /// What heat, rod stretch and bearing clearance take off the valve clearance at speed.
        running_allowance: Length,
    }
    lists {
        /// Crown volume of each piston; `crown_volume` takes the list as well.
        crown_volume_each: SignedVolume,
    }
    words {
        /// Material.
        material,
    }
    counts {}
    extra {}
}
section! {
    /// Head gasket.
    Gasket
    values {
        /// Opening, diameter.
        bore: Size,
        /// Thickness once compressed.
        thickness: Size,
    }
    lists {}
    words {}
    counts {}
    extra {}
}
section! {
    /// Cylinder head.
    Head
    values {
        /// Chamber volume with valves and plug fitted.
        chamber_volume: Volume,
        /// Intake valve head, diameter.
        intake_valve: Size,
        /// Exhaust valve head, diameter.
        exhaust_valve: Size,
        /// Intake seat angle against the valve head's plane.
        intake_seat_angle: CrankAngle,
        /// Exhaust seat angle against the valve head's plane.
        exhaust_seat_angle: CrankAngle,
        /// Intake seat width along the face.
        intake_seat_width: Size,
        /// Exhaust seat width along the face.
        exhaust_seat_width: Size,
        /// Intake throat, diameter.
        intake_throat: Size,
        /// Exhaust throat, diameter.
        exhaust_throat: Size,
        /// Intake stem in the throat, diameter.
        intake_stem: Size,
        /// Exhaust stem in the throat, diameter.
        exhaust_stem: Size,
        /// Intake port volume.
        intake_port_volume: Volume,
        /// Exhaust port volume.
        exhaust_port_volume: Volume,
        /// Least cross-section of the intake port.
        intake_port_area: Area,
        /// Intake valve stem against the bore axis.
        intake_valve_angle: CrankAngle,
        /// Exhaust valve stem against the bore axis.
        exhaust_valve_angle: CrankAngle,
        /// Intake valve centre from the bore axis, along the line through both valves, with sign.
        intake_valve_offset: Length,
        /// Exhaust valve centre from the bore axis, along the line through both valves, with sign.
        exhaust_valve_offset: Length,
        /// Lowest edge of the shut intake valve above the head's face; negative below it.
        intake_valve_above_face: Length,
        /// Lowest edge of the shut exhaust valve above the head's face; negative below it.
        exhaust_valve_above_face: Length,
    }
    lists {
        /// Volume of each chamber; `chamber_volume` takes the list as well.
        chamber_volume_each: Volume,
    }
    words {
        /// Material and casting.
        casting,
    }
    counts {
        /// Intake valves of one cylinder.
        intake_valves,
        /// Exhaust valves of one cylinder.
        exhaust_valves,
    }
    extra {}
}
section! {
    /// What the compression is to be.
    Compression
    values {
        /// Static compression ratio that is wanted.
        target_ratio: Nominal,
    }
    lists {}
    words {}
    counts {}
    extra {}
}
section! {
    /// Clearances and gaps as read; each is held against the limits for the use.
    Readings
    values {
        /// Piston to wall, diametral, at the gauge point of the piston's maker.
        piston_to_wall: Length,
        /// Pin in the piston, diametral.
        pin_in_piston: Length,
        /// Pin in the rod, diametral.
        pin_in_rod: Length,
        /// End gap of the top ring, in its bore.
        ring_gap_top: Length,
        /// End gap of the second ring, in its bore.
        ring_gap_second: Length,
        /// End gap of an oil rail, in its bore.
        ring_gap_oil_rail: Length,
        /// Side clearance of a ring in its groove.
        ring_side_clearance: Length,
        /// Back clearance of a ring in its groove.
        ring_back_clearance: Length,
        /// Main bearing clearance, diametral.
        main_clearance: Length,
        /// Main journal, diameter.
        main_journal: Size,
        /// Rod bearing clearance, diametral.
        rod_clearance: Length,
        /// Rod journal, diameter.
        rod_journal: Size,
        /// End play of the crank.
        crank_end_play: Length,
        /// Side clearance of the rods of one pin.
        rod_side_clearance: Length,
        /// Greatest less least deck height at the corners of a bank.
        deck_corner_spread: Length,
        /// Intake valve in its guide, diametral.
        guide_clearance_intake: Length,
        /// Exhaust valve in its guide, diametral.
        guide_clearance_exhaust: Length,
        /// Radial clearance of valve and pocket.
        valve_pocket_radial: Length,
        /// End play of the camshaft.
        cam_end_play: Length,
        /// Preload of a hydraulic lifter.
        hydraulic_preload: Length,
    }
    lists {}
    words {}
    counts {}
    extra {}
}
section! {
    /// Camshaft or camshafts: what belongs to the pair.
    Cam
    values {
        /// Lobe separation, cam degrees.
        lobe_separation: CamAngle,
        /// Advance of the pair, crank degrees; negative when late.
        advance: CrankAngle,
        /// How far a phaser moves the intake camshaft earlier than stated here, crank degrees.
        intake_phaser_advance: CrankAngle,
        /// How far a phaser moves the exhaust camshaft later than stated here, crank degrees.
        exhaust_phaser_retard: CrankAngle,
    }
    lists {}
    words {
        /// Follower: hydraulic flat, hydraulic roller, solid flat, solid roller, bucket or finger.
        follower,
        /// Grind number or marking.
        marking,
    }
    counts {}
    extra {}
}
section! {
    /// One lobe with its rocker.
    Lobe
    values {
        /// Lobe lift, at the lifter.
        lobe_lift: Size,
        /// Rocker ratio as printed; 1 for a follower that pushes the valve.
        rocker_ratio_nominal: Nominal,
        /// Rocker ratio as measured; counts before the printed one.
        rocker_ratio: Number,
        /// Lash at the valve.
        lash: Length,
        /// Centreline: after top dead centre for the intake, before it for the exhaust.
        centreline: CrankAngle,
        /// From the lowest check lift down to the base circle.
        ramp: CrankAngle,
        /// Standard uncertainty of one reading of a measured lobe table.
        table_reading_u: Size,
    }
    lists {
        /// Crank angles of a measured lobe table, degrees after the top dead centre of overlap.
        table_angle: CrankAngle,
        /// Lobe lifts of that table.
        table_lift: Length,
    }
    words {}
    counts {}
    extra {
        /// Duration at a check lift: "224 deg @ 0.050 in", or a list.
        duration: Vec<CheckedAngle> = Takes::Checked,
        /// Opening at a check lift: "31 deg BTDC @ 0.050 in", or a list.
        opens: Vec<CheckedAngle> = Takes::Checked,
        /// Closing at a check lift: "63 deg ABDC @ 0.050 in", or a list.
        closes: Vec<CheckedAngle> = Takes::Checked,
    }
}
section! {
    /// Moving parts of one valve.
    ValveTrain
    values {
        /// Valve with retainer and locks.
        valve_mass: Mass,
        /// Spring, all coils of a nest.
        spring_mass: Mass,
        /// Lifter and pushrod, or the bucket.
        lifter_mass: Mass,
        /// Rocker's moment of inertia about its shaft.
        rocker_inertia: Inertia,
        /// Rocker shaft to valve tip.
        rocker_arm: Size,
    }
    lists {}
    words {}
    counts {}
    extra {}
}
section! {
    /// Valve spring of one valve.
    ValveSpring
    values {
        /// Installed height.
        installed_height: Size,
        /// Height at which the coils touch.
        coil_bind: Size,
        /// Force at installed height.
        seat_force: Force,
        /// Rate.
        rate: SpringRate,
        /// Retainer to guide or seal with the valve shut.
        retainer_room: Size,
    }
    lists {}
    words {}
    counts {}
    extra {}
}
section! {
    /// Intake side.
    IntakeSide
    values {
        /// Runner, valve to plenum.
        runner_length: Size,
        /// Runner cross-section.
        runner_area: Area,
        /// Plenum volume.
        plenum_volume: Volume,
        /// Throttle bore, diameter.
        throttle_bore: Size,
    }
    lists {}
    words {
        /// Kind of manifold: single plane, dual plane, tunnel ram, long runner or individual.
        manifold,
    }
    counts {
        /// Throttles.
        throttles,
    }
    extra {}
}
section! {
    /// Exhaust side.
    ExhaustSide
    values {
        /// Primary, valve to collector.
        primary_length: Size,
        /// Primary bore, diameter inside.
        primary_bore: Size,
        /// Collector length.
        collector_length: Size,
        /// Collector bore, diameter inside.
        collector_bore: Size,
        /// Pipe behind it, diameter inside.
        pipe_bore: Size,
    }
    lists {}
    words {
        /// How primaries are joined.
        joined,
    }
    counts {}
    extra {}
}
section! {
    /// Blower driven from the crank.
    Blower
    values {
        /// Displacement per turn of the blower.
        displacement: Volume,
        /// Crank pulley, diameter at the belt's pitch line.
        crank_pulley: Size,
        /// Blower pulley, diameter at the belt's pitch line.
        blower_pulley: Size,
        /// Turns of the rotors per turn of the input shaft.
        step_up: Nominal,
        /// Blower turns per crank turn, where pulleys are not stated.
        ratio: Number,
        /// Volumetric efficiency.
        volumetric_efficiency: Share,
        /// Isentropic efficiency.
        isentropic_efficiency: Share,
        /// Mechanical efficiency of blower and drive.
        mechanical_efficiency: Share,
        /// Rotor or impeller tip, diameter.
        tip_diameter: Size,
        /// Speed that the maker allows.
        speed_limit: Speed,
        /// Boost at which the bypass opens.
        bypass_opens: Gauge,
        /// Effectiveness of the charge cooler.
        cooler_effectiveness: Share,
        /// Temperature of what cools the charge.
        coolant_temperature: Temperature,
        /// Pressure drop of the charge cooler.
        cooler_drop: Drop,
    }
    lists {
        /// Flow map: blower speed of each row.
        map_speed: Speed,
        /// Flow map: pressure ratio of each row.
        map_pressure_ratio: Number,
        /// Flow map: volume flow at the inlet of each row.
        map_flow: VolumeFlow,
        /// Flow map: isentropic efficiency of each row.
        map_efficiency: Share,
    }
    words {
        /// Kind: roots, screw or centrifugal.
        kind,
    }
    counts {}
    extra {}
}
section! {
    /// Turbocharger.
    Turbo
    values {
        /// Boost that the control holds.
        boost: Gauge,
        /// Isentropic efficiency of the compressor.
        compressor_efficiency: Share,
        /// Isentropic efficiency of the turbine.
        turbine_efficiency: Share,
        /// Effectiveness of the charge cooler.
        cooler_effectiveness: Share,
        /// Temperature of what cools the charge.
        coolant_temperature: Temperature,
        /// Pressure drop of the charge cooler.
        cooler_drop: Drop,
    }
    lists {
        /// Compressor map: mass flow of each row.
        map_flow: MassFlow,
        /// Compressor map: pressure ratio of each row.
        map_pressure_ratio: Number,
        /// Compressor map: isentropic efficiency of each row.
        map_efficiency: Share,
    }
    words {}
    counts {
        /// Turbochargers.
        turbos,
    }
    extra {}
}
section! {
    /// Fuel and what delivers it.
    FuelSide
    values {
        /// Ethanol by volume; the rest is gasoline.
        ethanol: Share,
        /// Methanol by volume; the rest is gasoline.
        methanol: Share,
        /// Density at 15 °C, from the fuel sheet.
        density: Density,
        /// Lower heating value, from the fuel sheet.
        heating_value: HeatingValue,
        /// Air over fuel by mass with nothing left over, from the fuel sheet.
        stoichiometric: Number,
        /// Research octane number.
        ron: Number,
        /// Motor octane number.
        mon: Number,
        /// Flow of one injector, held open, by volume.
        injector_flow: VolumeFlow,
        /// Flow of one injector, held open, by mass.
        injector_mass_flow: MassFlow,
        /// Pressure difference of that figure.
        injector_test_pressure: Drop,
        /// Density of the fluid of that figure.
        injector_test_density: Density,
        /// Base rail pressure.
        rail_pressure: Gauge,
        /// Specific fuel consumption to expect.
        specific_fuel: SpecificFuel,
        /// Flow of the pump at rail pressure and boost.
        pump_flow: VolumeFlow,
    }
    lists {}
    words {
        /// Name on the pump or drum.
        name,
        /// Rail pressure follows: manifold or air.
        rail_follows,
    }
    counts {
        /// Injectors of the whole engine.
        injectors,
    }
    extra {}
}
section! {
    /// The air it runs in.
    Ambient
    values {
        /// Pressure on the spot, not reduced to sea level.
        pressure: Absolute,
        /// Temperature.
        temperature: Temperature,
        /// Relative humidity.
        humidity: Share,
        /// Height above the sea, used when no pressure is stated.
        altitude: Height,
    }
    lists {}
    words {}
    counts {}
    extra {}
}
section! {
    /// One port as measured on the bench.
    PortFlow
    values {
        /// Pressure drop of the test.
        test_pressure: Drop,
        /// Bore of the adapter under the head, diameter.
        adapter_bore: Size,
        /// Area that a stated coefficient stands on.
        reference_area: Area,
        /// Absolute pressure of the room.
        air_pressure: Absolute,
        /// Temperature of the room.
        air_temperature: Temperature,
        /// How closely a reading comes back, half-width in percent.
        repeatability: Share,
    }
    lists {
        /// Valve lifts.
        lift: Size,
        /// Flow at each lift.
        flow: VolumeFlow,
    }
    words {
        /// Valve: intake or exhaust.
        valve,
        /// Bench and fixture.
        bench,
    }
    counts {
        /// Cylinder number of the port.
        port,
    }
    extra {}
}
section! {
    /// Spark and mixture at one speed and load.
    SchedulePoint
    values {
        /// Engine speed.
        speed: Speed,
        /// Absolute pressure in the manifold.
        manifold_pressure: Absolute,
        /// Spark, crank degrees before top dead centre.
        spark: CrankAngle,
        /// Mixture.
        lambda: Lambda,
    }
    lists {}
    words {}
    counts {}
    extra {}
}

/// Crank degrees at a stated check lift: a duration, or an event counted from a dead centre.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckedAngle {
    /// The angle.
    pub angle: Input,
    /// The dead centre it is counted from; `None` for a duration.
    pub reference: Option<Reference>,
    /// The check lift.
    pub check: CheckLift,
}

/// Both sides of what exists once for intake and once for exhaust.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Pair<T> {
    /// Intake.
    pub intake: T,
    /// Exhaust.
    pub exhaust: T,
}

impl<T> Pair<T> {
    /// One of the two.
    pub fn of(&self, valve: crate::cam::Valve) -> &T {
        match valve {
            crate::cam::Valve::Intake => &self.intake,
            crate::cam::Valve::Exhaust => &self.exhaust,
        }
    }
}
