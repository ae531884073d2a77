//! What the shop keeps beside its jobs and edits as text: instruments, sheet templates, limits of its own.

use crate::{Notebook, NotebookError};
use engine::limits::LimitTable;
use record::instrument::{Register, RegisterError};
use record::sheet::{Template, TemplateError};
use store::ShopText;

/// Kind of the text that lists the instruments.
const INSTRUMENTS: &str = "instruments";
/// Kind of the shop's own sheet templates; the key is that of the template.
const TEMPLATES: &str = "sheet-template";
/// Kind of the shop's own limit table.
const LIMITS: &str = "limits";
/// Key of a text of which there is one.
const ONLY: &str = "shop";

/// The register of the shop as it stands.
#[derive(Debug, Clone)]
pub struct ShopRegister {
    /// The text.
    pub text: String,
    /// Revision of the text; 0 while the shop has none of its own and the starter stands in.
    pub revision: i64,
    /// When it was last changed and by whom; none for the starter.
    pub changed: Option<(String, String)>,
    /// The text as it reads; an error where another hand wrote something else into the shop.
    pub register: Result<Register, RegisterError>,
}

/// A template that sheets can be begun from.
#[derive(Debug, Clone)]
pub struct ShopTemplate {
    /// Its key.
    pub key: String,
    /// The text.
    pub text: String,
    /// Revision of the shop's own text; 0 for a template that comes with the program.
    pub revision: i64,
    /// When the shop last changed it and who did; none for one that comes with the program.
    pub changed: Option<(String, String)>,
    /// It takes the place of one that comes with the program.
    pub replaces_shipped: bool,
    /// The text as it reads.
    pub template: Result<Template, TemplateError>,
}

impl Notebook {
    /// The instruments of the shop, or the starter while it has none of its own.
    ///
    /// # Errors
    /// Those of the store.
    pub fn register(&self) -> Result<ShopRegister, NotebookError> {
        Ok(match self.store.text(INSTRUMENTS, ONLY)? {
            Some(own) => ShopRegister {
                register: Register::parse(&own.text),
                revision: own.revision,
                changed: Some((own.at, own.author)),
                text: own.text,
            },
            None => ShopRegister {
                text: record::instrument::STARTER_TEXT.to_owned(),
                revision: 0,
                changed: None,
                register: Ok(record::instrument::starter().clone()),
            },
        })
    }

    /// Writes the register. A text that cannot be read must be refused by the caller, who can say where it is wrong.
    ///
    /// # Errors
    /// Those of the store: somebody else changed it in between.
    pub fn put_register(&self, expected: i64, text: &str, author: &str) -> Result<ShopText, NotebookError> {
        Ok(self.store.put_text(INSTRUMENTS, ONLY, expected, text, author)?)
    }

    /// Every template: those that come with the program, with the shop's own in their place or behind them.
    ///
    /// # Errors
    /// Those of the store.
    pub fn templates(&self) -> Result<Vec<ShopTemplate>, NotebookError> {
        let mut all: Vec<ShopTemplate> = record::sheet::shipped()
            .iter()
            .map(|template| ShopTemplate {
                key: template.key.clone(),
                text: template.text.clone(),
                revision: 0,
                changed: None,
                replaces_shipped: false,
                template: Ok(template.clone()),
            })
            .collect();
        for own in self.store.texts_of(TEMPLATES)? {
            let place = all.iter().position(|t| t.key == own.key);
            let template = ShopTemplate {
                template: Template::parse(&own.text),
                key: own.key,
                text: own.text,
                revision: own.revision,
                changed: Some((own.at, own.author)),
                replaces_shipped: place.is_some(),
            };
            match place {
                // An empty text takes the shop's own away again.
                Some(_) | None if template.text.trim().is_empty() => {
                    if let Some(at) = place {
                        all[at].revision = template.revision;
                    }
                }
                Some(at) => all[at] = template,
                None => all.push(template),
            }
        }
        Ok(all)
    }

    /// A template by its key.
    ///
    /// # Errors
    /// Those of the store.
    pub fn template(&self, key: &str) -> Result<Option<ShopTemplate>, NotebookError> {
        Ok(self.templates()?.into_iter().find(|t| t.key == key))
    }

    /// Writes a template of the shop's own; an empty text takes it away, and one that comes with the program counts again.
    ///
    /// # Errors
    /// Those of the store: somebody else changed it in between.
    pub fn put_template(&self, key: &str, expected: i64, text: &str, author: &str) -> Result<ShopText, NotebookError> {
        Ok(self.store.put_text(TEMPLATES, key, expected, text, author)?)
    }

    /// The shop's own limit table; none if it has none, or has one that cannot be read (the second value says why).
    ///
    /// # Errors
    /// Those of the store.
    pub fn limits(&self) -> Result<(Option<LimitTable>, Option<String>), NotebookError> {
        let Some(own) = self.store.text(LIMITS, ONLY)?.filter(|t| !t.text.trim().is_empty()) else {
            return Ok((None, None));
        };
        Ok(match engine::limits::parse(&own.text, Some(engine::limits::shipped())) {
            Ok(table) => (Some(table), None),
            Err(error) => (None, Some(format!("the shop's own limits cannot be read and do not count: {error}"))),
        })
    }
}
