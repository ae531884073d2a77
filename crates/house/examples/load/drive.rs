//! Thirty people at work: each looks at pages, types readings, brings photos; open pages listen to the news.

use crate::client::{Answer, Client, listen};
use crate::fill;
use crate::random::{Dice, id};
use record::Body;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

/// How long things took, by what they were.
type Times = BTreeMap<&'static str, Vec<Duration>>;

/// Out of a hundred things that a client does: what, and how often. Invented: reading is most of it, and a person who
/// measures types a reading every few seconds.
const MIX: &[(Act, u64)] = &[
    (Act::List, 7),
    (Act::Search, 5),
    (Act::Job, 14),
    (Act::Claims, 8),
    (Act::Sheet, 12),
    (Act::Notebook, 5),
    (Act::Photos, 6),
    (Act::Reading, 35),
    (Act::Note, 5),
    (Act::Photo, 3),
];

#[derive(Debug, Clone, Copy)]
enum Act {
    List,
    Search,
    Job,
    Claims,
    Sheet,
    Notebook,
    Photos,
    Reading,
    Note,
    Photo,
}

/// The server on the folder.
struct Server(Child, u16);

impl Server {
    fn start(folder: &Path) -> Self {
        let beside = || {
            let program = std::env::current_exe().expect("this program has a path");
            program.ancestors().nth(2).expect("target/profile/examples/load").join("plateau")
        };
        let program = std::env::var_os("PLATEAU_BIN").map_or_else(beside, PathBuf::from);
        let mut child = Command::new(&program)
            .args(["serve", "--port", "0", "--shop"])
            .arg(folder)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap_or_else(|e| panic!("{}: {e}", program.display()));
        let mut lines = BufReader::new(child.stdout.take().expect("its output")).lines();
        let port = loop {
            let line = lines.next().expect("the server says its address").expect("text");
            if let Some((_, rest)) = line.split_once("http://127.0.0.1:") {
                break rest.trim_end_matches('/').parse().expect("a port");
            }
        };
        std::thread::spawn(move || lines.for_each(drop));
        Self(child, port)
    }

    /// Most memory that it held so far, kilobytes, where the system says so.
    fn memory_kb(&self) -> Option<u64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.0.id())).ok()?;
        let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
        line.trim().trim_end_matches(" kB").parse().ok()
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// One person.
struct Person {
    client: Client,
    dice: Dice,
    number: u64,
    jobs: u64,
    /// The job under the hand.
    job: u64,
    /// The sheet under the hand, and how many readings it has from here.
    sheet: (String, usize),
    made: u64,
    times: Times,
    faults: Vec<String>,
}

impl Person {
    fn work(&mut self, until: Instant, pause: Duration, pictures: &[Vec<u8>], places: &[String]) {
        self.wait(pause);
        while Instant::now() < until {
            let mut at = self.dice.below(MIX.iter().map(|row| row.1).sum());
            let act = MIX.iter().find(|row| {
                let here = at < row.1;
                at = at.saturating_sub(row.1);
                here
            });
            self.act(act.map_or(Act::List, |row| row.0), pictures, places);
            self.wait(pause);
        }
    }

    /// Between half and one and a half times the pause.
    fn wait(&mut self, pause: Duration) {
        std::thread::sleep(pause.mul_f64(0.5 + self.dice.share()));
    }

    fn act(&mut self, act: Act, pictures: &[Vec<u8>], places: &[String]) {
        // Four times of five it is the job under the hand; else one from the shelf.
        let job = if self.dice.below(5) > 0 { self.job } else { 1 + self.dice.below(self.jobs) };
        match act {
            Act::List => self.page("/", "list of jobs"),
            Act::Search => {
                let words = ["pistons", "scored", "crankshaft thrust", "hill-climb 17", "4032", "water"];
                let words = words[self.dice.below(words.len() as u64) as usize].replace(' ', "+");
                self.page(&format!("/?q={words}"), "search");
            }
            Act::Job => self.page(&format!("/jobs/{job}"), "job"),
            Act::Claims => self.page(&format!("/jobs/{job}/claims"), "claims"),
            Act::Sheet => {
                let sheet = if job == self.job { self.sheet.0.clone() } else { fill::sheet_id(job) };
                self.page(&format!("/jobs/{job}/sheets/{sheet}"), "sheet");
            }
            Act::Notebook => self.page(&format!("/jobs/{job}/notebook"), "notebook"),
            Act::Photos => {
                let answer = self.client.get(&format!("/jobs/{job}/photos"));
                for address in thumbnails(&answer.body).into_iter().take(4) {
                    let thumb = self.client.get(&address);
                    self.note("thumbnail", &address, thumb);
                }
                self.note("photos", "photos", answer);
            }
            Act::Reading => self.reading(places),
            Act::Note => {
                let words = format!("Looked at it again, {}", self.made);
                self.write("note", json!({ "kind": "note_written", "body": { "words": words } }));
            }
            Act::Photo => self.photo(pictures),
        }
    }

    fn page(&mut self, path: &str, what: &'static str) {
        let answer = self.client.get(path);
        self.note(what, path, answer);
    }

    /// The next reading of the sheet; a full sheet is followed by a new one.
    fn reading(&mut self, places: &[String]) {
        if self.sheet.1 == places.len() {
            let mut begun = fill::begun("bores");
            begun.title = format!("Bores, person {} sheet {}", self.number, self.made);
            let body = serde_json::to_value(Body::SheetBegun(begun)).expect("a body");
            let sheet = self.write("sheet begun", body);
            self.sheet = (sheet, 0);
        }
        let (sheet, at) = self.sheet.clone();
        let typed = format!("{:.3} mm", 86.0 + 0.02 * self.dice.share());
        let body = json!({ "sheet": sheet, "place": places[at], "value": { "typed": typed } });
        self.write("reading", json!({ "kind": "reading", "body": body }));
        self.sheet.1 += 1;
    }

    /// Sends one entry of the job under the hand; its name.
    fn write(&mut self, what: &'static str, mut entry: Value) -> String {
        let now = SystemTime::now().duration_since(UNIX_EPOCH).expect("after 1970");
        self.made += 1;
        let name = id(now.as_millis() as u64 - 1_744_000_000_000, self.number << 32 | self.made);
        entry["id"] = name.clone().into();
        entry["at"] = "2026-04-08T08:10:00Z".into();
        let body = json!({ "job": fill::job_id(self.job), "entries": [entry] }).to_string();
        let answer = self.client.post("/entries", "application/json", body.as_bytes());
        self.note(what, "/entries", answer);
        name
    }

    fn photo(&mut self, pictures: &[Vec<u8>]) {
        let mark = "----photo-of-the-load-test";
        self.made += 1;
        let seed =
            SystemTime::now().duration_since(UNIX_EPOCH).expect("after 1970").as_nanos() as u64 ^ self.number << 50;
        let mut body = format!(
            "--{mark}\r\nContent-Disposition: form-data; name=\"files\"; filename=\"p{}.jpg\"\r\nContent-Type: image/jpeg\r\n\r\n",
            self.made
        )
        .into_bytes();
        body.extend(fill::photo(pictures, seed));
        body.extend(format!("\r\n--{mark}--\r\n").as_bytes());
        let path = format!("/jobs/{}/photos", self.job);
        let answer = self.client.post(&path, &format!("multipart/form-data; boundary={mark}"), &body);
        self.note("photo brought", &path, answer);
    }

    fn note(&mut self, what: &'static str, path: &str, answer: Answer) {
        if answer.status >= 400 {
            let text: String = String::from_utf8_lossy(&answer.body).chars().take(300).collect();
            self.faults.push(format!("{path}: {} {text}", answer.status));
        }
        self.times.entry(what).or_default().push(answer.took);
    }
}

/// Addresses of small pictures in a page. Pages come packed; the addresses are then made from the job's entries.
fn thumbnails(body: &[u8]) -> Vec<String> {
    let mut page = String::new();
    let unpacked = std::io::Read::read_to_string(&mut flate2::read::GzDecoder::new(body), &mut page);
    if unpacked.is_err() {
        page = String::from_utf8_lossy(body).into_owned();
    }
    let each = page.split("/files/").skip(1).filter_map(|rest| {
        let (sha, rest) = rest.split_at_checked(64)?;
        rest.starts_with("/thumb").then(|| format!("/files/{sha}/thumb"))
    });
    let mut all: Vec<String> = each.collect();
    all.sort();
    all.dedup();
    all
}

/// Drives a filled shop and prints the figures.
pub(crate) fn drive(folder: &Path, lasting: Duration, clients: u64, pause: Duration) {
    let jobs = {
        let store = store::Store::open_existing(folder).expect("a filled shop");
        store.jobs().expect("its jobs").len() as u64
    };
    let server = Server::start(folder);
    let port = server.1;
    let (pictures, places) = (fill::pictures(), fill::places("bores"));
    let until = Instant::now() + lasting;
    let began = Instant::now();
    let mut times = Times::new();
    let (mut faults, mut news) = (Vec::new(), 0);
    std::thread::scope(|scope| {
        let listeners: Vec<_> = (0..clients).map(|_| scope.spawn(move || listen(port, "/events", until))).collect();
        let people: Vec<_> = (0..clients)
            .map(|number| {
                let (pictures, places) = (&pictures, &places);
                scope.spawn(move || {
                    let job = 1 + number * jobs / clients;
                    let mut person = Person {
                        client: Client::new(port),
                        dice: Dice::new(7_000 + number),
                        number,
                        jobs,
                        job,
                        // The first sheet of the job is full.
                        sheet: (fill::sheet_id(job), places.len()),
                        made: 0,
                        times: Times::new(),
                        faults: Vec::new(),
                    };
                    person.work(until, pause, pictures, places);
                    (person.times, person.faults)
                })
            })
            .collect();
        for person in people {
            let (of_one, faults_of_one) = person.join().expect("a client");
            for (what, took) in of_one {
                times.entry(what).or_default().extend(took);
            }
            faults.extend(faults_of_one);
        }
        news = listeners.into_iter().map(|l| l.join().expect("a listener")).sum();
    });
    let memory = server.memory_kb();
    println!(
        "{clients} clients for {:.0} s on {jobs} jobs, pause {} ms; {news} pieces of news heard; server at most {} MB",
        began.elapsed().as_secs_f64(),
        pause.as_millis(),
        memory.map_or("?".into(), |kb| (kb / 1024).to_string())
    );
    println!("{:<16} {:>7} {:>9} {:>9} {:>9} {:>9}", "ms", "count", "p50", "p95", "p99", "longest");
    let writes = ["reading", "note", "sheet begun"];
    let apart = ["thumbnail", "photo brought"];
    let group = |take: &dyn Fn(&str) -> bool| -> Vec<Duration> {
        times.iter().filter(|(what, _)| take(what)).flat_map(|(_, took)| took.clone()).collect()
    };
    row("all pages", group(&|what| !writes.contains(&what) && !apart.contains(&what)));
    row("all writes", group(&|what| writes.contains(&what)));
    for (what, took) in &times {
        row(what, took.clone());
    }
    for fault in faults.iter().take(10) {
        println!("fault: {fault}");
    }
    drop(server);
    let began = Instant::now();
    let report = store::Store::open_existing(folder).expect("the shop").check().expect("the check goes through");
    println!(
        "check of {} jobs, {} entries, {} files in {:.1} s: {}",
        report.jobs,
        report.entries,
        report.files,
        began.elapsed().as_secs_f64(),
        if report.is_clean() { "clean" } else { "NOT WELL" }
    );
    if !faults.is_empty() || !report.is_clean() {
        println!("{} answers were faults", faults.len());
        std::process::exit(1);
    }
}

/// One line of the table.
fn row(what: &str, mut took: Vec<Duration>) {
    if took.is_empty() {
        return;
    }
    took.sort();
    let at = |share: f64| {
        let place = ((took.len() as f64 * share).ceil() as usize).clamp(1, took.len()) - 1;
        took[place].as_secs_f64() * 1e3
    };
    println!("{what:<16} {:>7} {:>9.1} {:>9.1} {:>9.1} {:>9.1}", took.len(), at(0.5), at(0.95), at(0.99), at(1.0));
}
