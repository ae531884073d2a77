//! Who writes an entry, taken from who is asking.

use crate::accounts::Who;
use notebook::Writer;
use record::{Body, Role};

/// The writer of entries behind a request.
pub(crate) fn writer(who: &Who) -> Writer {
    Writer { name: who.name.clone(), roles: who.roles.iter().collect() }
}

/// Why this person cannot write an entry of this kind, for the line beside a button that is off; nothing if the person can.
pub(crate) fn barred(who: &Who, body: &Body) -> Option<String> {
    if who.roles.iter().any(|role| role.may_write(body)) {
        return None;
    }
    let needed: Vec<&str> = Role::ALL.into_iter().filter(|r| r.may_write(body)).map(Role::name).collect();
    Some(format!("Written by the {}; you work as {}.", needed.join(" or "), who.roles))
}
