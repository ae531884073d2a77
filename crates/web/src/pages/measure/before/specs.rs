//! What is asked for each test before teardown: fields over the whole test, and rows for cylinders, speeds or looks.

use quantity::Dimension;

/// A choice: key in the entry, words.
pub(super) type Choice = (&'static str, &'static str);

/// What stands in a field.
#[derive(Debug, Clone, Copy)]
pub(super) enum Kind {
    /// A quantity with units for bare numbers: metric, US.
    Quantity(Dimension, &'static str, &'static str),
    /// A barometer on the spot.
    Barometer,
    /// A height above the sea.
    Height,
    /// Words.
    Words,
    /// A whole number.
    Count,
    /// Yes, no, or not noted.
    YesNo,
    /// One of a few.
    One(&'static [Choice]),
    /// Any of a few.
    Many(&'static [Choice]),
    /// An instrument of the register that measures this.
    Instrument(&'static str, Dimension),
}

/// A field.
#[derive(Debug, Clone, Copy)]
pub(super) struct Field {
    pub(super) key: &'static str,
    pub(super) label: &'static str,
    pub(super) hint: &'static str,
    pub(super) kind: Kind,
}

/// Rows of a test.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rows {
    /// Key of the list in the entry.
    pub(super) key: &'static str,
    /// Rows are cylinders, numbered from 1; else they are just rows.
    pub(super) cylinders: bool,
    /// Head over the rows.
    pub(super) head: &'static str,
    /// Rows that are drawn where they are not cylinders.
    pub(super) usual: usize,
    /// Their fields; a row without anything in them is left out.
    pub(super) fields: &'static [Field],
}

/// A test.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spec {
    pub(super) key: &'static str,
    pub(super) name: &'static str,
    pub(super) about: &'static str,
    pub(super) fields: &'static [Field],
    pub(super) rows: Option<Rows>,
}

const fn field(key: &'static str, label: &'static str, hint: &'static str, kind: Kind) -> Field {
    Field { key, label, hint, kind }
}

const PRESSURE: Kind = Kind::Quantity(Dimension::Pressure, "kPa", "psi");
const SPEED: Kind = Kind::Quantity(Dimension::RotationalSpeed, "rpm", "rpm");
const TEMPERATURE: Kind = Kind::Quantity(Dimension::Temperature, "\u{b0}C", "\u{b0}F");
const SHARE: Kind = Kind::Quantity(Dimension::Fraction, "%", "%");
const VACUUM: Kind = Kind::Quantity(Dimension::Pressure, "kPa vac", "inHg vac");
const REMARK: Field = field("remark", "Remark", "", Kind::Words);
const AIR: &[Choice] = &[
    ("throttle", "throttle"),
    ("exhaust", "exhaust pipe"),
    ("filler", "oil filler"),
    ("radiator", "bubbles in the radiator"),
    ("next_plug_hole", "next plug hole"),
    ("nowhere", "listened, nowhere"),
];
const TDC: &[Choice] =
    &[("firing", "firing, both valves shut"), ("overlap", "overlap"), ("not_checked", "nobody looked")];

/// Every test, in the order in which a shop does them.
pub(super) const ALL: &[Spec] = &[
    Spec {
        key: "cranking",
        name: "Cranking compression",
        about: "Warm, all plugs out, ignition and injectors off, throttle wide open, charged battery, the same strokes for each cylinder. Wet: some oil into the low hole and again.",
        fields: &[
            field("warm", "Engine warm", "", Kind::YesNo),
            field("throttle_open", "Throttle wide open", "", Kind::YesNo),
            field("plugs_out", "All plugs out", "", Kind::YesNo),
            field("ignition_and_injectors_off", "Ignition and injectors off", "", Kind::YesNo),
            field("strokes", "Strokes each", "", Kind::Count),
            field("speed", "Cranking speed", "", SPEED),
            field("oil_temperature", "Oil temperature", "", TEMPERATURE),
            field(
                "station_pressure",
                "Barometer on the spot",
                "Not reduced to sea level: 98.2 kPa, 29.0 inHg",
                Kind::Barometer,
            ),
            field("altitude", "Height above the sea", "Where there is no barometer: 620 m, 2,000 ft", Kind::Height),
            field("wet_oil", "Oil poured in, wet", "15 mL", Kind::Quantity(Dimension::Volume, "cm\u{b3}", "cm\u{b3}")),
            field("instrument", "Gauge", "", Kind::Instrument("compression gauge", Dimension::Pressure)),
            REMARK,
        ],
        rows: Some(Rows {
            key: "cylinders",
            cylinders: true,
            head: "Cylinder",
            usual: 4,
            fields: &[
                field("first", "First stroke", "", PRESSURE),
                field("last", "Last stroke", "", PRESSURE),
                field("wet", "With oil", "", PRESSURE),
                REMARK,
            ],
        }),
    },
    Spec {
        key: "leak_down",
        name: "Leak-down",
        about: "Piston at top dead centre firing, crank locked, regulated air. Read percent lost, and listen where the air goes.",
        fields: &[
            field(
                "shows",
                "The tester shows",
                "",
                Kind::One(&[("lost", "percent lost"), ("held", "percent held"), ("gauges", "two gauges")]),
            ),
            field("supply", "Supply pressure", "", PRESSURE),
            field(
                "orifice",
                "Orifice of the tester",
                "1.0 mm, 0.040 in",
                Kind::Quantity(Dimension::Length, "mm", "in"),
            ),
            field("hot", "Engine hot", "", Kind::YesNo),
            field("tdc", "Pistons stood at", "", Kind::One(TDC)),
            field("crank_locked", "Crank locked", "", Kind::YesNo),
            field("instrument", "Tester", "", Kind::Instrument("leak-down tester", Dimension::Pressure)),
            REMARK,
        ],
        rows: Some(Rows {
            key: "cylinders",
            cylinders: true,
            head: "Cylinder",
            usual: 4,
            fields: &[
                field("reading", "Percent", "As the tester shows it", SHARE),
                field("gauge_supply", "Before the orifice", "Only with two gauges", PRESSURE),
                field("gauge_cylinder", "At the cylinder", "Only with two gauges", PRESSURE),
                field("air_at", "Air heard at", "", Kind::Many(AIR)),
                field("heard_in_cylinder", "In the plug hole of", "Cylinder", Kind::Count),
                REMARK,
            ],
        }),
    },
    Spec {
        key: "leak_down_aircraft",
        name: "Leak-down, aircraft form",
        about: "80 psi supply through a standard orifice; what is held behind it is read.",
        fields: &[
            field("supply", "Supply pressure", "80 psi", PRESSURE),
            field(
                "orifice",
                "Orifice of the tester",
                "0.040 in under 5 in of bore, 0.060 in from there",
                Kind::Quantity(Dimension::Length, "mm", "in"),
            ),
            field("bore", "Bore", "Where no build says it", Kind::Quantity(Dimension::Length, "mm", "in")),
            field("hot", "Engine hot", "", Kind::YesNo),
            field("tdc", "Pistons stood at", "", Kind::One(TDC)),
            field("instrument", "Tester", "", Kind::Instrument("leak-down tester", Dimension::Pressure)),
            REMARK,
        ],
        rows: Some(Rows {
            key: "cylinders",
            cylinders: true,
            head: "Cylinder",
            usual: 4,
            fields: &[
                field("held", "Held", "", PRESSURE),
                field("air_at", "Air heard at", "", Kind::Many(AIR)),
                field("heard_in_cylinder", "In the plug hole of", "Cylinder", Kind::Count),
                REMARK,
            ],
        }),
    },
    Spec {
        key: "oil_pressure",
        name: "Oil pressure, hot",
        about: "Mechanical gauge, oil hot, at idle and in steps of 1,000 rpm.",
        fields: &[
            field("oil_temperature", "Oil temperature", "", TEMPERATURE),
            field("grade", "Grade of the oil", "10W-40, not known", Kind::Words),
            field("mechanical_gauge", "Mechanical gauge", "", Kind::YesNo),
            field("instrument", "Gauge", "", Kind::Instrument("pressure gauge", Dimension::Pressure)),
            REMARK,
        ],
        rows: Some(Rows {
            key: "points",
            cylinders: false,
            head: "Reading",
            usual: 6,
            fields: &[
                field("speed", "Engine speed", "", SPEED),
                field("pressure", "Pressure", "", PRESSURE),
                field("idle", "It is the idle", "", Kind::One(&[("yes", "yes")])),
            ],
        }),
    },
    Spec {
        key: "vacuum",
        name: "Manifold vacuum",
        about: "Warm, at idle, at a port where all runners join below the throttle.",
        fields: &[
            field("idle", "Vacuum at idle", "17 inHg vac, 58 kPa vac", VACUUM),
            field(
                "needle",
                "The needle",
                "",
                Kind::One(&[
                    ("steady", "steady"),
                    ("regular_flick", "a regular flick"),
                    ("fast_flutter", "a flutter that grows with speed"),
                    ("drift", "drifts slowly"),
                    ("wavering", "wavers with no beat"),
                ]),
            ),
            field("flick", "Drop at each flick", "", VACUUM),
            field("idle_speed", "Idle speed", "", SPEED),
            field("held_speed", "Speed held after that", "", SPEED),
            field("held_first", "Vacuum when it was reached", "", VACUUM),
            field("held_later", "Vacuum after holding it", "", VACUUM),
            field(
                "port",
                "Read at",
                "",
                Kind::One(&[
                    ("manifold", "the manifold, all runners"),
                    ("one_plane", "one plane of a split plenum"),
                    ("ported", "above the throttle at idle"),
                ]),
            ),
            field("warm", "Engine warm", "", Kind::YesNo),
            field(
                "long_overlap",
                "Cam with long overlap",
                "As the owner or the card says, where no build tells",
                Kind::YesNo,
            ),
            field("station_pressure", "Barometer on the spot", "", Kind::Barometer),
            field("altitude", "Height above the sea", "", Kind::Height),
            field("instrument", "Gauge", "", Kind::Instrument("vacuum gauge", Dimension::Pressure)),
            REMARK,
        ],
        rows: None,
    },
    Spec {
        key: "cylinder_balance",
        name: "Cylinder balance",
        about: "Each cylinder shorted in turn at idle, the drop of speed noted. The idle control must not fill the drop.",
        fields: &[
            field("idle_speed", "Idle speed before", "", SPEED),
            field("idle_control_off", "Idle control off", "", Kind::YesNo),
            field("instrument", "Instrument", "", Kind::Instrument("tachometer", Dimension::RotationalSpeed)),
            REMARK,
        ],
        rows: Some(Rows {
            key: "cylinders",
            cylinders: true,
            head: "Cylinder",
            usual: 4,
            fields: &[field("drop", "Drop of speed", "", SPEED)],
        }),
    },
    Spec {
        key: "noise",
        name: "Noise",
        about: "With a stethoscope: where it is loudest, its beat, what load and shorting a cylinder do to it.",
        fields: &[REMARK],
        rows: Some(Rows {
            key: "heard",
            cylinders: false,
            head: "Noise",
            usual: 2,
            fields: &[
                field("words", "In words", "heavy knock", Kind::Words),
                field(
                    "place",
                    "Loudest at",
                    "",
                    Kind::One(&[
                        ("top", "valve covers, head"),
                        ("bores", "side of the block"),
                        ("bottom", "pan, main webs"),
                        ("front", "front, belt drive"),
                        ("rear", "bell housing"),
                    ]),
                ),
                field(
                    "rate",
                    "Beat",
                    "",
                    Kind::One(&[
                        ("half_speed", "half speed, the cam\u{2019}s"),
                        ("full_speed", "once a turn"),
                        ("no_beat", "none"),
                        ("not_told", "could not be told"),
                    ]),
                ),
                field(
                    "load",
                    "Under load",
                    "",
                    Kind::One(&[
                        ("louder_loaded", "louder"),
                        ("louder_unloaded", "louder without load"),
                        ("same", "the same"),
                    ]),
                ),
                field("softer", "Softer when shorted", "Cylinders: 3, 4", Kind::Words),
                field("unchanged", "Unchanged when shorted", "Cylinders", Kind::Words),
                field("louder", "Louder when shorted", "Cylinders", Kind::Words),
                field("cold", "There when cold", "", Kind::YesNo),
                field("hot", "There when hot", "", Kind::YesNo),
                field("heavy", "Heavy, as of a large part", "", Kind::One(&[("yes", "yes")])),
            ],
        }),
    },
    Spec {
        key: "borescope",
        name: "Borescope",
        about: "Through the plug hole, piston down, at the four clocks; 12 is towards the front of the engine.",
        fields: &[field("cylinders", "Cylinders of the engine", "Where no build says it", Kind::Count), REMARK],
        rows: Some(Rows {
            key: "views",
            cylinders: false,
            head: "Look",
            usual: 8,
            fields: &[
                field("cylinder", "Cylinder", "", Kind::Count),
                field(
                    "place",
                    "Where",
                    "",
                    Kind::One(&[
                        ("12", "12 o\u{2019}clock"),
                        ("3", "3 o\u{2019}clock"),
                        ("6", "6 o\u{2019}clock"),
                        ("9", "9 o\u{2019}clock"),
                        ("crown", "crown"),
                    ]),
                ),
                field(
                    "seen",
                    "Seen",
                    "",
                    Kind::Many(&[
                        ("crosshatch", "crosshatch"),
                        ("no_hatch", "no hatch"),
                        ("vertical_score", "vertical score"),
                        ("washed_edge", "washed edge of the crown"),
                        ("valve_print", "print of a valve"),
                        ("shiny_crown", "shiny crown"),
                        ("dry_crown", "dry crown"),
                        ("oil_wet", "wet with oil"),
                        ("rust", "rust"),
                    ]),
                ),
                field("words", "In words", "", Kind::Words),
            ],
        }),
    },
    Spec {
        key: "plugs",
        name: "Spark plugs",
        about: "Kept in order as they came out.",
        fields: &[field("kept_in_order", "Kept in order", "", Kind::YesNo), REMARK],
        rows: Some(Rows {
            key: "plugs",
            cylinders: true,
            head: "Cylinder",
            usual: 4,
            fields: &[
                field(
                    "colour",
                    "Colour",
                    "",
                    Kind::One(&[
                        ("tan_grey", "tan or grey"),
                        ("white", "white"),
                        ("black", "black, dry"),
                        ("other", "other"),
                    ]),
                ),
                field(
                    "marks",
                    "Marks",
                    "",
                    Kind::Many(&[
                        ("aluminium_specks", "aluminium specks"),
                        ("pepper", "pepper"),
                        ("broken_porcelain", "broken porcelain"),
                        ("oil_wet", "wet with oil"),
                        ("steam_clean", "steam-clean"),
                    ]),
                ),
                field("words", "In words", "", Kind::Words),
            ],
        }),
    },
    Spec {
        key: "filter_debris",
        name: "Oil and filter",
        about: "Sample in the middle of the drain; the can cut with a cutter, pleats spread, a magnet over them. No row filled in: looked, nothing found.",
        fields: &[
            field(
                "cut",
                "Filter opened with",
                "",
                Kind::One(&[("cutter", "a cutter"), ("saw", "a saw"), ("element", "needs no cutting")]),
            ),
            field("water", "Water in the oil", "", Kind::YesNo),
            field("just_run_in", "Engine just run in", "", Kind::YesNo),
            field("sample_mid_drain", "Sample in the middle of the drain", "", Kind::YesNo),
            field("laboratory", "What the laboratory says", "", Kind::Words),
            REMARK,
        ],
        rows: Some(Rows {
            key: "found",
            cylinders: false,
            head: "Found",
            usual: 3,
            fields: &[
                field(
                    "kind",
                    "Kind",
                    "",
                    Kind::One(&[
                        ("fine_fuzz", "fine fuzz"),
                        ("magnetic", "magnetic flakes"),
                        ("bright", "bright soft flakes, not magnetic"),
                        ("copper", "copper colour"),
                        ("other", "other"),
                    ]),
                ),
                field("amount", "How much", "", Kind::One(&[("trace", "a trace"), ("some", "some"), ("much", "much")])),
                field("words", "In words", "", Kind::Words),
            ],
        }),
    },
    Spec {
        key: "cooling_pressure",
        name: "Cooling system",
        about: "Pumped up and left; a block tester for combustion gas.",
        fields: &[
            field("start", "Pressure pumped up", "", PRESSURE),
            field("end", "Pressure at the end", "", PRESSURE),
            field("time", "Time between", "10 min", Kind::Quantity(Dimension::Time, "min", "min")),
            field("leak_seen", "Water seen at", "", Kind::Words),
            field(
                "gas",
                "Test for combustion gas",
                "",
                Kind::One(&[("no_change", "colour kept"), ("changed", "colour changed")]),
            ),
            field("instrument", "Pump and gauge", "", Kind::Instrument("pressure gauge", Dimension::Pressure)),
            REMARK,
        ],
        rows: None,
    },
    Spec {
        key: "blow_by",
        name: "Blow-by",
        about: "Meter or orifice at the breather, under load.",
        fields: &[
            field("rings", "Ring pack", "", Kind::One(&[("race", "race"), ("street", "street")])),
            field("full_load", "At full load", "", Kind::YesNo),
            field("instrument", "Meter", "", Kind::Instrument("flow meter", Dimension::VolumeFlow)),
            REMARK,
        ],
        rows: Some(Rows {
            key: "pulls",
            cylinders: false,
            head: "Pull",
            usual: 3,
            fields: &[
                field("speed", "Engine speed", "", SPEED),
                field("flow", "Flow", "", Kind::Quantity(Dimension::VolumeFlow, "L/min", "cfm")),
            ],
        }),
    },
    Spec {
        key: "other",
        name: "Another test",
        about: "Any other test, in words.",
        fields: &[
            field("name", "Name of the test", "", Kind::Words),
            field("words", "What was done and seen", "", Kind::Words),
        ],
        rows: None,
    },
];

/// A test by its key.
pub(super) fn find(key: &str) -> Option<&'static Spec> {
    ALL.iter().find(|spec| spec.key == key)
}
