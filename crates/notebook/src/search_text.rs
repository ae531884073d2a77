//! The words by which an entry is found.

use record::Body;

/// Every text of an entry that a person wrote; keys, hashes and whole files stay out.
pub(crate) fn of(body: &Body) -> String {
    let mut words = Vec::new();
    let mut json = record::Entry::body_json(body);
    if let Some(map) = json.as_object_mut() {
        for key in ["toml", "template_text", "sha256", "run", "replaces", "media_type"] {
            map.remove(key);
        }
    }
    gather(&json, &mut words);
    words.join(" ")
}

fn gather(value: &serde_json::Value, words: &mut Vec<String>) {
    match value {
        serde_json::Value::String(text) if text.parse::<record::Id>().is_err() => words.push(text.clone()),
        serde_json::Value::Array(list) => list.iter().for_each(|v| gather(v, words)),
        serde_json::Value::Object(map) => map.values().for_each(|v| gather(v, words)),
        _ => {}
    }
}
