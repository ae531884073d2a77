//! Passwords: what one must be, and the slow hash that is kept in its place.
//!
//! The hash is Argon2id (RFC 9106) with 19 MiB of memory, 2 passes and 1 lane: the least that the
//! OWASP password storage cheat sheet asks for (its summary as it stood in May 2023 was looked up).
//! The memory is what makes guessing dear for somebody who has taken the shop's folder away.
//!
//! What a password must be is our own choice, common practice without a source: long enough, not
//! one of a few that everybody tries first, and no rules about kinds of signs, which only lead to
//! "Password1!". Guessing at the door is bounded by [`super::throttle`], not by these rules.

use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use argon2::{Algorithm, Argon2, Params, Version};
use unicode_normalization::UnicodeNormalization;

/// Fewest signs.
pub const SHORTEST: usize = 10;
/// Most signs. A bound, so that nobody sends a book to be hashed.
pub const LONGEST: usize = 200;

/// Memory of one hash, KiB.
pub(crate) const MEMORY_KIB: u32 = 19 * 1024;
/// Passes over the memory.
pub(crate) const PASSES: u32 = 2;
/// Lanes.
pub(crate) const LANES: u32 = 1;

/// What people try first; from memory, common practice. Compared without capitals, and with digits and
/// signs at the end taken away.
const TRIED_FIRST: [&str; 24] = [
    "password",
    "passwort",
    "passw0rd",
    "qwertyuiop",
    "qwertzuiop",
    "qwerty",
    "qwertz",
    "asdfghjkl",
    "letmein",
    "iloveyou",
    "welcome",
    "welcometo",
    "administrator",
    "admin",
    "changeme",
    "trustno",
    "abcdefghij",
    "abcdefg",
    "workshop",
    "engine",
    "engineshop",
    "dyno",
    "plateau",
    "horsepower",
];

/// A password as typed. It is never printed, logged or kept; only its hash is.
#[derive(Clone)]
pub struct Password(String);

impl std::fmt::Debug for Password {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Password(not shown)")
    }
}

/// Why a password is not taken, or could not be hashed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PasswordError {
    /// Too few signs.
    #[error(
        "the password has {found} signs, and at least {SHORTEST} are needed; several words in a row are easiest to keep in mind"
    )]
    TooShort {
        /// Signs found.
        found: usize,
    },
    /// Too many signs.
    #[error("the password has {found} signs, and at most {LONGEST} are taken")]
    TooLong {
        /// Signs found.
        found: usize,
    },
    /// Among the first that anybody would try.
    #[error("the password is {why}, which is tried first; several words that do not belong together are better")]
    TriedFirst {
        /// What it is.
        why: &'static str,
    },
    /// The hash could not be made.
    #[error("the password could not be hashed ({why}); nothing was changed")]
    NotHashed {
        /// The library's or the system's reason.
        why: String,
    },
}

impl Password {
    /// Takes what was typed. Signs that look alike and mean the same become the same (NFKC), so that
    /// a tablet and a desk keyboard give one password.
    pub fn typed(text: &str) -> Self {
        Self(text.nfkc().collect())
    }

    /// Whether it may become somebody's password. `about` are words that belong to the person or the shop.
    ///
    /// # Errors
    /// [`PasswordError::TooShort`], [`PasswordError::TooLong`], [`PasswordError::TriedFirst`].
    pub fn fits(&self, about: &[&str]) -> Result<(), PasswordError> {
        let found = self.0.chars().count();
        if found < SHORTEST {
            return Err(PasswordError::TooShort { found });
        }
        if found > LONGEST {
            return Err(PasswordError::TooLong { found });
        }
        let low = self.0.to_lowercase();
        let mut signs: Vec<char> = low.chars().collect();
        signs.sort_unstable();
        signs.dedup();
        if signs.len() < 5 {
            return Err(PasswordError::TriedFirst { why: "made of very few different signs" });
        }
        if low.chars().zip(low.chars().skip(1)).all(|(a, b)| u32::from(b) == u32::from(a) + 1) {
            return Err(PasswordError::TriedFirst { why: "a row of neighbouring signs" });
        }
        let bare = |text: &str| text.to_lowercase().chars().filter(|c| c.is_alphabetic()).collect::<String>();
        let word = bare(&low);
        if TRIED_FIRST.contains(&word.as_str()) || word.is_empty() {
            return Err(PasswordError::TriedFirst { why: "a usual word or only digits" });
        }
        if about.iter().any(|name| bare(name) == word) {
            return Err(PasswordError::TriedFirst { why: "a name of the person or the shop" });
        }
        Ok(())
    }

    /// The hash to keep, as a PHC text with its own salt and parameters. Takes some 20 to 100 ms and
    /// 19 MiB: never on a thread that answers requests.
    ///
    /// # Errors
    /// [`PasswordError::NotHashed`].
    pub fn hash(&self) -> Result<String, PasswordError> {
        let not = |why: String| PasswordError::NotHashed { why };
        let mut salt = [0_u8; 16];
        getrandom::fill(&mut salt).map_err(|e| not(e.to_string()))?;
        let hash: PasswordHash =
            argon()?.hash_password_with_salt(self.0.as_bytes(), &salt).map_err(|e| not(e.to_string()))?;
        Ok(hash.to_string())
    }

    /// Whether a kept hash is of this password. Takes as long as [`Password::hash`].
    ///
    /// # Errors
    /// [`PasswordError::NotHashed`] when the kept text is no hash of ours.
    pub(crate) fn is_of(&self, kept: &str) -> Result<bool, PasswordError> {
        use argon2::password_hash::Error as E;
        let not = |why: E| PasswordError::NotHashed { why: why.to_string() };
        // A password of more signs than are taken is nobody's, and is not worth the work of its length.
        let text = if self.0.chars().count() > LONGEST { "" } else { &self.0 };
        let kept = PasswordHash::new(kept).map_err(|e| PasswordError::NotHashed { why: e.to_string() })?;
        match argon()?.verify_password(text.as_bytes(), &kept) {
            Ok(()) => Ok(true),
            Err(E::PasswordInvalid) => Ok(false),
            Err(other) => Err(not(other)),
        }
    }
}

/// A hash that no password has: compared with where there is no account, so that the answer takes as long.
pub(crate) fn nobodys() -> String {
    format!(
        "$argon2id$v=19$m={MEMORY_KIB},t={PASSES},p={LANES}$bm9ib2R5bm9ib2R5bm8$AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA"
    )
}

fn argon() -> Result<Argon2<'static>, PasswordError> {
    let params = Params::new(MEMORY_KIB, PASSES, LANES, None);
    let params = params.map_err(|e| PasswordError::NotHashed { why: e.to_string() })?;
    Ok(Argon2::new(Algorithm::Argon2id, Version::V0x13, params))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hash_is_of_its_password_alone_and_says_how_it_was_made() {
        let password = Password::typed("grey lathe by the door");
        let kept = password.hash().unwrap();
        assert!(kept.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"), "{kept}");
        assert!(password.is_of(&kept).unwrap());
        assert!(!Password::typed("grey lathe by the doors").is_of(&kept).unwrap());
        assert_ne!(kept, password.hash().unwrap(), "each hash has a salt of its own");
        assert!(!format!("{password:?}").contains("lathe"));
    }

    /// RFC 9106, section 5.3: the test vector of Argon2id (32 KiB, 3 passes, 4 lanes, secret and
    /// associated data). It shows that the library computes the function of the standard.
    #[test]
    fn the_library_gives_the_vector_of_the_standard() {
        let data = argon2::AssociatedData::new(&[4; 12]).unwrap();
        let mut params = argon2::ParamsBuilder::new();
        let params = params.m_cost(32).t_cost(3).p_cost(4).data(data).output_len(32).build().unwrap();
        let argon = Argon2::new_with_secret(&[3; 8], Algorithm::Argon2id, Version::V0x13, params).unwrap();
        let mut tag = [0_u8; 32];
        argon.hash_password_into(&[1; 32], &[2; 16], &mut tag).unwrap();
        let hex: String = tag.iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(hex, "0d640df58d78766c08c037a34a8b53c9d01ef0452d75b65eb52520e96b01e659");
    }

    #[test]
    fn nobodys_hash_costs_the_same_and_fits_nothing() {
        let parsed = PasswordHash::new(&nobodys()).unwrap();
        let params = Params::try_from(&parsed).unwrap();
        assert_eq!((params.m_cost(), params.t_cost(), params.p_cost()), (MEMORY_KIB, PASSES, LANES));
        for typed in ["", "grey lathe by the door"] {
            assert!(!Password::typed(typed).is_of(&nobodys()).unwrap());
        }
    }

    #[test]
    fn what_everybody_tries_first_is_not_taken() {
        let about = ["mara", "Mara Lind", "North bench"];
        for (text, part) in [
            ("short", "5 signs"),
            ("Password123!", "usual word"),
            ("qwertzuiop99", "usual word"),
            ("0123456789", "neighbouring"),
            ("1029384756", "only digits"),
            ("aaaaaaaaaaaa", "very few"),
            ("abababababab", "very few"),
            ("maralind2026", "name of the person"),
            ("North Bench 1", "name of the person"),
        ] {
            let error = Password::typed(text).fits(&about).unwrap_err().to_string();
            assert!(error.contains(part), "{text}: {error}");
        }
        assert!(Password::typed(&"long ".repeat(41)).fits(&about).unwrap_err().to_string().contains("at most 200"));
        for text in ["grey lathe by the door", "pression 7 bar au ralenti", "кулачок и толкатель"] {
            Password::typed(text).fits(&about).unwrap();
        }
    }

    #[test]
    fn two_keyboards_give_one_password() {
        let kept = Password::typed("caf\u{e9} au lait").hash().unwrap();
        assert!(Password::typed("cafe\u{301} au lait").is_of(&kept).unwrap());
    }

    #[test]
    fn a_kept_text_that_is_no_hash_is_said() {
        assert!(matches!(Password::typed("x").is_of("plain"), Err(PasswordError::NotHashed { .. })));
    }
}
