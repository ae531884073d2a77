//! A job as JSON lines: one object a line, one line an entry.

use crate::{Draft, JobView, Notebook, NotebookError, Writer};
use record::{Entry, Id};
use serde::{Deserialize, Serialize};

/// One line.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    /// Name of the entry.
    id: String,
    /// Name of the job.
    job: String,
    /// Number in the job; not needed to bring a job in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    number: Option<i64>,
    /// When it was written.
    at: String,
    /// When the shop that exported it had received it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    received: Option<String>,
    /// Who wrote it.
    author: String,
    /// Its kind.
    kind: String,
    /// What it says.
    body: serde_json::Value,
    /// Its files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    files: Vec<FileName>,
    /// Hash of the entry before it in the job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    before: Option<String>,
    /// Hash of the entry before it in the shop.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    shop_before: Option<String>,
    /// Its hash.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    hash: Option<String>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FileName {
    sha256: String,
    name: String,
}

/// What was brought in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Brought {
    /// Number of the job in this shop.
    pub number: i64,
    /// Entries in the text.
    pub entries: usize,
    /// Of those, new to this shop.
    pub new: usize,
}

/// Why a job was not brought in.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum CarryError {
    /// A line cannot be read.
    #[error("line {line}: {why}; nothing was written")]
    Line {
        /// Which line, from 1.
        line: usize,
        /// The reason.
        why: String,
    },
    /// The lines belong to more than one job, or to none.
    #[error("{found}; the lines of one job are expected. Nothing was written")]
    NotOneJob {
        /// What was found.
        found: String,
    },
    /// It was not written.
    #[error(transparent)]
    Notebook(#[from] NotebookError),
}

impl Notebook {
    /// A job as JSON lines, in the order in which the shop received its entries. Hashes are those of this shop's chain.
    ///
    /// # Errors
    /// Those of the store.
    pub fn export(&self, view: &JobView) -> Result<String, NotebookError> {
        let mut text = String::new();
        for entry in self.store.entries(&view.row.job, 0)? {
            let line = Line {
                id: entry.id,
                job: entry.job,
                number: Some(entry.number),
                at: entry.at,
                received: Some(entry.received),
                author: entry.author,
                kind: entry.kind,
                body: serde_json::from_str(&entry.body).unwrap_or_default(),
                files: entry.files.into_iter().map(|(sha256, name)| FileName { sha256, name }).collect(),
                before: Some(entry.before),
                shop_before: Some(entry.shop_before),
                hash: Some(entry.hash),
            };
            text.push_str(&serde_json::to_string(&line).unwrap_or_default());
            text.push('\n');
        }
        Ok(text)
    }

    /// Brings a job in from JSON lines. Entries keep their names, times and authors; the shop writes its own chain.
    /// Entries that are there already count once.
    ///
    /// A file that the shop does not have yet is asked for by its name through `read`. A line of kind `evidence_file`
    /// may leave out everything but `name`, `caption` and `about`: the rest is worked out from the file. A sheet may be
    /// begun by the key of its template alone, an instrument named by its key in the register, and a run by its number.
    ///
    /// # Errors
    /// [`CarryError`] naming the line; nothing is written then but files, which do no harm.
    pub fn bring(&self, text: &str, read: &dyn Fn(&str) -> Option<Vec<u8>>) -> Result<Brought, CarryError> {
        let mut job: Option<Id> = None;
        let mut drafts: Vec<(String, Draft)> = Vec::new();
        for (place, line) in text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()) {
            let fault = |why: String| CarryError::Line { line: place + 1, why };
            let mut line: Line = serde_json::from_str(line).map_err(|e| fault(e.to_string()))?;
            match line.kind.as_str() {
                "evidence_file" => self.bring_file(&mut line, read).map_err(fault)?,
                "sheet_begun" | "reading" | "finding" | "run_attached" => self.fill_in(&mut line).map_err(fault)?,
                _ => {}
            }
            let of: Id = line.job.parse().map_err(|e: record::IdError| fault(e.to_string()))?;
            if *job.get_or_insert(of) != of {
                return Err(CarryError::NotOneJob { found: format!("line {} belongs to another job", place + 1) });
            }
            let draft = Draft {
                id: line.id.parse().map_err(|e: record::IdError| fault(e.to_string()))?,
                at: line.at.parse().map_err(|e: jiff::Error| fault(format!("\"{}\" is no time: {e}", line.at)))?,
                body: Entry::body_from(&line.kind, &line.body.to_string()).map_err(|e| fault(e.to_string()))?,
            };
            drafts.push((line.author, draft));
        }
        let Some(job) = job else {
            return Err(CarryError::NotOneJob { found: "there is no line".to_owned() });
        };
        let before = self.store.job(&job.to_string()).map_err(NotebookError::from)?.map_or(0, |row| row.entries);
        let writers: Vec<Writer> = drafts.iter().map(|(author, _)| Writer::alone(author)).collect();
        let all: Vec<(&Writer, &Draft)> = writers.iter().zip(drafts.iter().map(|(_, draft)| draft)).collect();
        self.write_as(job, &all)?;
        let view = self.job_by_id(job)?;
        Ok(Brought {
            number: view.row.number,
            entries: drafts.len(),
            new: usize::try_from(view.row.entries - before).unwrap_or(0),
        })
    }

    /// Keeps the file of a line, if the shop does not have it, and fills in what the line leaves out.
    fn bring_file(&self, line: &mut Line, read: &dyn Fn(&str) -> Option<Vec<u8>>) -> Result<(), String> {
        let text = |key: &str| line.body.get(key).and_then(|v| v.as_str()).unwrap_or_default().to_owned();
        let (name, said) = (text("name"), text("sha256"));
        if !said.is_empty() && self.store.read_file(&said).is_ok() {
            return Ok(());
        }
        let bytes = read(&name)
            .ok_or_else(|| format!("the file `{name}` is not there; lay it into the folder of the files"))?;
        let kept = self.keep_evidence(&name, &bytes).map_err(|e| e.to_string())?;
        if !said.is_empty() && said != kept.sha256 {
            return Err(format!("`{name}` holds {}, and the line says {said}; it is another file", kept.sha256));
        }
        let Some(body) = line.body.as_object_mut() else { return Err("the body is no object".to_owned()) };
        if let serde_json::Value::Object(worked_out) = serde_json::to_value(&kept).map_err(|e| e.to_string())? {
            for (key, value) in worked_out {
                if !matches!(key.as_str(), "caption" | "about") {
                    body.entry(key).or_insert(value);
                }
            }
        }
        Ok(())
    }

    /// What a line names by its key in this shop, in full.
    fn fill_in(&self, line: &mut Line) -> Result<(), String> {
        let day = record::instrument::day_of(&line.at);
        let Some(body) = line.body.as_object_mut() else { return Err("the body is no object".to_owned()) };
        if line.kind == "sheet_begun" && !body.contains_key("template_text") {
            let key = body.get("template").and_then(|v| v.as_str()).unwrap_or_default().to_owned();
            let found = self.template(&key).map_err(|e| e.to_string())?;
            let found =
                found.ok_or_else(|| format!("this shop has no template `{key}`, and the line does not hold one"))?;
            body.insert("template_text".to_owned(), found.text.into());
        }
        if line.kind == "run_attached" && body.get("run").is_none_or(|run| run == "") {
            let number = body.get("number").and_then(serde_json::Value::as_i64).unwrap_or_default();
            let run = self.store.run_by_number(number).map_err(|e| e.to_string())?;
            let run = run.ok_or_else(|| format!("there is no run {number} in this shop"))?;
            body.insert("run".to_owned(), run.id.to_string().into());
        }
        let mut named: Vec<&mut serde_json::Value> = Vec::new();
        for (key, value) in body.iter_mut() {
            match (key.as_str(), value) {
                ("instrument", value) => named.push(value),
                ("instruments", serde_json::Value::Array(list)) => named.extend(list.iter_mut()),
                _ => {}
            }
        }
        for instrument in named {
            let Some(map) = instrument.as_object() else { continue };
            if map.contains_key("name") {
                continue;
            }
            let text = |key: &str| map.get(key).and_then(|v| v.as_str()).unwrap_or_default().to_owned();
            let (key, set_on) = (text("key"), text("set_on"));
            let register = self.register().map_err(|e| e.to_string())?.register.map_err(|e| e.to_string())?;
            let (Some(found), Some(day)) = (register.find(&key), day) else {
                return Err(format!("the register of this shop has no instrument `{key}`"));
            };
            let mut used = record::instrument::used(found, day);
            used.set_on = set_on;
            *instrument = serde_json::to_value(used).map_err(|e| e.to_string())?;
        }
        Ok(())
    }
}
