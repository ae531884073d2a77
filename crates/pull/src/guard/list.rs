//! Rules to be read by a person: as text to copy from, and in words.

use super::parse::RulesError;
use super::rules::{Check, Limit, On, Rule, Rules, When};
use crate::role::Role;
use toml_edit::{DocumentMut, Item, Table};

/// The rules in force as TOML: those that come with the tool, with a shop's text put over them. Each
/// piece says in a comment whose it is; rules switched off are listed as such at the end. The text can
/// be read again with [`Rules::parse`] and then gives the same rules, sensors and targets.
///
/// # Errors
/// [`RulesError`] if the shop's text cannot be read.
pub fn list(shop: &str) -> Result<String, RulesError> {
    let rules = Rules::over_shipped(shop, "")?;
    let ours = tables(Rules::shipped_text());
    let theirs = tables(shop);
    let mut out = String::from(
        "# The guard rules in force. They flag a log after the event and never replace the hard-wired stop.\n",
    );
    let mut add = |whose: &str, name: &str, table: &Table| {
        out.push_str(&format!("\n# {whose}\n[[{name}]]\n{}", plain(table)));
    };
    // Targets of the shop are asked first, so they stand first.
    for table in named(&theirs, "target") {
        add(SHOP, "target", table);
    }
    for name in ["rule", "sensor"] {
        let id = if name == "rule" { "key" } else { "role" };
        for table in named(&ours, name) {
            // Of several that fit, the last one counts.
            match named(&theirs, name).filter(|t| !is_off(t) && text(t, id) == text(table, id)).last() {
                Some(theirs) => add(SHOP_OVER, name, theirs),
                None => add(TOOL, name, table),
            }
        }
        for table in named(&theirs, name).filter(|t| !is_off(t)) {
            if !named(&ours, name).any(|t| text(t, id) == text(table, id)) {
                add(SHOP, name, table);
            }
        }
    }
    for table in named(&ours, "target") {
        add(TOOL, "target", table);
    }
    for key in &rules.off {
        let whose = if named(&theirs, "rule").any(is_off) { SHOP_OFF } else { TOOL };
        out.push_str(&format!("\n# {whose}\n[[rule]]\nkey = {}\noff = true\n", toml_edit::value(key.as_str())));
    }
    Ok(out)
}

const TOOL: &str = "comes with the tool";
const SHOP: &str = "the shop's own";
const SHOP_OVER: &str = "the shop's own, instead of the one that comes with the tool";
const SHOP_OFF: &str = "switched off by the shop";

/// A rule in words: "lambda, each bank: above its target by more than the limit, in a pull, not boosted".
pub fn words(rule: &Rule) -> String {
    let channel = match (rule.on, rule.check) {
        (On::EachLambda, _) => "lambda, each bank".to_owned(),
        (On::EachExhaust, Check::Spread) => "exhaust temperature".to_owned(),
        (On::EachExhaust, _) => "exhaust temperature, each cylinder".to_owned(),
        (On::EachKnock | On::One(_), _) => rule.on.label(),
    };
    let condition = match rule.check {
        Check::Above => "above the limit".to_owned(),
        Check::Below => "below the limit".to_owned(),
        Check::AboveTarget => format!("above its target{} by more than the limit", stated(rule)),
        Check::BelowTarget => format!("below its target{} by more than the limit", stated(rule)),
        Check::Drop { within_s } => format!("fallen by more than the limit within {within_s} s"),
        Check::Rise { within_s } => format!("risen by more than the limit within {within_s} s"),
        Check::Spread => "hottest less coldest cylinder above the limit".to_owned(),
        Check::BelowStart => "below its value at the start of the pull by more than the limit".to_owned(),
        Check::BelowStartOverBoost => {
            "what is left above boost below its value at the start of the pull by more than the limit".to_owned()
        }
        Check::RatioShort => "short of engine speed times drive ratio by more than the limit".to_owned(),
        Check::BoostFalls => "fallen from its highest by more than the limit".to_owned(),
        Check::Events => "more events within one second than the limit".to_owned(),
        Check::Drift => "away from the start of the first pull by more than the limit".to_owned(),
        Check::TorqueLoss { within_rpm } => format!("lost by more than the limit within {within_rpm:.0} rpm"),
        Check::ShortOfLast => "short of the pull before at the same speed by more than the limit".to_owned(),
        Check::BelowBarometer => "below the barometer by more than the limit".to_owned(),
        Check::ZeroShift => "standing still, before against after the pulls, by more than the limit".to_owned(),
    };
    let when: String = rule.when.iter().map(|w| format!(", {}", when_words(*w))).collect();
    format!("{channel}: {condition}{when}")
}

impl Limit {
    /// The limit in words, without its hold time: "8 psi per 1000 rpm, load above 70 %".
    pub fn words(&self) -> String {
        let when: String = self.when.iter().map(|w| format!(", {}", when_words(*w))).collect();
        format!("{}{when}", self.text)
    }
}

fn stated(rule: &Rule) -> String {
    match (&rule.target, rule.on) {
        (Some(target), _) => format!(" of {}", target.text),
        // The log may have a channel for what is aimed at.
        (None, On::EachLambda | On::One(Role::ManifoldPressure)) => String::new(),
        (None, _) => ", which is not stated,".to_owned(),
    }
}

fn when_words(when: When) -> String {
    let percent = |share: f64| format!("{} %", (share * 1000.0).round() / 10.0);
    match when {
        When::InPull => "in a pull".to_owned(),
        When::LoadAbove(share) => format!("load above {}", percent(share)),
        When::SpeedAbove(rad_s) => format!("speed above {:.0} rpm", rad_s * 30.0 / std::f64::consts::PI),
        When::ThrottleAbove(share) => format!("throttle above {}", percent(share)),
        When::Boosted => "boosted".to_owned(),
        When::NotBoosted => "not boosted".to_owned(),
    }
}

/// A text that was read without fault before.
fn tables(text: &str) -> DocumentMut {
    text.parse().unwrap_or_default()
}

fn named<'d>(document: &'d DocumentMut, name: &str) -> impl Iterator<Item = &'d Table> + use<'d> {
    document.get(name).and_then(Item::as_array_of_tables).into_iter().flatten()
}

fn text<'t>(table: &'t Table, name: &str) -> Option<&'t str> {
    table.get(name).and_then(Item::as_str)
}

fn is_off(table: &Table) -> bool {
    table.get("off").and_then(Item::as_bool) == Some(true)
}

/// A table's lines, with tables inside it written on one line.
fn plain(table: &Table) -> String {
    let mut table = table.clone();
    for (_, item) in table.iter_mut() {
        if item.is_table() {
            item.make_value();
        }
    }
    // Comments above a table belong to a place that may not be here.
    let lines: Vec<String> = table.to_string().lines().filter(|l| !l.trim().is_empty()).map(str::to_owned).collect();
    lines.join("\n") + "\n"
}
