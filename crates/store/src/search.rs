//! Finding entries by their words (SQLite FTS5).
//!
//! Words are compared without case and accents, and a word finds every longer one that begins with it. All words must
//! occur in the same entry. A number such as `4032-B` is found whole and by each of its parts.

use crate::Store;
use crate::db::Fault;
use crate::entry::{Hit, SnippetPart};
use crate::error::StoreError;
use rusqlite::{Connection, params};

/// Marks put around a found word by the database; taken out of the words that come in.
const MARKS: [char; 2] = ['\u{1}', '\u{2}'];
/// Words shown around a place.
const AROUND: i64 = 16;

impl Store {
    /// Entries in which all these words occur, newest first, at most `limit`. No words give nothing.
    ///
    /// # Errors
    /// Those of the database.
    pub fn search(&self, words: &str, limit: usize) -> Result<Vec<Hit>, StoreError> {
        let Some(question) = question(words) else { return Ok(Vec::new()) };
        let limit = i64::try_from(limit).unwrap_or(i64::MAX);
        self.inner.read("searching the entries", |db| {
            let mut found = db.prepare_cached(
                "SELECT e.job, j.number, e.number, e.id, e.kind, w.around
                 FROM (SELECT rowid AS seq, snippet(entry_words, 0, char(1), char(2), '…', ?3) AS around
                       FROM entry_words WHERE entry_words MATCH ?1 ORDER BY rowid DESC LIMIT ?2) w
                 CROSS JOIN entries e ON e.seq = w.seq CROSS JOIN jobs j ON j.job = e.job
                 ORDER BY w.seq DESC",
            )?;
            let rows = found.query_map(params![question, limit, AROUND], |r| {
                Ok(Hit {
                    job: r.get(0)?,
                    job_number: r.get(1)?,
                    number: r.get(2)?,
                    entry_id: r.get(3)?,
                    kind: r.get(4)?,
                    snippet: parts(&r.get::<_, String>(5)?),
                })
            })?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// Gives entries other words to be found by: after the rules by which the words are made have changed, or after
    /// the index was lost. The entries themselves stay as they are.
    ///
    /// # Errors
    /// [`StoreError::NoEntry`] if there is no entry of this `seq`; else those of the database. No words are changed then.
    pub fn put_words(&self, words: &[(i64, String)]) -> Result<(), StoreError> {
        self.inner.write("writing words to search by", |db| {
            for (seq, text) in words {
                let there: bool = db
                    .prepare_cached("SELECT EXISTS (SELECT 1 FROM entries WHERE seq = ?1)")?
                    .query_row([seq], |r| r.get(0))?;
                if !there {
                    return Err(StoreError::NoEntry { entry: seq.to_string() }.into());
                }
                db.prepare_cached("DELETE FROM entry_words WHERE rowid = ?1")?.execute([seq])?;
                add_words(db, *seq, text)?;
            }
            Ok(())
        })
    }
}

/// Adds the words of an entry. Every entry has a row, an empty one too: the check counts them.
pub(crate) fn add_words(db: &Connection, seq: i64, text: &str) -> Result<(), Fault> {
    let text = text.replace(MARKS, " ");
    db.prepare_cached("INSERT INTO entry_words (rowid, text) VALUES (?1, ?2)")?.execute(params![seq, text])?;
    Ok(())
}

/// What a person typed as a question to the index: each word in quotes, so that no character of it means anything there.
fn question(words: &str) -> Option<String> {
    let quoted: Vec<String> = words
        .split_whitespace()
        .filter(|word| word.chars().any(char::is_alphanumeric))
        .map(|word| format!("\"{}\"*", word.replace('"', "\"\"").replace('\0', "")))
        .collect();
    (!quoted.is_empty()).then(|| quoted.join(" "))
}

/// Cuts a text at the marks.
fn parts(marked: &str) -> Vec<SnippetPart> {
    let mut all = Vec::new();
    let mut found = false;
    for piece in marked.split(MARKS) {
        if !piece.is_empty() {
            all.push(SnippetPart { text: piece.to_owned(), found });
        }
        found = !found;
    }
    all
}
