//! How far reading has come, on standard error: only in a terminal, and only after a second.

use indicatif::{ProgressBar, ProgressStyle};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// Nothing is drawn before this.
const QUIET: Duration = Duration::from_secs(1);

/// A bar over all logs of a run.
#[derive(Debug)]
pub(crate) struct Bar {
    began: Instant,
    total: u64,
    done: Vec<AtomicU64>,
    bar: OnceLock<ProgressBar>,
}

impl Bar {
    /// Over the bytes of these logs.
    pub(crate) fn new(files: &[(String, Vec<u8>)]) -> Self {
        Self {
            began: Instant::now(),
            total: files.iter().map(|(_, bytes)| bytes.len() as u64).sum(),
            done: files.iter().map(|_| AtomicU64::new(0)).collect(),
            bar: OnceLock::new(),
        }
    }

    /// `done` bytes of a log have been read.
    pub(crate) fn at(&self, file: usize, done: usize) {
        if let Some(slot) = self.done.get(file) {
            slot.fetch_max(done as u64, Ordering::Relaxed);
        }
        if self.began.elapsed() < QUIET {
            return;
        }
        // indicatif draws on standard error and keeps quiet when that is no terminal.
        let bar = self.bar.get_or_init(|| {
            let style = ProgressStyle::with_template("reading {bar:40} {bytes} of {total_bytes}");
            let bar = ProgressBar::new(self.total);
            if let Ok(style) = style {
                bar.set_style(style);
            }
            bar
        });
        bar.set_position(self.done.iter().map(|slot| slot.load(Ordering::Relaxed)).sum());
    }

    /// Takes the bar away.
    pub(crate) fn end(&self) {
        if let Some(bar) = self.bar.get() {
            bar.finish_and_clear();
        }
    }
}

/// A bar over bytes or steps of something that goes on in one place.
#[derive(Debug)]
pub(crate) struct Steps {
    began: Instant,
    doing: &'static str,
    count: &'static str,
    bar: OnceLock<ProgressBar>,
}

impl Steps {
    /// Bytes are counted; `doing` stands before the bar.
    pub(crate) fn of_bytes(doing: &'static str) -> Self {
        Self { began: Instant::now(), doing, count: "{bytes} of {total_bytes}", bar: OnceLock::new() }
    }

    /// Steps are counted; `doing` stands before the bar.
    pub(crate) fn of_pieces(doing: &'static str) -> Self {
        Self { began: Instant::now(), doing, count: "{pos} of {len}", bar: OnceLock::new() }
    }

    /// So many of so many.
    pub(crate) fn at(&self, done: u64, of: u64) {
        if self.began.elapsed() < QUIET {
            return;
        }
        let bar = self.bar.get_or_init(|| {
            let bar = ProgressBar::new(of).with_message(self.doing);
            if let Ok(style) = ProgressStyle::with_template(&format!("{{msg}} {{bar:40}} {}", self.count)) {
                bar.set_style(style);
            }
            bar
        });
        bar.set_position(done);
    }

    /// Takes the bar away.
    pub(crate) fn end(&self) {
        if let Some(bar) = self.bar.get() {
            bar.finish_and_clear();
        }
    }
}
