//! A shop of invented jobs: sheets with readings, photos, claims, findings, notes.

use crate::random::{Dice, id, mixed};
use image::codecs::jpeg::JpegEncoder;
use record::sheet::{Template, shipped};
use record::{Body, Entry, Id, Reading, SheetBegun, Stated, Value};
use serde_json::json;
use std::io::Write;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;
use store::{NewEntry, Store};

/// Readings of a job.
pub(crate) const READINGS: usize = 40;
/// Photos of a job.
pub(crate) const PHOTOS: u64 = 4;
/// Threads that fill.
const THREADS: u64 = 4;

/// The job of a number: the same in every shop.
pub(crate) fn job_id(number: u64) -> String {
    id(number * 1_000_000, 1)
}

/// An entry of a job by its place in the making.
pub(crate) fn entry_id(number: u64, place: u64) -> String {
    id(number * 1_000_000 + place, 2)
}

/// Entry of the sheet of bores: the second of a job.
pub(crate) fn sheet_id(number: u64) -> String {
    entry_id(number, 1)
}

/// The template of a key.
pub(crate) fn template(key: &str) -> &'static Template {
    shipped().iter().find(|t| t.key == key).unwrap_or_else(|| panic!("no sheet {key}"))
}

/// A sheet begun from a shipped template with its usual counts.
pub(crate) fn begun(key: &str) -> SheetBegun {
    let template = template(key);
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../data/sheets/{key}.toml"));
    SheetBegun {
        template: key.to_owned(),
        template_text: std::fs::read_to_string(path).expect("the text of a shipped sheet"),
        title: template.title.clone(),
        counts: template.usual_counts(),
        given: Default::default(),
        built_for: "street".to_owned(),
        material: None,
        conditions: Vec::new(),
        unit: "mm".to_owned(),
        instruments: Vec::new(),
        part_temperature: None,
        state: String::new(),
    }
}

/// Places of a sheet that take a length, in order.
pub(crate) fn places(key: &str) -> Vec<String> {
    let layout = template(key).layout_of(&begun(key)).expect("the usual counts fit");
    let lengths = layout.places().filter(|(row, _, _)| row.kind == quantity::Dimension::Length);
    lengths.map(|(_, _, place)| place.to_owned()).collect()
}

/// Bytes of a JPEG that no other photo has: a picture with a comment of its own behind its first two bytes.
pub(crate) fn photo(pictures: &[Vec<u8>], n: u64) -> Vec<u8> {
    let picture = &pictures[(n % pictures.len() as u64) as usize];
    let words = format!("invented photo {n} {:016x}", mixed(n));
    let mut bytes = picture[..2].to_vec();
    bytes.extend([0xff, 0xfe]);
    bytes.extend((words.len() as u16 + 2).to_be_bytes());
    bytes.extend(words.as_bytes());
    bytes.extend(&picture[2..]);
    bytes
}

/// A few pictures: rings and scratches in grey, 640 by 480.
pub(crate) fn pictures() -> Vec<Vec<u8>> {
    (0..8_u64)
        .map(|n| {
            let mut dice = Dice::new(n);
            let picture = image::RgbImage::from_fn(640, 480, |x, y| {
                let (dx, dy) = (f64::from(x) - 320.0 - 20.0 * n as f64, f64::from(y) - 240.0);
                let ring = (dx.hypot(dy) / (6.0 + n as f64)).sin() * 50.0;
                let grey = (120.0 + ring + 20.0 * dice.share()) as u8;
                image::Rgb([grey, grey, grey.saturating_add(8)])
            });
            let mut bytes = Vec::new();
            JpegEncoder::new_with_quality(&mut bytes, 75).encode_image(&picture).expect("a picture is written");
            bytes
        })
        .collect()
}

/// One job, all of its entries.
fn job(store: &Store, pictures: &[Vec<u8>], sheets: &Sheets, number: u64) -> Vec<NewEntry> {
    let mut dice = Dice::new(number);
    let job = job_id(number);
    let parts = ["Pistons", "Crankshaft", "Camshaft", "Cylinder head", "Blower", "Rods", "Block"];
    let part = parts[dice.below(7) as usize];
    let mut bodies: Vec<serde_json::Value> = vec![json!({ "kind": "job_opened", "body": {
        "title": format!("{:.1}-litre four, invented no. {number}", 1.6 + dice.share()), "purpose": "Hill-climb car",
        "owner": "A. Tester", "built_for": "street", "complaint": "Down on power above 5,000 rpm since last autumn" } })];
    let mut files: Vec<Vec<(String, String)>> = vec![Vec::new()];
    let mut readings = 0;
    let mut words = vec![format!("invented no. {number} hill-climb car power autumn")];
    let mut put =
        |bodies: &mut Vec<serde_json::Value>, value: serde_json::Value, of: Vec<(String, String)>, said: String| {
            bodies.push(value);
            files.push(of);
            words.push(said);
        };
    for (sheet, body) in &sheets.0 {
        let sheet_entry: Id = entry_id(number, bodies.len() as u64).parse().expect("a name");
        let value = serde_json::to_value(Body::SheetBegun(body.clone())).expect("a body");
        put(&mut bodies, value, Vec::new(), body.title.clone());
        for place in sheet {
            if readings == READINGS {
                break;
            }
            readings += 1;
            let text = format!("{:.3} mm", 86.0 + 0.02 * dice.share());
            let value = Stated::read(&text, quantity::Dimension::Length, None).expect("a length");
            let reading = Reading {
                sheet: sheet_entry,
                place: place.clone(),
                value: Value::Quantity(value),
                instrument: None,
                replaces: Vec::new(),
                repeats: Vec::new(),
                remark: String::new(),
            };
            let value = serde_json::to_value(Body::Reading(reading)).expect("a body");
            put(&mut bodies, value, Vec::new(), format!("{place} {text}"));
        }
    }
    assert_eq!(readings, READINGS, "the sheets have too few places");
    for n in 0..PHOTOS {
        let name = format!("bore {n}.jpg");
        let kept = store.keep_file(&name, &photo(pictures, number * 10 + n)).expect("a photo is kept");
        let body = json!({ "kind": "evidence_file", "body": { "sha256": kept.sha256, "name": name,
            "media_type": "image/jpeg", "size": kept.size, "pixels": [640, 480], "caption": format!("{part}, place {n}") } });
        put(&mut bodies, body, vec![(kept.sha256, name)], format!("{part} place {n}"));
    }
    let claim = entry_id(number, bodies.len() as u64);
    let serial = format!("{:04}-{}", dice.below(10_000), ["A", "B", "C"][dice.below(3) as usize]);
    let claimed = json!({ "kind": "claim", "body": { "component": part, "by": "Owner", "weight": "changes_the_tune",
        "words": format!("New {} fitted last year, number {serial}", part.to_lowercase()) } });
    put(&mut bodies, claimed, Vec::new(), format!("{part} new fitted number {serial}"));
    let finding = json!({ "kind": "finding", "body": { "component": part, "words": format!("Marked {serial}, scored on the thrust side"),
        "claim": claim, "severity": "minor", "how": "Loupe" } });
    put(&mut bodies, finding, Vec::new(), format!("{part} marked {serial} scored thrust"));
    let verdict = json!({ "kind": "verdict_given", "body": { "on": claim, "verdict": "partly", "because": "The number fits, the wear does not" } });
    put(&mut bodies, verdict, Vec::new(), "partly number fits wear".into());
    let question = json!({ "kind": "question", "body": { "words": "Hone or bore?", "to": "builder" } });
    put(&mut bodies, question, Vec::new(), "hone or bore".into());
    let note = json!({ "kind": "note_written", "body": { "words": format!("Water jacket flushed, {serial}") } });
    put(&mut bodies, note, Vec::new(), format!("water jacket flushed {serial}"));

    let all = bodies.into_iter().zip(files).zip(words).enumerate();
    all.map(|(place, ((body, files), search_text))| {
        let kind = body["kind"].as_str().expect("a kind").to_owned();
        let text = body["body"].to_string();
        // What would not be taken over HTTP must not be in the shop.
        let read = Entry::body_from(&kind, &text).unwrap_or_else(|e| panic!("{kind}: {e}"));
        NewEntry {
            id: entry_id(number, place as u64),
            job: job.clone(),
            at: "2025-04-07T06:00:00Z".into(),
            author: format!("tester {}", number % 7),
            kind,
            body: Entry::body_json(&read).to_string(),
            files,
            search_text,
        }
    })
    .collect()
}

/// Places and beginnings of the sheets of every job.
struct Sheets(Vec<(Vec<String>, SheetBegun)>);

/// Fills a folder with jobs; one that is filled already stays as it is.
pub(crate) fn fill(folder: &Path, jobs: u64) {
    let store = Store::open(folder).expect("a shop");
    let there = store.jobs().expect("its jobs").len() as u64;
    assert!(there == 0 || there >= jobs, "{there} jobs are there, {jobs} are wanted: take another folder");
    if there >= jobs {
        println!("{there} jobs are there already");
        return;
    }
    let (began, pictures) = (Instant::now(), pictures());
    let sheets = Sheets(["bores", "mains"].map(|key| (places(key), begun(key))).into());
    let next = AtomicU64::new(1);
    std::thread::scope(|scope| {
        let (sender, receiver) = std::sync::mpsc::sync_channel::<(u64, Vec<NewEntry>)>(64);
        for _ in 0..THREADS {
            let (store, pictures, sheets, next, sender) = (&store, &pictures, &sheets, &next, sender.clone());
            scope.spawn(move || {
                loop {
                    let number = next.fetch_add(1, Ordering::Relaxed);
                    if number > jobs || sender.send((number, job(store, pictures, sheets, number))).is_err() {
                        return;
                    }
                }
            });
        }
        drop(sender);
        // Jobs are numbered in the order in which they are opened.
        let mut waiting = std::collections::BTreeMap::new();
        let mut due = 1;
        for (number, entries) in receiver {
            waiting.insert(number, entries);
            while let Some(entries) = waiting.remove(&due) {
                store.add_entries(&entries).expect("entries are added");
                if due % 500 == 0 {
                    println!("{due} jobs after {:.0?}", began.elapsed());
                    let _ = std::io::stdout().flush();
                }
                due += 1;
            }
        }
    });
    let report = store.last_shop_hash().expect("the newest entry").expect("an entry");
    println!(
        "{jobs} jobs, {} readings, {} photos, {} entries in {:.0?}",
        jobs * READINGS as u64,
        jobs * PHOTOS,
        report.seq,
        began.elapsed()
    );
}
