//! How long a job takes to fold: 300 entries is a job of the trade, 10,000 is more than any.

use jiff::Timestamp;
use record::{Body, Entry, Id, JobOpened, Reading, SheetBegun, Value, fold};

fn main() {
    divan::main();
}

fn id(n: u64) -> Id {
    let ms = format!("{:012x}", 1_772_000_000_000_u64 + n);
    format!("{}-{}-7000-8000-{n:012x}", &ms[..8], &ms[8..]).parse().expect("a name")
}

/// A job with one sheet and readings in it, every fourth of them a second reading in its place.
fn entries(count: u64) -> Vec<Entry> {
    let entry = |n: u64, body| Entry {
        id: id(n),
        job: id(0),
        at: Timestamp::UNIX_EPOCH,
        received: None,
        author: "bench".into(),
        body,
    };
    let mut all = vec![entry(1, Body::JobOpened(JobOpened { title: "A four".into(), ..JobOpened::default() }))];
    let begun = SheetBegun {
        template: "bores".into(),
        template_text: "version = 1".into(),
        title: "Bores".into(),
        counts: Default::default(),
        given: Default::default(),
        built_for: "street".into(),
        material: None,
        conditions: Vec::new(),
        unit: "mm".into(),
        instruments: Vec::new(),
        part_temperature: None,
        state: String::new(),
    };
    all.push(entry(2, Body::SheetBegun(begun)));
    for n in 3..=count {
        let again = n % 4 == 0;
        let reading = Reading {
            sheet: id(2),
            place: format!("place {}", if again { n - 1 } else { n }),
            value: Value::Word("92.752 mm".into()),
            instrument: None,
            replaces: if again { vec![id(n - 1)] } else { Vec::new() },
            repeats: Vec::new(),
            remark: String::new(),
        };
        all.push(entry(n, Body::Reading(reading)));
    }
    all
}

#[divan::bench(args = [300, 10_000])]
fn fold_a_job(bencher: divan::Bencher, count: u64) {
    let entries = entries(count);
    bencher.bench(|| fold(divan::black_box(&entries)));
}
