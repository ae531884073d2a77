//! A run as strips: torque, power, lambda, manifold pressure, flagged channels, gain.

use crate::finding::finding;
use crate::say::{self, Kind};
use crate::words::RunNames;
use chart::{Area, BandOfUse, FlagMark, Line, LineKind, MeanLine, NoData, RunPicture, Strip};
use pull::analysis::{Analysis, ChannelCurve, Comparison, Curve};
use pull::guard::Flag;
use pull::role::{Kind as RoleKind, Role};
use quantity::UnitSystem;

/// What may differ between pictures of one run.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PictureOptions {
    /// Names of the run.
    pub names: RunNames,
    /// Every pull as a thin line besides the pooled curve.
    pub single_pulls: bool,
    /// Said beside the band's label on interactive drawings; empty for none.
    pub band_note: String,
}

/// Half width of the grey target area of lambda. A choice for the eye, printed beside the strip; the
/// guards judge by their own limits.
const LAMBDA_TARGET: f64 = 0.03;
/// The same for manifold pressure, Pa.
const MANIFOLD_TARGET_PA: f64 = 3000.0;
/// Strips at most; flagged channels beyond are in the list only.
const MOST_STRIPS: usize = 7;

/// The picture of a run. Strips without data are left out; a channel that carries a flag gets one.
pub fn run_picture(
    analysis: &Analysis,
    comparison: Option<&Comparison>,
    system: UnitSystem,
    options: &PictureOptions,
) -> RunPicture {
    let view = View { analysis, comparison, system, options };
    let mut strips = vec![view.torque(), view.power()];
    strips.extend(view.lambda());
    strips.extend(view.manifold());
    let gained = view.gained();
    let room = MOST_STRIPS - usize::from(gained.is_some());
    for role in view.flagged_roles(&strips) {
        if strips.len() < room {
            strips.extend(view.channel_strip(&role));
        }
    }
    strips.extend(gained);
    let flags = analysis.flags.iter().map(|flag| view.flag(flag, &strips)).collect();
    let (rpm_from, rpm_to) = view.speeds();
    let band = analysis.band;
    let said = finding(analysis, comparison, system);
    RunPicture {
        title: format!("{}: {} over engine speed", view.run(), names_of(&strips)),
        summary: format!("{}{}", said.strong, said.rest),
        rpm_from,
        rpm_to,
        band: (band.from_rpm < band.to_rpm).then(|| BandOfUse {
            from_rpm: band.from_rpm,
            to_rpm: band.to_rpm,
            label: if analysis.band_stated { "Band of use" } else { "Span of the pulls" }.to_owned(),
            note: options.band_note.clone(),
        }),
        strips,
        flags,
    }
}

struct View<'a> {
    analysis: &'a Analysis,
    comparison: Option<&'a Comparison>,
    system: UnitSystem,
    options: &'a PictureOptions,
}

impl View<'_> {
    fn run(&self) -> String {
        let run = &self.options.names.run;
        if run.is_empty() { "This run".to_owned() } else { run.clone() }
    }

    fn basis(&self) -> &'static str {
        if say::is_corrected(self.analysis) { "corrected" } else { "observed" }
    }

    /// The span of all curves drawn.
    fn speeds(&self) -> (f64, f64) {
        let now = say::tested(&self.analysis.curve);
        let before = self.comparison.and_then(|c| say::tested(&c.before_curve));
        let span = |a: (f64, f64), b: (f64, f64)| (a.0.min(b.0), a.1.max(b.1));
        now.into_iter().chain(before).reduce(span).unwrap_or((f64::NAN, f64::NAN))
    }

    fn torque(&self) -> Strip {
        let mut strip = self.brake_strip(Kind::Torque, "torque", "Torque", 5.2);
        strip.say_start = true;
        if let Some(mean) = self.analysis.figures.mean_torque_nm.filter(|f| f.value.is_finite()) {
            let decimals = say::decimals(Kind::Torque, self.system, mean.expanded);
            strip.mean = Some(MeanLine {
                value: Kind::Torque.number(self.system, mean.value),
                from_rpm: self.analysis.band.from_rpm,
                to_rpm: self.analysis.band.to_rpm,
                label: "average".to_owned(),
                value_text: say::value(Kind::Torque, self.system, mean.value, decimals),
            });
        }
        if let Some(line) = strip.lines.iter_mut().find(|l| l.kind == LineKind::Measured) {
            line.label = match say::in_use(self.analysis) {
                0 | 1 => line.label.clone(),
                n => format!("{}, {}", line.label, say::pulls(n)),
            };
        }
        if let (Some(line), Some(end)) =
            (strip.lines.iter_mut().find(|l| l.kind == LineKind::Before), self.before_end())
        {
            line.end_note = Some(end);
        }
        strip
    }

    fn power(&self) -> Strip {
        let mut strip = self.brake_strip(Kind::Power, "power", "Power", 1.9);
        let climbing = self.analysis.figures.still_climbing.as_deref() == Some("climbing");
        if let Some(line) = strip.lines.iter_mut().find(|l| l.kind == LineKind::Measured && climbing) {
            line.end_note = Some("still climbing".to_owned());
        }
        strip
    }

    /// Said where the earlier run ends well before this one.
    fn before_end(&self) -> Option<String> {
        let comparison = self.comparison?;
        let (_, now) = say::tested(&self.analysis.curve)?;
        let (_, before) = say::tested(&comparison.before_curve)?;
        (now - before >= 100.0).then(|| format!("{} ends here", say::inside(&comparison.before)))
    }

    /// Torque or power, this run and the one before.
    fn brake_strip(&self, kind: Kind, key: &str, name: &str, weight: f64) -> Strip {
        let unit = kind.unit(self.system).to_owned();
        let mut lines = Vec::new();
        if let Some(comparison) = self.comparison {
            let mut line = self.curve_line(kind, &comparison.before_curve, LineKind::Before, &comparison.before);
            line.band = None;
            lines.push(line);
        }
        if self.options.single_pulls {
            for pull in self.analysis.pulls.iter().filter(|pull| pull.left_out.is_none()) {
                let points = self.analysis.curve.rpm.iter().zip(&pull.torque_nm);
                lines.push(Line {
                    kind: LineKind::SinglePull,
                    name: format!("pull {}", pull.number),
                    points: points.map(|(rpm, nm)| (*rpm, self.brake(kind, *rpm, *nm))).collect(),
                    ..Line::default()
                });
            }
        }
        lines.push(self.curve_line(kind, &self.analysis.curve, LineKind::Measured, &self.run()));
        Strip {
            key: key.to_owned(),
            name: name.to_owned(),
            unit_and_basis: format!("{unit}, {}", self.basis()),
            unit,
            weight,
            lines,
            decimals: 1,
            ..Strip::default()
        }
    }

    fn brake(&self, kind: Kind, rpm: f64, torque_nm: f64) -> f64 {
        match kind {
            Kind::Torque => kind.number(self.system, torque_nm),
            Kind::Power => kind.number(self.system, say::power_w(rpm, torque_nm)),
        }
    }

    /// A pooled curve on the range of its pulls; ± is the expanded uncertainty (k = 2).
    fn curve_line(&self, kind: Kind, curve: &Curve, line: LineKind, name: &str) -> Line {
        let all = |values: &[f64]| -> Vec<f64> {
            curve.rpm.iter().zip(values).map(|(rpm, nm)| self.brake(kind, *rpm, *nm)).collect()
        };
        let points = curve.rpm.iter().copied().zip(all(&curve.torque_nm)).collect();
        let several = curve.pulls.iter().any(|n| *n > 1);
        let band = several.then(|| all(&curve.low_nm).into_iter().zip(all(&curve.high_nm)).collect());
        let spread: Vec<f64> = all(&curve.u_nm).into_iter().map(|u| 2.0 * u).collect();
        Line {
            kind: line,
            label: name.to_owned(),
            name: name.to_owned(),
            points,
            band,
            spread: (!spread.is_empty()).then_some(spread),
            end_note: None,
        }
    }

    fn channel(&self, role: &str) -> Option<&ChannelCurve> {
        self.analysis.channels.iter().find(|c| c.role == role)
    }

    /// A channel as a line in printed units, on the range of the pulls.
    fn channel_line(&self, channel: &ChannelCurve, unit: &Printed, label: &str) -> Line {
        let rpm = &self.analysis.curve.rpm;
        let convert = |values: &[f64]| -> Vec<f64> { values.iter().map(|v| (unit.from_si)(self.system, *v)).collect() };
        let low = convert(&channel.low);
        let high = convert(&channel.high);
        Line {
            label: label.to_owned(),
            name: if label.is_empty() { self.run() } else { label.to_owned() },
            points: rpm.iter().copied().zip(convert(&channel.mean)).collect(),
            band: (say::in_use(self.analysis) > 1).then(|| low.into_iter().zip(high).collect()),
            ..Line::default()
        }
    }

    fn target(&self, role: &str, unit: &Printed, half_si: f64) -> Option<Area> {
        let channel = self.channel(role)?;
        let rpm = &self.analysis.curve.rpm;
        let at = |v: f64| (unit.from_si)(self.system, v);
        let points = rpm.iter().zip(&channel.mean).map(|(rpm, v)| (*rpm, at(v - half_si), at(v + half_si))).collect();
        Some(Area { points })
    }

    fn lambda(&self) -> Option<Strip> {
        let banks: Vec<&ChannelCurve> = self
            .analysis
            .channels
            .iter()
            .filter(|c| matches!(Role::from_key(&c.role), Some(Role::Lambda(_))))
            .collect();
        let unit = Printed::of(RoleKind::Lambda)?;
        let target = self.target("lambda_target", &unit, LAMBDA_TARGET);
        let lines: Vec<Line> = banks
            .iter()
            .map(|bank| {
                let label = if banks.len() > 1 { bank.label.trim_start_matches("lambda, ") } else { "" };
                self.channel_line(bank, &unit, label)
            })
            .collect();
        (!lines.is_empty()).then(|| Strip {
            key: "lambda".to_owned(),
            name: "Lambda".to_owned(),
            unit_and_basis: if target.is_some() { format!("grey: target ±{LAMBDA_TARGET}") } else { String::new() },
            weight: 1.25,
            lines,
            target,
            decimals: 3,
            ..Strip::default()
        })
    }

    fn manifold(&self) -> Option<Strip> {
        if let Some(mut strip) = self.channel_strip("manifold_pressure") {
            let unit = Printed::of(RoleKind::AbsolutePressure)?;
            strip.name = "Manifold".to_owned();
            if let Some(target) = self.target("manifold_target", &unit, MANIFOLD_TARGET_PA) {
                let half = self.system.mean_pressure(MANIFOLD_TARGET_PA, None);
                strip.unit_and_basis = format!("{}, grey: target ±{}", strip.unit_and_basis, half.number);
                strip.target = Some(target);
            }
            return Some(strip);
        }
        self.channel_strip("boost").map(|strip| Strip { name: "Boost".to_owned(), ..strip })
    }

    /// A strip for any channel that was read; `None` if there is none of this role.
    fn channel_strip(&self, role: &str) -> Option<Strip> {
        let channel = self.channel(role)?;
        let kind = Role::from_key(role)?.kind();
        let unit = Printed::of(kind)?;
        let shown = (unit.unit)(self.system);
        Some(Strip {
            key: role.to_owned(),
            name: say::capital(channel.label.split(',').next().unwrap_or_default()),
            unit_and_basis: match channel.label.split_once(", ") {
                Some((_, part)) if part.starts_with("cylinder") => format!("{shown}, {part}"),
                _ => shown.to_owned(),
            },
            unit: shown.to_owned(),
            weight: 1.15,
            lines: vec![self.channel_line(channel, &unit, "")],
            decimals: unit.decimals,
            ..Strip::default()
        })
    }

    /// Roles of flags that have no strip yet, in the order of the flags.
    fn flagged_roles(&self, strips: &[Strip]) -> Vec<String> {
        let mut roles: Vec<String> = Vec::new();
        for flag in &self.analysis.flags {
            let there = strips.iter().any(|strip| strip.key == strip_key(&flag.role));
            if !there && !roles.contains(&flag.role) {
                roles.push(flag.role.clone());
            }
        }
        roles
    }

    fn flag(&self, flag: &Flag, strips: &[Strip]) -> FlagMark {
        let key = strip_key(&flag.role);
        let strip = strips.iter().find(|strip| strip.key == key);
        FlagMark {
            number: flag.number,
            from_rpm: flag.from_rpm,
            to_rpm: flag.to_rpm,
            strip_key: strip.map_or_else(|| "torque".to_owned(), |strip| strip.key.clone()),
            words: crate::flags::picture_words(flag, self.system),
            stretch: strip.map(|strip| offending(strip, &flag.role, flag)).unwrap_or_default(),
        }
    }

    fn gained(&self) -> Option<Strip> {
        let comparison = self.comparison?;
        let rpm = &self.analysis.curve.rpm;
        let number = |nm: f64| Kind::Torque.number(self.system, nm);
        let points: Vec<(f64, f64)> = rpm.iter().copied().zip(comparison.curve_nm.iter().map(|v| number(*v))).collect();
        if !points.iter().any(|p| p.1.is_finite()) {
            return None;
        }
        let half: Vec<f64> = comparison.curve_half_nm.iter().map(|v| number(*v)).collect();
        let known = half.iter().any(|h| h.is_finite());
        let band = known.then(|| points.iter().zip(&half).map(|(p, h)| (p.1 - h, p.1 + h)).collect());
        let before = say::inside(&comparison.before);
        let unit = Kind::Torque.unit(self.system);
        Some(Strip {
            key: "gained".to_owned(),
            name: "Gained".to_owned(),
            unit_and_basis: format!("{unit}, {} over {before}", say::inside(&self.run())),
            unit: unit.to_owned(),
            weight: 1.3,
            no_data: missing(&points, &self.analysis.curve, &format!("no {before}")),
            lines: vec![Line {
                kind: LineKind::Gain,
                name: "gained".to_owned(),
                points,
                band,
                spread: known.then_some(half),
                ..Line::default()
            }],
            difference: true,
            decimals: 1,
            ..Strip::default()
        })
    }
}

/// Lambda banks share a strip, and so do flags on torque and speed.
fn strip_key(role: &str) -> &str {
    match Role::from_key(role) {
        Some(Role::Lambda(_)) => "lambda",
        Some(Role::Speed | Role::Torque | Role::CellForce) => "torque",
        Some(Role::BrakePower) => "power",
        _ => role,
    }
}

/// The stretch to be redrawn: the edge of the pulls' range that stands farther from their mean, for the
/// pull that was flagged is at that edge.
fn offending(strip: &Strip, role: &str, flag: &Flag) -> Vec<(f64, f64)> {
    let bank = match Role::from_key(role) {
        Some(Role::Lambda(bank)) => format!("bank {bank}"),
        _ => String::new(),
    };
    let measured = || strip.lines.iter().filter(|line| line.kind == LineKind::Measured);
    let Some(line) = measured().find(|line| !bank.is_empty() && line.label == bank).or_else(|| measured().next())
    else {
        return Vec::new();
    };
    let inside = |rpm: f64| rpm >= flag.from_rpm && rpm <= flag.to_rpm;
    let Some(band) = &line.band else {
        return line.points.iter().copied().filter(|p| inside(p.0)).collect();
    };
    let both = line.points.iter().zip(band).filter(|(p, _)| inside(p.0));
    let reach = |edge: fn(&(f64, f64)) -> f64| {
        both.clone().map(|(p, b)| (edge(b) - p.1).abs()).filter(|d| d.is_finite()).fold(0.0, f64::max)
    };
    let upper = reach(|b| b.1) >= reach(|b| b.0);
    both.clone().map(|(p, b)| (p.0, if upper { b.1 } else { b.0 })).collect()
}

/// Spans in which this run has torque and the difference is missing.
fn missing(difference: &[(f64, f64)], curve: &Curve, words: &str) -> Vec<NoData> {
    let mut spans: Vec<NoData> = Vec::new();
    let mut open = false;
    let step = curve.rpm.get(1).zip(curve.rpm.first()).map_or(0.0, |(b, a)| b - a);
    for ((rpm, d), torque) in difference.iter().zip(&curve.torque_nm) {
        let gap = torque.is_finite() && !d.is_finite();
        if gap && !open {
            let from = if *rpm - step >= curve.rpm[0] { rpm - step } else { *rpm };
            spans.push(NoData { from_rpm: from, to_rpm: *rpm, words: words.to_owned() });
        } else if let Some(last) = spans.last_mut().filter(|_| gap) {
            last.to_rpm = *rpm;
        } else if let Some(last) = spans.last_mut().filter(|_| open) {
            last.to_rpm = *rpm;
        }
        open = gap;
    }
    spans
}

fn names_of(strips: &[Strip]) -> String {
    let names: Vec<String> = strips.iter().map(|strip| strip.name.to_lowercase()).collect();
    crate::finding::listed(&names)
}

/// How a kind of quantity is printed on a strip.
struct Printed {
    unit: fn(UnitSystem) -> &'static str,
    from_si: fn(UnitSystem, f64) -> f64,
    decimals: u8,
}

impl Printed {
    fn of(kind: RoleKind) -> Option<Printed> {
        use quantity::Dimension as D;
        let printed = |unit, from_si, decimals| Some(Printed { unit, from_si, decimals });
        match kind {
            RoleKind::Lambda => printed(|_| "", |_, v| v, 3),
            RoleKind::AirFuelRatio => printed(|_| "A/F by mass", |_, v| v, 2),
            RoleKind::AbsolutePressure => printed(
                |s| match s {
                    UnitSystem::Metric => "kPa absolute",
                    UnitSystem::UsCustomary => "psi absolute",
                },
                |s, v| s.unit(D::Pressure).from_si(v),
                1,
            ),
            RoleKind::GaugePressure => printed(
                |s| match s {
                    UnitSystem::Metric => "kPa above ambient",
                    UnitSystem::UsCustomary => "psi above ambient",
                },
                |s, v| s.unit(D::Pressure).from_si(v),
                1,
            ),
            RoleKind::Temperature => {
                printed(|s| s.unit(D::Temperature).symbol, |s, v| s.unit(D::Temperature).from_si(v), 0)
            }
            RoleKind::MassFlow => printed(|s| s.unit(D::MassFlow).symbol, |s, v| s.unit(D::MassFlow).from_si(v), 1),
            RoleKind::VolumeFlow => {
                printed(|s| s.unit(D::VolumeFlow).symbol, |s, v| s.unit(D::VolumeFlow).from_si(v), 1)
            }
            RoleKind::RotationalSpeed => printed(|_| "rpm", |_, v| v * 60.0 / std::f64::consts::TAU, 0),
            RoleKind::Angle => printed(|_| "°", |_, v| v.to_degrees(), 1),
            RoleKind::Fraction => printed(|_| "%", |_, v| v * 100.0, 1),
            RoleKind::Count => printed(|_| "as logged", |_, v| v, 1),
            RoleKind::Voltage => printed(|_| "V", |_, v| v, 2),
            RoleKind::Torque => printed(|s| s.unit(D::Torque).symbol, |s, v| s.unit(D::Torque).from_si(v), 1),
            RoleKind::Power => printed(|s| s.unit(D::Power).symbol, |s, v| s.unit(D::Power).from_si(v), 1),
            RoleKind::Force => printed(|s| s.unit(D::Force).symbol, |s, v| s.unit(D::Force).from_si(v), 0),
            RoleKind::Time => None,
        }
    }
}
