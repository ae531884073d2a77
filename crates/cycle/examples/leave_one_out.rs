//! What the found constants are worth on an engine that they were not found on: they are fitted to two of the three
//! calibration engines and predict the third. Beside it, what each found constant and each estimated input moves.
//!
//! `cargo run --release -p cycle --example leave_one_out`. Prints two tables in the form of `SOURCE.md` beside the
//! builds; constants stay as they are.
//!
//! Fit: least squares of peak torque and rated power (of the four, of its whole curve) over 2 %, plus what each constant
//! is off a value that the literature or common practice has, over its spread: two engines alone do not settle five
//! constants. Three Gauss–Newton rounds; derivatives by differences.

use cycle::constants::Constants;
use cycle::parts::EngineParts;
use cycle::predict::{Request, predict_parts};
use engine::build::facts::Facts;
use engine::build_file::BuildFile;
use std::f64::consts::PI;

/// Constants, with the value that stands for no knowledge of these engines, and how far from it they may well be.
const FREE: [(&str, f64, f64); 5] = [
    ("duct.friction_factor", 1.0, 0.8),
    ("friction.speed", 9000.0, 2500.0),
    ("knock.rate_factor", 1.0, 0.35),
    ("valve.pair_share", 0.9, 0.1),
    ("burn.time_factor", 0.27, 0.06),
];

/// How near an engine is asked to come, share.
const ASKED: f64 = 0.02;

struct Engine {
    file: &'static str,
    rpm: Vec<f64>,
    torque: (f64, f64),
    power: (f64, f64),
    curve: Option<Vec<f64>>,
}

fn engines() -> [Engine; 3] {
    let grid = |from: f64, to: f64, step: f64| -> Vec<f64> {
        (0..=((to - from) / step).round() as usize).map(|i| from + step * i as f64).collect()
    };
    let four = vec![134.2, 146.6, 158.3, 165.4, 162.2, 159.1, 159.9, 165.4, 164.6, 160.7, 151.3];
    [
        Engine {
            file: "na_pushrod_v8",
            rpm: grid(4000.0, 6400.0, 200.0),
            torque: (542.327, 4800.0),
            power: (302_008.5, 6000.0),
            curve: None,
        },
        Engine {
            file: "na_four_valve_four",
            rpm: grid(1000.0, 6000.0, 500.0),
            torque: (165.0, 4800.0),
            power: (95_000.0, 6000.0),
            curve: Some(four),
        },
        Engine {
            file: "blown_pushrod_v8",
            rpm: grid(2600.0, 6200.0, 200.0),
            torque: (747.056, 3800.0),
            power: (414_609.2, 6100.0),
            curve: None,
        },
    ]
}

fn text(file: &str) -> String {
    let path = format!("{}/../../validation/calibration_engines/{file}.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn torque(text: &str, constants: &Constants, rpm: &[f64]) -> Vec<f64> {
    let file = BuildFile::parse(text).unwrap_or_else(|e| panic!("{e:?}"));
    let parts = EngineParts::from_facts(&Facts::new(file.build()), constants).unwrap_or_else(|e| panic!("{e}"));
    let made = predict_parts(&parts, constants, &Request::full_load(rpm).quick()).unwrap_or_else(|e| panic!("{e}"));
    made.points.iter().map(|p| p.figures.as_ref().map_or(f64::NAN, |f| f.torque_nm)).collect()
}

fn at(rpm: &[f64], torque: &[f64], speed: f64) -> f64 {
    let i = (0..rpm.len() - 2).find(|&i| speed <= rpm[i + 1]).unwrap_or(rpm.len() - 2);
    torque[i] + (torque[i + 1] - torque[i]) * (speed - rpm[i]) / (rpm[i + 1] - rpm[i])
}

impl Engine {
    /// Peak torque and torque at rated speed, shares off what is published.
    fn two(&self, torque: &[f64]) -> [f64; 2] {
        let peak = torque.iter().copied().fold(0.0, f64::max);
        let rated = at(&self.rpm, torque, self.power.1) * self.power.1 * PI / 30.0;
        [peak / self.torque.0 - 1.0, rated / self.power.0 - 1.0]
    }

    /// What the fit makes small; the curve of the four weighs as much as the two figures of the others.
    fn off(&self, torque: &[f64]) -> Vec<f64> {
        match &self.curve {
            None => self.two(torque).to_vec(),
            Some(curve) => {
                let weight = (2.0 / curve.len() as f64).sqrt();
                torque.iter().zip(curve).map(|(a, b)| weight * (a / b - 1.0)).collect()
            }
        }
    }

    fn speed_of_peak(&self, torque: &[f64]) -> f64 {
        self.rpm[(0..torque.len()).max_by(|&a, &b| torque[a].total_cmp(&torque[b])).unwrap_or(0)]
    }
}

fn with(values: &[f64; 5]) -> Constants {
    FREE.iter().zip(values).fold(Constants::shipped().clone(), |c, ((key, ..), v)| c.with(key, *v))
}

/// Fits the free constants to some of the engines.
fn fit(all: &[Engine], texts: &[String], taken: &[usize]) -> [f64; 5] {
    let mut values: [f64; 5] = FREE.map(|f| f.1);
    let residuals = |values: &[f64; 5]| -> Vec<f64> {
        let constants = with(values);
        let mut off: Vec<f64> = Vec::new();
        for &e in taken {
            off.extend(all[e].off(&torque(&texts[e], &constants, &all[e].rpm)).iter().map(|x| x / ASKED));
        }
        off.extend(FREE.iter().zip(values).map(|((_, prior, spread), v)| (v - prior) / spread));
        off
    };
    for _ in 0..3 {
        let base = residuals(&values);
        let slopes: Vec<Vec<f64>> = (0..5)
            .map(|k| {
                let mut moved = values;
                let step = 0.3 * FREE[k].2;
                moved[k] += step;
                residuals(&moved).iter().zip(&base).map(|(a, b)| (a - b) / step).collect()
            })
            .collect();
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        let mut rows: Vec<Vec<f64>> = (0..5)
            .map(|i| {
                let mut row: Vec<f64> = (0..5).map(|j| dot(&slopes[i], &slopes[j])).collect();
                row.push(-dot(&slopes[i], &base));
                row
            })
            .collect();
        for k in 0..5 {
            for i in 0..5 {
                if i != k {
                    let factor = rows[i][k] / rows[k][k];
                    let pivot = rows[k].clone();
                    rows[i].iter_mut().zip(&pivot).for_each(|(x, p)| *x -= factor * p);
                }
            }
        }
        for k in 0..5 {
            let step = rows[k][5] / rows[k][k];
            values[k] = (values[k] + step.clamp(-FREE[k].2, FREE[k].2)).max(0.2 * FREE[k].1);
        }
    }
    values
}

fn main() {
    let all = engines();
    let texts: Vec<String> = all.iter().map(|e| text(e.file)).collect();
    println!("| fitted to | duct | friction | knock | pair | burn | predicted | peak torque | rated power | peak at |");
    println!("|---|---|---|---|---|---|---|---|---|---|");
    for taken in [vec![1, 2], vec![0, 2], vec![0, 1], vec![0, 1, 2], vec![]] {
        let values = fit(&all, &texts, &taken);
        let constants = with(&values);
        let names: Vec<&str> = taken.iter().map(|&e| all[e].file).collect();
        for (e, engine) in all.iter().enumerate() {
            if taken.len() == 2 && taken.contains(&e) {
                continue;
            }
            let made = torque(&texts[e], &constants, &engine.rpm);
            let [peak, rated] = engine.two(&made);
            println!(
                "| {} | {:.2} | {:.0} | {:.2} | {:.2} | {:.3} | {} | {:+.1} % | {:+.1} % | {:.0} for {:.0} |",
                if names.is_empty() { "none".to_owned() } else { names.join(", ") },
                values[0],
                values[1],
                values[2],
                values[3],
                values[4],
                engine.file,
                100.0 * peak,
                100.0 * rated,
                engine.speed_of_peak(&made),
                engine.torque.1
            );
        }
    }
    sensitivities(&all, &texts);
}

/// What one spread of each constant, and a likely miss of each estimated input, moves.
fn sensitivities(all: &[Engine], texts: &[String]) {
    println!("\n| moved | {} |", all.iter().map(|e| e.file).collect::<Vec<_>>().join(" | "));
    println!("|---|---|---|---|");
    let shipped = Constants::shipped();
    let base: Vec<Vec<f64>> = all.iter().zip(texts).map(|(e, t)| torque(t, shipped, &e.rpm)).collect();
    let say = |e: usize, made: &[f64]| {
        let (now, was) = (all[e].two(made), all[e].two(&base[e]));
        format!("{:+.1} / {:+.1} %", 100.0 * (now[0] - was[0]), 100.0 * (now[1] - was[1]))
    };
    for (key, row) in shipped.rows() {
        let constants = shipped.with(key, row.value + row.spread);
        let cells: Vec<String> = (0..all.len()).map(|e| say(e, &torque(&texts[e], &constants, &all[e].rpm))).collect();
        println!("| {key} {:+} | {} |", row.spread, cells.join(" | "));
    }
    // A tenth more of each number that a build marks as assumed.
    let mut keys: Vec<String> = Vec::new();
    let mut lines: Vec<Vec<(String, usize)>> = Vec::new();
    for text in texts {
        let mut section = String::new();
        let mut own = Vec::new();
        for (n, line) in text.lines().enumerate() {
            if line.starts_with('[') {
                section = line.trim_matches(['[', ']']).to_owned();
            } else if line.contains("assumed because") && !line.contains("= [") {
                let key = format!("{section}.{}", line.split('=').next().unwrap_or_default().trim());
                if !keys.contains(&key) {
                    keys.push(key.clone());
                }
                own.push((key, n));
            }
        }
        lines.push(own);
    }
    for key in keys {
        let cells: Vec<String> = (0..all.len())
            .map(|e| match lines[e].iter().find(|(k, _)| *k == key) {
                None => "stated".to_owned(),
                Some((_, n)) => match tenth_more(&texts[e], *n) {
                    Some(moved) => say(e, &torque(&moved, shipped, &all[e].rpm)),
                    None => "not moved".to_owned(),
                },
            })
            .collect();
        println!("| {key} + 10 % | {} |", cells.join(" | "));
    }
}

/// The text with the number of one line a tenth larger; `None` for zero, and where the engine would be another one.
fn tenth_more(text: &str, line: usize) -> Option<String> {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let (head, rest) = lines[line].split_once('"')?;
    let number: String = rest.chars().take_while(|c| c.is_ascii_digit() || *c == '.' || *c == '-').collect();
    let value: f64 = number.parse().ok()?;
    if value == 0.0 {
        return None;
    }
    lines[line] = format!("{head}\"{:.4}{}", 1.1 * value, &rest[number.len()..]);
    let moved = lines.join("\n");
    let file = BuildFile::parse(&moved).ok()?;
    EngineParts::from_build(file.build()).ok()?;
    Some(moved)
}
