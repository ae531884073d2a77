//! Places in texts, words that are nearly the same, and tables with faults that say where.

use proptest::prelude::*;
use quantity::written::{Fields, Parsed, edits, known_are, nearest, nearest_within, place, read, suggestion};

/// Counted by hand.
#[test]
fn edits_between_words() {
    for (a, b, expected) in [
        ("", "", 0),
        ("", "bore", 4),
        ("bore", "bore", 0),
        ("bor", "bore", 1),
        ("boere", "bore", 1),
        ("bose", "bore", 1),
        // two letters in the wrong order are two edits
        ("broe", "bore", 2),
        ("stroke", "strike", 1),
        ("stroke", "rod", 4),
        // characters, not bytes
        ("kg·m²", "kg·m", 1),
        ("µm", "um", 1),
    ] {
        assert_eq!(edits(a, b), expected, "{a:?} to {b:?}");
    }
}

proptest! {
    /// What any distance must obey, whatever the words.
    #[test]
    fn edits_are_a_distance(a in "[abc·]{0,8}", b in "[abc·]{0,8}", c in "[abc·]{0,8}") {
        let chars = |s: &str| s.chars().count();
        prop_assert_eq!(edits(&a, &b), edits(&b, &a));
        prop_assert_eq!(edits(&a, &b) == 0, a == b);
        prop_assert!(edits(&a, &b) <= edits(&a, &c) + edits(&c, &b));
        prop_assert!(edits(&a, &b) >= chars(&a).abs_diff(chars(&b)));
        prop_assert!(edits(&a, &b) <= chars(&a).max(chars(&b)));
    }
}

#[test]
fn a_word_is_near_up_to_one_edit_and_one_for_every_three_characters() {
    assert_eq!(nearest("strok", ["bore", "stroke"]), Some("stroke"));
    // six characters allow three edits, and not four
    assert_eq!(nearest("abcxyz", ["abcdef"]), Some("abcdef"));
    assert_eq!(nearest("abwxyz", ["abcdef"]), None);
    // of two as near the first, in either order
    assert_eq!(nearest("mix", ["max", "min"]), Some("max"));
    assert_eq!(nearest("mix", ["min", "max"]), Some("min"));
    assert_eq!(nearest("mix", []), None);
    assert_eq!(nearest_within("mix", ["max"], 0), None);
    assert_eq!(nearest_within("max", ["max"], 0), Some("max"));
}

#[test]
fn a_suggestion_is_the_near_word_or_all_that_are_known() {
    assert_eq!(suggestion("feture", ["feature", "limit"]).as_deref(), Some("did you mean `feature`?"));
    assert_eq!(suggestion("colour", ["min", "max"]).as_deref(), Some("known are min, max"));
    assert_eq!(suggestion("colour", []), None);
    assert_eq!(known_are([]), None);
}

#[test]
fn a_place_is_line_and_column_in_characters() {
    let text = "bore = 1\r\nµ·² = 2\n";
    let at = |word: &str| place(text, text.find(word).expect("a word of the text"));
    assert_eq!(at("bore"), (1, 1));
    assert_eq!(at("1"), (1, 8));
    assert_eq!(at("µ"), (2, 1));
    assert_eq!(at("2"), (2, 7));
    // inside a character of two bytes, and behind the end
    assert_eq!(place(text, text.find('·').expect("a point") + 1), at("·"));
    assert_eq!(place(text, text.len()), (3, 1));
    assert_eq!(place(text, 1000), (3, 1));
    assert_eq!(place("", 0), (1, 1));
}

/// What a small file of two readers would say.
fn said(text: &str) -> String {
    fn of(root: &Fields<'_>) -> Parsed<String> {
        root.only(&["version", "title", "row", "words", "rough"])?;
        root.version(3)?;
        let title = root.maybe_string("title", "put it in quotation marks")?.unwrap_or("none");
        let (words, rough) = (root.texts("words")?, root.flag("rough")?);
        let mut rows = Vec::new();
        for row in root.tables("row")? {
            row.only(&["key"])?;
            let key = row.maybe_string("key", "write key = \"…\"")?;
            rows.push(key.ok_or_else(|| row.fault("key", "`key` is missing".to_owned(), None))?.to_owned());
        }
        Ok(format!("{title}: {words:?} {rough} {rows:?}"))
    }
    read(text, of).unwrap_or_else(|error| error.to_string())
}

#[test]
fn tables_say_where_a_fault_stands_and_what_to_write() {
    let cases = [
        ("version = 3", "none: [] false []"),
        (
            "version = 3\ntitle = \" A \"\nwords = [\"x\", \"y\"]\nrough = true\n[[row]]\nkey = \"a\"\n[[row]]\nkey = \"b\"\n",
            " A : [\"x\", \"y\"] true [\"a\", \"b\"]",
        ),
        ("", "line 1, column 1: no version is given, version 3 was expected; write version = 3 at the top"),
        (
            "title = \"\"\nversion = 2\n",
            "line 2, column 11: version 2 is given, version 3 was expected; write version = 3 at the top",
        ),
        ("version = 3\ntitel = 1\n", "line 2, column 1: the key `titel` is not known here; did you mean `title`?"),
        (
            "version = 3\n[[row]]\nnothing_near = 1\n",
            "line 3, column 1: the key `nothing_near` is not known here; known are key",
        ),
        (
            "version = 3\ntitle = 5\n",
            "line 2, column 9: `title` is integer, text was expected; put it in quotation marks",
        ),
        ("version = 3\nrow = 5\n", "line 2, column 7: `row` is no list of tables; write [[row]]"),
        (
            "version = 3\nwords = [\"x\", 5]\n",
            "line 2, column 9: `words` is no list of texts; write words = [\"…\", \"…\"]",
        ),
        ("version = 3\nrough = \"yes\"\n", "line 2, column 9: `rough` is string, true or false was expected"),
        ("version = 3\n[[row]]\nkey = \"a\"\n[[row]]\n", "line 4, column 1: `key` is missing"),
    ];
    for (text, expected) in cases {
        assert_eq!(said(text), expected, "{text}");
    }
    assert!(said("version = 3\ntitle = \"\n").starts_with("line 2, column "), "{}", said("version = 3\ntitle = \"\n"));
}
