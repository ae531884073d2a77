//! The help of every verb, pinned.

use crate::{out, plateau};

#[test]
fn the_help_of_every_verb() {
    for verb in [
        &[][..],
        &["pull"],
        &["keep"],
        &["runs"],
        &["check"],
        &["backup"],
        &["restore"],
        &["instruments"],
        &["instruments", "set"],
        &["job"],
        &["job", "list"],
        &["job", "show"],
        &["job", "export"],
        &["job", "bring"],
        &["engine"],
        &["engine", "new"],
        &["predict"],
        &["serve"],
        &["people"],
        &["people", "add"],
        &["people", "change"],
        &["watch"],
        &["dyno"],
        &["dyno", "show"],
        &["dyno", "learn"],
        &["guards"],
        &["guards", "show"],
        &["guards", "set"],
    ] {
        let (text, errors, code) = out(plateau().args(verb).arg("--help"));
        assert_eq!((errors.as_str(), code), ("", 0));
        insta::assert_snapshot!(format!("help_{}", if verb.is_empty() { "all".into() } else { verb.join("_") }), text);
    }
}
