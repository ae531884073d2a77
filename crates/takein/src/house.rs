//! What a shop judges its runs by: its guard rules over those that come with the tool, and how far
//! pulls may differ.
//!
//! Both are settings of the shop; older values are kept, nothing is overwritten. They are not part of
//! a run: a new text counts for every run, older ones too, and what a run hangs on says which text
//! its flags come from. The logs themselves stay as they came.

use crate::error::TakeInError;
use pull::guard::{Rules, RulesError};
use pull::setup::Setup;
use std::borrow::Cow;
use store::{Setting, Store, StoreError};

/// Key of the setting with the shop's guard rules, TOML.
const GUARDS: &str = "guards";
/// Key of the setting with the limit on the spread of pulls, a share as a plain number.
const REPEAT_LIMIT: &str = "repeat_limit";
/// Largest limit on the spread of pulls that is taken, a share; beyond it, it limits nothing.
pub const MOST_SPREAD: f64 = 0.2;

/// What runs are judged by.
#[derive(Debug, Clone, PartialEq)]
pub struct HouseRules {
    /// The guard rules.
    pub guards: Rules,
    /// Limit on the mean spread of pulls over the band, a share; `None` leaves what a setup says.
    pub repeat_limit: Option<f64>,
    /// Revisions of the shop's guard text and of its limit, 0 where it has none of its own.
    pub revisions: (i64, i64),
}

impl HouseRules {
    /// What comes with the tool.
    pub fn shipped() -> Self {
        Self { guards: Rules::shipped(), repeat_limit: None, revisions: (0, 0) }
    }

    /// What comes with the tool, with the guard rules of a text over it. `name` names the text.
    ///
    /// # Errors
    /// [`TakeInError::BadGuards`].
    pub fn with_guards(self, name: &str, text: &str) -> Result<Self, TakeInError> {
        let guards = Rules::over_shipped(text, name).map_err(|error| bad(name, error))?;
        Ok(Self { guards, ..self })
    }

    /// What a shop judges by.
    ///
    /// # Errors
    /// [`TakeInError::BadGuards`] or [`TakeInError::BadSetting`] if what is kept cannot be read, and
    /// those of the store.
    pub fn of(store: &Store) -> Result<Self, TakeInError> {
        let text = guard_text(store)?;
        let limit = store.setting_now(REPEAT_LIMIT)?;
        Ok(Self {
            guards: guards_of(text.as_ref())?,
            repeat_limit: limit.as_ref().map(limit_of).transpose()?,
            revisions: (text.map_or(0, |s| s.revision), limit.map_or(0, |s| s.revision)),
        })
    }

    /// A setup as it is judged.
    pub(crate) fn over<'s>(&self, setup: &'s Setup) -> Cow<'s, Setup> {
        match self.repeat_limit {
            Some(limit) if limit != setup.repeat_limit => Cow::Owned(Setup { repeat_limit: limit, ..setup.clone() }),
            _ => Cow::Borrowed(setup),
        }
    }
}

/// Revisions of the shop's guard text and of its limit, as in [`HouseRules::revisions`], without reading
/// them. What is worked out and kept in memory belongs to them.
///
/// # Errors
/// Those of the store.
pub fn house_revisions(store: &Store) -> Result<(i64, i64), StoreError> {
    let revision = |key| Ok(store.setting_now(key)?.map_or(0, |s| s.revision));
    Ok((revision(GUARDS)?, revision(REPEAT_LIMIT)?))
}

/// How far pulls of the shop may differ, a share; `None` if the shop never said.
///
/// # Errors
/// [`TakeInError::BadSetting`] if what is kept cannot be read, and those of the store.
pub fn repeat_limit(store: &Store) -> Result<Option<f64>, TakeInError> {
    store.setting_now(REPEAT_LIMIT)?.as_ref().map(limit_of).transpose()
}

/// The guard rules in force in a shop: those that come with the tool, the shop's text put over them.
///
/// # Errors
/// [`TakeInError::BadGuards`] if the text that is kept cannot be read, and those of the store.
pub fn guards(store: &Store) -> Result<Rules, TakeInError> {
    guards_of(guard_text(store)?.as_ref())
}

/// The shop's own guard text as it stands; `None` if it never had one. It may be empty.
///
/// # Errors
/// Those of the store.
pub fn guard_text(store: &Store) -> Result<Option<Setting>, StoreError> {
    store.setting_now(GUARDS)
}

/// Every guard text the shop ever had, oldest first.
///
/// # Errors
/// Those of the store.
pub fn guard_history(store: &Store) -> Result<Vec<Setting>, StoreError> {
    store.setting_history(GUARDS)
}

/// Keeps a guard text for the shop. An empty text leaves the rules that come with the tool.
/// `name` names the text in the message.
///
/// # Errors
/// [`TakeInError::BadGuards`] with line, column and what may have been meant; nothing is changed then.
/// Else those of the store.
pub fn set_guards(store: &Store, name: &str, text: &str) -> Result<Setting, TakeInError> {
    Rules::over_shipped(text, name).map_err(|error| bad(name, error))?;
    Ok(store.set_setting(GUARDS, text)?)
}

/// Keeps how far pulls of the shop may differ: the mean spread over the band, a share above 0, at most 0.2.
///
/// # Errors
/// [`TakeInError::BadSetting`]; nothing is changed then. Else those of the store.
pub fn set_repeat_limit(store: &Store, share: f64) -> Result<Setting, TakeInError> {
    let text = share.to_string();
    share_of(&text)?;
    Ok(store.set_setting(REPEAT_LIMIT, &text)?)
}

fn guards_of(text: Option<&Setting>) -> Result<Rules, TakeInError> {
    match text {
        Some(kept) if !kept.value.trim().is_empty() => {
            let day = kept.at.get(..10).unwrap_or(&kept.at);
            let name = format!("the shop's guard rules (change {} of {day})", kept.revision);
            Rules::over_shipped(&kept.value, &name).map_err(|error| bad(&name, error))
        }
        _ => Ok(Rules::shipped()),
    }
}

fn limit_of(kept: &Setting) -> Result<f64, TakeInError> {
    share_of(&kept.value)
}

fn share_of(text: &str) -> Result<f64, TakeInError> {
    match text.trim().parse::<f64>() {
        Ok(share) if share > 0.0 && share <= MOST_SPREAD => Ok(share),
        _ => Err(TakeInError::BadSetting {
            what: "how far pulls may differ",
            found: text.to_owned(),
            expected: "a share above 0 and at most 0.2 (20 %)",
        }),
    }
}

fn bad(name: &str, error: RulesError) -> TakeInError {
    TakeInError::BadGuards { name: name.to_owned(), error }
}
