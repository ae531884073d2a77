//! One try to sign in: counted, looked at, written down, answered the same whatever was not right.

use super::hasher::HashError;
use super::password::Password;
use super::session::{self, Token};
use super::throttle::{TooSoon, network};
use crate::fault::Fault;
use crate::state::AppState;
use std::net::IpAddr;
use std::time::{Duration, Instant};

/// An address counts as a person's own for so long after a sign-in from there.
const KNOWN_FOR: Duration = Duration::from_secs(30 * 24 * 3600);

/// Words of the books, `outcome` of a sign-in.
pub(crate) mod outcome {
    /// Signed in.
    pub(crate) const IN: &str = "in";
    /// Signed out.
    pub(crate) const OUT: &str = "out";
    /// Name or password was not right, or the account is closed.
    pub(crate) const REFUSED: &str = "refused";
    /// Came before its time and was not looked at; the first of such a wait.
    pub(crate) const SLOWED: &str = "slowed";
}

/// Where a try comes from.
#[derive(Debug, Clone)]
pub(crate) struct From {
    /// The other end of the connection.
    pub(crate) address: IpAddr,
    /// The device, in words.
    pub(crate) device: String,
}

/// Why nobody is signed in.
#[derive(Debug)]
pub(crate) enum Refused {
    /// Name or password is not right. Which of them, or whether the account is closed, is not told.
    NotRight,
    /// Too soon after the tries before.
    TooSoon(Duration),
    /// Too many sign-ins at once.
    Busy,
    /// The shop could not be asked or written.
    Trouble(Fault),
}

impl std::convert::From<Fault> for Refused {
    fn from(fault: Fault) -> Self {
        Self::Trouble(fault)
    }
}

/// Looks at a name and a password, and begins a session if they are right.
pub(crate) async fn sign_in(state: &AppState, typed: &str, password: Password, from: &From) -> Result<Token, Refused> {
    let account = right(state, typed, password, from).await?;
    let token = Token::new().map_err(|e| Fault::Ours { what: format!("no random numbers: {e}") })?;
    let (store, mine, device, address) =
        (state.store().clone(), token.clone(), from.device.clone(), from.address.to_string());
    let begun = tokio::task::spawn_blocking(move || {
        session::begin(&store, &mine, &account, &device)?;
        store.add_sign_in(&account, outcome::IN, &address, &device)
    });
    begun.await.map_err(Fault::from)?.map_err(Fault::from)?;
    Ok(token)
}

/// The account that a name and a password belong to. Counts and writes down what was not right.
pub(crate) async fn right(state: &AppState, typed: &str, password: Password, from: &From) -> Result<String, Refused> {
    let name: String = typed.trim().to_lowercase().chars().take(60).collect();
    let store = state.store().clone();
    let asked = {
        let name = name.clone();
        tokio::task::spawn_blocking(move || {
            let account = store.account(&name)?;
            let known = match &account {
                Some(account) => store.signed_in_from(&account.name, outcome::IN, KNOWN_FOR)?,
                None => Vec::new(),
            };
            Ok::<_, store::StoreError>((account, known))
        })
    };
    let (account, known) = asked.await.map_err(Fault::from)?.map_err(Fault::from)?;
    let here = network(from.address);
    let known = known.iter().filter_map(|text| text.parse().ok()).any(|address| network(address) == here);

    // Only names that exist go into the books: a password typed into the wrong field must not.
    let booked = account.as_ref().map_or_else(String::new, |account| account.name.clone());
    let accounts = state.accounts();
    let tried = match accounts.throttle().begin(&name, from.address, known, Instant::now()) {
        Ok(tried) => tried,
        Err(TooSoon { wait, first }) => {
            if first {
                book(state, booked, outcome::SLOWED, from).await?;
            }
            return Err(Refused::TooSoon(wait));
        }
    };
    let open = account.filter(|account| account.active && !account.password.is_empty());
    let kept = open.as_ref().map(|account| account.password.clone());
    let right = match accounts.hasher().is_of(password, kept).await {
        Ok(right) => right,
        Err(HashError::Busy) => {
            accounts.throttle().give_back(tried);
            return Err(Refused::Busy);
        }
        Err(HashError::Password(error)) => return Err(Fault::Ours { what: error.to_string() }.into()),
    };
    match open.filter(|_| right) {
        Some(account) => {
            accounts.throttle().was_right(tried);
            Ok(account.name)
        }
        None => {
            book(state, booked, outcome::REFUSED, from).await?;
            Err(Refused::NotRight)
        }
    }
}

/// Writes a line into the books.
pub(crate) async fn book(state: &AppState, account: String, outcome: &'static str, from: &From) -> Result<(), Fault> {
    let (store, from) = (state.store().clone(), from.clone());
    tokio::task::spawn_blocking(move || store.add_sign_in(&account, outcome, &from.address.to_string(), &from.device))
        .await??;
    Ok(())
}
