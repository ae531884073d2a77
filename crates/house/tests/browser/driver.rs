//! A browser under remote control, by the W3C WebDriver protocol (JSON over HTTP).
//!
//! Only the commands that the tests need. The browser starts with an empty profile and no calls of its own to the network.

use crate::http::exchange;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// The key under which WebDriver names an element.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// How long to wait for what a page should show.
const PATIENCE: Duration = Duration::from_secs(20);

/// An element of a page.
#[derive(Debug, Clone)]
pub(crate) struct Element(String);

/// A running browser with one window. Ended when dropped.
pub(crate) struct Browser {
    driver: Child,
    port: u16,
    session: String,
    site: String,
    /// What the browser was started with.
    wanted: Value,
    _profile: tempfile::TempDir,
}

/// Path of a program, with the sentence that helps when it is missing.
fn program(names: &[&str], package: &str) -> PathBuf {
    let folders = std::env::var_os("PATH").unwrap_or_default();
    let found = names
        .iter()
        .flat_map(|name| std::env::split_paths(&folders).map(move |dir| dir.join(name)))
        .find(|path| path.is_file());
    found.unwrap_or_else(|| {
        panic!("the browser tests need {} (Debian package {package}); `make tools` installs it", names.join(" or "))
    })
}

impl Browser {
    /// Starts a browser for the pages at `site` ("http://127.0.0.1:7340"), with a window of the given size.
    pub(crate) fn start(site: &str, width: u32, height: u32) -> Self {
        Self::begin(site, width, height, false)
    }

    /// The same, going on in spite of a certificate that it does not know, as a person does who compared it.
    pub(crate) fn start_in_spite(site: &str, width: u32, height: u32) -> Self {
        Self::begin(site, width, height, true)
    }

    fn begin(site: &str, width: u32, height: u32, any_certificate: bool) -> Self {
        let chromium = program(&["chromium", "chromium-browser"], "chromium");
        let driver = program(&["chromedriver"], "chromium-driver");
        let profile = tempfile::tempdir().expect("a folder for the profile");
        let mut driver = Command::new(driver)
            .args(["--port=0", "--log-level=WARNING"])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the driver starts");
        let mut lines = BufReader::new(driver.stdout.take().expect("its output")).lines();
        let port = loop {
            let line = lines.next().expect("the driver says its port").expect("text");
            if let Some((_, rest)) = line.split_once("successfully on port ") {
                break rest.trim_end_matches('.').parse().expect("a port");
            }
        };
        // keep the pipe open, so that the driver never writes into a closed one
        std::thread::spawn(move || lines.for_each(drop));
        let mut browser = Self {
            driver,
            port,
            session: String::new(),
            site: site.to_owned(),
            wanted: Value::Null,
            _profile: profile,
        };
        let args = [
            "--headless=new",
            "--no-sandbox",
            "--disable-dev-shm-usage",
            "--disable-gpu",
            "--force-color-profile=srgb",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--no-first-run",
            "--lang=en-US",
        ];
        let mut args: Vec<String> = args.iter().map(|arg| (*arg).to_owned()).collect();
        args.push(format!("--user-data-dir={}", browser._profile.path().display()));
        args.push(format!("--window-size={width},{height}"));
        let wanted = json!({"capabilities": {"alwaysMatch": {
            "browserName": "chrome",
            "acceptInsecureCerts": any_certificate,
            "goog:chromeOptions": {"binary": chromium, "args": args},
            "goog:loggingPrefs": {"browser": "ALL"},
        }}});
        browser.wanted = wanted;
        browser.open_session();
        browser.view(width, height);
        browser
    }

    fn open_session(&mut self) {
        let started = self.send("POST", "/session", Some(&self.wanted)).expect("a session");
        self.session = started["sessionId"].as_str().expect("a session id").to_owned();
        // A window without a screen has no focus of its own, and without it no focus event comes.
        self.devtools("Emulation.setFocusEmulationEnabled", json!({"enabled": true}));
    }

    /// Ends the browser and starts it again on the same profile.
    pub(crate) fn restart(&mut self, width: u32, height: u32) {
        self.send("DELETE", "", None).expect("the browser ends");
        self.session = String::new();
        self.open_session();
        self.view(width, height);
    }

    fn send(&self, method: &str, path: &str, body: Option<&Value>) -> Result<Value, String> {
        let path = if self.session.is_empty() { path.to_owned() } else { format!("/session/{}{path}", self.session) };
        let text = body.map(Value::to_string);
        let answer = exchange(self.port, method, &path, text.as_deref())?;
        let json: Value = serde_json::from_slice(&answer.body).map_err(|e| format!("{method} {path}: {e}"))?;
        if answer.status == 200 {
            Ok(json["value"].clone())
        } else {
            Err(format!("{method} {path}: {}", json["value"]["message"]))
        }
    }

    fn post(&self, path: &str, body: Value) -> Value {
        self.send("POST", path, Some(&body)).unwrap_or_else(|e| panic!("{e}"))
    }

    fn get(&self, path: &str) -> Value {
        self.send("GET", path, None).unwrap_or_else(|e| panic!("{e}"))
    }

    /// A command of the browser's own protocol.
    pub(crate) fn devtools(&self, command: &str, params: Value) -> Value {
        self.post("/goog/cdp/execute", json!({"cmd": command, "params": params}))
    }

    /// Sets what the page sees as its window.
    pub(crate) fn view(&self, width: u32, height: u32) {
        self.devtools(
            "Emulation.setDeviceMetricsOverride",
            json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": false}),
        );
    }

    /// Light or dark, as the machine would ask for it.
    pub(crate) fn scheme(&self, scheme: &str) {
        self.devtools(
            "Emulation.setEmulatedMedia",
            json!({"features": [{"name": "prefers-color-scheme", "value": scheme}]}),
        );
    }

    /// Opens a page of the site, or a whole address (one with a colon).
    pub(crate) fn go(&self, path: &str) {
        let url = if path.contains(':') { path.to_owned() } else { format!("{}{path}", self.site) };
        self.post("/url", json!({"url": url}));
    }

    /// The path of the page that is open, with its query.
    pub(crate) fn path(&self) -> String {
        let url = self.get("/url").as_str().expect("an address").to_owned();
        url.strip_prefix(&self.site).unwrap_or(&url).to_owned()
    }

    /// All elements a CSS selector finds now.
    pub(crate) fn all(&self, css: &str) -> Vec<Element> {
        let found = self.post("/elements", json!({"using": "css selector", "value": css}));
        found
            .as_array()
            .expect("a list")
            .iter()
            .map(|e| Element(e[ELEMENT].as_str().expect("an element").to_owned()))
            .collect()
    }

    /// The first element a selector finds; waits for it.
    pub(crate) fn one(&self, css: &str) -> Element {
        let since = Instant::now();
        loop {
            if let Some(first) = self.all(css).into_iter().next() {
                return first;
            }
            assert!(since.elapsed() < PATIENCE, "no `{css}` on {}\n{}", self.path(), self.text());
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// Waits until a script's expression is true.
    pub(crate) fn until(&self, what: &str, expression: &str) {
        let since = Instant::now();
        while self.js(&format!("return !!({expression})")) != Value::Bool(true) {
            assert!(
                since.elapsed() < PATIENCE,
                "waited in vain for {what} (`{expression}`) on {}\n{}",
                self.path(),
                self.text()
            );
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// Runs a script in the page.
    pub(crate) fn js(&self, script: &str) -> Value {
        self.post("/execute/sync", json!({"script": script, "args": []}))
    }

    /// Runs a script that calls its last argument when done.
    pub(crate) fn js_later(&self, script: &str) -> Value {
        self.post("/execute/async", json!({"script": script, "args": []}))
    }

    /// The page's text as a person sees it.
    pub(crate) fn text(&self) -> String {
        self.js("return document.body.innerText").as_str().unwrap_or_default().to_owned()
    }

    pub(crate) fn click(&self, element: &Element) {
        self.post(&format!("/element/{}/click", element.0), json!({}));
    }

    /// Types into an element; a file chooser takes paths joined by line ends.
    pub(crate) fn put(&self, element: &Element, text: &str) {
        self.post(&format!("/element/{}/value", element.0), json!({"text": text}));
    }

    pub(crate) fn text_of(&self, element: &Element) -> String {
        self.get(&format!("/element/{}/text", element.0)).as_str().unwrap_or_default().to_owned()
    }

    pub(crate) fn attribute(&self, element: &Element, name: &str) -> Option<String> {
        self.get(&format!("/element/{}/attribute/{name}", element.0)).as_str().map(str::to_owned)
    }

    /// Middle of the first element of a selector in the window, px.
    pub(crate) fn middle(&self, css: &str) -> (f64, f64) {
        self.one(css);
        let at = self.js(&format!(
            "const r = document.querySelector('{css}').getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]"
        ));
        (at[0].as_f64().expect("a number"), at[1].as_f64().expect("a number"))
    }

    /// Presses keys one after another on what has the focus. Names as in WebDriver's table: see [`Key`].
    pub(crate) fn keys(&self, keys: &[&str]) {
        let mut actions = Vec::new();
        for key in keys {
            actions.push(json!({"type": "keyDown", "value": key}));
            actions.push(json!({"type": "keyUp", "value": key}));
        }
        self.post("/actions", json!({"actions": [{"type": "key", "id": "keyboard", "actions": actions}]}));
    }

    /// Presses at one place, moves by a distance in steps, lets go; `kind` is `mouse` or `touch`.
    pub(crate) fn drag(&self, kind: &str, from: (f64, f64), by: (f64, f64)) {
        let at = |x: f64, y: f64| json!({"type": "pointerMove", "duration": 30, "origin": "viewport", "x": x.round() as i64, "y": y.round() as i64});
        let mut actions = vec![at(from.0, from.1), json!({"type": "pointerDown", "button": 0})];
        for step in 1..=5 {
            let part = f64::from(step) / 5.0;
            actions.push(at(from.0 + by.0 * part, from.1 + by.1 * part));
        }
        actions.push(json!({"type": "pointerUp", "button": 0}));
        let pointer = json!({"type": "pointer", "id": kind, "parameters": {"pointerType": kind}, "actions": actions});
        self.post("/actions", json!({"actions": [pointer]}));
    }

    /// The window that is in front, by its name.
    pub(crate) fn window(&self) -> String {
        self.get("/window").as_str().expect("a window").to_owned()
    }

    /// Opens another window of the same profile, as a second tab; its name.
    pub(crate) fn new_window(&self) -> String {
        let made = self.post("/window/new", json!({"type": "tab"}));
        made["handle"].as_str().expect("a window").to_owned()
    }

    /// Goes on in another window.
    pub(crate) fn to_window(&self, name: &str) {
        self.post("/window", json!({"handle": name}));
    }

    /// The page on paper: PDF bytes. Sizes in cm.
    pub(crate) fn print(&self, width_cm: f64, height_cm: f64) -> Vec<u8> {
        let params = json!({
            "paperWidth": width_cm / 2.54, "paperHeight": height_cm / 2.54, "printBackground": true,
            "preferCSSPageSize": false, "marginTop": 0.4, "marginBottom": 0.4, "marginLeft": 0.4, "marginRight": 0.4,
        });
        let answer = self.devtools("Page.printToPDF", params);
        crate::pdf::from_base64(answer["data"].as_str().expect("data"))
    }

    /// What the console complained about since the last look: errors and warnings.
    pub(crate) fn complaints(&self) -> Vec<String> {
        let entries = self.post("/se/log", json!({"type": "browser"}));
        let loud = |entry: &&Value| matches!(entry["level"].as_str(), Some("SEVERE" | "WARNING"));
        entries
            .as_array()
            .expect("a list")
            .iter()
            .filter(loud)
            .map(|entry| entry["message"].as_str().unwrap_or("?").to_owned())
            .collect()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if std::thread::panicking() {
            let to = crate::target().join("browser-failure.png");
            if let Ok(data) = self.send("GET", "/screenshot", None) {
                let _ = std::fs::write(&to, crate::pdf::from_base64(data.as_str().unwrap_or_default()));
                eprintln!("the window at the failure: {}", to.display());
            }
        }
        let _ = self.send("DELETE", "", None);
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

/// Keys by WebDriver's code points (W3C WebDriver, table of normalised key values).
pub(crate) struct Key;

impl Key {
    pub(crate) const LEFT: &str = "\u{e012}";
    pub(crate) const RIGHT: &str = "\u{e014}";
    pub(crate) const HOME: &str = "\u{e011}";
    pub(crate) const END: &str = "\u{e010}";
    pub(crate) const TAB: &str = "\u{e004}";
    pub(crate) const ENTER: &str = "\u{e007}";
    pub(crate) const BACKSPACE: &str = "\u{e003}";
    pub(crate) const DOWN: &str = "\u{e015}";
    pub(crate) const ESCAPE: &str = "\u{e00c}";
}
