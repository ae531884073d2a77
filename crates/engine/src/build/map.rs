//! Flow map of a blower: flow and efficiency at a speed and pressure ratio.
//!
//! Model: straight lines along the pressure ratio at each speed of the map, then between two speeds. Outside
//! the map there is nothing. Left out: surge and choke lines, and air of another temperature than the map's.

use super::Blower;
use super::facts::Lack;

/// A point of the map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapPoint {
    /// Volume flow at the inlet, m³/s.
    pub flow_m3_s: f64,
    /// Isentropic efficiency.
    pub efficiency: f64,
}

/// Reads the map of a blower at a speed (rad/s) and a pressure ratio.
///
/// # Errors
/// [`Lack::Missing`] without a map, [`Lack::Refused`] outside of it, with what it covers.
pub fn at(blower: &Blower, speed_rad_s: f64, pressure_ratio: f64) -> Result<MapPoint, Lack> {
    if blower.map_speed.is_empty() {
        return Err(Lack::missing("blower.map_speed"));
    }
    // Rows of one speed, by rising pressure ratio.
    let mut lines: Vec<(f64, Vec<(f64, MapPoint)>)> = Vec::new();
    let rows =
        blower.map_speed.iter().zip(&blower.map_pressure_ratio).zip(&blower.map_flow).zip(&blower.map_efficiency);
    for (((speed, ratio), flow), efficiency) in rows {
        let point = (ratio.si, MapPoint { flow_m3_s: flow.si, efficiency: efficiency.si });
        match lines.iter_mut().find(|(s, _)| (s - speed.si).abs() < 1e-6 * speed.si) {
            Some((_, line)) => line.push(point),
            None => lines.push((speed.si, vec![point])),
        }
    }
    lines.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (_, line) in &mut lines {
        line.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    let rpm = |rad_s: f64| rad_s * 30.0 / std::f64::consts::PI;
    let outside = |what: String| Lack::Refused(format!("{what}; the map is not drawn on"));
    let (Some(first), Some(last)) = (lines.first(), lines.last()) else {
        return Err(Lack::missing("blower.map_speed"));
    };
    if !(first.0..=last.0).contains(&speed_rad_s) {
        return Err(outside(format!(
            "a blower speed of {:.0} rpm was asked for and its map covers {:.0} to {:.0} rpm",
            rpm(speed_rad_s),
            rpm(first.0),
            rpm(last.0)
        )));
    }
    let along = |line: &[(f64, MapPoint)]| -> Result<MapPoint, Lack> {
        if let [(ratio, only)] = line
            && (ratio - pressure_ratio).abs() < 1e-9
        {
            return Ok(*only);
        }
        let pair = line.windows(2).find(|w| (w[0].0..=w[1].0).contains(&pressure_ratio));
        let Some(pair) = pair else {
            return Err(outside(format!(
                "a pressure ratio of {pressure_ratio:.2} was asked for and its map does not have it"
            )));
        };
        Ok(between(pair[0], pair[1], pressure_ratio))
    };
    let after = lines.iter().position(|(speed, _)| *speed >= speed_rad_s).unwrap_or(lines.len() - 1);
    let high = (lines[after].0, along(&lines[after].1)?);
    if after == 0 || high.0 == speed_rad_s {
        return Ok(high.1);
    }
    Ok(between((lines[after - 1].0, along(&lines[after - 1].1)?), high, speed_rad_s))
}

fn between(low: (f64, MapPoint), high: (f64, MapPoint), at: f64) -> MapPoint {
    let share = (at - low.0) / (high.0 - low.0);
    let mix = |a: f64, b: f64| a + share * (b - a);
    MapPoint { flow_m3_s: mix(low.1.flow_m3_s, high.1.flow_m3_s), efficiency: mix(low.1.efficiency, high.1.efficiency) }
}
