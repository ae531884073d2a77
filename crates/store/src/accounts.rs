//! Accounts: who may sign in and in which roles. Older states are kept, apart from old passwords.

use crate::Store;
use crate::changes;
use crate::error::StoreError;
use rusqlite::{Connection, OptionalExtension, Row, params};
use serde::{Deserialize, Serialize};

/// What an account is to be.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewAccount {
    /// Short name typed at signing in: lower-case letters, digits, `.`, `-` and `_`.
    pub name: String,
    /// The person's name, as it stands beside entries; not empty.
    pub person: String,
    /// Roles, words of the caller.
    pub roles: Vec<String>,
    /// May make and change accounts.
    pub keeper: bool,
    /// May sign in.
    pub active: bool,
    /// Password hash in PHC form, made by the caller; `None` leaves the one in force.
    pub password: Option<String>,
}

/// An account as it stands or stood.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Account {
    /// Short name typed at signing in.
    pub name: String,
    /// The person's name.
    pub person: String,
    /// Roles.
    pub roles: Vec<String>,
    /// May make and change accounts.
    pub keeper: bool,
    /// May sign in.
    pub active: bool,
    /// Password hash in PHC form; empty in the history, where no password is kept.
    pub password: String,
    /// 1 for the first state, one more with each change.
    pub revision: i64,
    /// When this state was written, RFC 3339 in UTC.
    pub at: String,
    /// Who wrote it.
    pub author: String,
    /// Whether this state came with another password.
    pub new_password: bool,
}

/// Without the password hash: it does not belong into a log of the program.
impl std::fmt::Debug for Account {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Account")
            .field("name", &self.name)
            .field("person", &self.person)
            .field("roles", &self.roles)
            .field("keeper", &self.keeper)
            .field("active", &self.active)
            .field("revision", &self.revision)
            .finish_non_exhaustive()
    }
}

/// Without the password hash: it does not belong into a log of the program.
impl std::fmt::Debug for NewAccount {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("NewAccount").field("name", &self.name).field("roles", &self.roles).finish_non_exhaustive()
    }
}

const SELECT: &str = "SELECT a.name, a.person, a.roles, a.keeper, a.active, p.password, a.revision, a.at, a.author,
     a.new_password FROM account_revisions a LEFT JOIN passwords p USING (name)";

impl Store {
    /// Every account as it stands, by name.
    ///
    /// # Errors
    /// Those of the database.
    pub fn accounts(&self) -> Result<Vec<Account>, StoreError> {
        self.inner.read("listing the accounts", |db| {
            let mut found = db.prepare_cached(&format!(
                "{SELECT} WHERE a.revision = (SELECT MAX(revision) FROM account_revisions n WHERE n.name = a.name)
                 ORDER BY a.name"
            ))?;
            let rows = found.query_map([], account)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// An account as it stands; `None` if there is none of this name.
    ///
    /// # Errors
    /// Those of the database.
    pub fn account(&self, name: &str) -> Result<Option<Account>, StoreError> {
        self.inner.read("looking up an account", |db| Ok(newest(db, name)?))
    }

    /// Everything an account ever was, oldest first, without passwords.
    ///
    /// # Errors
    /// Those of the database.
    pub fn account_history(&self, name: &str) -> Result<Vec<Account>, StoreError> {
        self.inner.read("looking up an account", |db| {
            let mut found = db.prepare_cached(&format!("{SELECT} WHERE a.name = ?1 ORDER BY a.revision"))?;
            let rows = found.query_map([name], account)?;
            let mut all = rows.collect::<Result<Vec<_>, _>>()?;
            all.iter_mut().for_each(|a| a.password.clear());
            Ok(all)
        })
    }

    /// Writes an account: a new one (`expected_revision` 0), or another state of one. The same state again changes
    /// nothing. Another password, or an account that may no longer sign in, ends the account's sessions.
    ///
    /// # Errors
    /// [`StoreError::AccountConflict`] if it is no longer at the expected revision, or is there although 0 was expected;
    /// [`StoreError::BadValue`] if a name is not of the expected form, or a new account has no password; else those of
    /// the database. Nothing is written then.
    pub fn put_account(&self, expected_revision: i64, new: &NewAccount, author: &str) -> Result<Account, StoreError> {
        check(new, author)?;
        self.inner.write("writing an account", |db| {
            let before = newest(db, &new.name)?;
            if let Some(there) = before.as_ref().filter(|a| same(a, new)) {
                return Ok(there.clone());
            }
            let found = before.as_ref().map_or(0, |a| a.revision);
            if found != expected_revision {
                let name = new.name.clone();
                return Err(StoreError::AccountConflict { name, expected: expected_revision, found }.into());
            }
            let password = match (&new.password, &before) {
                (Some(password), _) => password.clone(),
                (None, Some(before)) => before.password.clone(),
                (None, None) => {
                    let (what, expected) = ("password of a new account", "a password");
                    return Err(StoreError::BadValue { what, found: String::new(), expected }.into());
                }
            };
            let state = Account {
                name: new.name.clone(),
                person: new.person.clone(),
                roles: new.roles.clone(),
                keeper: new.keeper,
                active: new.active,
                new_password: before.as_ref().is_none_or(|b| b.password != password),
                password,
                revision: found + 1,
                at: changes::now(),
                author: author.to_owned(),
            };
            let roles = serde_json::to_string(&state.roles)
                .map_err(|e| StoreError::NotJson { what: "roles of an account", why: e.to_string() })?;
            db.execute(
                "INSERT INTO account_revisions
                 (name, revision, at, author, person, roles, keeper, active, new_password)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
                params![
                    state.name,
                    state.revision,
                    state.at,
                    state.author,
                    state.person,
                    roles,
                    state.keeper,
                    state.active,
                    state.new_password
                ],
            )?;
            if state.new_password {
                db.execute(
                    "INSERT INTO passwords (name, password) VALUES (?1, ?2)
                     ON CONFLICT (name) DO UPDATE SET password = excluded.password",
                    params![state.name, state.password],
                )?;
            }
            if state.new_password || !state.active {
                db.execute("DELETE FROM sessions WHERE account = ?1", [&state.name])?;
            }
            changes::record(db, &state.at, "account", &state.name)?;
            Ok(state)
        })
    }
}

fn check(new: &NewAccount, author: &str) -> Result<(), StoreError> {
    let letter = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b".-_".contains(&b);
    if new.name.is_empty() || !new.name.bytes().all(letter) {
        return Err(StoreError::BadValue {
            what: "name of an account",
            found: new.name.clone(),
            expected: "lower-case letters, digits, ., - and _",
        });
    }
    for (what, value) in [("person of an account", new.person.as_str()), ("author of an account", author)] {
        if value.trim().is_empty() {
            return Err(StoreError::BadValue { what, found: value.to_owned(), expected: "a name" });
        }
    }
    if new.password.as_deref().is_some_and(|p| !p.starts_with('$')) {
        // What was given is not repeated: it may be the password itself.
        let (what, expected) = ("password of an account", "a hash in PHC form, which begins with $");
        return Err(StoreError::BadValue { what, found: "something else".to_owned(), expected });
    }
    Ok(())
}

fn same(there: &Account, new: &NewAccount) -> bool {
    there.person == new.person
        && there.roles == new.roles
        && there.keeper == new.keeper
        && there.active == new.active
        && new.password.as_ref().is_none_or(|p| *p == there.password)
}

fn newest(db: &Connection, name: &str) -> rusqlite::Result<Option<Account>> {
    db.prepare_cached(&format!("{SELECT} WHERE a.name = ?1 ORDER BY a.revision DESC LIMIT 1"))?
        .query_row([name], account)
        .optional()
}

fn account(row: &Row<'_>) -> rusqlite::Result<Account> {
    let roles: String = row.get(2)?;
    Ok(Account {
        name: row.get(0)?,
        person: row.get(1)?,
        // The column is checked to be JSON; anything but a list of words gives no role.
        roles: serde_json::from_str(&roles).unwrap_or_default(),
        keeper: row.get(3)?,
        active: row.get(4)?,
        password: row.get::<_, Option<String>>(5)?.unwrap_or_default(),
        revision: row.get(6)?,
        at: row.get(7)?,
        author: row.get(8)?,
        new_password: row.get(9)?,
    })
}
