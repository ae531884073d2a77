//! The file to start from.

/// A commented build file for an engine with nothing known yet but its name: every usual key stands there as
/// a comment with an example. It reads as it is.
pub fn new_file_text(name: &str) -> String {
    let quoted = toml_edit::Value::from(name).to_string();
    format!(
        r##"# A build: what this engine is. Take away the # before a line and write what you know.
#
# Values carry their unit: "4.030 in", "102.4 mm", "76 cc", "130 lbf".
# Behind a value may stand how surely it is known (95 %) and where it comes from:
#   "0.0405 in ± 0.0005 in, measured by depth micrometer, read by R. K., 2026-03-12"
#   "76 cc, claimed by the owner"      "64 cc, published in the maker's sheet"
# What is not stated is assumed where that can be done, and listed as an assumption.

plateau_build = 2

[engine]
name = {quoted}
# built_for = "street"
# rev_limit = "6200 rpm"
# stated_displacement = "355 in³, claimed by the owner"
# expected_power = "400 hp"
# expected_power_speed = "5800 rpm"

[block]
# layout = "vee"
# cylinders = 8
# firing_order = [1, 8, 4, 3, 6, 5, 7, 2]
# banks = [[1, 3, 5, 7], [2, 4, 6, 8]]
# numbering = "1 is front left, odd numbers left"
# bore = "4.030 in"
# stroke = "3.480 in"
# rod_length = "5.700 in"
# pin_offset = "0 in"
# deck_clearance = "0.025 in"        # piston below the deck; negative above it

[rod]
# big_end_mass = "420 g"
# small_end_mass = "170 g"

[piston]
# crown_volume = "5 cc"              # dish and valve pockets positive, dome negative
# mass = "560 g"
# pin_mass = "145 g"
# rings_mass = "50 g"
# locks_mass = "3 g"
# material = "4032"

[gasket]
# bore = "4.100 in"
# thickness = "0.039 in"             # once compressed

[compression]
# target_ratio = 10.5                # what the compression is to be

# As read; each is held against the limits for the use.
[readings]
# piston_to_wall = "0.0035 in ± 0.0002 in"
# ring_gap_top = "0.017 in"
# main_clearance = "0.0025 in"
# main_journal = "2.450 in"

[head]
# chamber_volume = "64 cc"
# intake_valve = "2.02 in"
# exhaust_valve = "1.60 in"
# intake_throat = "1.79 in"
# intake_stem = "11/32 in"

# One section for each port on the bench.
# [[flow]]
# valve = "intake"
# port = 1
# test_pressure = "28 inH2O"
# lift = "0.100 0.200 0.300 0.400 0.500 in"
# flow = "66 130 186 226 248 cfm"

[cam]
# follower = "hydraulic roller"
# lobe_separation = "110 deg"        # cam degrees
# advance = "4 deg"                  # crank degrees

[lobe.intake]
# duration = ["272 deg @ 0.006 in", "224 deg @ 0.050 in"]
# lobe_lift = "0.335 in"
# rocker_ratio_nominal = 1.5
# rocker_ratio = "1.49 ± 0.01, measured by dial"
# lash = "0 in"

[lobe.exhaust]
# duration = ["278 deg @ 0.006 in", "230 deg @ 0.050 in"]
# lobe_lift = "0.340 in"
# rocker_ratio_nominal = 1.5

[spring.intake]
# installed_height = "1.800 in"
# coil_bind = "1.150 in"
# seat_force = "130 lbf"
# rate = "370 lb/in"

[valve_train.intake]
# valve_mass = "135 g"
# spring_mass = "110 g"
# lifter_mass = "150 g"

[intake]
# manifold = "dual plane"

[exhaust]
# primary_bore = "1.625 in"

[fuel]
# name = "pump 93"
# ethanol = "10 %"
# injectors = 8
# injector_mass_flow = "42 lb/h"
# injector_test_pressure = "43.5 psi"

[ambient]
# pressure = "98.5 kPa abs"
# temperature = "77 °F"
"##
    )
}
