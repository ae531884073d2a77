//! Checking the record: every hash, every link, every number, and what is derived from the entries.

use crate::canonical::{NO_HASH, canonical_object};
use crate::db::Fault;
use crate::entries::{JOB_OPENED, hash_of, load};
use crate::entry::{ShopHash, StoredEntry};
use rusqlite::Connection;
use std::collections::HashMap;

/// Entries read at a time.
const AT_A_TIME: i64 = 1000;
/// Faults told one by one; the rest is counted.
const TOLD: usize = 50;

/// What the check of the record found.
#[derive(Debug, Default)]
pub(crate) struct Found {
    pub(crate) jobs: usize,
    pub(crate) entries: usize,
    /// What is not as it should be, in words.
    pub(crate) bad: Vec<String>,
    pub(crate) newest: Option<ShopHash>,
}

/// A job as far as it has been read.
struct Seen {
    number: i64,
    hash: String,
    seq: i64,
    received: String,
    opened_at: String,
}

/// Reads every entry in the order of the shop.
pub(crate) fn verify(db: &Connection) -> Result<Found, Fault> {
    let numbers = job_numbers(db)?;
    let mut found = Found { jobs: numbers.len(), ..Found::default() };
    let mut more = 0_usize;
    let mut seen: HashMap<String, Seen> = HashMap::new();
    let mut last = ShopHash { seq: 0, hash: NO_HASH.to_owned() };
    loop {
        let part = load(db, "seq > ?1 ORDER BY seq LIMIT ?2", &[&last.seq, &AT_A_TIME])?;
        if part.is_empty() {
            break;
        }
        for entry in part {
            found.entries += 1;
            let wrong = faults_of(&entry, &last, seen.get(&entry.job));
            if !wrong.is_empty() {
                let job = numbers.get(&entry.job).map_or_else(|| entry.job.clone(), |row| row.0.to_string());
                let told = format!("entry {} of job {job} ({}): {}", entry.number, entry.id, wrong.join("; "));
                if found.bad.len() < TOLD { found.bad.push(told) } else { more += 1 }
            }
            let opened_at = match seen.remove(&entry.job) {
                Some(before) => before.opened_at,
                None => entry.at.clone(),
            };
            last = ShopHash { seq: entry.seq, hash: entry.hash.clone() };
            let now =
                Seen { number: entry.number, hash: entry.hash, seq: entry.seq, received: entry.received, opened_at };
            seen.insert(entry.job, now);
        }
    }
    if more > 0 {
        found.bad.push(format!("{more} more entries are not as they should be"));
    }
    around(db, &numbers, &seen, found.entries, &mut found.bad)?;
    found.newest = (last.seq > 0).then_some(last);
    Ok(found)
}

/// What is wrong with one entry, given the one before it in the shop and in its job.
fn faults_of(entry: &StoredEntry, last: &ShopHash, in_job: Option<&Seen>) -> Vec<String> {
    let mut wrong = Vec::new();
    if entry.seq != last.seq + 1 {
        wrong.push(match entry.seq - last.seq {
            2 => format!("the shop's entry {} before it is gone", last.seq + 1),
            _ => format!("the shop's entries {} to {} before it are gone", last.seq + 1, entry.seq - 1),
        });
    }
    let expected = in_job.map_or(1, |seen| seen.number + 1);
    if entry.number != expected {
        wrong.push(format!("its number should be {expected}"));
    }
    if entry.before != in_job.map_or(NO_HASH, |seen| seen.hash.as_str()) {
        wrong.push("it does not continue the job's entry before it".to_owned());
    }
    if entry.shop_before != last.hash {
        wrong.push("it does not continue the shop's entry before it".to_owned());
    }
    if (entry.kind == JOB_OPENED) != in_job.is_none() {
        wrong.push(format!("its kind is {}", entry.kind));
    }
    if canonical_object("body", &entry.body).ok().as_deref() != Some(entry.body.as_str()) {
        wrong.push("its body is not in canonical form".to_owned());
    }
    let content = hash_of(entry);
    if entry.hash != content {
        wrong.push(format!("its content was changed: by its hash it is {}, by its content {content}", entry.hash));
    }
    wrong
}

/// Number and time of opening of each job.
fn job_numbers(db: &Connection) -> Result<HashMap<String, (i64, String)>, Fault> {
    let mut rows = db.prepare("SELECT job, number, opened_at FROM jobs")?;
    let rows = rows.query_map([], |r| Ok((r.get(0)?, (r.get(1)?, r.get(2)?))))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// What stands around the entries: list of jobs, list of newest entries, words to search by, count of what was written.
fn around(
    db: &Connection,
    numbers: &HashMap<String, (i64, String)>,
    seen: &HashMap<String, Seen>,
    entries: usize,
    bad: &mut Vec<String>,
) -> Result<(), Fault> {
    let mut open: Vec<_> = numbers.iter().map(|(job, (number, at))| (*number, job, at)).collect();
    open.sort();
    for (place, (number, job, at)) in (1_i64..).zip(&open) {
        if *number != place {
            bad.push(format!("job {number} ({job}): its number should be {place}"));
        }
        match seen.get(*job) {
            None => bad.push(format!("job {number} ({job}) has no entry")),
            Some(seen) if seen.opened_at != **at => {
                bad.push(format!(
                    "job {number} ({job}): it was opened at {}, the list of jobs says {at}",
                    seen.opened_at
                ));
            }
            Some(_) => {}
        }
    }
    let mut newest = db.prepare("SELECT job, entries, seq, at FROM job_newest")?;
    let mut rows = newest.query([])?;
    let mut listed = 0;
    while let Some(row) = rows.next()? {
        let (job, entries, seq, at): (String, i64, i64, String) = (row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?);
        let fits = seen.get(&job).is_some_and(|s| s.number == entries && s.seq == seq && s.received == at);
        if !fits {
            bad.push(format!("the list of newest entries is wrong about the job {job}; it is made anew at the next opening if it is emptied"));
        }
        listed += 1;
    }
    if listed != seen.len() {
        bad.push(format!("the list of newest entries names {listed} jobs of {}", seen.len()));
    }
    // The row of an entry and the row that says that it was written are saved together.
    let written: i64 = db.query_row("SELECT COUNT(*) FROM changes WHERE what = 'entry'", [], |r| r.get(0))?;
    if usize::try_from(written) != Ok(entries) {
        bad.push(format!("of {written} entries that were written {entries} are there"));
    }
    let words = "SELECT (SELECT COUNT(*) FROM entries WHERE seq NOT IN (SELECT rowid FROM entry_words)),
         (SELECT COUNT(*) FROM entry_words WHERE rowid NOT IN (SELECT seq FROM entries))";
    let (without, stray): (i64, i64) = db.query_row(words, [], |r| Ok((r.get(0)?, r.get(1)?)))?;
    if without > 0 {
        bad.push(format!(
            "missing from the search: {without} of {entries} entries; the entries themselves are not affected"
        ));
    }
    if stray > 0 {
        bad.push(format!("the search names {stray} entries that are not there"));
    }
    Ok(())
}
