//! Swept volume, of one cylinder and of the whole engine, and whether a printed figure fits its bore and stroke.
//!
//! Geometry. `swept` is one cylinder, `displacement` is the whole engine: the names say which.
//! Left out: the little that pin offset adds to the crank's stroke ([`crate::kinematics`] has it); the
//! stroke here is the piston's.

use crate::propagate::{Estimate, propagate};
use crate::refused::{Refused, positive};
use quantity::Verdict;
use std::f64::consts::FRAC_PI_4;
use std::fmt;

/// Area of the bore, m², from its diameter.
pub fn bore_area_m2(bore_m: f64) -> f64 {
    FRAC_PI_4 * bore_m * bore_m
}

/// Swept volume of one cylinder, m³, from bore (diameter) and stroke.
pub fn swept_m3(bore_m: f64, stroke_m: f64) -> f64 {
    bore_area_m2(bore_m) * stroke_m
}

/// Displacement of the whole engine, m³: every cylinder of one bore and one stroke.
pub fn displacement_m3(bore_m: f64, stroke_m: f64, cylinders: u32) -> f64 {
    f64::from(cylinders) * swept_m3(bore_m, stroke_m)
}

/// Swept volume of one cylinder with its uncertainty, m³.
pub fn swept_with_u(bore_m: Estimate, stroke_m: Estimate) -> Estimate {
    let (value, u, _) = propagate(|x| swept_m3(x[0], x[1]), &[bore_m.pair(), stroke_m.pair()]);
    Estimate { value, u }
}

/// Displacement with its uncertainty, m³, from the bore of each cylinder and one stroke.
///
/// # Errors
/// [`Refused::TooFewReadings`] without a bore.
pub fn displacement_of_bores_with_u(bores_m: &[Estimate], stroke_m: Estimate) -> Result<Estimate, Refused> {
    if bores_m.is_empty() {
        return Err(Refused::TooFewReadings { what: "a displacement", needed: 1, found: 0 });
    }
    let mut inputs: Vec<(f64, f64)> = bores_m.iter().map(|bore| bore.pair()).collect();
    inputs.push(stroke_m.pair());
    let total = |x: &[f64]| {
        let (stroke_m, bores_m) = x.split_last().expect("the stroke was pushed above");
        bores_m.iter().map(|bore_m| swept_m3(*bore_m, *stroke_m)).sum()
    };
    let (value, u, _) = propagate(total, &inputs);
    Ok(Estimate { value, u })
}

/// Bore, stroke, number of cylinders and displacement as one page prints them, each with one unit of
/// its last printed digit: `5.125 in` has a unit of 0.001 in, `319.8 in³` one of 0.1 in³.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrintedSize {
    /// Bore (diameter), m.
    pub bore_m: f64,
    /// One unit of the bore's last digit, m.
    pub bore_digit_m: f64,
    /// Stroke, m.
    pub stroke_m: f64,
    /// One unit of the stroke's last digit, m.
    pub stroke_digit_m: f64,
    /// Number of cylinders.
    pub cylinders: u32,
    /// Displacement of the whole engine, m³.
    pub displacement_m3: f64,
    /// One unit of the displacement's last digit, m³.
    pub displacement_digit_m3: f64,
}

/// What bore and stroke say of a printed displacement. Its text names both facts and what would fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrintedCheck {
    /// What was checked.
    pub printed: PrintedSize,
    /// `Inside`: bore and stroke give the printed figure to within one unit of its last digit.
    /// `CannotTell`: only the rounding of bore and stroke could explain the difference.
    /// `Outside`: at least one of the printed numbers is wrong.
    pub verdict: Verdict,
    /// Displacement from bore, stroke and cylinders, m³.
    pub computed_m3: f64,
    /// What the rounding of bore and stroke can make of the displacement either way, m³.
    pub by_rounding_m3: f64,
    /// The stroke that gives the printed displacement with the printed bore, m.
    pub stroke_that_fits_m: f64,
    /// The bore that gives the printed displacement with the printed stroke, m.
    pub bore_that_fits_m: f64,
    /// Another number of cylinders that gives the printed displacement, if one does.
    pub cylinders_that_fit: Option<u32>,
}

/// Holds a printed displacement against the bore and stroke printed beside it.
///
/// One whole unit of the last digit is let pass because pages round and cut off alike.
///
/// # Errors
/// [`Refused::NotPossible`] for a size or a digit that is not above zero.
pub fn check_printed(printed: &PrintedSize) -> Result<PrintedCheck, Refused> {
    positive("a bore", printed.bore_m, " m")?;
    positive("the last digit of a bore", printed.bore_digit_m, " m")?;
    positive("a stroke", printed.stroke_m, " m")?;
    positive("the last digit of a stroke", printed.stroke_digit_m, " m")?;
    positive("a number of cylinders", f64::from(printed.cylinders), "")?;
    positive("a displacement", printed.displacement_m3, " m³")?;
    positive("the last digit of a displacement", printed.displacement_digit_m3, " m³")?;
    let computed_m3 = displacement_m3(printed.bore_m, printed.stroke_m, printed.cylinders);
    let by_rounding_m3 =
        computed_m3 * (printed.bore_digit_m / printed.bore_m + 0.5 * printed.stroke_digit_m / printed.stroke_m);
    let digit_m3 = printed.displacement_digit_m3;
    let off_m3 = (computed_m3 - printed.displacement_m3).abs();
    let verdict = if off_m3 <= digit_m3 {
        Verdict::Inside
    } else if off_m3 <= digit_m3 + by_rounding_m3 {
        Verdict::CannotTell
    } else {
        Verdict::Outside
    };
    let ratio = printed.displacement_m3 / computed_m3;
    let swept_one_m3 = swept_m3(printed.bore_m, printed.stroke_m);
    let whole = (printed.displacement_m3 / swept_one_m3).round();
    let fits = (whole * swept_one_m3 - printed.displacement_m3).abs() <= digit_m3;
    let is_another = whole >= 1.0 && whole != f64::from(printed.cylinders);
    Ok(PrintedCheck {
        printed: *printed,
        verdict,
        computed_m3,
        by_rounding_m3,
        stroke_that_fits_m: printed.stroke_m * ratio,
        bore_that_fits_m: printed.bore_m * ratio.sqrt(),
        cylinders_that_fit: (fits && is_another).then_some(whole as u32),
    })
}

impl fmt::Display for PrintedCheck {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let printed = &self.printed;
        let length = |m: f64| format!("{:.3} in ({:.2} mm)", m / 0.0254, m * 1e3);
        let volume = |m3: f64| format!("{:.1} in³ ({:.0} cm³)", m3 / 0.0254f64.powi(3), m3 * 1e6);
        let size = format!(
            "{} cylinders of {} bore and {} stroke make {}",
            printed.cylinders,
            length(printed.bore_m),
            length(printed.stroke_m),
            volume(self.computed_m3),
        );
        match self.verdict {
            Verdict::Inside => {
                write!(f, "{size}, the page prints {}: the two agree", volume(printed.displacement_m3))
            }
            Verdict::CannotTell => write!(
                f,
                "{size}, the page prints {}: the rounding of bore and stroke could explain it, so this cannot tell",
                volume(printed.displacement_m3)
            ),
            Verdict::Outside => {
                write!(
                    f,
                    "{size}, but the page prints {}: one of them is wrong. A stroke of {} or a bore of {} would fit",
                    volume(printed.displacement_m3),
                    length(self.stroke_that_fits_m),
                    length(self.bore_that_fits_m),
                )?;
                if let Some(cylinders) = self.cylinders_that_fit {
                    write!(f, ", and so would {cylinders} cylinders")?;
                }
                f.write_str(". Nothing was changed: measure, or enter what is known to be right")
            }
        }
    }
}
