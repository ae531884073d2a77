//! Entries that refer to what is not there, or not of the kind they need.

use super::Misfit;
use crate::{Body, Entry, Id};
use std::collections::BTreeMap;

/// Every entry that cannot count because of what it refers to.
pub(super) fn find(all: &BTreeMap<Id, &Entry>) -> Vec<Misfit> {
    let mut found = Vec::new();
    let mut opened = false;
    for (id, entry) in all {
        let mut say = |why: String| found.push(Misfit { entry: *id, why });
        let needs = |of: Id, kinds: &[&str]| -> Option<String> {
            match all.get(&of) {
                None => Some(format!("it refers to entry {of}, which is not in this job")),
                Some(there) if kinds.is_empty() || kinds.contains(&there.body.kind()) => None,
                Some(there) => {
                    Some(format!("it refers to a {}, where a {} is expected", there.body.kind(), kinds.join(" or ")))
                }
            }
        };
        let why = match &entry.body {
            Body::JobOpened(_) => {
                let again = std::mem::replace(&mut opened, true);
                again.then(|| "the job was opened before".to_owned())
            }
            Body::VerdictGiven(it) => needs(it.on, &["claim", "promise"]),
            Body::Finding(it) => it.claim.and_then(|claim| needs(claim, &["claim", "promise"])),
            Body::FittedPart(it) => it.promise.and_then(|promise| needs(promise, &["promise"])),
            Body::Drawing(it) => needs(it.on, &["evidence_file"]),
            Body::Reading(it) => needs(it.sheet, &["sheet_begun"]),
            Body::SheetFinished(it) => needs(it.sheet, &["sheet_begun"]),
            Body::LimitWaived(it) => needs(it.sheet, &["sheet_begun"]),
            Body::Answer(it) => needs(it.to, &["question"]),
            Body::Struck(it) => needs(it.of, &[])
                .or_else(|| (it.of >= *id).then(|| "it strikes an entry that is not earlier".to_owned())),
            Body::Correction(it) => needs(it.of, &[it.now.kind()]).or_else(|| {
                let wrong = it.replaces.iter().find(|r| **r != it.of && !corrects(all, **r, it.of));
                wrong.map(|r| format!("it replaces {r}, which is no version of the entry it corrects"))
            }),
            _ => None,
        };
        if let Some(why) = why {
            say(why);
        }
    }
    found
}

fn corrects(all: &BTreeMap<Id, &Entry>, id: Id, of: Id) -> bool {
    matches!(all.get(&id).map(|e| &e.body), Some(Body::Correction(c)) if c.of == of)
}
