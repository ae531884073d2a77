//! The fold: a function of the set of entries; nothing is overwritten; what disagrees is shown.

use crate::sample::*;
use proptest::prelude::*;
use record::*;

/// A job with something of nearly everything in it.
fn course() -> Vec<Entry> {
    let bodies = vec![
        opened(),                                                                             // 1
        claim("8.8 to 1, safe for the blower.", Some(ratio("8.8")), Weight::DecidesTheBuild), // 2
        finding(Some(2), Some(ratio("9.77 \u{b1} 0.05")), Severity::Major),                   // 3
        verdict(2, TruthVerdict::Partly, &[]),                                                // 4
        verdict(2, TruthVerdict::NotTrue, &[4]),                                              // 5
        promise("Forged pistons, 8.6 to 1."),                                                 // 6
        sheet(),                                                                              // 7
        reading(7, "cylinder 3/bottom/along", "92.766", &[]),                                 // 8
        reading(7, "cylinder 3/bottom/along", "92.755", &[8]),                                // 9
        question(true),                                                                       // 10
        answer(10, "Run a fourth.", &[]),                                                     // 11
        part(Some(6), "P-4412"),                                                              // 12
        note("Filter changed."),                                                              // 13
        correction(13, &[13], note("Filter and hose changed.")),                              // 14
        strike(12),                                                                           // 15
        strike(15),                                                                           // 16: it counts again
        passed(Stage::OpenedUp),                                                              // 17
    ];
    bodies.into_iter().enumerate().map(|(n, body)| entry(n as u64 + 1, body)).collect()
}

#[test]
fn a_course_comes_out_as_it_was_written() {
    let job = fold(&course());
    assert_eq!(job.misfits, Vec::new());
    assert_eq!(job.conflicts, Vec::new());
    assert_eq!(job.stage(), Stage::OpenedUp);
    assert_eq!(job.claims.len(), 2);
    assert_eq!(job.claims[0].standing(), Standing::Judged(TruthVerdict::NotTrue));
    assert_eq!(job.claims[0].findings, vec![id(3)]);
    let sheet = job.sheet(id(7)).unwrap();
    assert_eq!(sheet.reading("cylinder 3/bottom/along").unwrap().id, id(9));
    assert_eq!(sheet.readings["cylinder 3/bottom/along"].len(), 2, "the first reading is still there");
    assert_eq!(job.questions[0].answers.len(), 1);
    assert_eq!(job.notes[0].value.words, "Filter and hose changed.");
    assert_eq!(job.notes[0].corrected, vec![id(14)]);
    assert_eq!(job.parts.len(), 1, "a strike that was struck does not count");
    assert!(job.claims[1].is_proved(&job.proofs(&job.claims[1])), "a part number proves the promise");
    assert_eq!(job.lines.len(), 17, "every entry is a line of the notebook");
}

#[test]
fn two_readings_that_did_not_know_of_each_other_are_both_shown() {
    let mut entries = course();
    entries.push(entry(18, reading(7, "cylinder 1/top/along", "92.751", &[])));
    entries.push(entry(19, reading(7, "cylinder 1/top/along", "92.753", &[])));
    let job = fold(&entries);
    assert_eq!(job.conflicts.len(), 1);
    assert_eq!(job.conflicts[0].entries, vec![id(18), id(19)]);
    // Somebody looks at both and settles it.
    entries.push(entry(20, reading(7, "cylinder 1/top/along", "92.752", &[18, 19])));
    let job = fold(&entries);
    assert_eq!(job.conflicts, Vec::new());
    assert_eq!(job.sheet(id(7)).unwrap().reading("cylinder 1/top/along").unwrap().id, id(20));
}

/// A repeat says what it repeats, and then both count; without that two readings are two hands that did not know of each other.
#[test]
fn repeats_count_together_and_are_no_conflict() {
    let place = "cylinder 1/top/along";
    let mut entries = course();
    let again = |of: &[u64], text: &str| match reading(7, place, text, &[]) {
        Body::Reading(it) => Body::Reading(Reading { repeats: of.iter().map(|n| id(*n)).collect(), ..it }),
        other => other,
    };
    entries.push(entry(18, reading(7, place, "92.752", &[])));
    entries.push(entry(19, again(&[18], "92.754")));
    entries.push(entry(20, again(&[18, 19], "92.753")));
    let job = fold(&entries);
    assert_eq!(job.conflicts, Vec::new());
    let sheet = job.sheet(id(7)).unwrap();
    let counting: Vec<Id> = sheet.counting(place).iter().map(|r| r.id).collect();
    assert_eq!(counting, [id(18), id(19), id(20)]);
    assert!(sheet.disagreeing(place).is_empty());
    entries.push(entry(21, reading(7, place, "92.761", &[])));
    let job = fold(&entries);
    assert_eq!(job.conflicts.len(), 1);
    let sheet = job.sheet(id(7)).unwrap();
    let counting: Vec<Id> = sheet.counting(place).iter().map(|r| r.id).collect();
    assert_eq!(counting, [id(21)], "the newest, until somebody chooses");
    let others: Vec<Id> = sheet.disagreeing(place).iter().map(|r| r.id).collect();
    assert_eq!(others, [id(18), id(19), id(20)]);
}

#[test]
fn verdicts_given_at_once_are_disputed_until_one_replaces_both() {
    let mut entries = course();
    entries.push(entry(18, verdict(2, TruthVerdict::CannotTell, &[4])));
    let job = fold(&entries);
    assert_eq!(job.claims[0].standing(), Standing::Disputed);
    assert_eq!(job.conflicts.len(), 1);
    entries.push(entry(19, verdict(2, TruthVerdict::NotTrue, &[5, 18])));
    assert_eq!(fold(&entries).claims[0].standing(), Standing::Judged(TruthVerdict::NotTrue));
}

#[test]
fn two_corrections_of_one_entry_conflict_and_a_third_settles() {
    let mut entries = course();
    entries.push(entry(18, correction(13, &[13], note("Hose changed."))));
    assert_eq!(fold(&entries).conflicts.len(), 1);
    entries.push(entry(19, correction(13, &[14, 18], note("Filter and hose changed, seen by two."))));
    let job = fold(&entries);
    assert_eq!(job.conflicts, Vec::new());
    assert_eq!(job.notes[0].value.words, "Filter and hose changed, seen by two.");
}

#[test]
fn what_refers_to_nothing_is_kept_and_does_not_count() {
    let mut entries = course();
    entries.push(entry(20, verdict(99, TruthVerdict::True, &[])));
    entries.push(entry(21, verdict(13, TruthVerdict::True, &[])));
    entries.push(entry(22, reading(2, "x", "1.0", &[])));
    entries.push(entry(23, correction(2, &[2], note("a note is no claim"))));
    entries.push(entry(24, opened()));
    entries.push(entry(25, strike(30)));
    entries.push(entry(30, note("later than its strike")));
    let job = fold(&entries);
    let whys: Vec<String> = job.misfits.iter().map(|m| m.why.clone()).collect();
    insta::assert_yaml_snapshot!(whys);
    assert_eq!(job.claims[0].words, "8.8 to 1, safe for the blower.");
    assert!(job.notes.iter().any(|n| n.id == id(30)), "nobody strikes what is written later");
}

#[test]
fn a_sheet_read_again_after_it_was_signed_is_not_finished() {
    let mut entries = course();
    entries.push(entry(18, Body::SheetFinished(SheetFinished { sheet: id(7), remark: String::new() })));
    assert!(fold(&entries).sheet(id(7)).unwrap().is_finished());
    entries.push(entry(19, reading(7, "cylinder 1/top/along", "92.751", &[])));
    assert!(!fold(&entries).sheet(id(7)).unwrap().is_finished());
}

proptest! {
    /// Writers commute: whatever order entries arrive in, and however often, the state is the same.
    #[test]
    fn the_order_of_arrival_does_not_matter(order in Just((0..19usize).collect::<Vec<_>>()).prop_shuffle(), again in 0..19usize) {
        let mut entries = course();
        entries.push(entry(18, reading(7, "cylinder 1/top/along", "92.751", &[])));
        entries.push(entry(19, reading(7, "cylinder 1/top/along", "92.753", &[])));
        let straight = fold(&entries);
        let mut mixed: Vec<Entry> = order.iter().map(|n| entries[*n].clone()).collect();
        mixed.push(entries[again].clone());
        prop_assert_eq!(fold(&mixed), straight);
    }

    /// Nothing is lost: each entry is a line, whatever it says, and folding never panics on odd references.
    #[test]
    fn every_entry_is_a_line(refs in proptest::collection::vec((0..9u8, 1..40u64, 1..40u64), 1..30)) {
        let mut entries = vec![entry(1, opened())];
        for (place, (kind, a, b)) in refs.into_iter().enumerate() {
            let body = match kind {
                0 => verdict(a, TruthVerdict::True, &[b]),
                1 => reading(a, "p", "1.0", &[b]),
                2 => strike(a),
                3 => correction(a, &[b], note("n")),
                4 => answer(a, "w", &[b]),
                5 => sheet(),
                6 => finding(Some(a), None, Severity::Note),
                7 => part(Some(a), ""),
                _ => note("n"),
            };
            entries.push(entry(place as u64 + 2, body));
        }
        let job = fold(&entries);
        prop_assert_eq!(job.lines.len(), entries.len());
    }
}
