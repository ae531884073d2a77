//! The page itself.

use super::{NotTaken, books};
use crate::accounts::{Role, Roles, SHORTEST, Who, about, roles_of, who::NOBODY};
use crate::fault::Fault;
use crate::frame::{Page, Place};
use crate::state::AppState;
use crate::words::{clock_or_day, count};
use maud::{Markup, html};
use store::{Account, Session};

/// The page, with what was not taken at its form.
pub(super) fn whole(state: &AppState, who: &Who, not: Option<&NotTaken>) -> Result<Page, Fault> {
    let body = match &who.account {
        None => alone(who, not),
        Some(account) => {
            let accounts = state.store().accounts()?;
            let sessions = state.store().sessions_of(account)?;
            let lines = if who.keeper { state.store().sign_ins(None, books::SHOWN)? } else { Vec::new() };
            html! {
                div.head {
                    h1 { "People" }
                    p.finding { (finding(&accounts)) }
                }
                div.twocol {
                    div {
                        (list(&accounts, who, not))
                        @if who.keeper {
                            section.sec.apart { h2 { "Another account" } (new_account(not, false)) }
                            (books::section(&lines, &accounts))
                        }
                    }
                    (you(who, account, &sessions, not))
                }
            }
        }
    };
    Ok(Page { title: "People".to_owned(), place: Place::People, trail: None, body })
}

/// A shop without accounts.
fn alone(who: &Who, not: Option<&NotTaken>) -> Markup {
    let name = not.and_then(|n| n.typed("name", "name")).unwrap_or(if who.name == NOBODY { "" } else { &who.name });
    html! {
        div.head {
            h1 { "People" }
            p.finding { b { "Nobody has an account." } " The shop is open to whoever sits at this machine, and to no other." }
        }
        div.twocol {
            section.sec.heavy {
                h2 { "The first account" }
                p.quiet { "It may do everything and keeps the accounts. As soon as it exists, everybody signs in, here too; only then can the shop be opened to tablets." }
                (new_account(not, true))
            }
            form.sec.heavy #name method="post" action="/people/name" {
                h2 { "Without accounts" }
                div.ask {
                    label for="own-name" { "Your name" }
                    input.field #own-name name="name" value=(name) maxlength="80" autocomplete="name" required
                        aria-describedby="own-name-hint" aria-invalid=[is_at(not, "name").then_some("true")];
                    p.hint #own-name-hint { "Stands beside what is written on this machine. It is a note, not a proof." }
                    (fault(not, "name"))
                }
                div.row.apart { button.btn type="submit" { "Keep this name" } }
            }
        }
    }
}

fn finding(accounts: &[Account]) -> Markup {
    let open = accounts.iter().filter(|a| a.active).count();
    let keepers: Vec<&str> = accounts.iter().filter(|a| a.active && a.keeper).map(|a| a.person.as_str()).collect();
    html! {
        @if open == 1 { b { "One person" } " can sign in." } @else { b { (capital(&count(open))) " people" } " can sign in." }
        " " (keepers.join(", ")) @if keepers.len() == 1 { " keeps" } @else { " keep" } " the accounts."
    }
}

fn list(accounts: &[Account], who: &Who, not: Option<&NotTaken>) -> Markup {
    html! {
        section.sec.heavy {
            h2 { "Accounts" }
            div.box tabindex="0" role="region" aria-label="Accounts" { table {
                thead { tr { th scope="col" { "Person" } th scope="col" { "Signs in as" } th scope="col" { "May" } th scope="col" { "State" } } }
                tbody { @for account in accounts { tr {
                    th scope="row" { (account.person) }
                    td { (account.name) }
                    td { (roles_of(&account.roles)) @if account.keeper { ", keeps the accounts" } }
                    td { @if account.active { "open" } @else { span.faint { "closed since " (clock_or_day(&account.at)) } } }
                } } }
            } }
            @if who.keeper { @for account in accounts { (change(account, who, not)) } }
        }
    }
}

/// What can be changed about one account, folded away.
fn change(account: &Account, who: &Who, not: Option<&NotTaken>) -> Markup {
    let name = account.name.as_str();
    let at = |act: &str| format!("/people/{name}/{act}");
    let id = |act: &str| format!("{act}-{name}");
    let touched = ["rights", "password", "close", "open"].iter().any(|act| is_at(not, &id(act)));
    let own = who.account.as_deref() == Some(name);
    html! {
        details.fold #{"account-" (name)} open[touched] {
            summary { "Change " (account.person) }
            form.sec #(id("rights")) method="post" action=(at("rights")) {
                h3 { "Name and roles" }
                input type="hidden" name="revision" value=(account.revision);
                (field(&id("person"), "person", "Name beside entries", &account.person, "name"))
                (ticks(&id("rights"), roles_of(&account.roles), account.keeper))
                (sure(&id("rights"), not))
                div.row.apart { button.btn type="submit" { "Keep these" } }
            }
            @if !own {
                form.sec #(id("password")) method="post" action=(at("password")) {
                    h3 { "New password" }
                    p.quiet { "Ends everything this account has open. The person should change it again: a password that two people know is half a password." }
                    (twice(&id("password")))
                    (sure(&id("password"), not))
                    div.row.apart { button.btn type="submit" { "Set this password" } }
                }
                form.sec #(id("sign-out")) method="post" action=(at("sign-out")) {
                    h3 { "A lost tablet" }
                    div.row.apart { button.btn type="submit" { "Sign " (account.person) " out everywhere" } }
                }
            }
            @let (act, words) = if account.active { ("close", "Close this account") } else { ("open", "Open this account again") };
            form.sec #(id(act)) method="post" action=(at(act)) {
                h3 { @if account.active { "Close" } @else { "Open again" } }
                p.quiet { "A closed account signs in nowhere. What the person wrote stays under the name." }
                (sure(&id(act), not))
                div.row.apart { button.btn type="submit" { (words) } }
            }
        }
    }
}

fn new_account(not: Option<&NotTaken>, first: bool) -> Markup {
    let typed = |field: &str| not.and_then(|n| n.typed("new", field)).unwrap_or("");
    html! {
        form #new method="post" action="/people" {
            div.fields {
                (field("new-person", "person", "Name beside entries", typed("person"), "off"))
                (field("new-name", "name", "Signs in as", typed("name"), "off"))
                (twice("new"))
            }
            @if first { (fault(not, "new")) } @else {
                (ticks("new", Roles::NONE, false))
                (sure("new", not))
            }
            div.row.apart { button.btn.main type="submit" { @if first { "Make the first account" } @else { "Make this account" } } }
        }
    }
}

fn you(who: &Who, account: &str, sessions: &[Session], not: Option<&NotTaken>) -> Markup {
    html! {
        section.sec.heavy #you {
            h2 { "You" }
            p { b { (who.name) } ", signed in as " b { (account) } ". You may: " (who.roles) @if who.keeper { ", keep the accounts" } "." }
            h3 { "Where you are signed in" }
            ul.plainlist { @for session in sessions {
                li { (session.device) ", since " (clock_or_day(&session.made)) ", until " (clock_or_day(&session.expires)) " if it is not used" }
            } }
            form method="post" action="/sign-out-everywhere" { div.row.apart { button.btn type="submit" { "Sign out everywhere" } } }
            form.sec.apart #own-password method="post" action="/people/password" {
                h3 { "Your password" }
                div.ask {
                    label for="own-password-mine" { "As it is now" }
                    input.field #own-password-mine name="mine" type="password" autocomplete="current-password" maxlength="400" required;
                }
                (twice("own-password"))
                (fault(not, "own-password"))
                div.row.apart { button.btn type="submit" { "Change it" } }
                p.quiet { "Ends every other place where you are signed in." }
            }
        }
    }
}

fn field(id: &str, name: &str, label: &str, value: &str, auto: &str) -> Markup {
    html! {
        div.ask {
            label for=(id) { (label) }
            input.field #(id) name=(name) value=(value) maxlength="80" autocomplete=(auto) required
                autocapitalize=[(name == "name").then_some("none")] spellcheck="false";
        }
    }
}

/// A password and the same once more.
fn twice(form: &str) -> Markup {
    html! {
        div.ask {
            label for={(form) "-password"} { "New password" }
            input.field #{(form) "-password"} name="password" type="password" autocomplete="new-password" maxlength="400" required
                aria-describedby={(form) "-password-hint"};
            p.hint #{(form) "-password-hint"} { "At least " (SHORTEST) " signs; several words are easiest." }
        }
        div.ask {
            label for={(form) "-again"} { "The same again" }
            input.field #{(form) "-again"} name="again" type="password" autocomplete="new-password" maxlength="400" required;
        }
    }
}

fn ticks(form: &str, roles: Roles, keeper: bool) -> Markup {
    html! {
        fieldset {
            legend { "May" }
            @for role in Role::ALL {
                label.tickbox { input type="checkbox" name=(role.name()) value="yes" checked[roles.has(role)]; span { b { (role.name()) } ": " (about(role)) } }
            }
            label.tickbox { input #{(form) "-keeper"} type="checkbox" name="keeper" value="yes" checked[keeper]; span { b { "keeps the accounts" } ": makes and changes them" } }
        }
    }
}

/// The own password, so that it is surely oneself, and the reason when it was not taken.
fn sure(form: &str, not: Option<&NotTaken>) -> Markup {
    html! {
        div.ask {
            label for={(form) "-mine"} { "Your own password" }
            input.field.mine #{(form) "-mine"} name="mine" type="password" autocomplete="current-password" maxlength="400" required
                aria-describedby=[is_at(not, form).then(|| format!("{form}-fault"))];
            (fault(not, form))
        }
    }
}

fn fault(not: Option<&NotTaken>, form: &str) -> Markup {
    html! {
        @if let Some(not) = not.filter(|n| n.form == form) {
            div.ask { p.fault #{(form) "-fault"} role="alert" { (not.words) } }
        }
    }
}

fn is_at(not: Option<&NotTaken>, form: &str) -> bool {
    not.is_some_and(|n| n.form == form)
}

fn capital(word: &str) -> String {
    let mut signs = word.chars();
    signs.next().map(|c| c.to_uppercase().collect::<String>() + signs.as_str()).unwrap_or_default()
}
