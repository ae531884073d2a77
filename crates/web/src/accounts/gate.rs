//! The two layers at the door: one finds out who is asking, the other lets nobody else in.
//!
//! Everything stands behind the second one, also addresses that do not exist; the few exceptions
//! are named in [`open_to_all`]. A new page is closed until somebody signed in asks for it.

use super::session::{self, Token};
use super::who::{Seen, Who};
use crate::fault::Fault;
use crate::state::AppState;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::sync::Arc;

/// Finds out who is asking and puts it beside the request as [`Seen`].
pub(crate) async fn identify(State(state): State<AppState>, mut request: Request, next: Next) -> Response {
    let seen = look(&state, request.headers()).await;
    request.extensions_mut().insert(seen);
    next.run(request).await
}

/// Lets nobody in who is not signed in.
pub(crate) async fn guard(request: Request, next: Next) -> Response {
    let seen = request.extensions().get::<Seen>().cloned().unwrap_or(Seen::Out);
    match seen {
        Seen::In(_) => next.run(request).await,
        _ if open_to_all(request.uri().path()) => next.run(request).await,
        Seen::Trouble(fault) => fault.into_response(),
        Seen::Out => turn_to_sign_in(&request),
    }
}

/// What answers without anybody being signed in: the sign-in page, what it looks like, and whether the server lives.
pub(crate) fn open_to_all(path: &str) -> bool {
    path == "/sign-in" || path == "/health" || path.starts_with("/assets/")
}

/// A page that is opened leads to the sign-in page; a script or a form is told.
fn turn_to_sign_in(request: &Request) -> Response {
    let text = |name: &str| request.headers().get(name).and_then(|v| v.to_str().ok());
    let opens = match text("sec-fetch-mode") {
        Some(mode) => mode == "navigate",
        None => text("accept").is_some_and(|kinds| kinds.contains("text/html")),
    };
    let address = request.uri().path_and_query().map_or("/", |p| p.as_str());
    if opens && matches!(*request.method(), Method::GET | Method::HEAD) {
        let to = sign_in_address(address);
        return (StatusCode::SEE_OTHER, [(header::LOCATION, to), (header::CACHE_CONTROL, "no-store".to_owned())])
            .into_response();
    }
    let back = (*request.method() == Method::GET).then(|| address.to_owned());
    Fault::SignedOut { back }.into_response()
}

/// The sign-in page that leads back to an address.
pub(crate) fn sign_in_address(back: &str) -> String {
    if back == "/" { "/sign-in".to_owned() } else { format!("/sign-in?back={}", super::escape(back)) }
}

/// Who is asking. Asks the shop each time: an account that was closed a moment ago, here or in the terminal, is out.
async fn look(state: &AppState, headers: &HeaderMap) -> Seen {
    let accounts = state.accounts();
    let found = match accounts.guarded(state.store()) {
        Ok(false) => return Seen::In(Arc::new(Who::alone(super::alone::name_of(headers)))),
        Ok(true) => Token::of(headers, accounts.secure()).map_or(Ok(None), |token| signed_in(state, token)),
        Err(fault) => Err(fault),
    };
    match found {
        Ok(None) => Seen::Out,
        Ok(Some((who, session))) => {
            let (store, token) = (state.store().clone(), who.token.clone());
            if let Some(token) = token {
                // Beside the answer: a busy shop must not make a page wait for this.
                tokio::task::spawn_blocking(move || {
                    if let Err(error) = session::keep_going(&store, &token, &session) {
                        tracing::warn!(%error, "a session could not be prolonged");
                    }
                });
            }
            Seen::In(Arc::new(who))
        }
        Err(fault) => Seen::Trouble(fault),
    }
}

/// The person of a token, if its session and its account are in force.
fn signed_in(state: &AppState, token: Token) -> Result<Option<(Who, store::Session)>, Fault> {
    let store = state.store();
    let Some(session) = store.session(token.secret())? else { return Ok(None) };
    let Some(account) = store.account(&session.account)?.filter(|account| account.active) else { return Ok(None) };
    let who = Who {
        name: account.person,
        roles: super::roles_of(&account.roles),
        keeper: account.keeper,
        account: Some(account.name),
        token: Some(token),
    };
    Ok(Some((who, session)))
}

/// Whether the session of a person is still in force; for streams that stay open.
pub(crate) fn still_in(state: &AppState, who: &Who) -> bool {
    match &who.token {
        Some(token) => matches!(signed_in(state, token.clone()), Ok(Some(_))),
        None => matches!(state.accounts().guarded(state.store()), Ok(false)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_sign_in_page_its_looks_and_health_are_open() {
        for path in ["/sign-in", "/health", "/assets/0f/style.css"] {
            assert!(open_to_all(path), "{path}");
        }
        for path in
            ["/", "/sign-in/x", "/sign-inn", "/healthy", "/assets", "/people", "/events", "//sign-in", "/SIGN-IN"]
        {
            assert!(!open_to_all(path), "{path}");
        }
    }

    #[test]
    fn the_way_back_is_written_into_the_address() {
        assert_eq!(sign_in_address("/"), "/sign-in");
        assert_eq!(sign_in_address("/runs/2?band=3000&x=a b"), "/sign-in?back=%2Fruns%2F2%3Fband%3D3000%26x%3Da%20b");
    }
}
