//! Fields of a form: label, hint, what was typed, and what is wrong with it beside the field.

use super::sent::{Errors, Sent};
use crate::marks;
use maud::{Markup, html};

/// Draws fields with what was sent before.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Draw<'a> {
    /// What stands in the fields.
    pub(crate) sent: &'a Sent,
    /// What is wrong with it.
    pub(crate) errors: &'a Errors,
}

impl Draw<'_> {
    /// A line of text.
    pub(crate) fn line(&self, name: &str, label: &str, hint: &str) -> Markup {
        self.input(name, label, hint, None)
    }

    /// A line of text that chooses from a list or takes another text.
    pub(crate) fn line_of(&self, name: &str, label: &str, hint: &str, list: &str) -> Markup {
        self.input(name, label, hint, Some(list))
    }

    fn input(&self, name: &str, label: &str, hint: &str, list: Option<&str>) -> Markup {
        let said = self.said_by(name, hint);
        html! {
            div.ask {
                label for={"f-" (name)} { (label) }
                (self.hint(name, hint))
                input.field id={"f-" (name)} name=(name) value=(self.sent.get(name)) list=[list] autocomplete="off"
                    aria-describedby=[said] aria-invalid=[self.errors.of(name).map(|_| "true")];
                (self.fault(name))
            }
        }
    }

    /// Some lines of text.
    pub(crate) fn area(&self, name: &str, label: &str, hint: &str, rows: u8) -> Markup {
        let said = self.said_by(name, hint);
        html! {
            div.ask {
                label for={"f-" (name)} { (label) }
                (self.hint(name, hint))
                textarea.field.prose id={"f-" (name)} name=(name) rows=(rows) aria-describedby=[said] aria-invalid=[self.errors.of(name).map(|_| "true")] { (self.sent.get(name)) }
                (self.fault(name))
            }
        }
    }

    /// A choice out of a few, all of them visible: key, words, what it means.
    pub(crate) fn one_of(&self, name: &str, legend: &str, hint: &str, choices: &[(&str, &str, &str)]) -> Markup {
        let chosen = self.sent.get(name);
        let said = self.said_by(name, hint);
        html! {
            fieldset.ask aria-describedby=[said] {
                legend { (legend) }
                (self.hint(name, hint))
                div.pick {
                    @for (key, words, meaning) in choices {
                        label.choice { input type="radio" name=(name) value=(key) checked[*key == chosen]; span { (words) @if !meaning.is_empty() { small { (meaning) } } } }
                    }
                }
                (self.fault(name))
            }
        }
    }

    /// A choice out of a list.
    pub(crate) fn pick(&self, name: &str, label: &str, hint: &str, choices: &[(String, String)]) -> Markup {
        let chosen = self.sent.get(name);
        let said = self.said_by(name, hint);
        html! {
            div.ask {
                label for={"f-" (name)} { (label) }
                (self.hint(name, hint))
                select.field id={"f-" (name)} name=(name) aria-describedby=[said] aria-invalid=[self.errors.of(name).map(|_| "true")] {
                    @for (key, words) in choices { option value=(key) selected[key == chosen] { (words) } }
                }
                (self.fault(name))
            }
        }
    }

    /// Something that is so or not.
    pub(crate) fn tick(&self, name: &str, words: &str) -> Markup {
        html! { label.tickbox { input type="checkbox" name=(name) value="yes" checked[self.sent.has(name, "yes")]; (words) } }
    }

    /// Any number out of a list.
    pub(crate) fn ticks(&self, name: &str, legend: &str, hint: &str, choices: &[(String, String)]) -> Markup {
        html! {
            @if !choices.is_empty() {
                fieldset.ask {
                    legend { (legend) }
                    (self.hint(name, hint))
                    div.ticklist { @for (key, words) in choices {
                        label.tickbox { input type="checkbox" name=(name) value=(key) checked[self.sent.has(name, key)]; (words) }
                    } }
                    (self.fault(name))
                }
            }
        }
    }

    /// What is wrong with a field.
    pub(crate) fn fault(&self, name: &str) -> Markup {
        html! { @if let Some(words) = self.errors.of(name) { p.fault id={"e-" (name)} { (words) } } }
    }

    fn hint(&self, name: &str, hint: &str) -> Markup {
        html! { @if !hint.is_empty() { p.hint id={"h-" (name)} { (hint) } } }
    }

    /// Ids of what is said about a field.
    fn said_by(&self, name: &str, hint: &str) -> Option<String> {
        let fault = self.errors.of(name).map(|_| format!("e-{name}"));
        let hint = (!hint.is_empty()).then(|| format!("h-{name}"));
        match (fault, hint) {
            (Some(fault), Some(hint)) => Some(format!("{fault} {hint}")),
            (fault, hint) => fault.or(hint),
        }
    }

    /// Over the form: what is wrong with it as a whole, and that nothing is written yet.
    pub(crate) fn trouble(&self) -> Markup {
        let fields = self.errors.count();
        html! {
            @if !self.errors.none() {
                div.banner role="alert" {
                    (marks::flag())
                    div {
                        @for words in self.errors.of_whole() { p.what { (words) } }
                        @match fields {
                            0 => {},
                            1 => p.what { "One field asks for something. Nothing was written; what was typed still stands here." },
                            n => p.what { (crate::words::count_capital(n)) " fields ask for something. Nothing was written; what was typed still stands here." },
                        }
                    }
                }
            }
        }
    }
}
