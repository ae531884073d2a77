//! The piston over one turn: where it is, how fast, how hard it is pulled.

use super::{About, Drawing, EnginePicture, beside};
use chart::{Line, LineKind, Pick, Strip, XAxis, XMark, XScale, XyPicture};
use engine::build::{Facts, Lack};
use engine::sheet::pictures::piston_motion;
use quantity::formula::rpm_from_rad_s;
use quantity::{Dimension, digits, thousands};

pub(super) fn picture(about: &About<'_>) -> Result<EnginePicture, Lack> {
    let curves = piston_motion(about.build)?;
    let facts = Facts::new(about.build);
    let crank = facts.crank()?;
    let bottom_deg = (crank.bdc_rad() - crank.tdc_rad()).to_degrees();
    let mut strips = vec![strip(
        about,
        "position",
        "Piston below its highest point",
        "",
        Dimension::Length,
        &curves[0].points,
        1e-3,
    )];
    strips[0].from_zero = true;
    let finding = match (facts.stated("engine.rev_limit"), curves.get(1)) {
        (Some(speed), Some(velocity)) => {
            let rpm = thousands(&digits(rpm_from_rad_s(speed), 0));
            let at = format!(", at {rpm} rpm");
            let mut fast = strip(
                about,
                "velocity",
                "Piston velocity",
                &format!("{at}, down is positive"),
                Dimension::Velocity,
                &velocity.points,
                1.0,
            );
            fast.difference = true;
            let peak = crank.peak_speeds(speed)[0];
            let peak_deg = peak.theta_rad.to_degrees() - crank.tdc_rad().to_degrees();
            fast.picks.push(pick(about, Dimension::Velocity, (peak_deg, peak.speed_m_s), 1));
            let pulled: Vec<(f64, f64)> = (0..=180)
                .map(|n| 2.0 * f64::from(n))
                .map(|deg| (deg, crank.acceleration_m_s2(crank.tdc_rad() + deg.to_radians(), speed)))
                .collect();
            let mut hard = strip(
                about,
                "acceleration",
                "Piston acceleration",
                &format!("{at}, down is positive"),
                Dimension::Acceleration,
                &pulled,
                1.0,
            );
            hard.difference = true;
            hard.picks.push(pick(about, Dimension::Acceleration, pulled[0], 0));
            strips.extend([fast, hard]);
            let mean = about.say(Dimension::Velocity, crank.mean_speed_m_s(speed), 1);
            format!(
                "At {rpm} rpm the piston runs at {mean} in the mean and at {} {}, and its acceleration at top dead centre is {}.",
                about.say(Dimension::Velocity, peak.speed_m_s, 1),
                beside(peak_deg, "top dead centre"),
                about.say(Dimension::Acceleration, pulled[0].1, 0),
            )
        }
        _ => "The piston's place over a turn; its speed is not drawn, because no rev limit is stated.".to_owned(),
    };
    let title = "Piston motion over one turn".to_owned();
    let axis =
        XAxis { name: "crank degrees after top dead centre".to_owned(), scale: XScale::Degrees, from: 0.0, to: 360.0 };
    let marks = vec![XMark { at: bottom_deg, label: "bottom dead centre".to_owned() }];
    let drawing = XyPicture { title: title.clone(), summary: finding.clone(), axis, strips, marks };
    Ok(EnginePicture { key: "piston-motion", title, finding, drawing: Drawing::Strips(drawing) })
}

fn strip(
    about: &About<'_>,
    key: &str,
    name: &str,
    basis: &str,
    dimension: Dimension,
    points: &[(f64, f64)],
    to_si: f64,
) -> Strip {
    let unit = about.symbol(dimension);
    Strip {
        key: key.to_owned(),
        name: name.to_owned(),
        unit_and_basis: format!("{unit}{basis}"),
        unit: unit.to_owned(),
        weight: 1.0,
        lines: vec![Line {
            kind: LineKind::Predicted,
            name: "calculated".to_owned(),
            points: about.points(dimension, points, to_si),
            ..Line::default()
        }],
        decimals: 1,
        ..Strip::default()
    }
}

fn pick(about: &About<'_>, dimension: Dimension, at: (f64, f64), decimals: i32) -> Pick {
    Pick {
        at: at.0,
        value: about.number(dimension, at.1),
        kind: LineKind::Predicted,
        label: format!("{}, {}", about.say(dimension, at.1, decimals), beside(at.0, "top")),
    }
}
