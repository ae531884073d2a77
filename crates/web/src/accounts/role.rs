//! What a person may do in the shop: a set of the roles of [`record::Role`].

use record::Role;
use std::fmt;

/// The role with this short word.
pub fn role_of(key: &str) -> Option<Role> {
    Role::ALL.into_iter().find(|role| role.name() == key)
}

/// What a role is for, in a few words.
pub fn about(role: Role) -> &'static str {
    match role {
        Role::Bench => "measures, assembles, writes findings",
        Role::Cell => "runs the dyno, brings logs, keeps dynos and guards",
        Role::Office => "takes engines in, agrees with the owner, hands over",
    }
}

/// A set of roles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Roles([bool; 3]);

impl Roles {
    /// Every role.
    pub const ALL: Self = Self([true; 3]);
    /// No role: may look at everything and change nothing.
    pub const NONE: Self = Self([false; 3]);

    /// Whether the role is in the set.
    pub fn has(self, role: Role) -> bool {
        self.0[place(role)]
    }

    /// Those in the set, in the order in which they are shown.
    pub fn iter(self) -> impl Iterator<Item = Role> {
        Role::ALL.into_iter().filter(move |role| self.has(*role))
    }

    /// The set of these short words.
    ///
    /// # Errors
    /// The first word that is no role.
    pub fn of_keys<'a>(keys: impl IntoIterator<Item = &'a str>) -> Result<Self, String> {
        keys.into_iter().map(|key| role_of(key).ok_or_else(|| key.to_owned())).collect()
    }
}

fn place(role: Role) -> usize {
    match role {
        Role::Bench => 0,
        Role::Cell => 1,
        Role::Office => 2,
    }
}

impl FromIterator<Role> for Roles {
    fn from_iter<T: IntoIterator<Item = Role>>(roles: T) -> Self {
        let mut set = Self::NONE;
        for role in roles {
            set.0[place(role)] = true;
        }
        set
    }
}

impl fmt::Display for Roles {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words: Vec<_> = self.iter().map(Role::name).collect();
        if words.is_empty() { f.write_str("looks only") } else { f.write_str(&words.join(", ")) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sets_are_read_and_written_in_short_words() {
        let set = Roles::of_keys(["office", "bench"]).unwrap();
        assert_eq!(set.to_string(), "bench, office");
        assert!(set.has(Role::Office) && !set.has(Role::Cell));
        assert_eq!(Roles::of_keys(["bench", "boss"]), Err("boss".to_owned()));
        assert_eq!(Roles::NONE.to_string(), "looks only");
        assert_eq!(Role::ALL.into_iter().collect::<Roles>(), Roles::ALL);
    }
}
