//! The place in hand: its number in large, its limits, what is said of it, and what can be done.
//!
//! Every act is a plain form; a page's script takes them over and adds keys.

use super::bars;
use super::spots::Spot;
use crate::marks;
use crate::pages::jobs::sent::{Errors, Sent};
use maud::{Markup, html};
use notebook::Notebook;
use record::InstrumentUsed;

/// What the panel is drawn from.
pub(super) struct Hand<'a> {
    pub(super) spot: &'a Spot,
    /// Address of the sheet.
    pub(super) here: &'a str,
    /// Instruments of the sheet, the usual one first.
    pub(super) instruments: &'a [InstrumentUsed],
    /// Whether places of the sheet are read with different instruments.
    pub(super) several: bool,
    /// What a form sent that was not taken.
    pub(super) sent: &'a Sent,
    pub(super) errors: &'a Errors,
}

impl Hand<'_> {
    /// The panel.
    pub(super) fn markup(&self) -> Markup {
        let spot = self.spot;
        let figure = spot.order.is_none();
        let shown = spot.state != "empty";
        let typed = self.errors.of("typed").map(|_| self.sent.get("typed").to_owned());
        let two = !spot.two.is_empty();
        let out = shown && !two && (matches!(spot.verdict, "outside" | "cannot") || spot.asks);
        let enter = !out && !two && !figure;
        html! {
            section.hand aria-labelledby="hand-name" data-kind=(if figure { "derived" } else { "read" }) data-verdict=(spot.verdict) {
                h2 #hand-name data-hand="name" { (spot.name) }
                form.inhand #reading method="post" action=(self.act("reading")) data-act="reading" {
                    (self.fixed())
                    label.away for="typed" data-hand="label" { (spot.name) ", " (if spot.unit.is_empty() { "number" } else { &spot.unit }) }
                    span.pre data-hand="pre" {}
                    input.big #typed name="typed" inputmode="decimal" autocomplete="off" maxlength="40" size="7" readonly[figure]
                        value=(typed.unwrap_or_else(|| spot.number.clone())) aria-describedby="hand-say" aria-invalid=[self.errors.of("typed").map(|_| "true")];
                    span.unit data-hand="unit" { (spot.unit) }
                    span.over data-hand="flag" hidden[spot.beyond.is_empty()] { (marks::flag()) span data-hand="beyond" { (spot.beyond) } }
                }
                @if let Some(fault) = self.errors.of("typed") { p.fault role="alert" { (fault) } }
                @for words in self.errors.of_whole() { p.fault role="alert" { (words) } }
                div.barbox data-hand="bar" { (bars::large(spot.limits, &spot.near, spot.drawn, &|v| spot.say(v))) }
                p.say #hand-say data-hand="say" { (spot.say) }
                p.limit data-hand="limit" { (spot.limit_words) }
                div.choices data-hand="enter" hidden[!enter] {
                    button.btn.main.wide form="reading" type="submit" name="act" value="save" data-hand="save" { "Save, next place" }
                    (self.reason("unread", "Cannot be read", "Why it cannot be read", "Save"))
                    button.btn form="reading" type="submit" name="act" value="repeat" data-hand="repeat" hidden[!shown] { "Save, count both" }
                }
                div.choices data-hand="out" hidden[!out] {
                    button.btn.main.wide form="reading" type="submit" name="act" value="save" data-act="again" data-hand="again" hidden[figure] { "Measure again" }
                    (self.reason("keep", "Keep, say why", "Why it is kept", "Keep"))
                    (self.reason("ask", "Ask the builder", "The question", "Ask"))
                }
                div.choices data-hand="two" hidden[!two] {
                    p.wide { "Two readings were made here without knowing of each other. Choose one, or measure again; all stay in the record." }
                    div.wide.two-list data-hand="two-choices" { @for (typed, by) in &spot.two { (self.one_of_two(typed, by)) } }
                    form.plain method="post" action=(self.act("together")) { (self.fixed()) button.btn type="submit" { "Both count" } }
                }
                p.told role="status" data-hand="said" {}
                button.btn.soft type="button" data-act="undo" data-hand="undo" hidden { "Take back" }
                @if shown && !figure {
                    form.plain.back method="post" action=(self.act("back")) { (self.fixed()) button.btn.soft type="submit" { "Take back what was read here" } }
                }
                (keys())
                (self.which_instrument())
                details.fold #hand-history {
                    summary { "What was read here" }
                    ul.readings-here data-hand="was" { @for line in &spot.was { li { (line) } } }
                }
            }
        }
    }

    fn act(&self, act: &str) -> String {
        format!("{}/{act}", self.here)
    }

    /// What every form of the place carries: the place, what stands there, the name of the entry it will write.
    fn fixed(&self) -> Markup {
        html! {
            input type="hidden" name="entry" value=(Notebook::new_id());
            input type="hidden" name="place" value=(self.spot.place);
            @for id in &self.spot.standing { input type="hidden" name="known" value=(id); }
        }
    }

    /// An act that needs words: a fold that looks like a button.
    fn reason(&self, act: &str, words: &str, label: &str, send: &str) -> Markup {
        let id = format!("why-{act}");
        let typed = if self.errors.of(act).is_some() { self.sent.get("words") } else { "" };
        html! {
            details.why open[self.errors.of(act).is_some()] {
                summary.btn { (words) }
                form method="post" action=(self.act(act)) data-act=(act) {
                    (self.fixed())
                    label for=(id) { (label) }
                    textarea.field.note #(id) name="words" rows="2" maxlength="2000" required { (typed) }
                    @if let Some(fault) = self.errors.of(act) { p.fault role="alert" { (fault) } }
                    button.btn type="submit" { (send) }
                }
            }
        }
    }

    fn one_of_two(&self, typed: &str, by: &str) -> Markup {
        html! {
            form.plain method="post" action=(self.act("reading")) {
                (self.fixed())
                input type="hidden" name="typed" value=(typed);
                button.btn type="submit" name="act" value="save" data-choose=(typed) { "Take " (typed) }
                small { (by) }
            }
        }
    }

    fn which_instrument(&self) -> Markup {
        let meant = self.spot.instrument;
        html! {
            @if self.several {
                p.instrument {
                    label for="instrument" { "Read with" }
                    select.field #instrument name="instrument" form="reading" {
                        @for (n, used) in self.instruments.iter().enumerate() {
                            option value=(used.key) selected[meant == Some(n)] data-used=(serde_json::to_string(used).unwrap_or_default()) { (used.name) }
                        }
                        option value="" selected[meant.is_none()] { "no instrument named" }
                    }
                }
            }
        }
    }
}

/// Keys for a gloved hand. They need the script, so they wait in a template until it comes.
fn keys() -> Markup {
    html! {
        template data-keys {
            div.keypad role="group" aria-label="Keys" {
                @for key in ["1", "2", "3", "4", "5", "6", "7", "8", "9"] { button.padkey type="button" data-key=(key) { (key) } }
                div.last {
                    button.padkey.small type="button" data-key="whole" { "whole number" }
                    button.padkey type="button" data-key="0" { "0" }
                    button.padkey type="button" data-key="-" aria-label="minus" { "\u{b1}" }
                    button.padkey.small type="button" data-key="rub" { "rub out" }
                }
            }
        }
    }
}
