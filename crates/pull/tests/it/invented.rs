//! From an invented story to what the analysis takes: its log, its cell, what is stated.

use gas::correction::{InductionResponse, Standard};
use invent::air::Form;
use invent::story::{Lag, Story};
use pull::cell::{CellFile, ChannelNote, Known, LoadCellCheck, LoadCellPoint, Uncertainties};
use pull::log::{Channel, Log, Table};
use pull::role::Role;
use pull::setup::{Band, Setup};
use quantity::Origin;

/// A number stated by the story.
pub(crate) fn known(value: f64) -> Known {
    Known { value, u: None, text: format!("{value}"), origin: Origin::Assumed { why: "invented".to_owned() } }
}

/// The story's logs as the reader would hand them on, without a file between: SI values, roles settled.
pub(crate) fn logs(story: &Story, seed: u64) -> Vec<Log> {
    invent::table::logs(story, seed)
        .into_iter()
        .enumerate()
        .map(|(i, table)| {
            let rows = table.time_s.len();
            let channels = table
                .columns
                .into_iter()
                .map(|c| Channel { role: Role::from_key(&c.key), name: c.key, unit_text: "SI".to_owned(), si: c.si })
                .collect();
            Log {
                name: format!("{}-{}.csv", story.key, i + 1),
                dialect: "invented".to_owned(),
                groups: vec![Table { time_s: table.time_s, channels }],
                problems: Vec::new(),
                rows_found: rows,
                rows_kept: rows,
            }
        })
        .collect()
}

/// The cell, with the lags of its channels by role key as column name.
pub(crate) fn cell(story: &Story) -> CellFile {
    let mut cell = CellFile {
        name: story.cell.name.clone(),
        altitude_m: Some(story.cell.altitude_m),
        inertia: Some(known(story.cell.inertia_kg_m2)),
        load_cell: story.cell.checked.as_ref().map(|(when, _)| LoadCellCheck {
            when: when.clone(),
            points: story
                .cell
                .check_points()
                .into_iter()
                .map(|(applied_nm, up, down)| LoadCellPoint { applied_nm, up_nm: Some(up), down_nm: Some(down) })
                .collect(),
            apply: true,
        }),
        uncertainty: Uncertainties::default(),
        ..CellFile::default()
    };
    let lagged = story.signals.iter().filter_map(|s| match s.lag {
        Lag::None => None,
        Lag::Delay(lag) | Lag::FirstOrder(lag) => Some((s.key.clone(), lag)),
    });
    let torque = Some(("torque".to_owned(), story.dirt.torque_filter_s)).filter(|t| t.1 > 0.0);
    for (key, lag) in lagged.chain(torque) {
        let note = ChannelNote { role: Role::from_key(&key), ignored: false, unit: None, lag_s: Some(lag) };
        cell.channels.insert(key, note);
    }
    cell
}

/// What is stated about the run.
pub(crate) fn setup(story: &Story) -> Setup {
    Setup {
        standard: match story.form {
            Form::J1349 => Standard::SaeJ1349,
            Form::Iso1585 => Standard::Iso1585,
            Form::J607 => Standard::SaeJ607,
        },
        induction: InductionResponse::FollowsBarometer,
        band: Some(Band { from_rpm: story.band.0, to_rpm: story.band.1 }),
        displacement_m3: Some(known(story.engine.displacement_m3)),
        cylinders: Some(story.engine.cylinders),
        fuel: Some(story.engine.fuel.clone()),
        blower_ratio: story.engine.blower_ratio.map(known),
        marine_or_aircraft: story.engine.marine,
        ..Setup::default()
    }
}
