//! From names, units and numbers to a proposal with questions.

use super::fit::{self, Spread, UnitFor};
use super::words::{self, Suggestion};
use super::{About, Choice, ColumnProposal, Proposal, Question};
use crate::cell::{Answers, CellFile};
use crate::log::{RawColumn, RawLog, Severity};
use crate::role::{Kind, Role};

/// How a role came to a column; the stronger wins over the weaker.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Claim {
    None,
    Name,
    Cell,
    Answer,
}

/// One column while it is looked at.
struct Look<'a> {
    column: &'a RawColumn,
    spread: Option<Spread>,
    suggestion: Suggestion,
    claim: Claim,
    proposal: ColumnProposal,
    question: Option<Question>,
}

/// Roles without which a run cannot be judged.
fn needed(role: Role) -> bool {
    matches!(role, Role::Time | Role::Speed | Role::Torque | Role::BrakePower | Role::CellForce)
}

/// Proposes a role and a unit for every column and asks what is not certain.
///
/// Sure is only what a person has said, what the cell file holds, or what name and unit say together
/// with one column claiming the role. `fuel_stoich` is the stoichiometric air–fuel ratio by mass,
/// `fuel_density` in kg/m³.
pub fn propose(
    raw: &RawLog,
    cell: &CellFile,
    answers: &Answers,
    fuel_stoich: Option<f64>,
    fuel_density: Option<f64>,
) -> Proposal {
    let _ = fuel_density;
    let mut looks: Vec<Look<'_>> = Vec::new();
    for (group, columns) in raw.groups.iter().enumerate() {
        for (at, column) in columns.columns.iter().enumerate() {
            let time = columns.time_column == Some(at);
            looks.push(look(group, at, column, time, cell, answers));
        }
    }
    let mut questions = reader_questions(raw);
    if questions.iter().any(|q| q.about == About::Decimal) {
        // Until the numbers are known, nothing can be said about units.
        let columns = looks.into_iter().map(|look| look.proposal).collect();
        return Proposal { columns, questions, rate_hz: answers.rate_hz.or(cell.rate_hz) };
    }
    questions.extend(contests(&mut looks));
    for look in &mut looks {
        if look.proposal.role.is_some() && !look.proposal.ignored && look.question.is_none() && look.proposal.sure {
            unit(look);
        }
    }
    if fuel_stoich.is_none() {
        questions.extend(fuel(&mut looks));
    }
    questions.extend(looks.iter_mut().filter_map(|look| look.question.take()));
    let rate_hz = answers.rate_hz.or(cell.rate_hz);
    questions.extend(missing(raw, &looks, rate_hz, cell, answers));
    relax(&looks, &mut questions);
    questions.sort_by_key(|q| !q.must);
    Proposal { columns: looks.into_iter().map(|look| look.proposal).collect(), questions, rate_hz }
}

fn look<'a>(
    group: usize,
    at: usize,
    column: &'a RawColumn,
    time: bool,
    cell: &CellFile,
    answers: &Answers,
) -> Look<'a> {
    let suggestion = words::suggest(&column.name);
    let note = cell.channels.get(&column.name);
    let mut proposal = ColumnProposal {
        group,
        column: at,
        name: column.name.clone(),
        role: None,
        unit: answers
            .units
            .get(&column.name)
            .cloned()
            .or_else(|| written_or_remembered(column.unit_text.as_deref(), note.and_then(|n| n.unit.as_deref()))),
        why: String::new(),
        sure: true,
        ignored: false,
        lag_s: note.and_then(|n| n.lag_s),
    };
    let answered = answers.roles.get(&column.name);
    let mut claim = Claim::None;
    if let Some(key) = answered {
        claim = Claim::Answer;
        match Role::from_key(key) {
            Some(role) => {
                proposal.role = Some(role);
                proposal.why = "as answered".to_owned();
            }
            None => {
                proposal.ignored = true;
                proposal.why = "of no interest, as answered".to_owned();
            }
        }
    } else if let Some(note) = note.filter(|n| n.ignored || n.role.is_some()) {
        claim = Claim::Cell;
        proposal.role = note.role;
        proposal.ignored = note.ignored;
        proposal.why = "remembered for this dyno".to_owned();
    } else if time {
        claim = Claim::Cell;
        proposal.role = Some(Role::Time);
        proposal.why = "the file says so itself".to_owned();
    } else if column.name == crate::read::csv::SEGMENT {
        proposal.why = "numbers the parts of the file".to_owned();
    } else if column.values.iter().all(|v| v.is_nan()) {
        proposal.why = "holds no numbers".to_owned();
    } else if !suggestion.roles.is_empty() {
        let dimension = proposal.unit.as_deref().and_then(fit::known_dimension);
        let by_unit = dimension.and_then(|d| suggestion.roles.iter().find(|r| fit::dimension(**r) == d));
        let mut role = *by_unit.unwrap_or(&suggestion.roles[0]);
        if let Some(text) = proposal.unit.as_deref()
            && let UnitFor::Is(found) = fit::unit_for(role, text)
        {
            role = match (role, fit::reference(found).or(suggestion.absolute)) {
                (Role::ManifoldPressure, Some(false)) => Role::Boost,
                (Role::Boost, Some(true)) => Role::ManifoldPressure,
                _ => role,
            };
        }
        claim = Claim::Name;
        proposal.role = Some(role);
        proposal.why = format!("by its name (\"{}\")", suggestion.words);
    }
    let spread = if claim == Claim::None { None } else { fit::spread(&column.values) };
    Look { column, spread, suggestion, claim, proposal, question: None }
}

/// The unit that the log writes, or the remembered one where that says more about the same unit
/// (`inHg abs` for `inHg`) or where what the log writes is no unit we know.
fn written_or_remembered(written: Option<&str>, remembered: Option<&str>) -> Option<String> {
    let (Some(text), Some(kept)) = (written, remembered) else {
        return written.or(remembered).map(str::to_owned);
    };
    let other = match (quantity::find_unit(text), quantity::find_unit(kept)) {
        (Ok(a), Ok(b)) => a.dimension != b.dimension || a.scale.abs() != b.scale.abs() || a.offset != b.offset,
        (Ok(_), Err(_)) => true,
        (Err(_), _) => false,
    };
    Some(if other { text } else { kept }.to_owned())
}

/// Settles which column has a role when several claim it, and asks where none is stronger.
fn contests(looks: &mut [Look<'_>]) -> Vec<Question> {
    let mut questions = Vec::new();
    let mut roles: Vec<Role> = looks.iter().filter_map(|l| l.proposal.role).collect();
    roles.sort_unstable();
    roles.dedup();
    for role in roles {
        let mut claimants: Vec<usize> = (0..looks.len()).filter(|at| looks[*at].proposal.role == Some(role)).collect();
        if role == Role::Time {
            // Every group has its own time; within a group the reader's own certainty is the strongest.
            let groups: std::collections::BTreeSet<usize> =
                claimants.iter().map(|at| looks[*at].proposal.group).collect();
            for group in groups {
                let mut here: Vec<usize> =
                    claimants.iter().copied().filter(|at| looks[*at].proposal.group == group).collect();
                contest(looks, role, &mut here, &mut questions);
            }
            continue;
        }
        contest(looks, role, &mut claimants, &mut questions);
    }
    questions
}

fn contest(looks: &mut [Look<'_>], role: Role, claimants: &mut Vec<usize>, questions: &mut Vec<Question>) {
    let strongest = claimants.iter().map(|at| looks[*at].claim).max().unwrap_or(Claim::None);
    claimants.retain(|at| {
        let stays = looks[*at].claim == strongest;
        if !stays {
            looks[*at].proposal.role = None;
            looks[*at].proposal.why = format!("another column is named as {}", role.label());
        }
        stays
    });
    // Among names, the one whose values are as observed comes before one that is already corrected.
    if strongest == Claim::Name && claimants.len() > 1 {
        let plain: Vec<usize> = claimants.iter().copied().filter(|at| !looks[*at].suggestion.corrected).collect();
        if !plain.is_empty() && plain.len() < claimants.len() {
            for at in claimants.iter().filter(|at| !plain.contains(at)) {
                looks[*at].proposal.role = None;
                looks[*at].proposal.why = "by its name already corrected; the observed values are used".to_owned();
            }
            *claimants = plain;
        }
    }
    if claimants.len() > 1 {
        let names: Vec<String> = claimants.iter().map(|at| format!("\"{}\"", looks[*at].proposal.name)).collect();
        let mut choices: Vec<Choice> = claimants
            .iter()
            .map(|at| Choice {
                key: looks[*at].proposal.name.clone(),
                label: looks[*at].proposal.name.clone(),
                why: numbers(looks[*at].spread),
            })
            .collect();
        choices.push(none_choice());
        for at in claimants.iter() {
            looks[*at].proposal.sure = false;
        }
        questions.push(Question {
            id: format!("which:{role}"),
            column: looks[claimants[0]].proposal.name.clone(),
            about: About::Column,
            role: Some(role),
            must: needed(role),
            text: format!(
                "{} columns look like {}: {}. Which one is it?",
                claimants.len(),
                role.label(),
                names.join(", ")
            ),
            found: names.join(", "),
            choices,
            answer_flag: format!("--role \"{}={role}\"", looks[claimants[0]].proposal.name),
        });
        return;
    }
    let Some(at) = claimants.first().copied() else { return };
    let look = &mut looks[at];
    if look.claim == Claim::Name && look.suggestion.corrected && matches!(role, Role::Torque | Role::BrakePower) {
        look.proposal.sure = false;
        let name = look.proposal.name.clone();
        look.question = Some(Question {
            id: format!("role:{name}"),
            column: name.clone(),
            about: About::Role,
            role: Some(role),
            must: true,
            text: format!(
                "By its name, column \"{name}\" is already corrected to some standard air. Is it {} as observed?",
                role.label()
            ),
            found: numbers(look.spread),
            choices: vec![
                Choice {
                    key: role.key(),
                    label: role.label(),
                    why: "the values are as observed, whatever the name says".to_owned(),
                },
                none_choice(),
            ],
            answer_flag: format!("--role \"{name}={role}\""),
        });
    }
}

fn none_choice() -> Choice {
    Choice { key: "none".to_owned(), label: "none of these".to_owned(), why: "the channel is not used".to_owned() }
}

fn numbers(spread: Option<Spread>) -> String {
    match spread {
        Some(s) if s.low == s.high => format!("holds {}", figure(s.middle)),
        Some(s) => format!("runs from {} to {}", figure(s.low), figure(s.high)),
        None => "holds no numbers".to_owned(),
    }
}

/// Five significant digits, without an exponent where it can be read without.
pub(super) fn figure(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    let digits = (4 - value.abs().log10().floor() as i32).clamp(0, 9) as usize;
    let text = format!("{value:.digits$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Settles the unit of a column whose role is settled, or asks.
fn unit(look: &mut Look<'_>) {
    let Some(role) = look.proposal.role else { return };
    let by_name = look.claim == Claim::Name;
    let text = match look.proposal.unit.as_deref() {
        Some("-" | "--" | "–" | "1" | "") | None => match (look.suggestion.unit, role.kind()) {
            (Some(unit), _) if fits_by_name(role, unit, look.spread) => {
                look.proposal.unit = Some(unit.to_owned());
                look.proposal.why.push_str(", which names the unit as well");
                return;
            }
            (_, Kind::Count) => {
                look.proposal.unit = Some("count".to_owned());
                return;
            }
            (_, Kind::Lambda) if !by_name || look.proposal.unit.is_some() => {
                look.proposal.unit = Some("lambda".to_owned());
                return;
            }
            (_, Kind::Lambda) if look.spread.is_some_and(|s| s.middle > 5.0) => return no_lambda(look, role),
            _ => return ask_unit(look, role, None),
        },
        Some(text) => text.to_owned(),
    };
    match fit::unit_for(role, &text) {
        UnitFor::Is(unit) => {
            if by_name {
                look.proposal.why.push_str(" and unit");
            }
            reference(look, role, unit);
        }
        UnitFor::Open(words) | UnitFor::Unknown(words) => ask_unit(look, role, Some(words)),
        UnitFor::Refused(words) => {
            ask_unit(look, role, Some(words.clone()));
            if let Some(question) = &mut look.question {
                question.text = format!("Column \"{}\": {words}.", look.proposal.name);
                question.choices.retain(|c| c.key == "none");
                question.answer_flag = flag("role", &look.proposal.name, "none");
            }
        }
        UnitFor::OtherKind(found) => {
            let knock = matches!(role, Role::Knock(_));
            if knock {
                // A knock level may be in volts or anything else; it is only compared with itself.
                return;
            }
            if by_name {
                let name = look.proposal.name.clone();
                look.proposal.sure = false;
                look.question = Some(Question {
                    id: format!("role:{name}"),
                    column: name.clone(),
                    about: About::Role,
                    role: Some(role),
                    must: needed(role),
                    text: format!(
                        "By its name, column \"{name}\" is {}, but {text} is a unit of {}. What does it stand for?",
                        role.label(),
                        found.dimension.name()
                    ),
                    found: numbers(look.spread),
                    choices: Role::plain()
                        .filter(|r| fit::dimension(*r) == found.dimension)
                        .take(8)
                        .map(|r| Choice { key: r.key(), label: r.label(), why: format!("{text} fits") })
                        .chain([none_choice()])
                        .collect(),
                    answer_flag: format!("--role \"{name}=…\""),
                });
            } else {
                ask_unit(look, role, Some(format!("{text} is a unit of {}", found.dimension.name())));
            }
        }
    }
}

/// A column called lambda whose numbers are those of an air–fuel ratio.
fn no_lambda(look: &mut Look<'_>, role: Role) {
    let name = look.proposal.name.clone();
    let bank = if let Role::Lambda(n) = role { n } else { 1 };
    let ratio = Role::AirFuelRatio(bank);
    let middle = figure(look.spread.map_or(f64::NAN, |s| s.middle));
    look.proposal.sure = false;
    look.question = Some(Question {
        id: format!("role:{name}"),
        column: name.clone(),
        about: About::Role,
        role: Some(role),
        must: false,
        text: format!("By its name, column \"{name}\" is lambda, but {middle} is none. Is it an air–fuel ratio?"),
        found: numbers(look.spread),
        choices: vec![
            Choice { key: ratio.key(), label: ratio.label(), why: format!("{middle} fits") },
            Choice { key: role.key(), label: role.label(), why: format!("{middle} does not fit") },
            none_choice(),
        ],
        answer_flag: flag("role", &name, &ratio.key()),
    });
}

fn fits_by_name(role: Role, unit: &str, spread: Option<Spread>) -> bool {
    match fit::unit_for(role, unit) {
        UnitFor::Is(unit) => spread.is_none_or(|s| fit::fits(role, unit, s)),
        _ => false,
    }
}

/// Settles whether a pressure is absolute or above ambient, or asks.
fn reference(look: &mut Look<'_>, role: Role, unit: &'static quantity::Unit) {
    let stated = fit::reference(unit);
    let named = look.suggestion.absolute;
    let middle = look.spread.map(|s| unit.to_si(s.middle));
    let low = look.spread.map(|s| unit.to_si(s.low));
    let open = match role.kind() {
        Kind::AbsolutePressure => match (role, stated) {
            (_, Some(true)) | (Role::Barometer | Role::VapourPressure, None) => None,
            (_, Some(false)) => Some("it is counted from ambient, and this role is absolute"),
            (_, None) if named == Some(true) => None,
            (_, None) => {
                // A map in kPa or bar is absolute in the trade, unless it stands around nought.
                let metric = matches!(unit.symbol, "kPa" | "bar" | "hPa" | "mbar" | "Pa" | "MPa");
                if look.suggestion.map && metric && middle.is_none_or(|m| m > 15e3) && low.is_none_or(|l| l > 0.0) {
                    look.proposal.why.push_str("; taken as absolute, as is usual for a column called MAP");
                    None
                } else {
                    Some("the unit does not say whether it is absolute or above ambient")
                }
            }
        },
        Kind::GaugePressure => match stated {
            Some(true) if role != Role::Boost => Some("it is absolute, and this role is counted from ambient"),
            Some(true) => Some("it is absolute, and boost is counted from ambient"),
            Some(false) => None,
            None if role == Role::Boost && middle.is_some_and(|m| m > 60e3) && low.is_some_and(|l| l > 40e3) => {
                Some("the numbers look absolute, the name does not")
            }
            None => {
                look.proposal.why.push_str("; counted from ambient, as such gauges read");
                None
            }
        },
        _ => None,
    };
    let Some(why) = open else { return };
    let name = look.proposal.name.clone();
    let base = unit.symbol.trim_end_matches("gauge").trim_end_matches("abs").trim();
    let (absolute, gauge) = match base {
        "psi" | "psia" | "psig" => ("psia".to_owned(), "psig".to_owned()),
        "bar" | "bara" | "barg" => ("bara".to_owned(), "barg".to_owned()),
        _ => (format!("{base} abs"), format!("{base} gauge")),
    };
    let then = |words: &str| {
        middle.map_or(String::new(), |m| format!("then the middle value is {} kPa {words}", figure(m / 1e3)))
    };
    look.proposal.sure = false;
    look.question = Some(Question {
        id: format!("unit:{name}"),
        column: name.clone(),
        about: About::Unit,
        role: Some(role),
        must: needed(role),
        text: format!("Column \"{name}\" is a pressure in {}: {why}.", unit.symbol),
        found: numbers(look.spread),
        choices: [
            (stated != Some(true)).then(|| Choice {
                key: absolute.clone(),
                label: "absolute".to_owned(),
                why: then("absolute"),
            }),
            Some(Choice { key: gauge.clone(), label: "above ambient".to_owned(), why: then("above ambient") }),
            Some(none_choice()),
        ]
        .into_iter()
        .flatten()
        .collect(),
        answer_flag: flag("unit", &name, if stated == Some(true) { &gauge } else { &absolute }),
    });
}

/// Asks for a unit and names the ones that fit the numbers.
fn ask_unit(look: &mut Look<'_>, role: Role, fault: Option<String>) {
    let name = look.proposal.name.clone();
    let time = role == Role::Time;
    let all = if time { fit::time_choices(&look.column.values) } else { fit::choices(role, look.spread) };
    let fitting: Vec<&str> = all.iter().filter(|c| c.2).map(|c| c.0).collect();
    let others: Vec<&str> = all.iter().filter(|c| !c.2).map(|c| c.0).collect();
    let middle = look.spread.map(|s| s.middle);
    let verdict = match middle {
        Some(_) if time && !fitting.is_empty() && !others.is_empty() => {
            format!("; the distance of the rows fits {} but not {}", fitting.join(" and "), others.join(", "))
        }
        Some(value) if !fitting.is_empty() && !others.is_empty() => {
            format!("; {} fits {} but not {}", figure(value), fitting.join(" and "), others.join(", "))
        }
        Some(value) if fitting.len() > 1 => format!("; {} fits {}", figure(value), fitting.join(" and ")),
        Some(value) if fitting.is_empty() => format!("; {} fits none of {}", figure(value), others.join(", ")),
        _ => String::new(),
    };
    let text = match fault {
        None => format!("Column \"{name}\" gives no unit{verdict}."),
        Some(words) => format!("Column \"{name}\": {words}{verdict}."),
    };
    let mut choices: Vec<Choice> = all
        .iter()
        .map(|(text, unit, fit)| Choice {
            key: (*text).to_owned(),
            label: if *text == "1" { "0 to 1".to_owned() } else { (*text).to_owned() },
            why: match (middle, fit) {
                (Some(value), true) if !time && unit.symbol != si_text(role) => {
                    format!("fits: {} {text} is {} {}", figure(value), figure(unit.to_si(value)), si_text(role))
                }
                (Some(_), true) => "fits the numbers".to_owned(),
                (Some(_), false) => "does not fit the numbers".to_owned(),
                (None, _) => String::new(),
            },
        })
        .collect();
    choices.push(none_choice());
    let example = fitting.first().or(others.first()).copied().unwrap_or("…");
    look.proposal.sure = false;
    look.question = Some(Question {
        id: format!("unit:{name}"),
        column: name.clone(),
        about: About::Unit,
        role: Some(role),
        must: needed(role),
        text,
        found: numbers(look.spread),
        choices,
        answer_flag: flag("unit", &name, example),
    });
}

fn si_text(role: Role) -> &'static str {
    fit::dimension(role).si_symbol()
}

/// `--unit Baro=inHg`, with quotes where the shell needs them.
pub(super) fn flag(kind: &str, name: &str, value: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '_' | '.' | '/' | '-' | '·' | '%');
    if name.chars().chain(value.chars()).all(plain) {
        format!("--{kind} {name}={value}")
    } else {
        format!("--{kind} \"{name}={value}\"")
    }
}

/// Air–fuel ratios need the fuel.
fn fuel(looks: &mut [Look<'_>]) -> Option<Question> {
    let names: Vec<String> = looks
        .iter_mut()
        .filter(|l| matches!(l.proposal.role, Some(Role::AirFuelRatio(_))) && l.proposal.sure && !l.proposal.ignored)
        .map(|l| {
            l.proposal.sure = false;
            l.proposal.name.clone()
        })
        .collect();
    let first = names.first()?.clone();
    Some(Question {
        id: "fuel".to_owned(),
        column: first,
        about: About::Fuel,
        role: None,
        must: false,
        text: "An air–fuel ratio becomes lambda only with the stoichiometric ratio of the fuel. Which fuel was it?"
            .to_owned(),
        found: names.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(", "),
        choices: Vec::new(),
        answer_flag: "--fuel NAME or --stoich RATIO".to_owned(),
    })
}

/// Questions that the reader itself left open.
fn reader_questions(raw: &RawLog) -> Vec<Question> {
    let mut out = Vec::new();
    for problem in raw.problems.iter().filter(|p| p.severity == Severity::Stop) {
        let (about, keys): (About, &[(&str, &str)]) = match problem.code.as_str() {
            "decimal_open" => (About::Decimal, &[(".", "decimal point"), (",", "decimal comma")]),
            "date_order_open" => (
                About::DateOrder,
                &[("dmy", "day, month, year"), ("mdy", "month, day, year"), ("ymd", "year, month, day")],
            ),
            _ => continue,
        };
        let next = problem.next.clone().unwrap_or_default();
        out.push(Question {
            id: if about == About::Decimal { "decimal" } else { "date_order" }.to_owned(),
            column: String::new(),
            about,
            role: None,
            must: true,
            text: problem.what.clone(),
            found: problem.found.clone().unwrap_or_default(),
            choices: keys
                .iter()
                .filter(|(key, _)| about == About::Decimal || next.contains(key))
                .map(|(key, label)| Choice { key: (*key).to_owned(), label: (*label).to_owned(), why: String::new() })
                .collect(),
            answer_flag: next.strip_prefix("say which it is: ").unwrap_or(&next).to_owned(),
        });
    }
    out
}

/// Questions about channels that are needed and that no column claims.
fn missing(
    raw: &RawLog,
    looks: &[Look<'_>],
    rate_hz: Option<f64>,
    cell: &CellFile,
    answers: &Answers,
) -> Vec<Question> {
    let mut out = Vec::new();
    let claimed = |role: Role| looks.iter().any(|l| l.proposal.role == Some(role) && !l.proposal.ignored);
    let without_time = (0..raw.groups.len()).any(|group| {
        !raw.groups[group].columns.is_empty()
            && !looks
                .iter()
                .any(|l| l.proposal.group == group && l.proposal.role == Some(Role::Time) && !l.proposal.ignored)
    });
    if without_time && rate_hz.is_none() {
        out.push(Question {
            id: "rate".to_owned(),
            column: String::new(),
            about: About::Rate,
            role: Some(Role::Time),
            must: true,
            text: "No column is known to hold time. Name it, or say how many rows were written per second.".to_owned(),
            found: free_names(looks, Role::Time),
            choices: Vec::new(),
            answer_flag: "--rate 100 or --role NAME=time".to_owned(),
        });
    }
    let ask = |role: Role, words: &str| {
        let mut choices: Vec<Choice> = free(looks, role)
            .map(|l| Choice {
                key: l.proposal.name.clone(),
                label: match &l.proposal.unit {
                    Some(unit) => format!("{} ({unit})", l.proposal.name),
                    None => l.proposal.name.clone(),
                },
                why: numbers(fit::spread(&l.column.values)),
            })
            .collect();
        choices.truncate(40);
        Question {
            id: format!("missing:{role}"),
            column: String::new(),
            about: About::Column,
            role: Some(role),
            must: true,
            text: format!("No column is known to hold {words}. Which one is it?"),
            found: free_names(looks, role),
            choices,
            answer_flag: format!("--role NAME={role}"),
        }
    };
    if !claimed(Role::Speed) {
        out.push(ask(Role::Speed, "engine speed"));
    }
    if !claimed(Role::Torque) && !claimed(Role::BrakePower) && !claimed(Role::CellForce) {
        out.push(ask(Role::Torque, "torque, brake power or the force at the load cell"));
    }
    if claimed(Role::CellForce)
        && !claimed(Role::Torque)
        && !claimed(Role::BrakePower)
        && cell.arm.is_none()
        && answers.arm.is_none()
    {
        out.push(Question {
            id: "arm".to_owned(),
            column: looks
                .iter()
                .find(|l| l.proposal.role == Some(Role::CellForce))
                .map_or(String::new(), |l| l.proposal.name.clone()),
            about: About::Arm,
            role: Some(Role::CellForce),
            must: true,
            text: "The log gives the force at the load cell; torque needs the length of the torque arm.".to_owned(),
            found: String::new(),
            choices: Vec::new(),
            answer_flag: "--arm \"0.35 m\"".to_owned(),
        });
    }
    out
}

/// Columns without a role whose unit, if any, could be the role's.
fn free<'a>(looks: &'a [Look<'a>], role: Role) -> impl Iterator<Item = &'a Look<'a>> {
    let wanted = fit::dimension(role);
    looks.iter().filter(move |l| {
        let unit = l.proposal.unit.as_deref().and_then(fit::known_dimension);
        l.proposal.role.is_none()
            && !l.proposal.ignored
            && l.proposal.name != crate::read::csv::SEGMENT
            && l.column.values.iter().any(|v| !v.is_nan())
            && unit.is_none_or(|d| d == wanted || role == Role::Torque)
    })
}

fn free_names(looks: &[Look<'_>], role: Role) -> String {
    let names: Vec<String> = free(looks, role).take(8).map(|l| format!("\"{}\"", l.proposal.name)).collect();
    if names.is_empty() {
        "no column is left that could be it".to_owned()
    } else {
        format!("columns left: {}", names.join(", "))
    }
}

/// A question about power need not be answered when torque is settled, and the other way round.
fn relax(looks: &[Look<'_>], questions: &mut [Question]) {
    let brake = [Role::Torque, Role::BrakePower, Role::CellForce];
    let settled = looks.iter().any(|l| l.proposal.sure && l.proposal.role.is_some_and(|r| brake.contains(&r)));
    let torque_asked = questions.iter().any(|q| q.role == Some(Role::Torque));
    for q in questions.iter_mut().filter(|q| q.role.is_some_and(|r| brake.contains(&r))) {
        let lesser = q.role != Some(Role::Torque) && torque_asked;
        if (settled || lesser) && q.about != About::Arm {
            q.must = false;
        }
    }
}
