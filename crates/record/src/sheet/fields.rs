//! What the texts of this crate have beside the fields of every file: keys, words of a list, whole numbers.

use quantity::written::{Fields, Parsed, known_are, suggestion};

/// Texts without the blanks around them, and what is made of them.
pub(crate) trait Texts<'a> {
    fn maybe_table(&self, name: &str) -> Parsed<Option<Fields<'a>>>;
    fn maybe_text(&self, name: &str) -> Parsed<Option<String>>;
    fn text(&self, name: &str) -> Parsed<String>;
    /// A text that is a name for other texts to use: letters, digits, underscores.
    fn key(&self, name: &str) -> Parsed<String>;
    /// Texts by name: the keys of a small table.
    fn named_texts(&self, name: &str) -> Parsed<Vec<(String, String)>>;
    fn maybe_whole(&self, name: &str) -> Parsed<Option<u32>>;
    /// One of a few words.
    fn one_of<T: Copy>(&self, name: &str, words: &[(&str, T)], without: Option<T>) -> Parsed<T>;
}

impl<'a> Texts<'a> for Fields<'a> {
    fn maybe_table(&self, name: &str) -> Parsed<Option<Fields<'a>>> {
        let Some(item) = self.table.get(name) else { return Ok(None) };
        match item.as_table_like() {
            Some(table) => Ok(Some(Fields { table, span: item.span() })),
            None => Err(self.fault(name, format!("`{name}` is {}, a table was expected", item.type_name()), None)),
        }
    }

    fn maybe_text(&self, name: &str) -> Parsed<Option<String>> {
        match self.maybe_string(name, "put it in quotation marks")?.map(str::trim) {
            Some("") => {
                Err(self.fault(name, format!("`{name}` is empty"), Some("write it, or leave the key out".to_owned())))
            }
            text => Ok(text.map(str::to_owned)),
        }
    }

    fn text(&self, name: &str) -> Parsed<String> {
        self.maybe_text(name)?.ok_or_else(|| self.fault(name, format!("`{name}` is missing"), None))
    }

    fn key(&self, name: &str) -> Parsed<String> {
        let key = self.text(name)?;
        let plain = key.starts_with(|c: char| c.is_ascii_lowercase())
            && key.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_');
        if plain {
            return Ok(key);
        }
        let what = format!("`{key}` is no key: small letters, digits and _ are, beginning with a letter");
        Err(self.fault(name, what, None))
    }

    fn named_texts(&self, name: &str) -> Parsed<Vec<(String, String)>> {
        let Some(fields) = self.maybe_table(name)? else { return Ok(Vec::new()) };
        fields.table.iter().map(|(key, _)| Ok((key.to_owned(), fields.text(key)?))).collect()
    }

    fn maybe_whole(&self, name: &str) -> Parsed<Option<u32>> {
        let Some(item) = self.table.get(name) else { return Ok(None) };
        match item.as_integer().and_then(|n| u32::try_from(n).ok()) {
            Some(n) => Ok(Some(n)),
            None => Err(self.fault(name, format!("`{name}` is no whole number of zero or more"), None)),
        }
    }

    fn one_of<T: Copy>(&self, name: &str, words: &[(&str, T)], without: Option<T>) -> Parsed<T> {
        match (self.maybe_text(name)?, without) {
            (None, Some(without)) => Ok(without),
            (None, None) => Err(self.fault(name, format!("`{name}` is missing"), known_are(words.iter().map(|w| w.0)))),
            (Some(found), _) => {
                words.iter().find(|(word, _)| *word == found).map(|(_, value)| *value).ok_or_else(|| {
                    self.fault(
                        name,
                        format!("`{name}` is \"{found}\", which is not known"),
                        suggestion(&found, words.iter().map(|w| w.0)),
                    )
                })
            }
        }
    }
}
