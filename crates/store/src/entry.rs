//! An entry of the record: what a writer hands over, and what is kept of it.

use serde::{Deserialize, Serialize};

/// An entry to be added. Its id is made by whoever writes, so that sending it twice adds it once.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewEntry {
    /// UUID version 7 (RFC 9562), hyphenated, lower case.
    pub id: String,
    /// The job it belongs to; a UUID in the same form.
    pub job: String,
    /// When, by the writer's clock, RFC 3339.
    pub at: String,
    /// Who; not empty.
    pub author: String,
    /// What kind of entry: a word of lower-case letters, digits and `_`. The first of a job is `job_opened`.
    pub kind: String,
    /// What it says: a JSON object. Names are unique in it, and whole numbers are such as a double holds exactly.
    pub body: String,
    /// SHA-256 and name of each file that belongs to it; each kept before by [`crate::Store::keep_file`].
    #[serde(default)]
    pub files: Vec<(String, String)>,
    /// Words by which it is found; may be empty. Not part of the hash.
    #[serde(default)]
    pub search_text: String,
}

/// An entry as it is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StoredEntry {
    /// Place in the shop's sequence of entries, from 1, without gaps.
    pub seq: i64,
    /// Place in the job's sequence, from 1, without gaps.
    pub number: i64,
    /// Identifies it everywhere.
    pub id: String,
    /// The job it belongs to.
    pub job: String,
    /// When, by the writer's clock, RFC 3339.
    pub at: String,
    /// When it was saved, by this machine's clock, RFC 3339 in UTC.
    pub received: String,
    /// Who.
    pub author: String,
    /// What kind of entry.
    pub kind: String,
    /// What it says: a JSON object in canonical form (RFC 8785).
    pub body: String,
    /// SHA-256 and name of each file that belongs to it.
    pub files: Vec<(String, String)>,
    /// Hash of the entry before it in the job; 64 zeros for the first.
    pub before: String,
    /// Hash of the entry before it in the shop; 64 zeros for the first.
    pub shop_before: String,
    /// SHA-256 over the canonical form of `at`, `author`, `before`, `body` (as an object), `files` (objects of `name`
    /// and `sha256`), `id`, `job`, `kind`, `number`, `received` and `shop_before`.
    pub hash: String,
}

/// A job in a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct JobRow {
    /// Identifies it everywhere.
    pub job: String,
    /// Number in this shop ("Job 31"), from 1, in the order in which jobs were opened.
    pub number: i64,
    /// `at` of its first entry.
    pub opened_at: String,
    /// How many entries it has.
    pub entries: i64,
    /// `received` of its newest entry.
    pub last_at: String,
    /// `seq` of its newest entry.
    pub last_seq: i64,
}

/// A piece of the text in which something was found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SnippetPart {
    /// The text.
    pub text: String,
    /// Whether it is one of the words looked for.
    pub found: bool,
}

/// An entry found by its words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hit {
    /// The job.
    pub job: String,
    /// The job's number in this shop.
    pub job_number: i64,
    /// The entry's number in the job.
    pub number: i64,
    /// The entry.
    pub entry_id: String,
    /// Its kind.
    pub kind: String,
    /// Its words around the place, in pieces.
    pub snippet: Vec<SnippetPart>,
}

/// The newest entry of the shop: who notes it down can tell later that nothing before it was changed or lost.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShopHash {
    /// Its place in the shop's sequence.
    pub seq: i64,
    /// Its hash.
    pub hash: String,
}
