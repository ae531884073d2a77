//! Who is asking: the person, the roles, and whether that person keeps the accounts.

use super::role::Roles;
use super::session::Token;
use crate::fault::Fault;
use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use record::Role;
use std::sync::Arc;

/// Author of what is written on the shop's own machine as long as nobody has a name.
pub(crate) const NOBODY: &str = "page";

/// The person behind a request.
///
/// A handler that takes it can be sure that somebody is signed in, or that the shop has no accounts
/// and is asked on its own machine.
#[derive(Debug, Clone)]
pub(crate) struct Who {
    /// Name as it stands beside entries.
    pub(crate) name: String,
    /// What the person may do.
    pub(crate) roles: Roles,
    /// Makes and changes accounts.
    pub(crate) keeper: bool,
    /// Short name of the account; none while the shop has no accounts.
    pub(crate) account: Option<String>,
    /// The session's token.
    pub(super) token: Option<Token>,
}

impl Who {
    /// The one person of a shop without accounts.
    pub(crate) fn alone(name: Option<String>) -> Self {
        Self {
            name: name.unwrap_or_else(|| NOBODY.to_owned()),
            roles: Roles::ALL,
            keeper: true,
            account: None,
            token: None,
        }
    }

    /// Name for the spine: the person's, or what the link leads to as long as nobody has a name.
    pub(crate) fn shown(&self) -> &str {
        if self.account.is_none() && self.name == NOBODY { "People" } else { &self.name }
    }

    /// Goes on only if the person has the role.
    ///
    /// # Errors
    /// [`Fault::NotYours`] with what is needed.
    pub(crate) fn require(&self, role: Role) -> Result<(), Fault> {
        if self.roles.has(role) {
            return Ok(());
        }
        Err(Fault::NotYours { needs: format!("the role \u{201c}{}\u{201d}", role.name()), has: self.roles.to_string() })
    }

    /// Goes on only if the person keeps the accounts.
    ///
    /// # Errors
    /// [`Fault::NotYours`].
    pub(crate) fn require_keeper(&self) -> Result<(), Fault> {
        if self.keeper {
            return Ok(());
        }
        Err(Fault::NotYours { needs: "somebody who keeps the accounts".to_owned(), has: self.roles.to_string() })
    }
}

/// What the door found out about a request. Stands in its extensions.
#[derive(Debug, Clone)]
pub(crate) enum Seen {
    /// Somebody is signed in, or the shop has no accounts and is asked on its own machine.
    In(Arc<Who>),
    /// Nobody is signed in.
    Out,
    /// The shop could not be asked.
    Trouble(Fault),
}

impl Seen {
    /// Of a request; a request that did not come through the door is of nobody.
    pub(crate) fn of(parts: &Parts) -> Self {
        parts.extensions.get::<Self>().cloned().unwrap_or(Self::Out)
    }

    /// The person, if there is one.
    pub(crate) fn who(&self) -> Option<&Who> {
        match self {
            Self::In(who) => Some(who),
            _ => None,
        }
    }
}

impl<S: Sync> FromRequestParts<S> for Who {
    type Rejection = Fault;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Fault> {
        match Seen::of(parts) {
            Seen::In(who) => Ok(who.as_ref().clone()),
            Seen::Out => Err(Fault::SignedOut { back: None }),
            Seen::Trouble(fault) => Err(fault),
        }
    }
}

/// A person with the role of the dyno cell; others get a page that says what is needed.
#[derive(Debug)]
pub(crate) struct InCell(pub(crate) Who);

impl<S: Sync> FromRequestParts<S> for InCell {
    type Rejection = Fault;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Fault> {
        let who = Who::from_request_parts(parts, state).await?;
        who.require(Role::Cell)?;
        Ok(Self(who))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_role_that_is_missing_is_named() {
        let mut who = Who::alone(None);
        assert!(who.require(Role::Cell).is_ok() && who.require_keeper().is_ok());
        who.roles = [Role::Bench].into_iter().collect();
        who.keeper = false;
        assert!(who.require(Role::Bench).is_ok());
        let Err(Fault::NotYours { needs, has }) = who.require(Role::Cell) else { panic!() };
        assert_eq!((needs.as_str(), has.as_str()), ("the role \u{201c}cell\u{201d}", "bench"));
        assert!(matches!(who.require_keeper(), Err(Fault::NotYours { .. })));
    }
}
