//! The real server on a folder, started, killed, ended.

use crate::http::{Answer, exchange};
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

/// The program under test.
pub(crate) fn program() -> PathBuf {
    let beside = || {
        let program = std::env::current_exe().expect("the test program has a path");
        program.ancestors().nth(2).expect("target/debug/deps/name").join("plateau")
    };
    let path = std::env::var_os("PLATEAU_BIN").map_or_else(beside, PathBuf::from);
    assert!(path.is_file(), "the program is needed at {}: run `cargo build -p plateau` first", path.display());
    path
}

/// One run of the program to its end.
pub(crate) fn plateau(arguments: &[&str]) -> Output {
    Command::new(program()).args(arguments).stdin(Stdio::null()).output().expect("the program runs")
}

/// Standard output, standard error and exit code of one run.
pub(crate) fn said(arguments: &[&str]) -> (String, String, i32) {
    let out = plateau(arguments);
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (text(&out.stdout), text(&out.stderr), out.status.code().expect("it ended by itself"))
}

/// A running server. Killed when dropped.
pub(crate) struct Server {
    child: Child,
    pub(crate) port: u16,
}

impl Server {
    /// Serves a folder.
    pub(crate) fn start(shop: &Path) -> Self {
        Self::from(Command::new(program()), shop).unwrap_or_else(|words| panic!("the server did not start: {words}"))
    }

    /// Serves a folder by a command that ends in the program, such as a shell that sets a limit first.
    ///
    /// # Errors
    /// What the program said when it ended instead of serving.
    pub(crate) fn from(mut command: Command, shop: &Path) -> Result<Self, String> {
        command.args(["serve", "--port", "0", "--shop"]).arg(shop);
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().expect("the server starts");
        let mut errors = child.stderr.take().expect("its errors");
        let mut lines = BufReader::new(child.stdout.take().expect("its output")).lines();
        while let Some(Ok(line)) = lines.next() {
            if let Some((_, rest)) = line.split_once("http://127.0.0.1:") {
                let port = rest.trim_end_matches('/').parse().expect("a port");
                std::thread::spawn(move || lines.for_each(drop));
                std::thread::spawn(move || std::io::copy(&mut errors, &mut std::io::sink()));
                return Ok(Self { child, port });
            }
        }
        let mut words = String::new();
        errors.read_to_string(&mut words).expect("its errors are text");
        child.wait().expect("it ends");
        Err(words)
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        exchange(self.port, "GET", path, None).expect("an answer")
    }

    /// SIGKILL on Unix: nothing in the program hears of it.
    pub(crate) fn kill(mut self) {
        self.child.kill().expect("it is killed");
        let ended = self.child.wait().expect("it ends");
        assert!(ended.code().is_none(), "it had ended by itself: {ended}");
    }

    /// Whether the program is still there.
    pub(crate) fn lives(&mut self) -> bool {
        self.child.try_wait().expect("its state").is_none()
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
