//! Accounts, signing in and out, in a browser; and the shop as a tablet sees it, over TLS.

use crate::access::{axe, findings};
use crate::driver::{Browser, Key};
use crate::quiet;
use crate::shop::{Shop, account, program};
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

const PASSWORD: &str = "grey lathe by the door";

/// Types into the field of this name in a form.
fn fill(browser: &Browser, form: &str, name: &str, text: &str) {
    browser.put(&browser.one(&format!("{form} [name={name}]")), text);
}

/// Nothing that is pressed is smaller than a gloved finger needs.
fn touch_targets(browser: &Browser) -> String {
    let small = browser.js(
        "return [...document.querySelectorAll('main button, main input:not([type=hidden]), main summary, main label.tickbox, .person a, .person button')]
           .filter(e => e.offsetParent && e.type !== 'checkbox')
           .map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect().height])
           .filter(([, height]) => height < 43.5).map(([what, height]) => what + ': ' + height).join('\\n')",
    );
    small.as_str().unwrap_or_default().to_owned()
}

#[test]
fn the_first_account_is_made_and_used_with_nothing_found_by_axe() {
    let axe = axe();
    let shop = Shop::empty();
    let browser = Browser::start(&shop.site(), 1280, 900);
    let look = |what: &str| {
        for (width, height) in [(1280, 900), (1024, 768)] {
            browser.view(width, height);
            for scheme in ["light", "dark"] {
                browser.scheme(scheme);
                browser.js("document.querySelectorAll('details').forEach(d => d.open = true)");
                let found = findings(&browser, &axe);
                assert!(found.is_empty(), "{what}, {scheme}, {width} px: {}", found.join("\n"));
                assert_eq!(touch_targets(&browser), "", "{what}, {width} px");
            }
        }
    };
    browser.go("/people");
    look("no accounts");
    fill(&browser, "#new", "person", "Mara Lind");
    fill(&browser, "#new", "name", "mara");
    fill(&browser, "#new", "password", "short");
    fill(&browser, "#new", "again", "short");
    browser.click(&browser.one("#new button"));
    browser.until("the reason", "document.querySelector('#new-fault')?.textContent.includes('at least 10')");
    look("a password that is too short");
    let complaints = browser.complaints();
    assert!(complaints.iter().all(|line| line.contains("422")), "{complaints:?}");
    assert_eq!(browser.attribute(&browser.one("#new [name=name]"), "value").as_deref(), Some("mara"), "typed once");
    fill(&browser, "#new", "password", PASSWORD);
    fill(&browser, "#new", "again", PASSWORD);
    browser.click(&browser.one("#new button"));
    browser.until("the sign-in page", "location.pathname === '/sign-in'");
    look("sign in");

    // By keyboard alone: the name has the focus.
    browser.until("the focus", "document.activeElement.name === 'name'");
    browser.keys(&["m", "a", "r", "a", Key::TAB]);
    let keys: Vec<String> = PASSWORD.chars().map(String::from).collect();
    browser.keys(&keys.iter().map(String::as_str).collect::<Vec<_>>());
    browser.keys(&["\u{e007}"]);
    browser.until("the people", "location.pathname === '/people' && document.querySelector('#sign-ins')");
    look("people");
    assert!(browser.text().contains("Mara Lind") && browser.text().contains("signed in"));
    quiet(&browser);

    browser.go("/dynos");
    // On a tablet the way out lies behind "Pages".
    browser.click(&browser.one("[popovertarget=drawer]"));
    browser.until("the drawer", "document.querySelector('#drawer:popover-open')");
    browser.click(&browser.one(".person button"));
    browser.until("the door", "location.pathname === '/sign-in'");
    assert!(browser.all("nav").is_empty(), "nothing of the shop stands at the door");
    browser.js("history.back()");
    // Going back leads to the door again, also where the browser had laid the page aside whole.
    browser.until("the door again", "location.pathname === '/sign-in' && document.querySelector('#sign-in')");
}

/// A server that tablets can reach, ended when dropped.
struct Wide {
    server: Child,
    _folder: tempfile::TempDir,
    port: u16,
}

impl Wide {
    fn open() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        account(folder.path(), "mara", "Mara Lind", PASSWORD);
        let mut server = Command::new(program())
            .args(["serve", "--listen", "0.0.0.0:0", "--shop"])
            .arg(folder.path())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the server starts");
        let mut lines = BufReader::new(server.stdout.take().expect("its output")).lines();
        let port = loop {
            let line = lines.next().expect("the server says its address").expect("text");
            if let Some(rest) = line.trim().strip_prefix("https://") {
                break rest.trim_end_matches('/').rsplit(':').next().expect("a port").parse().expect("a number");
            }
        };
        std::thread::spawn(move || lines.for_each(drop));
        Self { server, _folder: folder, port }
    }
}

impl Drop for Wide {
    fn drop(&mut self) {
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

#[test]
fn a_tablet_signs_in_over_tls_and_hears_of_news() {
    let shop = Wide::open();
    let site = format!("https://localhost:{}", shop.port);
    let browser = Browser::start_in_spite(&site, 1024, 768);
    browser.go("/dynos");
    browser.until("the door", "location.pathname === '/sign-in'");
    fill(&browser, "#sign-in", "name", "mara");
    fill(&browser, "#sign-in", "password", PASSWORD);
    browser.click(&browser.one("#sign-in button"));
    browser.until("the dynos", "location.pathname === '/dynos'");
    assert_eq!(
        browser.js("return performance.getEntriesByType('navigation')[0].nextHopProtocol").as_str(),
        Some("h2"),
        "one connection for all pages and streams"
    );
    assert_eq!(browser.js("return document.cookie.includes('plateau')"), false, "no script reads the session");
    quiet(&browser);
    // The stream of news is open over the same connection: a dyno made elsewhere shows.
    let made = browser.js_later(
        "const done = arguments[arguments.length - 1];
         fetch('/dynos', { method: 'POST', body: new URLSearchParams({ key: 'north' }) }).then(a => done(a.status), e => done(String(e)))",
    );
    assert_eq!(made, 200);
    browser.until("the news", "document.querySelector('main').innerText.includes('north')");
    quiet(&browser);

    // The session ends elsewhere: the open page says so, and goes to the door.
    let ended = browser.js_later(
        "const done = arguments[arguments.length - 1];
         fetch('/sign-out-everywhere', { method: 'POST' }).then(a => done(a.redirected), e => done(String(e)))",
    );
    assert_eq!(ended, true);
    browser.until("the end of the session", "document.querySelector('main').innerText.includes('Signed out here')");
    assert!(!browser.text().contains("north"), "what was open is not shown any longer");
}
