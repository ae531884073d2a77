//! JSON in canonical form (RFC 8785), and the hash that chains entries.
//!
//! RFC 8785 works on I-JSON (RFC 7493): names within an object are unique, and numbers are IEEE 754
//! doubles. What does not fit is refused, since a canonical form would silently change it.

use crate::error::StoreError;
use crate::files::hash;
use serde::de::{Deserialize, Deserializer, Error as _, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};

/// What stands before the first entry: 64 zeros.
pub(crate) const NO_HASH: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// Whether a whole number stays as it is written. Up to 2^53 − 1 every one does; beyond, only one that is written as
/// the canonical form of its double.
fn stays(number: impl Into<i128>) -> bool {
    let number = number.into();
    number.unsigned_abs() < 1 << 53
        || serde_json_canonicalizer::to_string(&(number as f64)).is_ok_and(|text| text == number.to_string())
}

/// A JSON object's text in canonical form.
pub(crate) fn canonical_object(what: &'static str, text: &str) -> Result<String, StoreError> {
    let not_json = |why: String| StoreError::NotJson { what, why };
    let Strict(value) = serde_json::from_str(text).map_err(|e| not_json(e.to_string()))?;
    if !value.is_object() {
        return Err(StoreError::BadValue { what, found: first_part(text), expected: "a JSON object" });
    }
    serde_json_canonicalizer::to_string(&value).map_err(|e| not_json(e.to_string()))
}

/// A text as a JSON string in canonical form.
fn quoted(text: &str) -> String {
    // Writing a string cannot fail; an empty result would only make a hash differ.
    serde_json_canonicalizer::to_string(&text).unwrap_or_default()
}

/// What the hash of an entry is taken over.
pub(crate) struct Hashed<'a> {
    pub(crate) at: &'a str,
    pub(crate) author: &'a str,
    pub(crate) before: &'a str,
    /// Canonical already.
    pub(crate) body: &'a str,
    /// SHA-256 and name of each file, in order.
    pub(crate) files: &'a [(String, String)],
    pub(crate) id: &'a str,
    pub(crate) job: &'a str,
    pub(crate) kind: &'a str,
    pub(crate) number: i64,
    pub(crate) received: &'a str,
    pub(crate) shop_before: &'a str,
}

impl Hashed<'_> {
    /// The canonical form of the whole entry. The names stand in the order of RFC 8785 and the body is
    /// canonical, so that the parts only have to be put together.
    pub(crate) fn canonical(&self) -> String {
        let files: Vec<String> = self
            .files
            .iter()
            .map(|(sha256, name)| format!("{{\"name\":{},\"sha256\":{}}}", quoted(name), quoted(sha256)))
            .collect();
        format!(
            "{{\"at\":{},\"author\":{},\"before\":{},\"body\":{},\"files\":[{}],\"id\":{},\"job\":{},\"kind\":{},\"number\":{},\"received\":{},\"shop_before\":{}}}",
            quoted(self.at),
            quoted(self.author),
            quoted(self.before),
            self.body,
            files.join(","),
            quoted(self.id),
            quoted(self.job),
            quoted(self.kind),
            self.number,
            quoted(self.received),
            quoted(self.shop_before),
        )
    }

    /// SHA-256 of the canonical form, lower-case hexadecimal.
    pub(crate) fn hash(&self) -> String {
        hash(self.canonical().as_bytes())
    }
}

/// The beginning of a text, for a message.
fn first_part(text: &str) -> String {
    match text.char_indices().nth(40) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// A value in which no name occurs twice in an object and every whole number (of up to 19 digits; a longer one is read
/// as a double) stays as it is written.
struct Strict(Value);

impl<'de> Deserialize<'de> for Strict {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(StrictVisitor).map(Strict)
    }
}

struct StrictVisitor;

impl<'de> Visitor<'de> for StrictVisitor {
    type Value = Value;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("JSON")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, value: bool) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_u64<E: serde::de::Error>(self, value: u64) -> Result<Value, E> {
        if !stays(value) {
            return Err(E::custom(format!("the number {value} cannot be kept exactly; write it as a text")));
        }
        Ok(value.into())
    }

    fn visit_i64<E: serde::de::Error>(self, value: i64) -> Result<Value, E> {
        if !stays(value) {
            return Err(E::custom(format!("the number {value} cannot be kept exactly; write it as a text")));
        }
        Ok(value.into())
    }

    fn visit_f64<E: serde::de::Error>(self, value: f64) -> Result<Value, E> {
        Number::from_f64(value).map(Value::Number).ok_or_else(|| E::custom("a number is not finite"))
    }

    fn visit_str<E>(self, value: &str) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_string<E>(self, value: String) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Value, A::Error> {
        let mut all = Vec::new();
        while let Some(Strict(value)) = seq.next_element()? {
            all.push(value);
        }
        Ok(Value::Array(all))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Value, A::Error> {
        let mut all = Map::new();
        while let Some(name) = map.next_key::<String>()? {
            let Strict(value) = map.next_value()?;
            if all.contains_key(&name) {
                return Err(A::Error::custom(format!("the name `{name}` occurs twice in one object")));
            }
            all.insert(name, value);
        }
        Ok(Value::Object(all))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn canonical(text: &str) -> String {
        canonical_object("body", text).unwrap()
    }

    /// Expected: RFC 8785, section 3.2.2 and 3.2.3 (the sample of the text and its canonical form), from memory; the
    /// same sample stands in the tests of the library.
    #[test]
    fn the_sample_of_rfc_8785_comes_out_as_printed_there() {
        let sample = r#"{
            "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
            "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
            "literals": [null, true, false]
        }"#;
        let expected = "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],\
                        \"string\":\"€$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}";
        assert_eq!(canonical(sample), expected);
        // Names sort by UTF-16 code units.
        assert_eq!(canonical("{\"\u{fb33}\":1,\"\u{1f600}\":2}"), "{\"\u{1f600}\":2,\"\u{fb33}\":1}");
    }

    #[test]
    fn a_canonical_text_stays_as_it_is() {
        for text in [r#"{"b":0.1,"a":[1,2.50,-0]}"#, r#"{"x":1.0000000000000002e-7,"y":{"é":"\u00e9"}}"#] {
            let once = canonical(text);
            assert_eq!(canonical(&once), once);
        }
    }

    #[test]
    fn what_a_canonical_form_would_change_is_refused() {
        for (text, why) in [
            (r#"{"a":1,"a":2}"#, "occurs twice"),
            (r#"{"a":{"b":1,"b":1}}"#, "occurs twice"),
            (r#"{"a":9007199254740993}"#, "cannot be kept exactly"),
            (r#"{"a":-9007199254740993}"#, "cannot be kept exactly"),
            (r#"{"a":9223372036854775808}"#, "cannot be kept exactly"),
            (r#"{"a":18446744073709551615}"#, "cannot be kept exactly"),
            (r#"{"a":1e999}"#, "number out of range"),
            ("[1]", "a JSON object"),
            ("{", "EOF"),
        ] {
            let refused = canonical_object("body", text).unwrap_err().to_string();
            assert!(refused.contains(why), "{text}: {refused}");
        }
        for whole in ["9007199254740991", "9007199254740992", "-9007199254740994", "9223372036854776000", "9.3e18", "0"]
        {
            let text = format!("{{\"a\":{whole}}}");
            let once = canonical(&text);
            assert_eq!(canonical(&once), once, "{text}");
        }
    }

    /// Expected: validation/entry_chain, worked out in Python without any of our code and its libraries.
    #[test]
    fn the_hashes_are_those_of_another_hand() {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../validation/entry_chain/entries.jsonl");
        let mut count = 0;
        for line in std::fs::read_to_string(path).unwrap().lines() {
            let entry: Value = serde_json::from_str(line).unwrap();
            let text = |name: &str| entry[name].as_str().unwrap();
            let files: Vec<(String, String)> = entry["files"]
                .as_array()
                .unwrap()
                .iter()
                .map(|f| (f["sha256"].as_str().unwrap().to_owned(), f["name"].as_str().unwrap().to_owned()))
                .collect();
            let hashed = Hashed {
                at: text("at"),
                author: text("author"),
                before: text("before"),
                body: &canonical(&entry["body"].to_string()),
                files: &files,
                id: text("id"),
                job: text("job"),
                kind: text("kind"),
                number: entry["number"].as_i64().unwrap(),
                received: text("received"),
                shop_before: text("shop_before"),
            };
            assert_eq!(hashed.hash(), text("hash"), "{line}");
            count += 1;
        }
        assert_eq!(count, 5);
    }

    /// The parts put together are what the canonicaliser makes of the whole.
    #[test]
    fn the_form_under_the_hash_is_the_canonical_form_of_the_whole() {
        let body = canonical(r#"{"z":[1.50,{"b":null,"a":"\"é\n"}],"a":-0.0}"#);
        let hashed = Hashed {
            at: "2026-04-08T08:00:00+02:00",
            author: "a \"quoted\" name\u{7f}\t",
            before: NO_HASH,
            body: &body,
            files: &[("ab".repeat(32), "bore 3 \u{1f600}.jpg".into())],
            id: "0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f10",
            job: "0198c7a2-5f3e-7cc1-8a51-2f6d3b0e9f11",
            kind: "finding",
            number: 12,
            received: "2026-04-08T06:00:01.000Z",
            shop_before: NO_HASH,
        };
        assert_eq!(canonical(&hashed.canonical()), hashed.canonical());
    }
}
