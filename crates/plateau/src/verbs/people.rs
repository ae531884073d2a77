//! `plateau people`: who may sign in. Whoever can write the shop's folder keeps its accounts here, which also helps
//! when the only keeper has lost the password.
//!
//! A password is read from the terminal without showing it, or from standard input when that is no terminal; never
//! from the command line, where other programs of the machine could see it.

use crate::Done;
use crate::cli::ShopArgs;
use crate::failure::Failure;
use crate::files::shop_folder;
use clap::{Args, Subcommand};
use std::io::{BufRead, IsTerminal, Write};
use store::{Account, SignIn, Store};
use web::accounts::book::{self, Change, NewPerson};
use web::accounts::{Password, Role, Roles, roles_of};

/// Author of what is changed here.
const BY: &str = "the terminal";

/// `plateau people`.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true)]
pub(crate) struct PeopleArgs {
    #[command(subcommand)]
    verb: Option<PeopleVerb>,
    #[command(flatten)]
    shop: ShopArgs,
}

/// What to do about accounts; nothing lists them.
#[derive(Debug, Subcommand)]
enum PeopleVerb {
    /// Make an account; the password is asked for. The first one keeps the accounts and has all roles
    Add {
        /// Short name for signing in
        name: String,
        /// Name as it stands beside entries: "Mara Lind"
        #[arg(long, value_name = "NAME")]
        person: String,
        /// Roles: bench, cell, office, or none
        #[arg(long, value_name = "ROLE", value_delimiter = ',')]
        roles: Vec<String>,
        /// Makes and changes accounts
        #[arg(long)]
        keeper: bool,
        #[command(flatten)]
        shop: ShopArgs,
    },
    /// Change what an account may do, or its name beside entries
    Change {
        /// Short name of the account
        name: String,
        /// Name as it stands beside entries from now on
        #[arg(long, value_name = "NAME")]
        person: Option<String>,
        /// Roles: bench, cell, office, or none
        #[arg(long, value_name = "ROLE", value_delimiter = ',')]
        roles: Vec<String>,
        /// Whether it makes and changes accounts: yes or no
        #[arg(long, value_name = "yes|no", value_parser = ["yes", "no"])]
        keeps: Option<String>,
        #[command(flatten)]
        shop: ShopArgs,
    },
    /// Set another password; it is asked for, and every sign-in of the account ends
    Password {
        /// Short name of the account
        name: String,
        #[command(flatten)]
        shop: ShopArgs,
    },
    /// Close an account; what the person wrote stays
    Close {
        /// Short name of the account
        name: String,
        #[command(flatten)]
        shop: ShopArgs,
    },
    /// Open a closed account again
    Open {
        /// Short name of the account
        name: String,
        #[command(flatten)]
        shop: ShopArgs,
    },
    /// Who signed in, who was refused, from where; newest first
    SignIns {
        /// Short name of an account [default: all]
        name: Option<String>,
        /// How many lines
        #[arg(long, value_name = "N", default_value_t = 50)]
        last: usize,
        #[command(flatten)]
        shop: ShopArgs,
    },
}

/// Does it.
pub(crate) fn run(args: &PeopleArgs) -> Result<Done, Failure> {
    let Some(verb) = &args.verb else { return list(&there(&args.shop)?) };
    match verb {
        PeopleVerb::Add { name, person, roles, keeper, shop } => {
            add(&Store::open(&shop_folder(shop)?)?, name, person, roles, *keeper)
        }
        PeopleVerb::Change { name, person, roles, keeps, shop } => {
            let change = Change {
                person: person.clone(),
                roles: if roles.is_empty() { None } else { Some(roles_from(roles)?) },
                keeper: keeps.as_deref().map(|word| word == "yes"),
                ..Change::default()
            };
            told(&book::change(&there(shop)?, name, None, &change, BY)?)
        }
        PeopleVerb::Password { name, shop } => {
            let store = there(shop)?;
            let name = book::short_name(name)?;
            let Some(account) = store.account(&name)? else { return Err(book::BookError::NoSuch { name }.into()) };
            let hash = password(&[&name, &account.person])?.hash()?;
            told(&book::change(&store, &name, None, &Change { hash: Some(hash), ..Change::default() }, BY)?)
        }
        PeopleVerb::Close { name, shop } => {
            told(&book::change(&there(shop)?, name, None, &Change { active: Some(false), ..Change::default() }, BY)?)
        }
        PeopleVerb::Open { name, shop } => {
            told(&book::change(&there(shop)?, name, None, &Change { active: Some(true), ..Change::default() }, BY)?)
        }
        PeopleVerb::SignIns { name, last, shop } => sign_ins(&there(shop)?.sign_ins(name.as_deref(), *last)?),
    }
}

fn there(shop: &ShopArgs) -> Result<Store, Failure> {
    Ok(Store::open_existing(&shop_folder(shop)?)?)
}

fn add(store: &Store, name: &str, person: &str, roles: &[String], keeper: bool) -> Result<Done, Failure> {
    let first = store.accounts()?.is_empty();
    let roles = if first && roles.is_empty() { Roles::ALL } else { roles_from(roles)? };
    let name = book::short_name(name)?;
    if store.account(&name)?.is_some() {
        return Err(book::BookError::Taken { name }.into());
    }
    let hash = password(&[&name, person])?.hash()?;
    told(&book::add(store, &NewPerson { name, person: person.to_owned(), roles, keeper, hash }, BY)?)
}

/// Roles as typed; "none" is the empty set.
fn roles_from(words: &[String]) -> Result<Roles, Failure> {
    let words = words.iter().map(String::as_str).filter(|word| *word != "none");
    Roles::of_keys(words).map_err(|found| Failure::Flag {
        flag: "roles".into(),
        found,
        why: format!("roles are {}, or none", Role::ALL.map(Role::name).join(", ")),
        example: "bench,cell",
    })
}

/// Asks for a password, twice on a terminal.
fn password(about: &[&str]) -> Result<Password, Failure> {
    let asked = |source| Failure::File { path: "standard input".into(), doing: "read", source };
    let typed = if std::io::stdin().is_terminal() {
        let first = rpassword::prompt_password("Password: ").map_err(asked)?;
        if rpassword::prompt_password("The same again: ").map_err(asked)? != first {
            return Err(Failure::Words("the two passwords differ; nothing was saved".to_owned()));
        }
        first
    } else {
        let mut line = String::new();
        std::io::stdin().lock().read_line(&mut line).map_err(asked)?;
        line.trim_end_matches(['\n', '\r']).to_owned()
    };
    let password = Password::typed(&typed);
    password.fits(about)?;
    Ok(password)
}

/// How an account stands now.
fn told(account: &Account) -> Result<Done, Failure> {
    writeln!(anstream::stdout().lock(), "{}", line(account)).map_err(Failure::output)?;
    Ok(Done::Well)
}

fn line(account: &Account) -> String {
    let keeper = if account.keeper { ", keeps the accounts" } else { "" };
    let state = if account.active { "" } else { " (closed)" };
    format!("{}: {}, {}{keeper}{state}", account.name, account.person, roles_of(&account.roles))
}

fn list(store: &Store) -> Result<Done, Failure> {
    let accounts = store.accounts()?;
    let mut out = anstream::stdout().lock();
    if accounts.is_empty() {
        writeln!(out, "Nobody has an account: the shop is open to whoever sits at this machine, and to no other.")
            .map_err(Failure::output)?;
    }
    for account in &accounts {
        writeln!(out, "{}", line(account)).map_err(Failure::output)?;
    }
    Ok(Done::Well)
}

fn sign_ins(lines: &[SignIn]) -> Result<Done, Failure> {
    let mut out = anstream::stdout().lock();
    for line in lines {
        let who = if line.account.is_empty() { "(no such name)" } else { &line.account };
        writeln!(out, "{}  {:<8}  {who}  {}  {}", line.at, line.outcome, line.address, line.device)
            .map_err(Failure::output)?;
    }
    Ok(Done::Well)
}
