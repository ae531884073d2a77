//! What is done about people: making an account, changing what it may do, passwords, closing.
//!
//! Whoever keeps the accounts types the own password with each of these: a tablet left lying about
//! must not make an account.

use super::{NotTaken, again};
use crate::accounts::attempt::{self, Refused};
use crate::accounts::book::{self, BookError, Change, NewPerson};
use crate::accounts::{HashError, Password, Role, Roles, Who, alone, session};
use crate::fault::Fault;
use crate::pages::sign_in::{AtTheDoor, refusal, with_cookie};
use crate::prefs::Prefs;
use crate::state::AppState;
use axum::Form;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

/// A fault of the page, or something to be shown at its form.
enum Stop {
    Fault(Fault),
    Form(NotTaken),
}

impl From<Fault> for Stop {
    fn from(fault: Fault) -> Self {
        Self::Fault(fault)
    }
}

impl From<NotTaken> for Stop {
    fn from(not: NotTaken) -> Self {
        Self::Form(not)
    }
}

fn answer(done: Result<Response, Stop>, state: &AppState, who: &Who, prefs: &Prefs) -> Result<Response, Fault> {
    match done {
        Ok(response) => Ok(response),
        Err(Stop::Fault(fault)) => Err(fault),
        Err(Stop::Form(not)) => again(state, who, prefs, &not),
    }
}

/// The name beside entries, of the one person in a shop without accounts.
#[derive(Deserialize)]
pub(super) struct OwnName {
    name: String,
}

pub(super) async fn own_name(
    State(state): State<AppState>,
    who: Who,
    prefs: Prefs,
    Form(typed): Form<OwnName>,
) -> Result<Response, Fault> {
    let done = match (who.account.is_some(), alone::clean(&typed.name)) {
        (true, _) => Ok(Redirect::to("/people").into_response()),
        (false, Some(name)) => Ok(with_cookie(Redirect::to("/people").into_response(), &alone::cookie(&name))),
        (false, None) => Err(NotTaken::of("name", "A name of up to 80 signs is expected. Nothing was changed.").into()),
    };
    answer(done, &state, &who, &prefs)
}

/// A new account. Without `Debug`, as all forms here that hold a password.
#[derive(Deserialize)]
pub(super) struct NewForm {
    name: String,
    person: String,
    password: String,
    again: String,
    #[serde(default)]
    mine: String,
    bench: Option<String>,
    cell: Option<String>,
    office: Option<String>,
    keeper: Option<String>,
}

pub(super) async fn add(
    State(state): State<AppState>,
    who: Who,
    door: AtTheDoor,
    prefs: Prefs,
    Form(form): Form<NewForm>,
) -> Result<Response, Fault> {
    who.require_keeper()?;
    let done = add_account(&state, &who, &door, &form).await.map_err(|stop| match stop {
        Stop::Form(not) => {
            let typed = vec![("name", form.name.trim().to_owned()), ("person", form.person.trim().to_owned())];
            Stop::Form(NotTaken { typed, ..not })
        }
        fault => fault,
    });
    answer(done, &state, &who, &prefs)
}

async fn add_account(state: &AppState, who: &Who, door: &AtTheDoor, form: &NewForm) -> Result<Response, Stop> {
    let first = who.account.is_none();
    confirm(state, who, door, "new", &form.mine).await?;
    let name = book::short_name(&form.name).map_err(|e| said("new", e))?;
    let shop = state.shop_name();
    let password = chosen("new", &form.password, &form.again, &[&name, &form.person, &shop])?;
    let hash = hash(state, "new", password).await?;
    let roles = if first { Roles::ALL } else { ticked(&form.bench, &form.cell, &form.office) };
    let new = NewPerson { name, person: form.person.clone(), roles, keeper: first || form.keeper.is_some(), hash };
    let (store, by) = (state.store().clone(), if first { new.person.clone() } else { who.name.clone() });
    let made = tokio::task::spawn_blocking(move || {
        if first && !store.accounts()?.is_empty() {
            // Somebody was faster, and from now on one signs in first.
            return Ok(None);
        }
        book::add(&store, &new, &by).map(Some)
    });
    match made.await.map_err(Fault::from)? {
        Ok(None) => Err(Fault::SignedOut { back: Some("/people".to_owned()) }.into()),
        Ok(Some(_)) if first => Ok(Redirect::to("/sign-in?back=%2Fpeople").into_response()),
        Ok(Some(account)) => Ok(Redirect::to(&format!("/people#account-{}", account.name)).into_response()),
        Err(error) => Err(said("new", error)),
    }
}

/// One's own password.
#[derive(Deserialize)]
pub(super) struct OwnPassword {
    mine: String,
    password: String,
    again: String,
}

pub(super) async fn own_password(
    State(state): State<AppState>,
    who: Who,
    door: AtTheDoor,
    prefs: Prefs,
    Form(form): Form<OwnPassword>,
) -> Result<Response, Fault> {
    let done = own_password_of(&state, &who, &door, &form).await;
    answer(done, &state, &who, &prefs)
}

async fn own_password_of(state: &AppState, who: &Who, door: &AtTheDoor, form: &OwnPassword) -> Result<Response, Stop> {
    let Some(account) = who.account.clone() else { return Ok(Redirect::to("/people").into_response()) };
    confirm(state, who, door, "own-password", &form.mine).await?;
    let shop = state.shop_name();
    let password = chosen("own-password", &form.password, &form.again, &[&account, &who.name, &shop])?;
    let change = Change { hash: Some(hash(state, "own-password", password).await?), ..Change::default() };
    let token = session::Token::new().map_err(|e| Fault::Ours { what: format!("no random numbers: {e}") })?;
    let (store, by, mine, device) = (state.store().clone(), who.name.clone(), token.clone(), door.from.device.clone());
    let written = tokio::task::spawn_blocking(move || -> Result<(), BookError> {
        // A new password ends every session; this browser gets a new one.
        book::change(&store, &account, None, &change, &by)?;
        session::begin(&store, &mine, &account, &device)?;
        Ok(())
    });
    written.await.map_err(Fault::from)?.map_err(|e| said("own-password", e))?;
    Ok(with_cookie(Redirect::to("/people#you").into_response(), &token.cookie(state.accounts().secure())))
}

/// What an account may do.
#[derive(Deserialize)]
pub(super) struct RightsForm {
    person: String,
    revision: i64,
    #[serde(default)]
    mine: String,
    bench: Option<String>,
    cell: Option<String>,
    office: Option<String>,
    keeper: Option<String>,
}

pub(super) async fn rights(
    State(state): State<AppState>,
    who: Who,
    door: AtTheDoor,
    prefs: Prefs,
    Path(name): Path<String>,
    Form(form): Form<RightsForm>,
) -> Result<Response, Fault> {
    let change = Change {
        person: Some(form.person),
        roles: Some(ticked(&form.bench, &form.cell, &form.office)),
        keeper: Some(form.keeper.is_some()),
        ..Change::default()
    };
    let done = change_account(&state, &who, &door, &name, "rights", &form.mine, Some(form.revision), change).await;
    answer(done, &state, &who, &prefs)
}

/// A new password for somebody else.
#[derive(Deserialize)]
pub(super) struct NewPassword {
    password: String,
    again: String,
    #[serde(default)]
    mine: String,
}

pub(super) async fn new_password(
    State(state): State<AppState>,
    who: Who,
    door: AtTheDoor,
    prefs: Prefs,
    Path(name): Path<String>,
    Form(form): Form<NewPassword>,
) -> Result<Response, Fault> {
    let done = async {
        who.require_keeper()?;
        let id = format!("password-{name}");
        let person = state.store().account(&name).map_err(Fault::from)?.map_or_else(String::new, |a| a.person);
        let shop = state.shop_name();
        let password = chosen(&id, &form.password, &form.again, &[&name, &person, &shop])?;
        // The own password first: hashing somebody else's before would be work for whoever holds the tablet.
        confirm(&state, &who, &door, &id, &form.mine).await?;
        let change = Change { hash: Some(hash(&state, &id, password).await?), ..Change::default() };
        write(&state, &who, &name, &id, None, change).await
    };
    answer(done.await, &state, &who, &prefs)
}

/// The own password, with an act that needs nothing else.
#[derive(Deserialize)]
pub(super) struct Sure {
    #[serde(default)]
    mine: String,
}

pub(super) async fn close(
    State(state): State<AppState>,
    who: Who,
    door: AtTheDoor,
    prefs: Prefs,
    Path(name): Path<String>,
    Form(form): Form<Sure>,
) -> Result<Response, Fault> {
    let change = Change { active: Some(false), ..Change::default() };
    let done = change_account(&state, &who, &door, &name, "close", &form.mine, None, change).await;
    answer(done, &state, &who, &prefs)
}

pub(super) async fn open(
    State(state): State<AppState>,
    who: Who,
    door: AtTheDoor,
    prefs: Prefs,
    Path(name): Path<String>,
    Form(form): Form<Sure>,
) -> Result<Response, Fault> {
    let change = Change { active: Some(true), ..Change::default() };
    let done = change_account(&state, &who, &door, &name, "open", &form.mine, None, change).await;
    answer(done, &state, &who, &prefs)
}

/// Ends the sessions of somebody else: a lost tablet. Needs no password, since it gives nobody anything.
pub(super) async fn end_sessions(
    State(state): State<AppState>,
    who: Who,
    Path(name): Path<String>,
) -> Result<Response, Fault> {
    who.require_keeper()?;
    let (store, account) = (state.store().clone(), name.clone());
    tokio::task::spawn_blocking(move || store.end_sessions_of(&account)).await??;
    Ok(Redirect::to(&format!("/people#account-{}", crate::accounts::escape(&name))).into_response())
}

#[expect(clippy::too_many_arguments, reason = "what a form brings, and who sent it")]
async fn change_account(
    state: &AppState,
    who: &Who,
    door: &AtTheDoor,
    name: &str,
    act: &str,
    mine: &str,
    revision: Option<i64>,
    change: Change,
) -> Result<Response, Stop> {
    who.require_keeper()?;
    let id = format!("{act}-{name}");
    confirm(state, who, door, &id, mine).await?;
    write(state, who, name, &id, revision, change).await
}

async fn write(
    state: &AppState,
    who: &Who,
    name: &str,
    form: &str,
    revision: Option<i64>,
    change: Change,
) -> Result<Response, Stop> {
    let (store, by, account) = (state.store().clone(), who.name.clone(), name.to_owned());
    let written = tokio::task::spawn_blocking(move || book::change(&store, &account, revision, &change, &by));
    let written = written.await.map_err(Fault::from)?.map_err(|e| said(form, e))?;
    Ok(Redirect::to(&format!("/people#account-{}", written.name)).into_response())
}

/// Whoever acts is the one who is signed in, and not somebody who found the tablet.
async fn confirm(state: &AppState, who: &Who, door: &AtTheDoor, form: &str, mine: &str) -> Result<(), Stop> {
    let Some(account) = &who.account else { return Ok(()) };
    match attempt::right(state, account, Password::typed(mine), &door.from).await {
        Ok(_) => Ok(()),
        Err(Refused::NotRight) => {
            let words = "Your own password, as it is now, is not right. Nothing was changed.";
            Err(NotTaken::of(form, words).into())
        }
        Err(refused) => {
            let (status, words, _) = refusal(refused)?;
            Err(NotTaken { status, ..NotTaken::of(form, words) }.into())
        }
    }
}

/// A password that was typed twice and fits.
fn chosen(form: &str, password: &str, again: &str, about: &[&str]) -> Result<Password, Stop> {
    if password != again {
        return Err(NotTaken::of(form, "The two passwords differ. Nothing was changed.").into());
    }
    let password = Password::typed(password);
    match password.fits(about) {
        Ok(()) => Ok(password),
        Err(error) => Err(NotTaken::of(form, format!("Not taken: {error}. Nothing was changed.")).into()),
    }
}

async fn hash(state: &AppState, form: &str, password: Password) -> Result<String, Stop> {
    match state.accounts().hasher().hash(password).await {
        Ok(hash) => Ok(hash),
        Err(HashError::Busy) => {
            let words = "Too many passwords are being looked at just now. Nothing was changed; send it again.";
            Err(NotTaken { status: StatusCode::SERVICE_UNAVAILABLE, ..NotTaken::of(form, words) }.into())
        }
        Err(other) => Err(Fault::Ours { what: other.to_string() }.into()),
    }
}

fn ticked(bench: &Option<String>, cell: &Option<String>, office: &Option<String>) -> Roles {
    let fields = [(Role::Bench, bench), (Role::Cell, cell), (Role::Office, office)];
    fields.into_iter().filter(|(_, field)| field.is_some()).map(|(role, _)| role).collect()
}

/// Words of the book at the form; trouble of the shop is a page of its own.
fn said(form: &str, error: BookError) -> Stop {
    match error {
        BookError::Store(error) => Fault::from(error).into(),
        other => {
            let text = quoted(&other.to_string().replace("\n  go on    ", "; "));
            let mut signs = text.chars();
            let words = signs.next().map(|c| c.to_uppercase().collect::<String>() + signs.as_str()).unwrap_or_default();
            NotTaken::of(form, format!("{words}.")).into()
        }
    }
}

/// A page has proper quotation marks where a terminal has backticks.
fn quoted(text: &str) -> String {
    let marks = ['\u{201c}', '\u{201d}'];
    let mut at = 0;
    let turned = text.chars().map(|c| {
        if c == '`' {
            at += 1;
            marks[(at + 1) % 2]
        } else {
            c
        }
    });
    turned.collect()
}
