//! Figures, peaks, plateaus and repeatability as rows and sentences.

use crate::say::{self, Kind};
use crate::words::{FigureRow, PeakCell, PeakRow, Piece, PlateauLine};
use chart::{LineKind, PlateauRow};
use pull::analysis::{Analysis, Comparison, Figure, Figures, Peak, Plateau};
use quantity::UnitSystem;

/// Figures over the band: average torque, average power, least torque; then, when they were asked
/// for, the use-weighted mean and the time to accelerate. Peaks are not among them.
pub fn figure_rows(analysis: &Analysis, comparison: Option<&Comparison>, system: UnitSystem) -> Vec<FigureRow> {
    let now = &analysis.figures;
    let before = comparison.map(|c| &c.before_figures);
    let corrected = say::is_corrected(analysis);
    let observed = now.observed_mean_torque_nm.filter(|_| corrected);
    let mut rows = vec![
        mean_row("mean_torque", "Average torque", Kind::Torque, now.mean_torque_nm, system)
            .beside(before.map(|f| f.mean_torque_nm), Kind::Torque, system)
            .observed(observed.map(|f| shown(Kind::Torque, system, f))),
        mean_row("mean_power", "Average power", Kind::Power, now.mean_power_w, system).beside(
            before.map(|f| f.mean_power_w),
            Kind::Power,
            system,
        ),
        least_row(now, before, system),
    ];
    if let Some((profile, figure)) = &now.use_weighted {
        let name = format!("Average torque, {} use", profile.replace('_', " "));
        let weighted = before.map(|f| f.use_weighted.as_ref().filter(|w| w.0 == *profile).map(|w| w.1));
        rows.push(mean_row("use_weighted", &name, Kind::Torque, Some(*figure), system).beside(
            weighted,
            Kind::Torque,
            system,
        ));
    }
    if let Some(time) = now.accelerate_s {
        rows.push(accelerate_row(analysis, time, before, system));
    }
    rows
}

impl FigureRow {
    fn beside(mut self, before: Option<Option<Figure>>, kind: Kind, system: UnitSystem) -> Self {
        self.before = before.map(|figure| figure.map_or_else(not_covered, |f| shown(kind, system, f)));
        self
    }

    fn observed(mut self, observed: Option<String>) -> Self {
        self.observed = observed;
        self
    }
}

fn not_covered() -> String {
    "not covered".to_owned()
}

fn shown(kind: Kind, system: UnitSystem, figure: Figure) -> String {
    say::value(kind, system, figure.value, say::decimals(kind, system, figure.expanded))
}

fn mean_row(key: &'static str, name: &str, kind: Kind, figure: Option<Figure>, system: UnitSystem) -> FigureRow {
    let unit = kind.unit(system).to_owned();
    let expanded = figure.map_or_else(String::new, |f| say::expanded(kind, system, f));
    FigureRow {
        key,
        name: name.to_owned(),
        note: spread_note(&unit, &expanded, figure.is_some()),
        unit,
        now: figure.map_or_else(not_covered, |f| shown(kind, system, f)),
        expanded,
        before: None,
        observed: None,
    }
}

fn spread_note(unit: &str, expanded: &str, known: bool) -> String {
    match (known, expanded.is_empty()) {
        (false, _) => unit.to_owned(),
        (true, true) => format!("{unit}, spread not known"),
        (true, false) => format!("{unit}, ±{expanded} in all"),
    }
}

fn least_row(now: &Figures, before: Option<&Figures>, system: UnitSystem) -> FigureRow {
    let unit = Kind::Torque.unit(system).to_owned();
    let as_figure = |peak: Peak| Figure { value: peak.value, expanded: peak.expanded };
    let least = now.least_torque_nm;
    let note = least.map_or_else(|| unit.clone(), |peak| format!("{unit}, at {}", say::rpm(peak.rpm)));
    FigureRow {
        key: "least_torque",
        name: "Least torque".to_owned(),
        note,
        unit,
        now: least.map_or_else(not_covered, |peak| shown(Kind::Torque, system, as_figure(peak))),
        expanded: least.map_or_else(String::new, |peak| say::expanded(Kind::Torque, system, as_figure(peak))),
        before: None,
        observed: None,
    }
    .beside(before.map(|f| f.least_torque_nm.map(as_figure)), Kind::Torque, system)
}

fn accelerate_row(analysis: &Analysis, time: Figure, before: Option<&Figures>, system: UnitSystem) -> FigureRow {
    let decimals = quantity::decimals_for(time.expanded).unwrap_or(2).min(2);
    let text = |f: Figure| system.time(f.value, Some(decimals)).number;
    let over = analysis.setup.accelerate.as_ref();
    let expanded = if time.expanded > 0.0 { system.time(time.expanded, Some(decimals)).number } else { String::new() };
    FigureRow {
        key: "accelerate",
        name: over.map_or_else(
            || "Time to accelerate".to_owned(),
            |a| format!("Time from {} to {} rpm", say::rpm(a.from_rpm), say::rpm(a.to_rpm)),
        ),
        note: spread_note("s", &expanded, true),
        unit: "s".to_owned(),
        now: text(time),
        expanded,
        before: before.map(|f| f.accelerate_s.map_or_else(not_covered, text)),
        observed: None,
    }
}

/// "Peaks, for the record": torque, power, and observed power where a correction was applied. A peak at
/// the end of the data says "at least".
pub fn peak_rows(analysis: &Analysis, comparison: Option<&Comparison>, system: UnitSystem) -> Vec<PeakRow> {
    let now = &analysis.figures;
    let before = comparison.map(|c| &c.before_figures);
    let row = |name: &str, kind: Kind, now: Option<Peak>, before: Option<Option<Peak>>| {
        now.map(|peak| PeakRow {
            name: name.to_owned(),
            unit: kind.unit(system).to_owned(),
            now: peak_cell(kind, peak, system),
            before: before
                .flatten()
                .map(|peak| PeakCell { at: format!("at {}", say::rpm(peak.rpm)), ..peak_cell(kind, peak, system) }),
        })
    };
    let observed = now.observed_peak_power.filter(|_| say::is_corrected(analysis));
    [
        row("Torque", Kind::Torque, now.peak_torque, before.map(|f| f.peak_torque)),
        row("Power", Kind::Power, now.peak_power, before.map(|f| f.peak_power)),
        row("Power, observed", Kind::Power, observed, None),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn peak_cell(kind: Kind, peak: Peak, system: UnitSystem) -> PeakCell {
    let figure = Figure { value: peak.value, expanded: peak.expanded };
    let value = shown(kind, system, figure);
    let wide = peak.rpm_to - peak.rpm_from >= 50.0;
    let range = if wide && !peak.at_least {
        format!(" ({} to {})", say::rpm(peak.rpm_from), say::rpm(peak.rpm_to))
    } else {
        String::new()
    };
    PeakCell {
        value: if peak.at_least { format!("at least {value}") } else { value },
        at: format!("at {}{range}", say::rpm(peak.rpm)),
    }
}

/// Plateaus in words, this run first.
pub fn plateau_lines(analysis: &Analysis, comparison: Option<&Comparison>, run: &str) -> Vec<PlateauLine> {
    plateaus(analysis, comparison, run)
        .into_iter()
        .map(|(name, kind, plateau)| {
            let below = if plateau.open_below { " or less" } else { "" };
            let above = if plateau.open_above { " or more" } else { "" };
            let text = format!("{}{below} to {}{above} rpm", say::rpm(plateau.from_rpm), say::rpm(plateau.to_rpm));
            PlateauLine { name, kind, text }
        })
        .collect()
}

/// Plateaus for [`chart::plateau_bars`], this run first.
pub fn plateau_rows(analysis: &Analysis, comparison: Option<&Comparison>, run: &str) -> Vec<PlateauRow> {
    plateaus(analysis, comparison, run)
        .into_iter()
        .map(|(label, kind, p)| PlateauRow {
            label,
            kind,
            from_rpm: p.from_rpm,
            to_rpm: p.to_rpm,
            open_below: p.open_below,
            open_above: p.open_above,
        })
        .collect()
}

fn plateaus(analysis: &Analysis, comparison: Option<&Comparison>, run: &str) -> Vec<(String, LineKind, Plateau)> {
    let run = if run.is_empty() { "This run" } else { run };
    let now = analysis.figures.plateau.map(|p| (run.to_owned(), LineKind::Measured, p));
    let before = comparison.and_then(|c| c.before_figures.plateau.map(|p| (c.before.clone(), LineKind::Before, p)));
    now.into_iter().chain(before).collect()
}

/// "Three pulls differ by 0.6 % on average, 1.6 % at worst (5,475 rpm). Shop limit 1.0 %."
pub fn repeat_sentence(analysis: &Analysis) -> Vec<Piece> {
    let light = |text: String| Piece { strong: false, text };
    let strong = |text: String| Piece { strong: true, text };
    let used = say::in_use(analysis);
    let repeat = &analysis.repeat;
    let Some(mean) = repeat.mean_spread.filter(|_| used > 1) else {
        let text = match used {
            0 => "No pull is in use.".to_owned(),
            1 => "One pull: how well it repeats is not known. A second pull would tell.".to_owned(),
            _ => format!(
                "{} do not cover the band together: how well they repeat is not known.",
                say::capital(&say::pulls(used))
            ),
        };
        return vec![light(text)];
    };
    let mut pieces = vec![
        light(format!("{} differ by ", say::capital(&say::pulls(used)))),
        strong(say::percent(mean, 1)),
        light(" on average".to_owned()),
    ];
    if let Some((worst, rpm)) = repeat.worst_spread {
        pieces.push(light(", ".to_owned()));
        pieces.push(strong(say::percent(worst, 1)));
        let flag = analysis.flags.iter().find(|f| f.from_rpm <= rpm && rpm <= f.to_rpm);
        let flag = flag.map_or_else(String::new, |f| format!(", flag {}", f.number));
        pieces.push(light(format!(" at worst ({} rpm{flag})", say::rpm(rpm))));
    }
    let limit = say::percent(repeat.limit, 1);
    let verdict = match repeat.verdict.as_deref() {
        Some("inside") => format!(". Inside the shop limit of {limit}."),
        Some("outside") => format!(". Outside the shop limit of {limit}."),
        Some(_) => format!(". Cannot tell against the shop limit of {limit}."),
        None => ".".to_owned(),
    };
    pieces.push(light(verdict));
    pieces
}
