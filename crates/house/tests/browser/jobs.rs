//! A job in the browser: taken in, claims and findings, a verdict, photos drawn on by pointer and keyboard, the tablet's
//! bar, and every page of an invented job under axe-core.

use crate::access::{axe, findings};
use crate::driver::{Browser, Key};
use crate::shop::{Shop, done, plateau};
use serde_json::Value;
use std::path::Path;

/// A shop with the invented register and the hill-climb job: claims, promises, sheets, photos, questions.
fn demo() -> Shop {
    let shop = Shop::open();
    let folder = tempfile::tempdir().expect("a folder");
    let put = |path: &Path, bytes: &[u8]| {
        std::fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
        std::fs::write(path, bytes).expect("a file");
    };
    let register = invent::jobs::register();
    put(&folder.path().join(&register.path), &register.bytes);
    let at = shop.folder().to_str().expect("UTF-8");
    done(plateau(&["instruments", "set", folder.path().join(&register.path).to_str().expect("UTF-8"), "--shop", at]));
    let jobs = invent::jobs::all();
    let (name, files) = jobs.iter().find(|(name, _)| name.ends_with("hill-climb")).expect("the hill-climb job");
    for file in files {
        put(&folder.path().join(&file.path), &file.bytes);
    }
    let job = folder.path().join(name);
    let lines = job.join("job.jsonl");
    let (lines, job) = (lines.to_str().expect("UTF-8"), job.to_str().expect("UTF-8"));
    done(plateau(&["job", "bring", lines, "--files", job, "--shop", at]));
    shop
}

/// The first address on the page that matches a selector.
fn address(browser: &Browser, css: &str) -> String {
    browser.attribute(&browser.one(css), "href").expect("an address")
}

/// Lets the news of what was just written arrive: it renews the page in place, and an element found before is gone then.
fn calm(_: &Browser) {
    std::thread::sleep(std::time::Duration::from_millis(900));
}

fn loaded(browser: &Browser) {
    browser.until("the page", "document.readyState === 'complete' && document.fonts.status === 'loaded'");
}

#[test]
fn an_engine_is_taken_in_judged_and_asked_about() {
    let shop = Shop::empty();
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/");
    browser.click(&browser.one("main .acts a"));
    browser.put(&browser.one("#f-title"), "2.4-litre four, blown");
    browser.put(&browser.one("#f-complaint"), "Knocks when it is hot.");
    browser.click(&browser.one("form.intake .send button"));
    browser.until("the job", "location.pathname === '/jobs/1'");
    calm(&browser);
    browser.click(&browser.one("button[popovertarget=add]"));
    browser.click(&browser.one("#add a[href$='/claims/new']"));
    browser.put(&browser.one("#f-words"), "8.8 to 1, safe for the blower");
    browser.put(&browser.one("#f-component"), "Compression");
    browser.put(&browser.one("#f-claimed"), "8.8 : 1");
    browser.click(&browser.one("input[name=weight][value=decides_the_build]"));
    browser.click(&browser.one(".send button"));
    browser.until("the claims", "location.pathname === '/jobs/1/claims'");
    calm(&browser);
    browser.click(&browser.one("article.cl .quote a"));
    browser.click(&browser.one("main .acts a[href*='/findings/new']"));
    assert_eq!(
        browser.attribute(&browser.one("#f-component"), "value").as_deref(),
        Some("Compression"),
        "taken over from the claim"
    );
    browser.put(&browser.one("#f-words"), "9.77 on all four");
    browser.put(&browser.one("#f-found"), "9.77 : 1 ± 0.04");
    browser.put(&browser.one("#f-how"), "Burette 50 ml");
    browser.click(&browser.one("input[name=severity][value=major]"));
    browser.click(&browser.one(".send button"));
    browser.until("the claim again", "document.querySelector('.suggestion')");
    calm(&browser);
    assert!(browser.text_of(&browser.one(".suggestion")).contains("not true"));
    browser.click(&browser.one("input[name=verdict][value=not_true]"));
    browser.put(&browser.one("#f-because"), "One point high on all four.");
    browser.click(&browser.one("#judge .send button"));
    browser.until("the verdict", "document.querySelector('.given')");
    browser.go("/jobs/1/questions/new");
    browser.put(&browser.one("#f-words"), "Lower it, or another fuel?");
    browser.put(&browser.one("#f-to"), "owner");
    browser.click(&browser.one("input[name=stops]"));
    browser.click(&browser.one(".send button"));
    browser.until("the questions", "document.querySelector('.qlist')");
    browser.go("/jobs/1");
    let text = browser.text();
    assert!(text.contains("One question stops the hand-over") && text.contains("Not true"), "{text}");
    crate::quiet(&browser);
}

#[test]
fn a_photo_is_drawn_on_by_pointer_and_by_keyboard() {
    let shop = demo();
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/jobs/1/photos");
    let photo = address(&browser, ".gallery a");
    browser.go(&photo);
    loaded(&browser);
    browser.until("the tools", "document.querySelector('.drawbar .tools button')");
    let tool = |key: &str| browser.click(&browser.one(&format!("button[data-tool={key}]")));
    let marks = || {
        let text = browser.js("return document.querySelector('draw-photo input[name=marks]').value");
        serde_json::from_str::<Value>(text.as_str().expect("text")).expect("JSON")
    };
    tool("arrow");
    let middle = browser.middle(".photo-frame");
    browser.drag("mouse", (middle.0 - 150.0, middle.1 - 100.0), (120.0, 60.0));
    let drawn = marks();
    assert_eq!(drawn[0]["mark"], "arrow", "{drawn}");
    assert!(drawn[0]["to"][0].as_f64() > drawn[0]["from"][0].as_f64());
    tool("circle");
    browser.keys(&["\u{e007}", Key::RIGHT, Key::RIGHT, Key::RIGHT, Key::RIGHT, Key::RIGHT, Key::RIGHT, "\u{e007}"]);
    let drawn = marks();
    assert_eq!(drawn[1]["mark"], "circle", "{drawn}");
    assert!((drawn[1]["radius"].as_f64().expect("a number") - 0.06).abs() < 0.002, "{drawn}");
    tool("words");
    browser.put(&browser.one("#draw-words"), "gate mark");
    browser.drag("touch", middle, (0.0, 0.0));
    assert_eq!(marks()[2]["words"], "gate mark");
    // the page that draws shows the same marks: only one that came anew has them from the record
    browser.js("window.whereItWasDrawn = true");
    browser.click(&browser.one("draw-photo .send button"));
    browser.until(
        "the marks on the page that comes back",
        "!window.whereItWasDrawn && document.querySelectorAll('svg.marks text').length === 1 \
         && location.pathname.includes('/photos/')",
    );
    let text = browser.text();
    assert!(text.contains("Marks in numbers"), "{text}");
    // The original stays as it was: the entry of the photo is the same, the drawing is one of its own.
    let lines = shop.export_job(1);
    let last = lines.last().expect("entries");
    assert_eq!(last["kind"], "drawing");
    assert_eq!(last["body"]["marks"].as_array().map(Vec::len), Some(3));
    crate::quiet(&browser);
}

#[test]
fn two_people_on_one_job_see_what_the_other_writes() {
    let shop = demo();
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/jobs/1/questions");
    browser.js("window.stillTheSamePage = true");
    let other = Browser::start(&shop.site(), 1024, 768);
    other.go("/jobs/1/questions/new");
    other.put(&other.one("#f-words"), "Which oil did he use?");
    other.put(&other.one("#f-to"), "owner");
    other.click(&other.one(".send button"));
    browser.until("the question", "document.querySelector('main').innerText.includes('Which oil did he use?')");
    assert_eq!(browser.js("return window.stillTheSamePage"), true, "renewed in place");
    // What is being typed is not taken away by news.
    browser.click(&browser.one(".qlist details summary"));
    browser.put(&browser.one(".qlist details textarea"), "The fourth pull");
    other.go("/jobs/1/notebook/new");
    other.put(&other.one("#f-words"), "Filter changed.");
    other.click(&other.one(".send button"));
    other.until("the note", "location.pathname === '/jobs/1/notebook'");
    browser.until("a word about it", "document.querySelector('#saved').innerText.includes('something newer') || document.querySelector('.qlist details textarea').value === 'The fourth pull'");
    assert_eq!(browser.js("return document.querySelector('.qlist details textarea').value"), "The fourth pull");
}

#[test]
fn the_tablet_reaches_every_page_of_a_job_from_its_bar() {
    let shop = demo();
    let browser = Browser::start(&shop.site(), 1024, 768);
    for path in [
        "",
        "/intake",
        "/claims",
        "/promises",
        "/parts",
        "/decisions",
        "/questions",
        "/notebook",
        "/stage",
        "/hand-over",
        "/runs",
        "/photos",
        "/findings/new",
    ] {
        browser.go(&format!("/jobs/1{path}"));
        let wide = browser.js("return document.documentElement.scrollWidth - window.innerWidth");
        assert!(wide.as_f64().expect("a number") <= 0.0, "{path} is {wide} px wider than the window");
    }
    browser.go("/jobs/1");
    let small = browser.js(
        "return [...document.querySelectorAll('.spine a, .spine button, main .btn, main summary')].filter(e => e.checkVisibility()).map(e => [e.textContent.trim().slice(0, 24), e.getBoundingClientRect()]).filter(([, r]) => r.height > 0 && (r.height < 44 || r.width < 44)).map(([t, r]) => `${t} ${Math.round(r.width)}×${Math.round(r.height)}`)",
    );
    assert_eq!(small, serde_json::json!([]), "targets under 44 px");
    assert_eq!(browser.all(".stages a").len(), 6);
    browser.click(&browser.one(".menu"));
    browser.until("the drawer", "document.querySelector('#drawer:popover-open')");
    browser.click(&browser.one("#drawer a[href$='/promises']"));
    browser.until("the promises", "location.pathname === '/jobs/1/promises'");
    browser.click(&browser.one(".stages li:nth-child(2) a"));
    browser.until("the claims", "location.pathname === '/jobs/1/claims'");
    crate::quiet(&browser);
}

#[test]
fn axe_finds_nothing_on_the_pages_of_a_job() {
    let axe = axe();
    let shop = demo();
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/jobs/1/claims");
    let claim = address(&browser, "article.cl .quote a");
    browser.go("/jobs/1/photos");
    let photo = address(&browser, ".gallery a");
    browser.go("/jobs/1/notebook");
    let entry = address(&browser, ".lines a");
    let mut paths: Vec<String> = [
        "",
        "/intake",
        "/claims",
        "/promises",
        "/parts",
        "/decisions",
        "/questions",
        "/notebook",
        "/stage",
        "/hand-over",
        "/runs",
        "/photos",
    ]
    .iter()
    .chain(&[
        "/claims/new",
        "/findings/new",
        "/decisions/new",
        "/parts/new",
        "/questions/new",
        "/notebook/new",
        "/promises/new",
    ])
    .map(|path| format!("/jobs/1{path}"))
    .collect();
    paths.extend([
        claim,
        photo,
        entry,
        "/".to_owned(),
        "/?q=cast".to_owned(),
        "/jobs/new".to_owned(),
        "/marks".to_owned(),
        "/jobs/9".to_owned(),
    ]);
    let mut all = Vec::new();
    for (width, height, scheme) in [(1280, 900, "light"), (1024, 768, "dark")] {
        browser.view(width, height);
        browser.scheme(scheme);
        for path in &paths {
            browser.go(path);
            loaded(&browser);
            browser.js("document.querySelectorAll('details').forEach(d => d.open = true)");
            all.extend(
                findings(&browser, &axe).into_iter().map(|line| format!("{path}, {scheme}, {width} px: {line}")),
            );
        }
    }
    assert!(all.is_empty(), "{}", all.join("\n"));
}

#[test]
fn a_page_of_a_job_prints_without_its_controls() {
    let shop = demo();
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/jobs/1/claims");
    loaded(&browser);
    let pdf = browser.print(21.0, 29.7);
    let pages = crate::pdf::pages(&pdf);
    assert!((1..=2).contains(&pages), "nine claims and what was found beside them take {pages} pages");
}
