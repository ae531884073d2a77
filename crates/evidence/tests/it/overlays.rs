//! Marks over a photo.

use evidence::{Mark, MarkError, described, overlay};

fn marks() -> Vec<Mark> {
    vec![
        Mark::Arrow { from: (0.1, 0.1), to: (0.5, 0.5) },
        Mark::Circle { at: (0.25, 0.8), radius: 0.1 },
        Mark::Words { at: (0.9, 0.2), words: "crack, 12 mm".into() },
    ]
}

#[test]
fn the_drawing() {
    insta::assert_snapshot!(overlay(&marks(), 1400, 1050).expect("a drawing"));
}

#[test]
fn words_cannot_become_markup() {
    let nasty = "</text><script>alert(\"1\")</script> & 'x'\u{0}\u{1b}\nnext";
    let svg = overlay(&[Mark::Words { at: (0.1, 0.1), words: nasty.into() }], 100, 100).expect("a drawing");
    assert!(!svg.contains("<script") && !svg.contains('\u{0}') && !svg.contains('\u{1b}'));
    assert!(svg.contains("&lt;/text&gt;&lt;script&gt;alert(&quot;1&quot;)&lt;/script&gt; &amp; &#39;x&#39; next"));
    // One element each: nothing was opened by the words.
    assert_eq!(
        (svg.matches("<text").count(), svg.matches("</text>").count(), svg.matches("<title").count()),
        (1, 1, 1)
    );
}

#[test]
fn marks_in_words() {
    assert_eq!(
        described(&marks()),
        "arrow to the middle; circle at the lower left; words at the upper right: crack, 12 mm"
    );
    assert_eq!(described(&[]), "no marks");
}

#[test]
fn what_cannot_be_drawn_is_refused_by_number() {
    let two =
        |second: Mark| overlay(&[Mark::Circle { at: (0.5, 0.5), radius: 0.1 }, second], 100, 100).expect_err("refused");
    assert_eq!(
        two(Mark::Arrow { from: (0.1, 0.1), to: (1.2, 0.5) }).to_string(),
        "mark 2: 1.2 is no place on the photo; 0 to 1 is expected"
    );
    assert!(matches!(two(Mark::Arrow { from: (f64::NAN, 0.1), to: (0.2, 0.5) }), MarkError::Place { number: 2, .. }));
    assert!(matches!(two(Mark::Circle { at: (0.1, 0.1), radius: 0.0 }), MarkError::Radius { .. }));
    assert!(matches!(two(Mark::Words { at: (0.1, 0.1), words: "  ".into() }), MarkError::Words { found: 0, .. }));
    assert!(matches!(two(Mark::Words { at: (0.1, 0.1), words: "x".repeat(201) }), MarkError::Words { found: 201, .. }));
    let many = vec![Mark::Circle { at: (0.5, 0.5), radius: 0.1 }; 201];
    assert!(matches!(overlay(&many, 10, 10), Err(MarkError::TooMany { found: 201 })));
    assert!(matches!(overlay(&[], 0, 10), Err(MarkError::NoSize { .. })));
}

#[test]
fn a_tap_is_an_arrow_all_the_same() {
    let svg = overlay(&[Mark::Arrow { from: (0.5, 0.5), to: (0.5, 0.5) }], 200, 200).expect("a drawing");
    assert!(!svg.contains("NaN") && svg.contains("L100.0 100.0"));
}
