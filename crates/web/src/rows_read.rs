//! How many rows of an import are read, told to the page that brought it.
//!
//! The readers count bytes; a row is taken as the mean number of bytes of the log's rows. Of a log that is
//! not text the bytes are said. Nothing is told in the first second, and then four times a second at most.

use crate::news::News;
use crate::words::thousands;
use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

/// Nothing is told before this.
const QUIET: Duration = Duration::from_secs(1);
/// Time between two tellings.
const EVERY: Duration = Duration::from_millis(250);

/// A log of an import.
#[derive(Debug)]
struct Log {
    bytes: usize,
    rows: u64,
    done: AtomicUsize,
}

/// How far an import has come.
#[derive(Debug)]
pub(crate) struct RowsRead {
    mark: String,
    logs: Vec<Log>,
    began: Instant,
    told: Mutex<Option<Instant>>,
    text: bool,
}

impl RowsRead {
    /// Counts the rows of the logs; the mark is what the page calls the import.
    pub(crate) fn of(mark: String, files: &[(String, Vec<u8>)]) -> Self {
        let text = files.iter().all(|(_, bytes)| !bytes.starts_with(b"MDF     ") && !bytes.starts_with(b"UnFinMF "));
        let log = |bytes: &Vec<u8>| Log {
            bytes: bytes.len(),
            rows: if text { lines(bytes) } else { 0 },
            done: AtomicUsize::new(0),
        };
        let logs = files.iter().map(|(_, bytes)| log(bytes)).collect();
        Self { mark, logs, began: Instant::now(), told: Mutex::new(None), text }
    }

    /// `done` bytes of a log are read. Gives what is to be told now, if anything.
    pub(crate) fn at(&self, log: usize, done: usize) -> Option<News> {
        self.logs.get(log)?.done.fetch_max(done, Ordering::Relaxed);
        let now = Instant::now();
        if now.duration_since(self.began) < QUIET {
            return None;
        }
        let mut told = self.told.lock().unwrap_or_else(PoisonError::into_inner);
        // The end is always told: working the run out may take longer than reading did.
        let all_read = self.logs.iter().all(|log| log.done.load(Ordering::Relaxed) >= log.bytes);
        if !all_read && told.is_some_and(|told| now.saturating_duration_since(told) < EVERY) {
            return None;
        }
        *told = Some(now);
        Some(self.news())
    }

    fn news(&self) -> News {
        let (mut done, mut of) = (0, 0);
        for log in &self.logs {
            let read = log.done.load(Ordering::Relaxed).min(log.bytes) as u64;
            if self.text {
                done += log.rows * read / (log.bytes.max(1) as u64);
                of += log.rows;
            } else {
                done += read;
                of += log.bytes as u64;
            }
        }
        let words = match (done >= of, self.text) {
            (true, true) => format!("{} rows read, now being worked out", thousands(of as f64)),
            (true, false) => "read, now being worked out".to_owned(),
            (false, true) => format!("{} of {} rows", thousands(done as f64), thousands(of as f64)),
            (false, false) => format!("{} of {} MB", thousands(done as f64 / 1e6), thousands(of as f64 / 1e6)),
        };
        News::Progress { mark: self.mark.clone(), done, of, words }
    }
}

/// Lines of a text in any of the three line ends.
fn lines(bytes: &[u8]) -> u64 {
    let count = |end: u8| bytes.iter().filter(|b| **b == end).count() as u64;
    match count(b'\n') {
        0 => count(b'\r'),
        lines => lines,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(read: &RowsRead) -> (u64, u64, String) {
        match read.news() {
            News::Progress { done, of, words, .. } => (done, of, words),
            News::Change { .. } => unreachable!("progress is told"),
        }
    }

    #[test]
    fn rows_are_told_of_text_and_bytes_of_other_logs() {
        let rows = b"1,2\n".repeat(40_000);
        let read = RowsRead::of("a".into(), &[("a.csv".into(), rows.clone()), ("b.csv".into(), b"1\r2\r".to_vec())]);
        assert_eq!(words(&read), (0, 40_002, "0 of 40,002 rows".into()));
        assert!(read.at(0, 80_000).is_none(), "nothing in the first second");
        assert!(read.at(7, 80_000).is_none(), "no such log");
        assert_eq!(words(&read), (20_000, 40_002, "20,000 of 40,002 rows".into()));
        read.at(0, rows.len());
        read.at(1, 4);
        assert_eq!(words(&read).2, "40,002 rows read, now being worked out");
        let other = RowsRead::of("a".into(), &[("a.mf4".into(), [&b"MDF     "[..], &[0; 2_999_992]].concat())]);
        other.at(0, 1_000_000);
        assert_eq!(words(&other), (1_000_000, 3_000_000, "1 of 3 MB".into()));
    }
}
