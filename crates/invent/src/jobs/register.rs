//! The instruments of the demo shop: the register to start from, with invented calibrations.

/// The register that comes with the program.
const STARTER: &str = include_str!("../../../../data/instruments/starter.toml");

/// Instrument, day of its last calibration, last day on which that counts (none: by its interval).
const CALIBRATED: &[(&str, &str, Option<&str>)] = &[
    ("micrometer", "2026-01-09", None),
    ("bore_gauge", "2026-01-09", None),
    ("caliper", "2026-01-09", None),
    ("deck_bridge", "2025-03-02", Some("2026-03-01")),
    ("dial_indicator", "2026-01-09", None),
    ("feeler_gauge", "2025-11-20", None),
    ("degree_wheel", "2025-11-20", None),
    ("burette", "2025-10-14", None),
    ("spring_tester", "2026-02-02", None),
    ("scale", "2026-02-02", None),
    ("torque_wrench", "2026-02-02", None),
    ("compression_gauge", "2025-11-20", None),
    ("leak_down_tester", "2025-11-20", None),
    ("oil_gauge", "2025-11-20", None),
];

/// The register as text.
pub(crate) fn text() -> String {
    let mut blocks = STARTER.split("\n[[instrument]]");
    let mut text = "# Invented calibrations under the register that comes with the program.\nversion = 1\ntitle = \"instruments of the demo shop\"\n".to_owned();
    blocks.next();
    for block in blocks {
        text.push_str("\n[[instrument]]");
        text.push_str(block.trim_end());
        text.push('\n');
        let of = CALIBRATED.iter().find(|(key, ..)| block.contains(&format!("key = \"{key}\"\n")));
        if let Some((_, on, until)) = of {
            text.push_str(&format!("\n[[instrument.calibration]]\non = \"{on}\"\nby = \"invented house\"\n"));
            if let Some(until) = until {
                text.push_str(&format!("until = \"{until}\"\n"));
            }
        }
    }
    text
}
