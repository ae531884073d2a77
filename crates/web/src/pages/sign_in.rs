//! Signing in and out. The answer to a wrong password is the same, word for word, as to an unknown name.

use crate::accounts::attempt::{self, Refused, outcome};
use crate::accounts::{Password, Seen, Who, from_of, session};
use crate::fault::Fault;
use crate::frame::{self, Page, Place};
use crate::marks;
use crate::pages::choose::back_to;
use crate::prefs::Prefs;
use crate::state::AppState;
use axum::Form;
use axum::Router;
use axum::extract::{FromRequestParts, Query, State};
use axum::http::request::Parts;
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use maud::html;
use serde::Deserialize;
use std::convert::Infallible;
use std::time::Duration;

/// Addresses of signing in and out.
pub(crate) fn routes() -> Router<AppState> {
    Router::new()
        .route("/sign-in", get(page).post(sign_in))
        .route("/sign-out", post(sign_out))
        .route("/sign-out-everywhere", post(sign_out_everywhere))
}

/// Everything that a handler at the door needs of a request.
pub(crate) struct AtTheDoor {
    pub(crate) seen: Seen,
    pub(crate) from: attempt::From,
    pub(crate) old: Option<session::Token>,
}

impl FromRequestParts<AppState> for AtTheDoor {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, state: &AppState) -> Result<Self, Infallible> {
        let old = session::Token::of(&parts.headers, state.accounts().secure());
        Ok(Self { seen: Seen::of(parts), from: from_of(parts), old })
    }
}

/// Where to go on after signing in.
#[derive(Debug, Deserialize)]
struct Way {
    back: Option<String>,
}

async fn page(State(state): State<AppState>, door: AtTheDoor, prefs: Prefs, Query(way): Query<Way>) -> Response {
    let back = back_to(way.back.as_deref());
    if door.seen.who().is_some() {
        return Redirect::to(&back).into_response();
    }
    let mut response = frame::respond(&state, &prefs, form(&back, "", None));
    response.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    response
}

/// The form. `fault` says what was not taken.
fn form(back: &str, name: &str, fault: Option<&str>) -> Page {
    let body = html! {
        div.head { h1 { "Sign in" } }
        form.sec.heavy.narrow #sign-in method="post" action="/sign-in" {
            @if let Some(fault) = fault {
                div.banner #sign-in-fault role="alert" { (marks::flag()) div { p.what { (fault) } } }
            }
            input type="hidden" name="back" value=(back);
            div.ask {
                label for="sign-in-name" { "Name" }
                input.field #sign-in-name name="name" value=(name) autocomplete="username" autocapitalize="none"
                    spellcheck="false" maxlength="60" required autofocus[name.is_empty()]
                    aria-describedby=[fault.map(|_| "sign-in-fault")];
            }
            div.ask {
                label for="sign-in-password" { "Password" }
                input.field #sign-in-password name="password" type="password" autocomplete="current-password"
                    maxlength="400" required autofocus[!name.is_empty()] aria-describedby=[fault.map(|_| "sign-in-fault")];
            }
            div.row.apart { button.btn.main type="submit" { "Sign in" } }
            p.quiet { "No account, or the password is lost: whoever keeps the accounts of this shop can help." }
        }
    };
    Page { title: "Sign in".to_owned(), place: Place::None, trail: None, body }
}

/// What was typed. Without `Debug`: it holds a password.
#[derive(Deserialize)]
struct SignIn {
    name: String,
    password: String,
    back: Option<String>,
}

async fn sign_in(
    State(state): State<AppState>,
    door: AtTheDoor,
    prefs: Prefs,
    Form(typed): Form<SignIn>,
) -> Result<Response, Fault> {
    let back = back_to(typed.back.as_deref());
    if !state.accounts().guarded(state.store())? {
        return Ok(Redirect::to("/").into_response());
    }
    let token = match attempt::sign_in(&state, &typed.name, Password::typed(&typed.password), &door.from).await {
        Ok(token) => token,
        Err(refused) => {
            let (status, words, wait) = refusal(refused)?;
            let mut response = frame::respond(&state, &prefs, form(&back, typed.name.trim(), Some(&words)));
            *response.status_mut() = status;
            if let Some(wait) = wait {
                response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(wait.as_secs().max(1)));
            }
            response.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
            return Ok(response);
        }
    };
    if let Some(old) = door.old {
        let store = state.store().clone();
        tokio::task::spawn_blocking(move || store.end_session(old.secret())).await??;
    }
    Ok(with_cookie(Redirect::to(&back).into_response(), &token.cookie(state.accounts().secure())))
}

/// A refusal as status, words and wait. The words do not say whether the name exists.
pub(crate) fn refusal(refused: Refused) -> Result<(StatusCode, String, Option<Duration>), Fault> {
    match refused {
        Refused::NotRight => {
            Ok((StatusCode::UNAUTHORIZED, "Name or password is not right. Nothing was changed.".to_owned(), None))
        }
        Refused::TooSoon(wait) => {
            let words = format!(
                "There were several tries that were not right. The next one is looked at in {}; this one was not.",
                wait_words(wait)
            );
            Ok((StatusCode::TOO_MANY_REQUESTS, words, Some(wait)))
        }
        Refused::Busy => {
            let words = "Too many sign-ins at once; this one was not looked at. Send it again.".to_owned();
            Ok((StatusCode::SERVICE_UNAVAILABLE, words, Some(Duration::from_secs(2))))
        }
        Refused::Trouble(fault) => Err(fault),
    }
}

fn wait_words(wait: Duration) -> String {
    match wait.as_secs_f64().ceil() as u64 {
        0 | 1 => "a second".to_owned(),
        seconds @ 2..=90 => format!("{seconds} seconds"),
        seconds => format!("{} minutes", seconds.div_ceil(60)),
    }
}

/// Adds a `Set-Cookie` line.
pub(crate) fn with_cookie(mut response: Response, line: &str) -> Response {
    if let Ok(line) = line.parse() {
        response.headers_mut().append(header::SET_COOKIE, line);
    }
    response
}

/// Ends this browser's session.
async fn sign_out(State(state): State<AppState>, door: AtTheDoor, who: Who) -> Result<Response, Fault> {
    let (store, old, account) = (state.store().clone(), door.old, who.account);
    tokio::task::spawn_blocking(move || -> Result<(), store::StoreError> {
        if let Some(old) = old {
            store.end_session(old.secret())?;
        }
        if let Some(account) = account {
            store.add_sign_in(&account, outcome::OUT, &door.from.address.to_string(), &door.from.device)?;
        }
        Ok(())
    })
    .await??;
    Ok(gone(&state))
}

/// Ends every session of the person, this one too.
async fn sign_out_everywhere(State(state): State<AppState>, door: AtTheDoor, who: Who) -> Result<Response, Fault> {
    let store = state.store().clone();
    if let Some(account) = who.account {
        tokio::task::spawn_blocking(move || -> Result<(), store::StoreError> {
            store.end_sessions_of(&account)?;
            store.add_sign_in(&account, outcome::OUT, &door.from.address.to_string(), &door.from.device)?;
            Ok(())
        })
        .await??;
    }
    Ok(gone(&state))
}

/// The sign-in page again. Pages that the browser has laid aside are cleared, so that going back shows none of them;
/// what it keeps for sending later is not touched.
fn gone(state: &AppState) -> Response {
    let mut response =
        with_cookie(Redirect::to("/sign-in").into_response(), &session::no_cookie(state.accounts().secure()));
    let clear = HeaderName::from_static("clear-site-data");
    response.headers_mut().insert(clear, HeaderValue::from_static("\"cache\""));
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_are_said_in_words() {
        let words: Vec<String> = [0, 1, 2, 64, 91, 300].map(|s| wait_words(Duration::from_secs(s))).into();
        assert_eq!(words, ["a second", "a second", "2 seconds", "64 seconds", "2 minutes", "5 minutes"]);
        assert_eq!(wait_words(Duration::from_millis(1200)), "2 seconds");
    }
}
