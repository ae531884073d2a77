//! Signs that the program sees in a test. What a sign points to stands in the table.

macro_rules! signs {
    ($($(#[$doc:meta])* $name:ident = $key:literal;)*) => {
        /// A sign.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub(super) enum Sign { $($(#[$doc])* $name,)* }

        impl Sign {
            /// Every sign.
            pub(super) const ALL: &[Self] = &[$(Self::$name,)*];

            /// How the table writes it.
            pub(super) fn key(self) -> &'static str {
                match self { $(Self::$name => $key,)* }
            }
        }
    };
}

signs! {
    /// Two neighbours low, the rest not.
    PairLow = "cranking.pair_low";
    /// Two low, and it is not known whether they are neighbours.
    TwoLow = "cranking.two_low";
    /// Single cylinders low.
    OneLow = "cranking.one_low";
    /// Even among each other and clearly below what the build leads to expect.
    AllLowEven = "cranking.all_low_even";
    /// Clearly above what the build leads to expect.
    AboveExpected = "cranking.above_expected";
    /// A low number that is what the cam gives.
    LateClosing = "cranking.late_closing";
    /// Rises clearly with oil.
    WetRises = "cranking.wet_rises";
    /// Does not rise with oil.
    WetDoesNotRise = "cranking.wet_does_not_rise";
    /// First stroke low, then it builds.
    FirstLowBuilds = "cranking.first_low_builds";
    /// First stroke low, and it stays low.
    FirstLowStays = "cranking.first_low_stays";
    /// Air at the throttle.
    AirThrottle = "leak_down.air_throttle";
    /// Air at the exhaust.
    AirExhaust = "leak_down.air_exhaust";
    /// Air at the filler.
    AirFiller = "leak_down.air_filler";
    /// Bubbles.
    AirRadiator = "leak_down.air_radiator";
    /// Air at a neighbour's plug hole.
    AirNextHole = "leak_down.air_next_plug_hole";
    /// Every point below the rule.
    OilLowEverywhere = "oil_pressure.low_everywhere";
    /// Falls as speed rises, or falls behind the rule as speed rises.
    OilWorseWithSpeed = "oil_pressure.worse_with_speed";
    /// Steady and low.
    VacuumSteadyLow = "vacuum.steady_low";
    /// Regular flick.
    VacuumFlick = "vacuum.regular_flick";
    /// Flutter that grows with speed.
    VacuumFlutter = "vacuum.fast_flutter";
    /// Slow drift.
    VacuumDrift = "vacuum.drift";
    /// Sags while a speed is held.
    VacuumSag = "vacuum.sag_when_held";
    /// Low or wavering with a cam of long overlap.
    VacuumLongOverlap = "vacuum.long_overlap";
    /// Softer when a cylinder is shorted.
    NoiseSofterKilled = "noise.softer_when_killed";
    /// Heavy, at the bottom, louder under load.
    NoiseHeavyBottom = "noise.heavy_bottom_loaded";
    /// At the top, at half speed.
    NoiseTopHalf = "noise.top_half_speed";
    /// There cold, gone hot.
    NoiseColdOnly = "noise.cold_only";
    /// Vertical score.
    ScopeScore = "borescope.vertical_score";
    /// Washed edge.
    ScopeWashedEdge = "borescope.washed_edge";
    /// Print of a valve.
    ScopeValvePrint = "borescope.valve_print";
    /// Shiny crown.
    ScopeShinyCrown = "borescope.shiny_crown";
    /// No hatch.
    ScopeNoHatch = "borescope.no_hatch";
    /// Rust.
    ScopeRust = "borescope.rust";
    /// Fine fuzz.
    DebrisFuzz = "filter_debris.fine_fuzz";
    /// Magnetic flakes.
    DebrisMagnetic = "filter_debris.magnetic";
    /// Bright soft flakes.
    DebrisBright = "filter_debris.bright";
    /// Copper colour.
    DebrisCopper = "filter_debris.copper";
    /// Water in the oil.
    DebrisWater = "filter_debris.water";
    /// Aluminium specks.
    PlugSpecks = "plugs.aluminium_specks";
    /// Pepper.
    PlugPepper = "plugs.pepper";
    /// Broken porcelain.
    PlugPorcelain = "plugs.broken_porcelain";
    /// Oil.
    PlugOil = "plugs.oil_wet";
    /// Steam-clean.
    PlugSteam = "plugs.steam_clean";
    /// One colour differs from the rest.
    PlugDiffers = "plugs.one_differs";
    /// Pressure falls.
    CoolingFalls = "cooling_pressure.falls";
    /// Combustion gas.
    CoolingGas = "cooling_pressure.gas";
    /// More from pull to pull.
    BlowByClimbs = "blow_by.climbs";
    /// Small drop.
    BalanceSmallDrop = "cylinder_balance.small_drop";
    /// Low on compression, air at the filler.
    AgreeFiller = "agree.low_and_filler";
    /// Low on compression, air at the throttle.
    AgreeThrottle = "agree.low_and_throttle";
    /// Low on compression, air at the exhaust.
    AgreeExhaust = "agree.low_and_exhaust";
    /// Low on compression, bubbles.
    AgreeRadiator = "agree.low_and_radiator";
    /// Low on compression, air at a neighbour's plug hole.
    AgreeNextHole = "agree.low_and_next_plug_hole";
    /// Low on compression, and a small drop when shorted.
    AgreeWeak = "agree.low_and_small_drop";
}
