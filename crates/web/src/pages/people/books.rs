//! Who signed in, who was refused, from where: for whoever keeps the accounts.

use crate::accounts::attempt::outcome;
use crate::words::clock_or_day;
use maud::{Markup, html};
use store::{Account, SignIn};

/// Lines shown.
pub(super) const SHOWN: usize = 100;

/// The newest lines of the books.
pub(super) fn section(lines: &[SignIn], accounts: &[Account]) -> Markup {
    let person = |name: &str| accounts.iter().find(|a| a.name == name).map(|a| a.person.clone());
    html! {
        section.sec.apart #sign-ins {
            h2 { "Sign-ins" }
            @if lines.is_empty() { p.quiet { "Nobody has signed in yet." } } @else {
                p.quiet { "The newest " (lines.len()) ", of all devices. A name that does not exist is not written down, since it may be a password in the wrong field." }
                div.box.scroll #sign-ins-box tabindex="0" role="region" aria-label="Sign-ins" { table {
                    thead { tr { th scope="col" { "When" } th scope="col" { "Who" } th scope="col" { "What" } th scope="col" { "From" } th scope="col" { "Device" } } }
                    tbody { @for line in lines { tr {
                        td.num { (clock_or_day(&line.at)) }
                        td { @match person(&line.account) { Some(person) => (person), None => span.faint { "a name that does not exist" } } }
                        td { span.beyond[is_odd(line)] { (words(&line.outcome)) } }
                        td { (line.address) }
                        td { (line.device) }
                    } } }
                } }
            }
        }
    }
}

fn is_odd(line: &SignIn) -> bool {
    matches!(line.outcome.as_str(), outcome::REFUSED | outcome::SLOWED)
}

fn words(kept: &str) -> &str {
    match kept {
        outcome::IN => "signed in",
        outcome::OUT => "signed out",
        outcome::REFUSED => "not right",
        outcome::SLOWED => "too many tries; not looked at",
        other => other,
    }
}
