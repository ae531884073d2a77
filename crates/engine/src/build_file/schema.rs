//! Every key of the build file as one page of documentation.

use crate::build::{Takes, sections};
use std::fmt::Write;

/// The list of all sections and keys, in Markdown; `docs/build-file-schema.md` holds it and a test keeps the
/// two the same.
pub fn schema_text() -> String {
    let mut out = String::from(
        "# Keys of the build file\n\nWritten by the program from the list that it reads files with. \
         [The build file](guide/build-file.md) explains how values are written.\n\nThe first line of a file is \
         `plateau_build = 2`. A section marked *repeats* is written with double brackets, once for each.\n",
    );
    for (name, fields, repeats) in sections() {
        let head = if repeats { format!("[[{name}]]` *(repeats)*") } else { format!("[{name}]`") };
        let _ = write!(out, "\n## `{head}\n\n| key | takes | meaning |\n|---|---|---|\n");
        for field in fields {
            let takes = match field.takes {
                Takes::Value(kind) => kind.expected().to_owned(),
                Takes::Values(kind) => format!("several: {}", kind.expected()),
                Takes::Checked => "crank degrees at a check lift, one or a list".to_owned(),
                Takes::Words => "words".to_owned(),
                Takes::Count => "a whole number above zero".to_owned(),
                Takes::Counts => "a list of whole numbers".to_owned(),
                Takes::CountLists => "lists of whole numbers".to_owned(),
            };
            let _ = writeln!(out, "| `{}` | {takes} | {} |", field.key, field.doc.trim());
        }
    }
    out
}
