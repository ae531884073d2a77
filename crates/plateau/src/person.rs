//! Turning what the person typed into setup and answers.

use crate::cli::{LogArgs, StatedArgs};
use crate::failure::Failure;
use pull::cell::Answers;
use pull::role::Role;
use pull::setup::Setup;
use takein::CellSaid;
use takein::statement::{StatementError, state};

/// Who says so, when it is typed on the command line.
const BY: &str = "the operator";

impl StatedArgs {
    /// The statements, in their places. `cell` holds what belongs to the dyno.
    pub(crate) fn settle(&self) -> Result<(Setup, CellSaid), Failure> {
        let (mut setup, mut cell) = (Setup::default(), CellSaid::default());
        let yes = |flag: bool| flag.then(|| "yes".to_owned());
        let texts = [
            ("standard", "standard", self.standard.clone()),
            ("band", "band", self.band.clone()),
            ("baro", "baro", self.baro.clone()),
            ("air", "air", self.air.clone()),
            ("humidity", "humidity", self.humidity.clone()),
            ("vapour", "vapour", self.vapour.clone()),
            ("altitude", "altitude", self.altitude.clone()),
            ("induction", "induction", self.induction.clone()),
            ("inertia", "inertia", self.inertia.clone()),
            ("arm", "arm", self.arm.clone()),
            ("displacement", "displacement", self.displacement.clone()),
            ("stroke", "stroke", self.stroke.clone()),
            ("cylinders", "cylinders", self.cylinders.clone()),
            ("two-stroke", "two_stroke", yes(self.two_stroke)),
            ("friction", "friction", self.friction.clone()),
            ("fuel", "fuel", self.fuel.clone()),
            ("stoich", "stoich", self.stoich.clone()),
            ("density", "density", self.density.clone()),
            ("blower-ratio", "blower_ratio", self.blower_ratio.clone()),
            ("use", "use", self.use_profile.clone()),
            ("accelerate", "accelerate", self.accelerate.clone()),
            ("smooth", "smooth", self.smooth.clone()),
            ("plateau", "plateau", self.plateau.clone()),
            ("marine", "marine", yes(self.marine)),
            ("extrapolate", "extrapolate", yes(self.extrapolate)),
        ];
        for (flag, key, text) in texts {
            if let Some(text) = text {
                state(&mut setup, &mut cell, key, &text, BY).map_err(|error| of_flag(flag, error))?;
            }
        }
        for text in &self.leave_out {
            let (number, reason) = text.split_once('=').map(|(n, r)| (n.trim(), r.trim())).unwrap_or((text, ""));
            let number: usize =
                number.parse().ok().filter(|n| *n >= 1 && !reason.is_empty()).ok_or_else(|| Failure::Flag {
                    flag: "leave-out".into(),
                    found: text.clone(),
                    why: "the number of a pull, a = and the reason are expected".into(),
                    example: "\"2=throttle not full\"",
                })?;
            setup.left_out.insert(number, reason.to_owned());
        }
        for text in &self.lag {
            let example = "\"lambda_1=0.15 s\"";
            let (role, time) = pair("lag", text, example)?;
            let bad = |why: String| Failure::Flag { flag: "lag".into(), found: text.clone(), why, example };
            let role = Role::from_key(role).ok_or_else(|| bad(format!("no channel role is called `{role}`")))?;
            let lag_s = takein::statement::time_s(time).map_err(bad)?;
            setup.lags_s.insert(role.key(), lag_s);
        }
        Ok((setup, cell))
    }
}

impl LogArgs {
    /// The answers about how the log is written.
    pub(crate) fn settle(&self) -> Result<Answers, Failure> {
        let mut answers = Answers {
            decimal: self.decimal,
            rate_hz: self.rate,
            date_order: self.date_order.clone(),
            leave_out_bad_rows: self.leave_out_bad_rows,
            ..Answers::default()
        };
        for text in &self.unit {
            let (column, unit) = pair("unit", text, "\"Baro=inHg\"")?;
            answers.units.insert(column.to_owned(), unit.to_owned());
        }
        for text in &self.role {
            let (column, role) = pair("role", text, "\"TQ 1=torque\"")?;
            if role != "none" && Role::from_key(role).is_none() {
                return Err(Failure::Flag {
                    flag: "role".into(),
                    found: text.clone(),
                    why: format!("no channel role is called `{role}`; known are {}", roles()),
                    example: "\"TQ 1=torque\"",
                });
            }
            answers.roles.insert(column.to_owned(), role.to_owned());
        }
        if let Some(mark) = self.decimal
            && !matches!(mark, '.' | ',')
        {
            return Err(Failure::Flag {
                flag: "decimal".into(),
                found: mark.to_string(),
                why: "the mark is a point or a comma".into(),
                example: ",",
            });
        }
        if let Some(rate) = self.rate
            && !(rate.is_finite() && rate > 0.0)
        {
            return Err(Failure::Flag {
                flag: "rate".into(),
                found: rate.to_string(),
                why: "rows per second must be above zero".into(),
                example: "100",
            });
        }
        Ok(answers)
    }
}

/// "a=b" at the last `=`, since a column's name may hold one.
fn pair<'a>(flag: &'static str, text: &'a str, example: &'static str) -> Result<(&'a str, &'a str), Failure> {
    match text.rsplit_once('=').map(|(a, b)| (a.trim(), b.trim())) {
        Some((a, b)) if !a.is_empty() && !b.is_empty() => Ok((a, b)),
        _ => Err(Failure::Flag {
            flag: flag.to_owned(),
            found: text.to_owned(),
            why: "two parts with a = between them are expected".to_owned(),
            example,
        }),
    }
}

fn of_flag(flag: &str, error: StatementError) -> Failure {
    match error {
        StatementError::NotUsable { found, why, example, .. } => {
            Failure::Flag { flag: flag.to_owned(), found, why, example }
        }
        other => other.into(),
    }
}

fn roles() -> String {
    let mut keys: Vec<String> = Role::plain().map(|r| r.key()).collect();
    keys.extend(["lambda_1", "air_fuel_ratio_1", "exhaust_temperature_1", "knock_1"].map(str::to_owned));
    keys.join(", ")
}
