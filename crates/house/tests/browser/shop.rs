//! A shop of invented runs, filled through the real importer, and the real server on it.

use crate::http::{Answer, exchange};
use invent::{demo, stories};
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::sync::OnceLock;

/// The program under test.
pub(crate) fn program() -> PathBuf {
    let path = match std::env::var_os("PLATEAU_BIN") {
        Some(path) => PathBuf::from(path),
        None => crate::built().join("plateau"),
    };
    assert!(
        path.is_file(),
        "the browser tests need the program at {}: run `cargo build -p plateau` first",
        path.display()
    );
    path
}

pub(crate) fn plateau(arguments: &[&str]) -> Output {
    Command::new(program()).args(arguments).stdin(Stdio::null()).output().expect("the program runs")
}

/// A folder of invented logs: the hill-climb four before and after, the spacer test's first leg, one log that asks.
pub(crate) fn logs() -> &'static Path {
    static LOGS: OnceLock<tempfile::TempDir> = OnceLock::new();
    let folder = LOGS.get_or_init(|| {
        let folder = tempfile::tempdir().expect("a folder");
        let mut files = Vec::new();
        for key in ["hill-climb-3", "hill-climb-14", "spacer-a1", "cruiser-after"] {
            let story = stories::by_key(key).unwrap_or_else(|| panic!("a story {key}"));
            demo::log_files(&story, demo::SEED, &mut files);
            files.push(demo::File {
                path: format!("cells/{}.toml", story.cell.key),
                bytes: demo::cell_file(&story).into_bytes(),
            });
        }
        files.extend(demo::files().into_iter().filter(|file| file.path.ends_with("a-unit-to-ask-about.csv")));
        for file in files {
            let path = folder.path().join(&file.path);
            std::fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
            std::fs::write(path, file.bytes).expect("a file");
        }
        folder
    });
    folder.path()
}

/// The logs of a story, in order.
pub(crate) fn logs_of(key: &str) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = std::fs::read_dir(logs().join("logs"))
        .expect("the logs")
        .map(|entry| entry.expect("a readable folder").path())
        .filter(|path| path.file_name().expect("a name").to_string_lossy().starts_with(key))
        .collect();
    found.sort();
    assert!(!found.is_empty(), "no logs of {key}");
    found
}

/// The shop that every test starts from: run 1 (before) and run 2 (after, held against run 1).
fn template() -> &'static Path {
    static SHOP: OnceLock<tempfile::TempDir> = OnceLock::new();
    let folder = SHOP.get_or_init(|| {
        let folder = tempfile::tempdir().expect("a folder");
        let shop = folder.path().to_str().expect("UTF-8");
        for entry in std::fs::read_dir(logs().join("cells")).expect("cells") {
            let path = entry.expect("a readable folder").path();
            let key = path.file_stem().expect("a name").to_string_lossy().into_owned();
            done(plateau(&["dyno", "learn", &key, "--from", path.to_str().expect("UTF-8"), "--shop", shop]));
        }
        keep(folder.path(), "hill-climb-3", &["--title", "As received"]);
        keep(folder.path(), "hill-climb-14", &["--title", "After the build", "--against", "1"]);
        folder
    });
    folder.path()
}

pub(crate) fn done(output: Output) {
    assert!(
        output.status.success(),
        "{}\n{}{}",
        output.status,
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
}

/// What is stated about the logs of a story, and the logs.
fn stated(shop: &Path, key: &str) -> Vec<String> {
    let story = stories::by_key(key).expect("a story");
    let mut arguments: Vec<String> = logs_of(key).iter().map(|path| path.to_str().expect("UTF-8").to_owned()).collect();
    let band = format!("{:.0}-{:.0}", story.band.0, story.band.1);
    for (flag, value) in [
        ("--shop", shop.to_str().expect("UTF-8")),
        ("--dyno", &story.cell.key),
        ("--band", &band),
        ("--standard", "sae_j1349"),
        ("--induction", "follows"),
        ("--displacement", &story.engine.displacement),
    ] {
        arguments.extend([flag.to_owned(), value.to_owned()]);
    }
    arguments
}

/// Takes a story's logs into a shop with `plateau keep`.
pub(crate) fn keep(shop: &Path, key: &str, more: &[&str]) {
    let stated = stated(shop, key);
    let mut arguments = vec!["keep", "--author", "invented"];
    arguments.extend(stated.iter().map(String::as_str));
    arguments.extend(more);
    done(plateau(&arguments));
}

/// The JSON of `plateau pull` for a story's logs.
pub(crate) fn pull_json(shop: &Path, key: &str, more: &[&str]) -> serde_json::Value {
    let stated = stated(shop, key);
    let mut arguments = vec!["pull", "--json"];
    arguments.extend(stated.iter().map(String::as_str));
    arguments.extend(more);
    let output = plateau(&arguments);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// Makes an account with `plateau people add`; the password goes in through standard input.
pub(crate) fn account(shop: &Path, name: &str, person: &str, password: &str) {
    let mut adding = Command::new(program())
        .args(["people", "add", name, "--person", person, "--shop"])
        .arg(shop)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let mut input = adding.stdin.take().expect("its input");
    std::io::Write::write_all(&mut input, password.as_bytes()).expect("a password");
    drop(input);
    done(adding.wait_with_output().expect("an end"));
}

/// Makes a text the guard rules of a shop.
pub(crate) fn set_guards(shop: &Path, text: &str) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("guards.toml");
    std::fs::write(&path, text).expect("a file");
    done(plateau(&["guards", "set", path.to_str().expect("UTF-8"), "--shop", shop.to_str().expect("UTF-8")]));
}

/// A running server on a shop of its own. Ended when dropped.
pub(crate) struct Shop {
    folder: tempfile::TempDir,
    server: Child,
    port: u16,
}

impl Shop {
    /// A copy of the shop with two runs, served.
    pub(crate) fn open() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        copy(template(), folder.path());
        Self::serve(folder)
    }

    /// An empty shop, served.
    pub(crate) fn empty() -> Self {
        Self::serve(tempfile::tempdir().expect("a folder"))
    }

    fn serve(folder: tempfile::TempDir) -> Self {
        let mut server = Command::new(program())
            .args(["serve", "--port", "0", "--shop"])
            .arg(folder.path())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the server starts");
        let mut lines = BufReader::new(server.stdout.take().expect("its output")).lines();
        let port = loop {
            let line = lines.next().expect("the server says its address").expect("text");
            if let Some((_, rest)) = line.split_once("http://127.0.0.1:") {
                break rest.trim_end_matches('/').parse().expect("a port");
            }
        };
        std::thread::spawn(move || lines.for_each(drop));
        Self { folder, server, port }
    }

    /// Stops the server, as if the link were gone.
    pub(crate) fn stop(&mut self) {
        let _ = self.server.kill();
        let _ = self.server.wait();
    }

    /// Serves again under the same address.
    pub(crate) fn start_again(&mut self) {
        let port = self.port.to_string();
        self.server = Command::new(program())
            .args(["serve", "--port", &port, "--shop"])
            .arg(self.folder.path())
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .spawn()
            .expect("the server starts again");
        let since = std::time::Instant::now();
        while exchange(self.port, "GET", "/health", None).is_err() {
            assert!(since.elapsed().as_secs() < 20, "the server did not come back");
            std::thread::sleep(std::time::Duration::from_millis(50));
        }
    }

    /// Takes a job in from JSON lines with `plateau job bring`.
    pub(crate) fn bring_job(&self, lines: &str) {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("job.jsonl");
        std::fs::write(&path, lines).expect("a file");
        let (path, shop) = (path.to_str().expect("UTF-8"), self.folder.path().to_str().expect("UTF-8"));
        done(plateau(&["job", "bring", path, "--shop", shop]));
    }

    /// A job as JSON lines, by `plateau job export`.
    pub(crate) fn export_job(&self, number: i64) -> Vec<serde_json::Value> {
        let shop = self.folder.path().to_str().expect("UTF-8");
        let output = plateau(&["job", "export", &number.to_string(), "--shop", shop]);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let text = String::from_utf8(output.stdout).expect("UTF-8");
        text.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect()
    }

    pub(crate) fn folder(&self) -> &Path {
        self.folder.path()
    }

    pub(crate) fn site(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Fetches a file of the site.
    pub(crate) fn fetch(&self, path: &str) -> Answer {
        exchange(self.port, "GET", path, None).expect("an answer")
    }
}

impl Drop for Shop {
    fn drop(&mut self) {
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

fn copy(from: &Path, to: &Path) {
    for entry in std::fs::read_dir(from).expect("a readable folder") {
        let path = entry.expect("a readable folder").path();
        let target = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            std::fs::create_dir_all(&target).expect("a folder");
            copy(&path, &target);
        } else {
            std::fs::copy(&path, &target).expect("a copy");
        }
    }
}

/// Starts `plateau watch` on a folder, with a short wait for writers.
pub(crate) fn watch(shop: &Path, folder: &Path) -> Child {
    Command::new(program())
        .arg("watch")
        .arg(folder)
        .arg("--shop")
        .arg(shop)
        .args(["--settle", "0.5", "--dyno", "north"])
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .spawn()
        .expect("the watcher starts")
}
