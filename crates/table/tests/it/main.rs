//! Tests of the reader of tables, in one binary.

use std::panic::catch_unwind;
use table::{close, close_to_share, half_digit, parse, rows};

/// What a check says when it stops a test.
fn stops<T>(check: impl FnOnce() -> T + std::panic::UnwindSafe) -> String {
    let why = catch_unwind(check).err().expect("it stops");
    why.downcast_ref::<String>()
        .cloned()
        .or_else(|| why.downcast_ref::<&str>().map(|s| (*s).to_owned()))
        .expect("a text")
}

#[test]
fn rows_by_column_with_quoted_commas_and_either_end_of_line() {
    for end in ["\n", "\r\n"] {
        let text = ["case,mass_kg,note", "a,1.5,\"light, as cast\"", "", "b,-2e-3,", ""].join(end);
        let rows = parse("t", &text);
        assert_eq!(rows.len(), 2);
        assert_eq!((rows[0].text("case"), rows[0].number("mass_kg")), ("a", 1.5));
        assert_eq!(rows[0]["note"], "light, as cast");
        assert_eq!((rows[1].number("mass_kg"), rows[1].text("note")), (-2e-3, ""));
    }
}

#[test]
fn a_table_that_is_not_whole_stops_the_test() {
    assert_eq!(stops(|| parse("t", "\n")), "t has no header");
    assert_eq!(stops(|| parse("t", "a,b\n")), "t has no rows");
    for text in ["a,b\n1\n", "a,b\n1,2,3\n", "a,b\n1,\"2,3\n4\"\n"] {
        let why = stops(|| parse("t", text));
        assert!(why.contains("t: cells, and columns of the header"), "{why}");
    }
    assert!(stops(|| parse("t", "a,a\n1,2\n")).contains("t has two columns of one name"));
    assert!(stops(|| rows("units/not_there.csv")).contains("not_there.csv"));
    let row = parse("t", "a\nx\n").remove(0);
    assert_eq!(stops(|| row.number("a")), "\"x\" in a is no number");
    assert_eq!(stops(|| parse("t", "a\nx\n")[0].text("b").len()), "no column b");
}

#[test]
fn checks_hold_up_to_the_edge_and_not_beyond() {
    close("x", 1.25, 1.0, 0.25);
    close_to_share("x", -1.25, -1.0, 0.25);
    for (found, expected) in [(1.2501, 1.0), (f64::NAN, 1.0), (1.0, f64::NAN)] {
        stops(move || close("x", found, expected, 0.25));
        stops(move || close_to_share("x", found, expected, 0.25));
    }
    let row = parse("t", "a\n2.0\n").remove(0);
    row.agrees("a", 2.0 + 1.9e-7);
    row.agrees_within("a", 1.99, 0.006);
    let again = row.clone();
    stops(move || again.agrees("a", 2.0 + 2.1e-7));
    stops(move || row.agrees_within("a", 1.98, 0.006));
}

#[test]
fn half_of_the_eighth_digit() {
    for (number, expected) in [(745.69987, 5e-6), (746.0, 5e-6), (-1.0, 5e-8), (0.05, 5e-10), (0.0, 0.0)] {
        assert!((half_digit(number) - expected).abs() <= 1e-9 * expected, "{number}: {}", half_digit(number));
    }
}
