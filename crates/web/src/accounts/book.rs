//! Making and changing accounts: what the page and the terminal both do.
//!
//! Rules kept here: the first account keeps the accounts; there is always one open account that does;
//! an account is closed, never removed, since entries carry its name.

use super::password::PasswordError;
use super::role::Roles;
use store::{Account, NewAccount, Store, StoreError};

/// Most signs of an account's short name.
const LONGEST: usize = 40;

/// Why an account was not made or changed. Nothing was written then.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum BookError {
    /// The short name is not of the form.
    #[error(
        "name of an account: found `{found}`, expected up to {LONGEST} letters a to z, digits, ., - and _, such as `mara`; nothing was saved"
    )]
    BadName {
        /// What was given.
        found: String,
    },
    /// There is no name for entries.
    #[error("the person's name is missing, as it is to stand beside entries, such as `Mara Lind`; nothing was saved")]
    NoPerson,
    /// The short name is taken.
    #[error(
        "there is an account `{name}` already, and a name is never given twice; nothing was saved\n  go on    take another name, or open that account again if it was closed"
    )]
    Taken {
        /// The name.
        name: String,
    },
    /// There is no such account.
    #[error("there is no account `{name}` in this shop; nothing was saved")]
    NoSuch {
        /// The name.
        name: String,
    },
    /// Nobody would be left to keep the accounts.
    #[error(
        "`{name}` is the only open account that keeps the accounts; nothing was saved\n  go on    let another account keep them first"
    )]
    LastKeeper {
        /// The name.
        name: String,
    },
    /// It was changed elsewhere in between.
    #[error(
        "account `{name}` was changed elsewhere in between; nothing was saved\n  go on    look at it as it is now, then repeat"
    )]
    Overtaken {
        /// The name.
        name: String,
    },
    /// The password.
    #[error(transparent)]
    Password(#[from] PasswordError),
    /// The shop's folder.
    #[error(transparent)]
    Store(StoreError),
}

impl From<StoreError> for BookError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::AccountConflict { name, .. } => Self::Overtaken { name },
            other => Self::Store(other),
        }
    }
}

/// An account to be made. `hash` comes from [`super::Password::hash`], after [`super::Password::fits`].
#[derive(Clone)]
pub struct NewPerson {
    /// Short name for signing in, as typed.
    pub name: String,
    /// Name beside entries, as typed.
    pub person: String,
    /// What the person may do.
    pub roles: Roles,
    /// Makes and changes accounts.
    pub keeper: bool,
    /// Hash of the password, PHC text.
    pub hash: String,
}

/// Another state of an account; what is `None` stays as it is.
#[derive(Clone, Default)]
pub struct Change {
    /// Name beside entries from now on.
    pub person: Option<String>,
    /// What the person may do.
    pub roles: Option<Roles>,
    /// Makes and changes accounts.
    pub keeper: Option<bool>,
    /// May sign in.
    pub active: Option<bool>,
    /// Hash of a new password, PHC text. Ends every session of the account.
    pub hash: Option<String>,
}

/// The short name that was typed, as it is kept: without capitals and spaces around.
///
/// # Errors
/// [`BookError::BadName`].
pub fn short_name(typed: &str) -> Result<String, BookError> {
    let name = typed.trim().to_lowercase();
    let sign = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b".-_".contains(&b);
    if name.is_empty() || name.len() > LONGEST || !name.bytes().all(sign) {
        return Err(BookError::BadName { found: typed.trim().chars().take(60).collect() });
    }
    Ok(name)
}

/// Makes an account. The first one of a shop keeps the accounts, whatever was asked for.
///
/// # Errors
/// [`BookError::BadName`], [`BookError::NoPerson`], [`BookError::Taken`], [`BookError::Store`].
pub fn add(store: &Store, new: &NewPerson, by: &str) -> Result<Account, BookError> {
    let name = short_name(&new.name)?;
    let person = super::alone::clean(&new.person).ok_or(BookError::NoPerson)?;
    if store.account(&name)?.is_some() {
        return Err(BookError::Taken { name });
    }
    let first = store.accounts()?.is_empty();
    let account = NewAccount {
        name,
        person,
        roles: keys(new.roles),
        keeper: new.keeper || first,
        active: true,
        password: Some(new.hash.clone()),
    };
    Ok(store.put_account(0, &account, by)?)
}

/// Changes an account. `revision` is the one that was looked at; `None` takes the newest.
///
/// # Errors
/// [`BookError::NoSuch`], [`BookError::NoPerson`], [`BookError::LastKeeper`], [`BookError::Overtaken`],
/// [`BookError::Store`].
pub fn change(
    store: &Store,
    name: &str,
    revision: Option<i64>,
    change: &Change,
    by: &str,
) -> Result<Account, BookError> {
    let name = short_name(name)?;
    let Some(before) = store.account(&name)? else { return Err(BookError::NoSuch { name }) };
    let person = match &change.person {
        Some(typed) => super::alone::clean(typed).ok_or(BookError::NoPerson)?,
        None => before.person.clone(),
    };
    let now = NewAccount {
        person,
        roles: change.roles.map_or_else(|| before.roles.clone(), keys),
        keeper: change.keeper.unwrap_or(before.keeper),
        active: change.active.unwrap_or(before.active),
        password: change.hash.clone(),
        name,
    };
    if before.keeper && before.active && !(now.keeper && now.active) {
        let others = store.accounts()?.into_iter().any(|a| a.keeper && a.active && a.name != now.name);
        if !others {
            return Err(BookError::LastKeeper { name: now.name });
        }
    }
    Ok(store.put_account(revision.unwrap_or(before.revision), &now, by)?)
}

fn keys(roles: Roles) -> Vec<String> {
    roles.iter().map(|role| role.name().to_owned()).collect()
}
