//! Accounts of a shop: who may sign in, sessions, guessing, and who is behind a request.
//!
//! A shop without accounts belongs to the one person at its own machine. From its first account on
//! it asks everybody to sign in, on its own machine too. What is where:
//!
//! - [`book`]: making and changing accounts, for the page and for the terminal
//! - [`password`], [`hasher`]: what a password must be, its slow hash, hashing a few at a time
//! - [`throttle`], [`attempt`]: how often one may try, and what happens in one try
//! - [`session`], [`gate`]: token and cookie; the layers that find out who asks and let nobody else in
//! - [`who`]: the person, for handlers

pub(crate) mod alone;
pub(crate) mod attempt;
pub mod book;
mod device;
pub(crate) mod gate;
mod hasher;
mod password;
mod role;
pub(crate) mod session;
mod throttle;
pub(crate) mod who;

pub(crate) use device::from_of;
pub(crate) use hasher::HashError;
pub use password::{LONGEST, Password, PasswordError, SHORTEST};
pub use record::Role;
pub use role::{Roles, about, role_of};
pub(crate) use who::{InCell, Seen, Who};

use crate::fault::Fault;
use std::sync::atomic::{AtomicBool, Ordering};
use store::Store;

/// What the server remembers about accounts beside the store.
#[derive(Debug, Default)]
pub(crate) struct Accounts {
    hasher: hasher::Hasher,
    throttle: throttle::Throttle,
    /// There are accounts; that never ends, since none is ever removed.
    guarded: AtomicBool,
    /// Pages go over TLS.
    secure: bool,
    /// Asked from other machines: closed even if there were no account.
    always: bool,
}

impl Accounts {
    /// `secure`: over TLS. `always`: can be reached from other machines.
    pub(crate) fn new(secure: bool, always: bool) -> Self {
        Self { secure, always, ..Self::default() }
    }

    /// Whether one has to sign in here.
    pub(crate) fn guarded(&self, store: &Store) -> Result<bool, Fault> {
        if self.always || self.guarded.load(Ordering::Relaxed) {
            return Ok(true);
        }
        let any = !store.accounts()?.is_empty();
        if any {
            self.guarded.store(true, Ordering::Relaxed);
        }
        Ok(any)
    }

    pub(crate) fn secure(&self) -> bool {
        self.secure
    }

    pub(crate) fn hasher(&self) -> &hasher::Hasher {
        &self.hasher
    }

    pub(crate) fn throttle(&self) -> &throttle::Throttle {
        &self.throttle
    }
}

/// Whether somebody can sign in here.
///
/// # Errors
/// Those of the database.
pub fn anybody(store: &Store) -> Result<bool, store::StoreError> {
    Ok(store.accounts()?.iter().any(|account| account.active))
}

/// Roles as kept. A word that this version does not know gives nothing.
pub fn roles_of(kept: &[String]) -> Roles {
    kept.iter().filter_map(|key| role_of(key)).collect()
}

/// Percent signs for everything but letters, digits and `-._~`.
pub(crate) fn escape(text: &str) -> String {
    let plain = |b: u8| b.is_ascii_alphanumeric() || b"-._~".contains(&b);
    text.bytes().map(|b| if plain(b) { char::from(b).to_string() } else { format!("%{b:02X}") }).collect()
}

/// The text of [`escape`]; nothing if it is none.
pub(crate) fn unescape(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let Some((first, after)) = rest.split_first() {
        rest = after;
        bytes.push(match first {
            b'%' => {
                let hex = std::str::from_utf8(after.get(..2)?).ok()?;
                rest = &after[2..];
                u8::from_str_radix(hex, 16).ok()?
            }
            other => *other,
        });
    }
    String::from_utf8(bytes).ok()
}
