//! Finding and table of a prediction.

use super::{number, whole, with_band};
use cycle::predict::idle::ROUGH;
use cycle::predict::{Figures, Idle, Point, Prediction, Weight};
use cycle::solve::run::Settled;
use quantity::{Dimension, UnitSystem, digits};

/// Best torque and power with their speeds and bands, in one sentence.
pub fn prediction_finding(prediction: &Prediction, units: UnitSystem) -> String {
    let name = &prediction.name;
    let (Some((torque, t)), Some((power, p))) = (prediction.best_torque(), prediction.best_power()) else {
        return format!("{name}: nothing could be predicted at the speeds asked for.");
    };
    let share = |point: &Point, f: &Figures| point.band_nm.map(|half| half / f.torque_nm.abs());
    let torque_text = with_band(units, Dimension::Torque, t.torque_nm, torque.band_nm);
    let power_text = with_band(units, Dimension::Power, p.power_w, share(power, p).map(|s| s * p.power_w.abs()));
    if prediction.points.len() == 1 {
        let rpm = whole(torque.operating.rpm());
        return format!("{name}: {torque_text} and {power_text} at {rpm} rpm; predicted, none of it measured.");
    }
    let end = |point: &Point| {
        let last = prediction.points.iter().map(|p| p.operating.speed_rad_s).fold(f64::MIN, f64::max);
        if (point.operating.speed_rad_s - last).abs() < 1e-9 { ", the highest speed asked for" } else { "" }
    };
    format!(
        "{name}: {torque_text} at {} rpm{}, {power_text} at {} rpm{}; predicted, none of it measured.",
        whole(torque.operating.rpm()),
        end(torque),
        whole(power.operating.rpm()),
        end(power)
    )
}

/// Columns of the table: head, unit, and the cell of a point.
type Column<'a> = (&'a str, String, Box<dyn Fn(&Point, &Figures) -> String + 'a>);

fn columns(prediction: &Prediction, units: UnitSystem) -> Vec<Column<'_>> {
    let symbol = |d: Dimension| units.unit(d).symbol.to_owned();
    let mut made: Vec<Column<'_>> = vec![
        ("torque", symbol(Dimension::Torque), Box::new(move |_, f| number(units, Dimension::Torque, f.torque_nm, 0))),
        (
            "±",
            String::new(),
            Box::new(move |p, _| p.band_nm.map_or_else(String::new, |b| number(units, Dimension::Torque, b, 0))),
        ),
        ("power", symbol(Dimension::Power), Box::new(move |_, f| number(units, Dimension::Power, f.power_w, 0))),
        ("filling", "%".to_owned(), Box::new(|_, f| digits(100.0 * f.filling, 1))),
    ];
    let manifold = prediction.points.iter().any(|p| p.figures.as_ref().is_some_and(|f| f.manifold_pa.is_some()));
    if manifold {
        let cell = move |_: &Point, f: &Figures| {
            f.manifold_pa.map_or_else(String::new, |p| number(units, Dimension::Pressure, p, 1))
        };
        made.push(("manifold", symbol(Dimension::Pressure), Box::new(cell)));
    }
    if prediction.parts.charger.is_some() {
        made.push((
            "blower",
            symbol(Dimension::Power),
            Box::new(move |_, f| number(units, Dimension::Power, f.blower_w, 0)),
        ));
    }
    made.push((
        "fuel",
        symbol(Dimension::SpecificFuel),
        Box::new(move |_, f| {
            let decimals = if units == UnitSystem::Metric { 0 } else { 3 };
            number(units, Dimension::SpecificFuel, f.specific_fuel_kg_j, decimals)
        }),
    ));
    made.push(("lambda", String::new(), Box::new(|_, f| digits(f.lambda, 2))));
    made.push(("spark", "°".to_owned(), Box::new(|_, f| digits(mean(f, |c| c.spark_btdc_deg), 0))));
    made.push(("knock", "°".to_owned(), Box::new(|_, f| knock(f))));
    made.push(("residual", "%".to_owned(), Box::new(|_, f| digits(100.0 * mean(f, |c| c.residual), 1))));
    made.push((
        "peak",
        if units == UnitSystem::Metric { "bar".to_owned() } else { "psi".to_owned() },
        Box::new(move |_, f| {
            let pa = mean(f, |c| c.p_max_pa);
            digits(if units == UnitSystem::Metric { pa / 1e5 } else { pa / 6_894.757_293_168 }, 0)
        }),
    ));
    made.push((
        "exhaust",
        symbol(Dimension::Temperature),
        Box::new(move |_, f| number(units, Dimension::Temperature, f.exhaust_k, 0)),
    ));
    made.push((
        "settled",
        String::new(),
        Box::new(|p, _| {
            match p.settled {
                Settled::Same => "yes",
                Settled::Pairs => "pairs",
                Settled::No => "no",
                Settled::Lost => "lost",
            }
            .to_owned()
        }),
    ));
    made
}

fn mean(f: &Figures, of: impl Fn(&cycle::predict::CylinderFigures) -> f64) -> f64 {
    f.cylinders.iter().map(of).sum::<f64>() / f.cylinders.len().max(1) as f64
}

/// Degrees to the border of knock, or how far knock holds the spark back.
fn knock(f: &Figures) -> String {
    let most = f.cylinders.iter().map(|c| c.held_back_deg).fold(0.0, f64::max);
    if most > 0.5 {
        format!("-{}", digits(most, 0))
    } else if f.knock_margin_deg.is_finite() {
        digits(f.knock_margin_deg.max(0.0), 0)
    } else {
        String::new()
    }
}

/// The whole text: table, what it is worth, what was assumed.
pub fn prediction_text(prediction: &Prediction, units: UnitSystem) -> String {
    let columns = columns(prediction, units);
    let mut rows: Vec<Vec<String>> = vec![
        std::iter::once("rpm".to_owned()).chain(columns.iter().map(|c| c.0.to_owned())).collect(),
        std::iter::once(String::new()).chain(columns.iter().map(|c| c.1.clone())).collect(),
    ];
    for point in &prediction.points {
        let mut row = vec![whole(point.operating.rpm())];
        match &point.figures {
            Some(f) => row.extend(columns.iter().map(|c| (c.2)(point, f))),
            None => row.push("no result".to_owned()),
        }
        rows.push(row);
    }
    let widths: Vec<usize> = (0..=columns.len())
        .map(|c| rows.iter().filter_map(|r| r.get(c)).map(|cell| cell.chars().count()).max().unwrap_or(0))
        .collect();
    let mut said = String::new();
    for row in &rows {
        let cells: Vec<String> = row
            .iter()
            .zip(&widths)
            .map(|(cell, w)| format!("{}{cell}", " ".repeat(w - cell.chars().count())))
            .collect();
        said += &format!("{}\n", cells.join("  ").trim_end());
    }
    said += &worth(prediction, units);
    said += &remarks(prediction);
    said += &assumed(prediction);
    said
}

/// Mesh, settling, and what the band hangs on.
fn worth(prediction: &Prediction, units: UnitSystem) -> String {
    let mut said = String::from("\nWhat it is worth\n");
    let shares: Vec<f64> = prediction
        .points
        .iter()
        .filter_map(|p| Some(p.mesh_change_nm?.abs() / p.figures.as_ref()?.torque_nm.abs()))
        .collect();
    if !shares.is_empty() {
        let worst = shares.iter().copied().fold(0.0, f64::max);
        said += &format!(
            "  computed in {} cells; twice the cell length moves torque by at most {} %\n",
            prediction.cells,
            digits(100.0 * worst, 1)
        );
    }
    let change = prediction.points.iter().map(|p| p.change).fold(0.0, f64::max);
    said += &format!("  from one cycle to the next work still changes by at most {} %\n", digits(100.0 * change, 2));
    said += &format!(
        "  knock: degrees of spark to its border, below zero where it holds the spark back; unsure by about {}°\n",
        digits(cycle::knock::unsure_deg(cycle::constants::Constants::shipped()), 0)
    );
    let Some(band) = &prediction.band else { return said };
    let most = |list: &[f64]| number(units, Dimension::Torque, list.iter().copied().fold(0.0, f64::max), 0);
    let symbol = units.unit(Dimension::Torque).symbol;
    said += &format!(
        "  ± of 95 %: up to {} {symbol} from the inputs, up to {} {symbol} from the model's constants; what the model leaves \
         out is not in it\n",
        most(&band.inputs_nm),
        most(&band.constants_nm)
    );
    let largest: Vec<String> = band
        .moved
        .iter()
        .take(6)
        .filter(|m| m.share > 0.01)
        .map(|m| format!("{} {} %", m.key, digits(100.0 * m.share, 0)))
        .collect();
    if !largest.is_empty() {
        said += &format!("  it hangs on: {}\n", largest.join(", "));
    }
    for (key, why) in &band.not_moved {
        said += &format!("  {key} could not be moved: {why}\n");
    }
    said
}

/// Notes of one key and weight, each with its speed.
type Alike = (&'static str, Weight, Vec<(String, String)>);

/// Notes of all points, the same ones together.
fn remarks(prediction: &Prediction) -> String {
    let mut found: Vec<Alike> = Vec::new();
    for point in &prediction.points {
        for note in &point.notes {
            let entry = (whole(point.operating.rpm()), note.text.clone());
            match found.iter_mut().find(|f| f.0 == note.key && f.1 == note.weight) {
                Some(f) => f.2.push(entry),
                None => found.push((note.key, note.weight, vec![entry])),
            }
        }
    }
    if found.is_empty() {
        return String::new();
    }
    let mut said = String::from("\nNotices\n");
    for weight in [Weight::NoResult, Weight::Outside, Weight::Remark] {
        let head = match weight {
            Weight::NoResult => "no result: ",
            Weight::Outside => "outside of what the model is meant for: ",
            Weight::Remark => "",
        };
        for (_, _, entries) in found.iter().filter(|f| f.1 == weight) {
            let (first, last) = (&entries[0], &entries[entries.len() - 1]);
            let same = entries.iter().all(|e| e.1 == first.1);
            said += &match (entries.len(), same) {
                (1, _) => format!("  {head}at {} rpm: {}\n", first.0, first.1),
                (_, true) => format!("  {head}from {} to {} rpm: {}\n", first.0, last.0, first.1),
                (_, false) => {
                    format!(
                        "  {head}from {} to {} rpm: {} at the first, {} at the last\n",
                        first.0, last.0, first.1, last.1
                    )
                }
            };
        }
    }
    said
}

fn assumed(prediction: &Prediction) -> String {
    if prediction.assumptions.is_empty() {
        return String::new();
    }
    let mut said = String::from("\nAssumed, because the build does not say\n");
    for a in &prediction.assumptions {
        said += &format!("  {}: {} ({})\n", a.key, a.text, a.why);
    }
    said
}

/// How it idles, in two lines; or that it does not.
pub fn idle_text(idle: Option<&Idle>, rpm: f64, units: UnitSystem) -> String {
    let Some(idle) = idle else {
        let rpm = whole(rpm);
        return format!(
            "\nIdle\n  does not idle at {rpm} rpm: no throttle opening carries its accessories with flames that arrive in \
             time\n"
        );
    };
    let vacuum = idle.vacuum_pa.map_or_else(
        || "no manifold".to_owned(),
        |pa| {
            let vacuum = units.vacuum(pa, None);
            format!("{} {} of vacuum", vacuum.number, vacuum.unit)
        },
    );
    let word = if idle.spread > ROUGH { "rough" } else { "smooth" };
    format!(
        "\nIdle\n  at {} rpm, turning its accessories: {vacuum}, throttle {} % open, {} % of the charge is residual gas\n  mean pressure \
         spreads by about {} % from cycle to cycle: {word} (above {} % is called rough; this number ranks builds)\n",
        whole(idle.rpm),
        digits(100.0 * idle.throttle, 1),
        digits(100.0 * idle.residual, 0),
        digits(100.0 * idle.spread, 0),
        digits(100.0 * ROUGH, 0)
    )
}
