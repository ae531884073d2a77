//! Who is signed in where, and the list of everybody who signed in or was refused.
//!
//! A session is kept by the SHA-256 of its token, so that the database cannot be used to sign in. Times are RFC 3339
//! in UTC with milliseconds, as [`Store`] writes them, so that they sort as texts.

use crate::Store;
use crate::changes;
use crate::error::StoreError;
use crate::files::hash;
use rusqlite::{OptionalExtension, Row, params};
use serde::{Deserialize, Serialize};
use std::time::Duration;

/// Somebody signed in on a device.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Session {
    /// SHA-256 of the token, lower-case hexadecimal.
    pub token_sha256: String,
    /// Name of the account.
    pub account: String,
    /// When it began.
    pub made: String,
    /// When it ends by itself.
    pub expires: String,
    /// The device, in words.
    pub device: String,
}

/// Somebody signed in, signed out, or was refused.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SignIn {
    /// When.
    pub at: String,
    /// Name of the account as typed.
    pub account: String,
    /// What came of it: `in`, `out`, `refused`, `slowed` …
    pub outcome: String,
    /// Address it came from.
    pub address: String,
    /// The device, in words.
    pub device: String,
}

impl Store {
    /// Begins a session that ends after `lasting`. Sessions that have ended by now are cleared away.
    ///
    /// # Errors
    /// [`StoreError::BadValue`] if there is no such account that may sign in; else those of the database.
    pub fn begin_session(
        &self,
        token: &str,
        account: &str,
        lasting: Duration,
        device: &str,
    ) -> Result<Session, StoreError> {
        let session = Session {
            token_sha256: hash(token.as_bytes()),
            account: account.to_owned(),
            made: changes::now(),
            expires: changes::after(lasting),
            device: device.to_owned(),
        };
        self.inner.write("beginning a session", |db| {
            let active: Option<bool> = db
                .prepare_cached("SELECT active FROM account_revisions WHERE name = ?1 ORDER BY revision DESC LIMIT 1")?
                .query_row([account], |r| r.get(0))
                .optional()?;
            if active != Some(true) {
                let (what, expected) = ("account of a session", "an account that may sign in");
                return Err(StoreError::BadValue { what, found: account.to_owned(), expected }.into());
            }
            db.execute("DELETE FROM sessions WHERE expires <= ?1", [&session.made])?;
            db.execute(
                "INSERT INTO sessions (token_sha256, account, made, expires, device) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![session.token_sha256, account, session.made, session.expires, device],
            )?;
            Ok(session.clone())
        })
    }

    /// The session of a token; `None` if there is none or it has ended.
    ///
    /// # Errors
    /// Those of the database.
    pub fn session(&self, token: &str) -> Result<Option<Session>, StoreError> {
        self.inner.read("looking up a session", |db| {
            Ok(db
                .prepare_cached(
                    "SELECT token_sha256, account, made, expires, device FROM sessions
                     WHERE token_sha256 = ?1 AND expires > ?2",
                )?
                .query_row([hash(token.as_bytes()), changes::now()], session)
                .optional()?)
        })
    }

    /// Lets a session last for `lasting` from now; nothing happens if it has ended.
    ///
    /// # Errors
    /// Those of the database.
    pub fn prolong_session(&self, token: &str, lasting: Duration) -> Result<(), StoreError> {
        self.inner.write("prolonging a session", |db| {
            db.prepare_cached("UPDATE sessions SET expires = ?2 WHERE token_sha256 = ?1 AND expires > ?3")?
                .execute([hash(token.as_bytes()), changes::after(lasting), changes::now()])?;
            Ok(())
        })
    }

    /// Ends the session of a token.
    ///
    /// # Errors
    /// Those of the database.
    pub fn end_session(&self, token: &str) -> Result<(), StoreError> {
        self.inner.write("ending a session", |db| {
            db.execute("DELETE FROM sessions WHERE token_sha256 = ?1", [hash(token.as_bytes())])?;
            Ok(())
        })
    }

    /// Ends every session of an account; how many there were.
    ///
    /// # Errors
    /// Those of the database.
    pub fn end_sessions_of(&self, account: &str) -> Result<usize, StoreError> {
        self.inner.write("ending sessions", |db| Ok(db.execute("DELETE FROM sessions WHERE account = ?1", [account])?))
    }

    /// The sessions of an account, newest first, without those that have ended.
    ///
    /// # Errors
    /// Those of the database.
    pub fn sessions_of(&self, account: &str) -> Result<Vec<Session>, StoreError> {
        self.inner.read("listing sessions", |db| {
            let mut found = db.prepare_cached(
                "SELECT token_sha256, account, made, expires, device FROM sessions
                 WHERE account = ?1 AND expires > ?2 ORDER BY made DESC",
            )?;
            let rows = found.query_map([account, &changes::now()], session)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// Writes down that somebody signed in, signed out or was refused.
    ///
    /// # Errors
    /// [`StoreError::BadValue`] for an empty outcome; else those of the database.
    pub fn add_sign_in(&self, account: &str, outcome: &str, address: &str, device: &str) -> Result<SignIn, StoreError> {
        if outcome.is_empty() {
            let (what, expected) = ("outcome of a sign-in", "a word");
            return Err(StoreError::BadValue { what, found: String::new(), expected });
        }
        let new = SignIn {
            at: changes::now(),
            account: account.to_owned(),
            outcome: outcome.to_owned(),
            address: address.to_owned(),
            device: device.to_owned(),
        };
        self.inner.write("writing down a sign-in", |db| {
            db.execute(
                "INSERT INTO sign_ins (at, account, outcome, address, device) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![new.at, new.account, new.outcome, new.address, new.device],
            )?;
            Ok(new.clone())
        })
    }

    /// The newest sign-ins, newest first, at most `limit`; of one account if a name is given.
    ///
    /// # Errors
    /// Those of the database.
    pub fn sign_ins(&self, account: Option<&str>, limit: usize) -> Result<Vec<SignIn>, StoreError> {
        let limit = i64::try_from(limit).unwrap_or(i64::MAX);
        self.inner.read("listing sign-ins", |db| {
            let mut found = db.prepare_cached(
                "SELECT at, account, outcome, address, device FROM sign_ins
                 WHERE ?1 IS NULL OR account = ?1 ORDER BY id DESC LIMIT ?2",
            )?;
            let rows = found.query_map(params![account, limit], |r| {
                Ok(SignIn {
                    at: r.get(0)?,
                    account: r.get(1)?,
                    outcome: r.get(2)?,
                    address: r.get(3)?,
                    device: r.get(4)?,
                })
            })?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// The addresses from which an account had this outcome within the time just past, each once.
    ///
    /// # Errors
    /// Those of the database.
    pub fn signed_in_from(&self, account: &str, outcome: &str, within: Duration) -> Result<Vec<String>, StoreError> {
        let since = changes::before(within);
        self.inner.read("looking up addresses", |db| {
            let mut found = db.prepare_cached(
                "SELECT DISTINCT address FROM sign_ins WHERE account = ?1 AND at >= ?2 AND outcome = ?3 ORDER BY address",
            )?;
            let rows = found.query_map([account, &since, outcome], |r| r.get(0))?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// How often an outcome was written down within the time just past: for this account, and for this address.
    ///
    /// # Errors
    /// Those of the database.
    pub fn sign_ins_within(
        &self,
        outcome: &str,
        account: &str,
        address: &str,
        within: Duration,
    ) -> Result<(u64, u64), StoreError> {
        let since = changes::before(within);
        self.inner.read("counting sign-ins", |db| {
            let count = |column: &str, value: &str| -> rusqlite::Result<i64> {
                db.prepare_cached(&format!(
                    "SELECT COUNT(*) FROM sign_ins WHERE {column} = ?1 AND at >= ?2 AND outcome = ?3"
                ))?
                .query_row([value, &since, outcome], |r| r.get(0))
            };
            Ok((count("account", account)?.max(0) as u64, count("address", address)?.max(0) as u64))
        })
    }
}

fn session(row: &Row<'_>) -> rusqlite::Result<Session> {
    Ok(Session {
        token_sha256: row.get(0)?,
        account: row.get(1)?,
        made: row.get(2)?,
        expires: row.get(3)?,
        device: row.get(4)?,
    })
}
