//! The combustion space as one bar: what adds to it, what takes away, what remains.
//!
//! In cm³ in either system, as shops pour it.

use super::{About, Drawing, EnginePicture, measured};
use chart::{Part, PartsPicture};
use engine::build::{Facts, Lack};
use engine::sheet::pictures::volume_parts;
use quantity::{digits, digits_with_uncertainty};

pub(super) fn picture(about: &About<'_>) -> Result<EnginePicture, Lack> {
    let parts = volume_parts(about.build)?;
    let total_cm3 = 1e6 * Facts::new(about.build).clearance_m3()?;
    let drawn: Vec<Part> = parts
        .iter()
        .filter(|part| part.cm3 != 0.0)
        .map(|part| Part {
            name: part.name.to_owned(),
            value: part.cm3,
            value_text: signed(part.cm3),
            measured: key_of(part.name).is_some_and(|key| measured(about.build.value(key))),
        })
        .collect();
    let listed: Vec<String> = drawn.iter().map(|p| format!("{} {}", p.name, p.value_text)).collect();
    let ratio = about.sheet.figure("static_ratio").map(|f| match f.u {
        Some(u) if u > 0.0 => {
            let (value, u) = digits_with_uncertainty(f.value, 2.0 * u);
            format!(", which gives {value} ± {u} to 1")
        }
        _ => format!(", which gives {} to 1, its uncertainty not known", digits(f.value, 2)),
    });
    let finding = format!(
        "At top dead centre {} cm³ remain above the piston{}.",
        digits(total_cm3, 1),
        ratio.unwrap_or_default()
    );
    let title = "Combustion space".to_owned();
    let drawing = PartsPicture {
        title: title.clone(),
        summary: format!("{finding} Parts in cm³: {}.", listed.join(", ")),
        name: title.clone(),
        unit_and_basis: "cm³, one cylinder, piston at top dead centre".to_owned(),
        unit: "cm³".to_owned(),
        parts: drawn,
        total_label: format!("clearance volume {} cm³", digits(total_cm3, 1)),
    };
    Ok(EnginePicture { key: "combustion-space", title, finding, drawing: Drawing::Parts(drawing) })
}

/// "+64.0", "−12.3".
fn signed(cm3: f64) -> String {
    let number = digits(cm3.abs(), 1);
    if cm3 < 0.0 { format!("−{number}") } else { format!("+{number}") }
}

/// The input that decides whether a part was measured.
fn key_of(part: &str) -> Option<&'static str> {
    Some(match part {
        "chamber" => "head.chamber_volume",
        "gasket" => "gasket.thickness",
        "deck" => "block.deck_clearance",
        "crown" => "piston.crown_volume",
        "crevice" => "piston.crevice_volume",
        _ => return None,
    })
}
