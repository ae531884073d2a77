//! Licence expressions (SPDX), as far as the packages in use write them, and the list of licences that fit.
//!
//! Grammar read here: names joined by `OR`, `AND` and the old `/` (an `OR`), brackets, and `WITH exception`. `AND` binds
//! closer than `OR` (SPDX specification 2.3, annex D). Anything else is an error, never a pass.

/// A licence that may be depended on, and why.
pub const ALLOWED: &[(&str, &str)] = &[
    ("MIT", "permissive; the notice is kept with the source package"),
    ("Apache-2.0", "permissive with a patent grant"),
    ("Apache-2.0 WITH LLVM-exception", "Apache-2.0 with less to do for compiled code"),
    ("BSD-2-Clause", "permissive"),
    ("BSD-3-Clause", "permissive; no endorsement"),
    ("0BSD", "permissive, nothing to do"),
    ("ISC", "permissive, the short form of MIT"),
    ("Zlib", "permissive; altered versions must say so"),
    ("Unicode-3.0", "permissive; data tables of the Unicode standard"),
    ("Unlicense", "public domain, with a permissive fallback"),
    ("CC0-1.0", "public domain, with a permissive fallback"),
    ("BSL-1.0", "permissive; nothing to do for compiled code"),
    ("OFL-1.1", "fonts; they may be shipped with a program"),
];

/// Whether the expression can be met with [`ALLOWED`] licences alone.
///
/// # Errors
/// A sentence that says what could not be read.
pub fn allowed(expression: &str) -> Result<bool, String> {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    let verdict = either(&words, &mut at)?;
    if at == words.len() { Ok(verdict) } else { Err(format!("`{}` is left over in `{expression}`", words[at])) }
}

fn either(words: &[&str], at: &mut usize) -> Result<bool, String> {
    let mut verdict = both(words, at)?;
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        verdict |= both(words, at)?;
    }
    Ok(verdict)
}

fn both(words: &[&str], at: &mut usize) -> Result<bool, String> {
    let mut verdict = one(words, at)?;
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        verdict &= one(words, at)?;
    }
    Ok(verdict)
}

fn one(words: &[&str], at: &mut usize) -> Result<bool, String> {
    let word = *words.get(*at).ok_or("the expression ends too early")?;
    *at += 1;
    match word {
        "(" => {
            let verdict = either(words, at)?;
            if words.get(*at) != Some(&")") {
                return Err("a bracket is not closed".to_owned());
            }
            *at += 1;
            Ok(verdict)
        }
        ")" | "OR" | "AND" | "WITH" => Err(format!("`{word}` stands where a licence was expected")),
        name => {
            let mut name = name.to_owned();
            if words.get(*at) == Some(&"WITH") {
                let exception = words.get(*at + 1).ok_or("an exception is named after WITH")?;
                name = format!("{name} WITH {exception}");
                *at += 2;
            }
            Ok(ALLOWED.iter().any(|(allowed, _)| *allowed == name))
        }
    }
}
