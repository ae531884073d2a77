//! What a form sent, plain or with files, and what was wrong with it.

use crate::fault::Fault;
use axum::RequestExt;
use axum::extract::multipart::MultipartError;
use axum::extract::{Form, FromRequest, Multipart, Request};
use axum::http::{StatusCode, header};
use record::Id;
use std::collections::BTreeMap;

/// A file that came with a form.
#[derive(Debug, Clone)]
pub(crate) struct SentFile {
    /// Its name, without folders.
    pub(crate) name: String,
    /// Its bytes.
    pub(crate) bytes: Vec<u8>,
}

/// The fields of a form in the order in which they were sent; a name may come more than once.
#[derive(Debug, Clone, Default)]
pub(crate) struct Sent {
    fields: Vec<(String, String)>,
    /// Files that came along.
    pub(crate) files: Vec<SentFile>,
}

impl Sent {
    /// A field without the space around it; empty if it did not come.
    pub(crate) fn get(&self, name: &str) -> &str {
        self.fields.iter().find(|(key, _)| key == name).map_or("", |(_, value)| value.trim())
    }

    /// A field as an owned text.
    pub(crate) fn text(&self, name: &str) -> String {
        // Browsers send line ends as CR LF.
        self.get(name).replace("\r\n", "\n")
    }

    /// Every value of a name.
    pub(crate) fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.fields.iter().filter(move |(key, _)| key == name).map(|(_, value)| value.trim())
    }

    /// Whether a value of a name came.
    pub(crate) fn has(&self, name: &str, value: &str) -> bool {
        self.all(name).any(|v| v == value)
    }

    /// Entries named by a field; texts that are no name are left out, since the pages send none.
    pub(crate) fn ids(&self, name: &str) -> Vec<Id> {
        self.all(name).filter_map(|text| text.parse().ok()).collect()
    }

    /// The entry named by a field.
    pub(crate) fn id(&self, name: &str) -> Option<Id> {
        self.get(name).parse().ok()
    }

    /// Fills a field in; an empty text fills nothing.
    pub(crate) fn put(&mut self, name: &str, value: impl Into<String>) {
        let value = value.into();
        if !value.is_empty() {
            self.fields.push((name.to_owned(), value));
        }
    }
}

impl Sent {
    /// Adds a field, an empty one too.
    pub(crate) fn push(&mut self, name: &str, value: String) {
        self.fields.push((name.to_owned(), value));
    }
}

impl<S: Send + Sync> FromRequest<S> for Sent {
    type Rejection = Fault;

    async fn from_request(request: Request, _: &S) -> Result<Self, Fault> {
        let kind = request.headers().get(header::CONTENT_TYPE).and_then(|v| v.to_str().ok()).unwrap_or_default();
        let back = request.uri().path().to_owned();
        if kind.starts_with("multipart/form-data") {
            let form = request.extract::<Multipart, _>().await.map_err(|e| not_whole(&e.body_text(), &back))?;
            return receive(form).await.map_err(|error| match error.status() {
                StatusCode::PAYLOAD_TOO_LARGE => Fault::TooLarge,
                _ => not_whole(&error.body_text(), &back),
            });
        }
        match request.extract::<Form<Vec<(String, String)>>, _>().await {
            Ok(Form(fields)) => Ok(Self { fields, files: Vec::new() }),
            Err(error) if error.status() == StatusCode::PAYLOAD_TOO_LARGE => Err(Fault::TooLarge),
            Err(error) => Err(not_whole(&error.body_text(), &back)),
        }
    }
}

fn not_whole(why: &str, back: &str) -> Fault {
    Fault::NotUsable {
        what: format!("What was sent did not arrive whole ({why})."),
        next: "Nothing was written. Go back a page, what was typed is still there, and send it again.".to_owned(),
        back: back.to_owned(),
    }
}

async fn receive(mut form: Multipart) -> Result<Sent, MultipartError> {
    let mut sent = Sent::default();
    while let Some(field) = form.next_field().await? {
        let key = field.name().unwrap_or_default().to_owned();
        match field.file_name().map(crate::pages::bring::plain_name) {
            Some(name) => {
                let bytes: Vec<u8> = field.bytes().await?.into();
                // A chooser without a choice sends an empty file without a name.
                if !(name.is_empty() && bytes.is_empty()) {
                    let name = if name.is_empty() { format!("file-{}", sent.files.len() + 1) } else { name };
                    sent.files.push(SentFile { name, bytes });
                }
            }
            None => sent.fields.push((key, field.text().await?)),
        }
    }
    Ok(sent)
}

/// What is wrong with what was sent: by field, and for the form as a whole.
#[derive(Debug, Clone, Default)]
pub(crate) struct Errors {
    fields: BTreeMap<String, String>,
    whole: Vec<String>,
}

impl Errors {
    /// Says what is wrong with a field. The first word on a field stays.
    pub(crate) fn on(&mut self, field: &str, words: impl Into<String>) {
        self.fields.entry(field.to_owned()).or_insert_with(|| words.into());
    }

    /// Says what is wrong with the whole.
    pub(crate) fn whole(&mut self, words: impl Into<String>) {
        self.whole.push(words.into());
    }

    /// Asks for a text in a field.
    pub(crate) fn need(&mut self, sent: &Sent, field: &str, words: &str) {
        if sent.get(field).is_empty() {
            self.on(field, words);
        }
    }

    /// What is wrong with a field.
    pub(crate) fn of(&self, field: &str) -> Option<&str> {
        self.fields.get(field).map(String::as_str)
    }

    /// What is wrong with the whole.
    pub(crate) fn of_whole(&self) -> &[String] {
        &self.whole
    }

    /// Nothing is wrong.
    pub(crate) fn none(&self) -> bool {
        self.fields.is_empty() && self.whole.is_empty()
    }

    /// Fields that something is wrong with.
    pub(crate) fn count(&self) -> usize {
        self.fields.len()
    }
}
