//! Invented jobs, as JSON lines that `plateau job bring` takes in, with pictures that stand for photos.
//!
//! The lines are written here by hand, without the types of the reader. Names of entries are made from
//! their times, so the same job gives the same bytes.

mod cruiser;
mod hill_climb;
mod hill_climb_build;
mod hill_climb_sheets;
mod hill_climb_tests;
mod photo;
mod register;
mod tow;

use crate::demo::File;
use jiff::Timestamp;
use serde_json::{Value, json};

/// Nothing is missing at the gate.
pub(crate) const NONE: &[(&str, &str)] = &[];

/// A job being written.
pub(crate) struct Writer {
    job: String,
    lines: Vec<Value>,
    seed: u64,
    files: Vec<File>,
    folder: String,
}

impl Writer {
    /// A new job; `seed` keeps its names apart from those of other jobs.
    pub(crate) fn new(folder: &str, seed: u64, opened: &str) -> Self {
        let mut writer =
            Self { job: String::new(), lines: Vec::new(), seed, files: Vec::new(), folder: folder.to_owned() };
        writer.job = writer.name(opened);
        writer
    }

    /// A name from a time: a UUID of version 7 (RFC 9562).
    fn name(&self, at: &str) -> String {
        let ms = at.parse::<Timestamp>().map_or(0, |t| t.as_millisecond());
        // Entries of one minute keep their order by the number in front.
        let number = self.lines.len() as u64 & 0xfff;
        let ms = format!("{ms:012x}");
        format!("{}-{}-7{number:03x}-8{:03x}-{:012x}", &ms[..8], &ms[8..], self.seed & 0xfff, self.seed)
    }

    /// Writes an entry and gives its name.
    pub(crate) fn write(&mut self, at: &str, author: &str, kind: &str, body: Value) -> String {
        let id = self.name(at);
        self.lines.push(json!({ "id": id, "job": self.job, "at": at, "author": author, "kind": kind, "body": body }));
        id
    }

    /// A claim; its name.
    pub(crate) fn claim(
        &mut self,
        at: &str,
        component: &str,
        words: &str,
        said: Value,
        weight: &str,
        touches: &str,
    ) -> String {
        let mut body = json!({ "component": component, "words": words, "by": "the last shop", "weight": weight, "touches": touches });
        if !said.is_null() {
            body["claimed"] = said;
        }
        self.write(at, "office", "claim", body)
    }

    /// A finding about a claim, with a picture that stands for its photo; its name.
    #[allow(clippy::too_many_arguments)]
    pub(crate) fn finding(
        &mut self,
        at: &str,
        claim: &str,
        component: &str,
        words: &str,
        found: Value,
        how: &str,
        severity: &str,
        pictures: &[(&str, &str)],
    ) -> String {
        let shown_by: Vec<String> =
            pictures.iter().map(|(sketch, caption)| self.photo(at, sketch, caption, &[claim])).collect();
        let mut body =
            json!({ "component": component, "words": words, "how": how, "severity": severity, "shown_by": shown_by });
        if !claim.is_empty() {
            body["claim"] = json!(claim);
        }
        if !found.is_null() {
            body["found"] = found;
        }
        self.write(at, "builder", "finding", body)
    }

    /// A picture that stands for a photo; the name of its entry.
    pub(crate) fn photo(&mut self, at: &str, sketch: &str, caption: &str, about: &[&str]) -> String {
        let name = format!("{}-{}.png", sketch, self.files.len() + 1);
        self.files.push(File { path: format!("{}/{name}", self.folder), bytes: photo::png(sketch, caption, at) });
        self.write(at, "builder", "evidence_file", json!({ "name": name, "caption": caption, "about": about }))
    }

    /// A verdict on a claim.
    pub(crate) fn verdict(&mut self, at: &str, on: &str, verdict: &str, because: &str, rests_on: &[&str]) {
        let body = json!({ "on": on, "verdict": verdict, "because": because, "rests_on": rests_on });
        self.write(at, "builder", "verdict_given", body);
    }

    /// A note.
    pub(crate) fn note(&mut self, at: &str, author: &str, words: &str) {
        self.write(at, author, "note_written", json!({ "words": words }));
    }

    /// The name of the newest reading in a place; empty if there is none.
    pub(crate) fn id_of(&self, place: &str) -> String {
        let found = self.lines.iter().rev().find(|line| line["body"]["place"] == place);
        found.and_then(|line| line["id"].as_str()).unwrap_or_default().to_owned()
    }

    /// The job went on, all gates open or with the reasons given.
    pub(crate) fn stage(&mut self, at: &str, to: &str, in_spite_of: &[(impl AsRef<str>, &str)], remark: &str) {
        let in_spite_of: Vec<(&str, &str)> = in_spite_of.iter().map(|(key, why)| (key.as_ref(), *why)).collect();
        self.write(at, "builder", "stage_passed", json!({ "to": to, "in_spite_of": in_spite_of, "remark": remark }));
    }

    /// The files of the job: its lines and its pictures.
    pub(crate) fn files(mut self) -> Vec<File> {
        let mut text = String::new();
        for line in &self.lines {
            text.push_str(&line.to_string());
            text.push('\n');
        }
        self.files.insert(0, File { path: format!("{}/job.jsonl", self.folder), bytes: text.into_bytes() });
        self.files
    }
}

/// A quantity as it is written in an entry; `per_si` is one of its unit in SI, `u` its standard uncertainty in the unit.
pub(crate) fn quantity(dimension: &str, text: &str, unit: &str, per_si: f64, u: Option<f64>) -> Value {
    let number: f64 = text.parse().unwrap_or(f64::NAN);
    let decimals = text.split_once('.').map_or(0, |(_, d)| d.len());
    let step = 10.0_f64.powi(-(decimals as i32));
    let whole = if unit.is_empty() { text.to_owned() } else { format!("{text} {unit}") };
    let mut stated = json!({ "text": whole, "dimension": dimension, "si": number * per_si, "step_si": step * per_si });
    if let Some(u) = u {
        stated["u_si"] = json!(u * per_si);
    }
    json!({ "quantity": stated })
}

/// A length in mm.
pub(crate) fn mm(text: &str, u: Option<f64>) -> Value {
    quantity("length", text, "mm", 1e-3, u)
}

/// A ratio.
pub(crate) fn ratio(text: &str, u: Option<f64>) -> Value {
    quantity("count", text, "", 1.0, u)
}

/// A crank angle in degrees.
pub(crate) fn degrees(text: &str, u: Option<f64>) -> Value {
    quantity("angle", text, "deg", std::f64::consts::PI / 180.0, u)
}

/// A word.
pub(crate) fn word(text: &str) -> Value {
    json!({ "word": text })
}

/// The register of instruments of the demo shop.
pub fn register() -> File {
    File { path: "instruments.toml".to_owned(), bytes: register::text().into_bytes() }
}

/// The jobs of the demo: folder, and its files. The order is that in which the shop takes them in.
pub fn all() -> Vec<(&'static str, Vec<File>)> {
    vec![
        ("jobs/cruiser", cruiser::job("jobs/cruiser").files()),
        ("jobs/tow", tow::job("jobs/tow").files()),
        ("jobs/hill-climb", hill_climb::job("jobs/hill-climb").files()),
    ]
}
