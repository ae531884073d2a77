//! Entries as a tablet sends them.

use crate::http::exchange;
use serde_json::{Value, json};

/// The finaliser of splitmix64: every bit of the argument moves every bit of the result.
pub(crate) fn mixed(n: u64) -> u64 {
    let mut z = n.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// A name of an entry or a job: a UUID of version 7 that depends on its argument alone.
pub(crate) fn id(n: u64) -> String {
    let (a, b) = (mixed(n), mixed(mixed(n)));
    let (time, rest) = (1_775_600_000_000 + n % 1_000_000_000, b & 0x3fff_ffff_ffff_ffff | 0x8000_0000_0000_0000);
    format!(
        "{:08x}-{:04x}-7{:03x}-{:04x}-{:012x}",
        time >> 16 & 0xffff_ffff,
        time & 0xffff,
        a & 0xfff,
        rest >> 48,
        rest & 0xffff_ffff_ffff
    )
}

/// The entry that opens a job.
pub(crate) fn opening(n: u64, title: &str) -> Value {
    json!({ "id": id(n), "at": "2026-04-08T08:10:00Z", "kind": "job_opened",
            "body": { "title": title, "owner": "A. Tester", "built_for": "street" } })
}

/// A note.
pub(crate) fn note(n: u64, words: &str) -> Value {
    json!({ "id": id(n), "at": "2026-04-08T08:10:00Z", "kind": "note_written", "body": { "words": words } })
}

/// What came of sending entries.
#[derive(Debug)]
pub(crate) enum Sent {
    /// Saved: number of each in its job.
    Saved(Vec<i64>),
    /// Refused, with status and words.
    Refused(u16, String),
    /// No answer.
    Lost,
}

/// Sends entries of a job.
pub(crate) fn send(port: u16, job: &str, entries: &[Value]) -> Sent {
    let body = json!({ "job": job, "entries": entries }).to_string();
    let Ok(answer) = exchange(port, "POST", "/entries", Some(&body)) else { return Sent::Lost };
    assert!(answer.head.to_ascii_lowercase().contains("content-type: application/json"), "{}", answer.head);
    let text = String::from_utf8_lossy(&answer.body).into_owned();
    let value: Value = serde_json::from_str(&text).unwrap_or_default();
    if answer.status != 200 {
        return Sent::Refused(answer.status, value["error"].as_str().map_or(text.clone(), str::to_owned));
    }
    let written = value["written"].as_array().expect("a list of what was written");
    let names: Vec<&str> = written.iter().map(|w| w["id"].as_str().expect("an id")).collect();
    let sent: Vec<&str> = entries.iter().map(|e| e["id"].as_str().expect("an id")).collect();
    assert_eq!(names, sent);
    Sent::Saved(written.iter().map(|w| w["number"].as_i64().expect("a number")).collect())
}

#[test]
fn names_are_those_of_version_7_and_differ() {
    let all: std::collections::BTreeSet<String> = (0..1000).map(id).collect();
    assert_eq!(all.len(), 1000);
    assert!(all.iter().all(|id| id.len() == 36 && &id[14..15] == "7" && "89ab".contains(&id[19..20])));
}
