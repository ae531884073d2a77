//! `plateau predict`: what an engine will do, from its build.

use crate::Done;
use crate::cli::UnitSystem;
use crate::failure::Failure;
use crate::files::{name_of, write_result};
use crate::shown::progress::Steps;
use chart::{Size, Theme, draw};
use clap::Args;
use cycle::constants::Constants;
use cycle::model::{Operating, assemble};
use cycle::parts::EngineParts;
use cycle::predict::{Idle, PredictError, Prediction, Request, band::add_band, idle, predict_parts};
use cycle::solve::trace::{Trace, trace};
use engine::build_file::{BuildFile, BuildFileError};
use report::{prediction_finding, prediction_json, prediction_picture, prediction_text, trace_pictures};
use serde_json::json;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Width and height of the pictures, px.
const PICTURE: (f64, f64) = (820.0, 620.0);
/// Speeds of a curve, where they are not given one by one.
const POINTS: usize = 13;

/// `plateau predict`.
#[derive(Debug, Args)]
pub(crate) struct PredictArgs {
    /// What is known of the engine
    #[arg(value_name = "BUILD.toml")]
    build: PathBuf,
    /// Speeds, rpm: a range, or one by one [default: 1500 to the rev limit, or to 6500]
    #[arg(long, value_name = "1500-6500|800,2000")]
    speeds: Option<String>,
    /// Speeds of a range
    #[arg(long, value_name = "N", default_value_t = POINTS)]
    points: usize,
    /// Air, in place of the build's: pressure, temperature and humidity in any order
    #[arg(long, value_name = "98.2 kPa abs, 31 °C, 60 %")]
    ambient: Option<String>,
    /// Throttle: share of its area that is open
    #[arg(long, value_name = "SHARE", default_value = "100 %")]
    throttle: String,
    /// Lambda, in place of the build's
    #[arg(long, value_name = "LAMBDA")]
    lambda: Option<f64>,
    /// One cycle of this cylinder, at the first speed: pressure and flow, with --svg as pictures
    #[arg(long, value_name = "CYLINDER")]
    trace: Option<String>,
    /// Also how it idles at this speed, rpm
    #[arg(long, value_name = "RPM")]
    idle: Option<f64>,
    /// Without the ±, which takes most of the time
    #[arg(long)]
    no_band: bool,
    /// Units for showing
    #[arg(long, value_enum, default_value = "metric")]
    units: UnitSystem,
    /// One JSON object instead of the text
    #[arg(long)]
    json: bool,
    /// Write the pictures as SVG files into this folder
    #[arg(long, value_name = "FOLDER")]
    svg: Option<PathBuf>,
}

/// Predicts, and prints or writes what came of it.
pub(crate) fn run(args: &PredictArgs) -> Result<Done, Failure> {
    let text = fs::read_to_string(&args.build).map_err(Failure::reading(&args.build))?;
    let name = name_of(&args.build);
    let file = BuildFile::parse(&text).map_err(|error| super::engine::faults(&name, &error))?;
    let file = match &args.ambient {
        Some(air) => with_ambient(&file, air)?,
        None => file,
    };
    let refused = |error: PredictError| Failure::Words(refusal(&name, &error));
    let parts = EngineParts::from_build(file.build()).map_err(|error| refused(error.into()))?;
    let operating = operating(args, &parts)?;
    let traced = args.trace.as_deref().map(|text| cylinder(text, &parts)).transpose()?;
    let request = Request::at(operating);
    let constants = Constants::shipped();
    let steps = Steps::of_pieces("computing");
    let mut prediction = predict_parts(&parts, constants, &request).map_err(refused)?;
    if !args.no_band {
        add_band(&mut prediction, file.build(), constants, &request, &|done, all| steps.at(done as u64, all as u64))
            .map_err(refused)?;
    }
    let trace = match (traced, request.operating.first()) {
        (Some(cylinder), Some(first)) => one_cycle(&parts, constants, &request, cylinder, first).map_err(refused)?,
        _ => None,
    };
    let idling = args.idle.map(|rpm| idle(&parts, constants, rpm)).transpose().map_err(refused)?;
    steps.end();
    let units = args.units.into();
    let mut said = Vec::new();
    if let Some(folder) = &args.svg {
        said = write_pictures(folder, &prediction, trace.as_ref(), units)?;
    }
    let mut out = anstream::stdout().lock();
    if args.json {
        let mut value = prediction_json(&prediction, units);
        if let Some(idling) = &idling {
            value["idle"] = idling.as_ref().map_or(serde_json::Value::Null, idle_json);
        }
        if let Some(trace) = &trace {
            value["trace"] = trace_json(trace, request.operating[0].rpm());
        }
        writeln!(out, "{value:#}").map_err(Failure::output)?;
    } else {
        let finding = prediction_finding(&prediction, units);
        let table = prediction_text(&prediction, units);
        let mut text = format!("{finding}\n\n{table}");
        if let Some(idling) = &idling {
            text += &report::idle_text(idling.as_ref(), args.idle.unwrap_or_default(), units);
        }
        if !said.is_empty() {
            text += &format!("\nPictures\n{}", said.concat());
        }
        out.write_all(text.as_bytes()).map_err(Failure::output)?;
    }
    let lost = prediction.points.iter().any(|p| p.figures.is_none());
    Ok(if lost { Done::NotWell } else { Done::Well })
}

fn refusal(name: &str, error: &PredictError) -> String {
    let next = match error {
        PredictError::Operating { .. } | PredictError::Charge(_) => "name another speed, throttle or lambda".to_owned(),
        _ => format!("state or correct it in the build, and look at its sheet: plateau engine {name}"),
    };
    format!("{name} cannot be predicted; nothing was computed\n  found    {error}\n  go on    {next}")
}

/// Speeds and load of the flags.
fn operating(args: &PredictArgs, parts: &EngineParts) -> Result<Vec<Operating>, Failure> {
    let flag = |flag: &str, found: &str, why: &str, example: &'static str| Failure::Flag {
        flag: flag.to_owned(),
        found: found.to_owned(),
        why: why.to_owned(),
        example,
    };
    let limit = parts.rev_limit_rad_s.map_or(6500.0, |s| s * 30.0 / std::f64::consts::PI);
    let text =
        args.speeds.clone().unwrap_or_else(|| format!("{:.0}-{limit:.0}", (0.23 * limit / 100.0).round() * 100.0));
    let number = |part: &str| part.trim().trim_end_matches("rpm").trim().parse::<f64>().ok().filter(|x| x.is_finite());
    let wrong = || flag("speeds", &text, "a range or speeds with commas between are expected", "1500-6500");
    let speeds: Vec<f64> = if let Some((from, to)) = text.split_once('-') {
        let (from, to) = (number(from).ok_or_else(wrong)?, number(to).ok_or_else(wrong)?);
        if from >= to {
            return Err(flag("speeds", &text, "a range runs from the lower to the higher speed", "1500-6500"));
        }
        if !(2..=200).contains(&args.points) {
            return Err(flag("points", &args.points.to_string(), "2 to 200 are expected", "13"));
        }
        let step = (to - from) / (args.points - 1) as f64;
        (0..args.points).map(|i| from + step * i as f64).collect()
    } else {
        text.split(',').map(|part| number(part).ok_or_else(wrong)).collect::<Result<_, _>>()?
    };
    let share = args.throttle.trim().trim_end_matches('%').trim();
    let throttle = share.parse::<f64>().ok().map(|x| if args.throttle.contains('%') { x / 100.0 } else { x });
    let throttle = throttle.filter(|x| *x > 0.0 && *x <= 1.0);
    let Some(throttle) = throttle else {
        return Err(flag("throttle", &args.throttle, "a share above 0 and up to 100 % is expected", "4 %"));
    };
    let made = |rpm: &f64| Operating { throttle, lambda: args.lambda, ..Operating::full_load(*rpm) };
    Ok(speeds.iter().map(made).collect())
}

/// Index of a cylinder from "3" or "cyl=3".
fn cylinder(text: &str, parts: &EngineParts) -> Result<usize, Failure> {
    let number = text.trim().trim_start_matches("cyl=").parse::<u32>().ok();
    parts.cylinders.iter().position(|c| Some(c.number) == number).ok_or_else(|| Failure::Flag {
        flag: "trace".to_owned(),
        found: text.to_owned(),
        why: format!("the engine has {} cylinders, counted from 1", parts.cylinders.len()),
        example: "1",
    })
}

fn one_cycle(
    parts: &EngineParts,
    constants: &Constants,
    request: &Request,
    cylinder: usize,
    operating: &Operating,
) -> Result<Option<Trace>, PredictError> {
    let made = assemble(parts, operating, &request.mesh, constants)?;
    Ok(trace(&made, cylinder, request.heat, &request.settle))
}

/// The file with other air: each piece goes where its unit fits.
fn with_ambient(file: &BuildFile, text: &str) -> Result<BuildFile, Failure> {
    let mut changed: Option<BuildFile> = None;
    for piece in text.split(',').map(str::trim).filter(|p| !p.is_empty()) {
        let base = changed.as_ref().unwrap_or(file);
        let keys = ["ambient.humidity", "ambient.temperature", "ambient.pressure", "ambient.altitude"];
        let found = keys.into_iter().find_map(|key| Result::<BuildFile, BuildFileError>::ok(base.set(key, piece)));
        changed = Some(found.ok_or_else(|| Failure::Flag {
            flag: "ambient".to_owned(),
            found: piece.to_owned(),
            why: "it is no absolute pressure, temperature, share of humidity or height".to_owned(),
            example: "98.2 kPa abs, 31 °C, 60 %",
        })?);
    }
    changed.ok_or_else(|| Failure::Flag {
        flag: "ambient".to_owned(),
        found: text.to_owned(),
        why: "nothing stands in it".to_owned(),
        example: "98.2 kPa abs, 31 °C, 60 %",
    })
}

fn write_pictures(
    folder: &Path,
    prediction: &Prediction,
    trace: Option<&Trace>,
    units: quantity::UnitSystem,
) -> Result<Vec<String>, Failure> {
    fs::create_dir_all(folder).map_err(Failure::writing(folder))?;
    let mut said = Vec::new();
    let mut write = |key: &str, svg: String, finding: &str| -> Result<(), Failure> {
        let path = folder.join(format!("{key}.svg"));
        write_result(&path, svg.as_bytes())?;
        said.push(format!("  {}: {finding}\n", path.display()));
        Ok(())
    };
    let size = |key: &str| Size { prefix: key.to_owned(), ..Size::file(PICTURE.0, PICTURE.1) };
    let curve = prediction_picture(prediction, units);
    write("predicted-curve", draw(&curve, Theme::Light, &size("predicted")), &curve.summary)?;
    if let (Some(trace), Some(first)) = (trace, prediction.points.first()) {
        for picture in trace_pictures(trace, first.operating.rpm(), units) {
            write(picture.key, picture.svg(Theme::Light, &size(picture.key)), &picture.finding)?;
        }
    }
    Ok(said)
}

fn idle_json(idle: &Idle) -> serde_json::Value {
    json!({
        "rpm": idle.rpm,
        "throttle": idle.throttle,
        "vacuum_pa": idle.vacuum_pa,
        "residual": idle.residual,
        "cycle_spread": idle.spread,
        "torque_nm": idle.figures.torque_nm,
        "fuel_kg_s": idle.figures.fuel_kg_s,
    })
}

fn trace_json(trace: &Trace, rpm: f64) -> serde_json::Value {
    json!({
        "cylinder": trace.cylinder,
        "rpm": rpm,
        "theta_deg": trace.theta_deg,
        "volume_m3": trace.v_m3,
        "pressure_pa": trace.p_pa,
        "temperature_k": trace.t_k,
        "intake_port_pa": trace.intake_pa,
        "exhaust_port_pa": trace.exhaust_pa,
        "intake_kg_s": trace.intake_kg_s,
        "exhaust_kg_s": trace.exhaust_kg_s,
    })
}
