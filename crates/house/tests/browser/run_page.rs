//! The run page in hand: band ends, readout, leaving a pull out, units, light and dark, another size of window.

use crate::driver::{Browser, Key};
use crate::shop::Shop;

const FROM: &str = "run-chart g.handle[data-end=from]";
const TO: &str = "run-chart g.handle[data-end=to]";

/// Speed of a band end. Asked in one script, since the page may be renewed in place at any moment.
fn now(browser: &Browser, handle: &str) -> f64 {
    browser.one(handle);
    let value = browser.js(&format!("return Number(document.querySelector('{handle}').getAttribute('aria-valuenow'))"));
    value.as_f64().expect("a number")
}

fn finding(browser: &Browser) -> String {
    browser.one("main .finding");
    browser.js("return document.querySelector('main .finding').innerText").as_str().unwrap_or_default().to_owned()
}

/// Opens run 2 and waits until the picture has its size and its script.
fn open(shop: &Shop, width: u32, height: u32) -> Browser {
    let browser = Browser::start(&shop.site(), width, height);
    browser.go("/runs/2");
    browser.until("the reader, which the script makes", "document.querySelector('#reader')");
    settled(&browser);
    browser
}

/// Waits until the picture has taken the width of its place and stays.
fn settled(browser: &Browser) {
    let seen = "document.querySelector('run-chart svg')?.outerHTML.length";
    browser.js("window.before = 0; window.same = 0");
    browser.until(
        "the picture to stay as it is",
        &format!(
            "(window.same = {seen} === window.before ? window.same + 1 : 0, window.before = {seen}, window.same > 8)"
        ),
    );
}

#[test]
fn the_page_says_its_finding_first() {
    let shop = Shop::open();
    let browser = open(&shop, 1280, 900);
    let said_first = finding(&browser);
    assert!(said_first.chars().any(|c| c.is_ascii_digit()), "a finding holds a number: {said_first}");
    let first = browser.js("return [...document.querySelectorAll('main h1, main .finding, main run-chart, main table')].map(e => e.matches('.finding') ? 'finding' : e.localName).slice(0, 2)");
    assert_eq!(first, serde_json::json!(["h1", "finding"]));
    // observed is never missing beside corrected
    let text = browser.text().to_lowercase();
    assert!(text.contains("observed") && text.contains("corrected"), "{text}");
    crate::quiet(&browser);
}

#[test]
fn band_ends_move_by_keyboard_and_the_band_is_judged_again() {
    let shop = Shop::open();
    let browser = open(&shop, 1280, 900);
    let (from, to) = (now(&browser, FROM), now(&browser, TO));
    let said_first = finding(&browser);
    browser.js(&format!("document.querySelector('{FROM}').focus()"));
    browser.keys(&[Key::RIGHT, Key::RIGHT]);
    assert_eq!(now(&browser, FROM), from + 50.0, "two steps of 25 rpm");
    browser.until(
        "the new band in the address",
        &format!("new URLSearchParams(location.search).get('from') === '{}'", from + 50.0),
    );
    settled(&browser);
    assert_eq!(now(&browser, FROM), from + 50.0);
    assert_eq!(now(&browser, TO), to, "the other end stayed");
    assert_ne!(finding(&browser), said_first, "the finding is that of the new band");
    // the end cannot pass the other one, and Escape gives the judged band back
    browser.js(&format!("document.querySelector('{FROM}').focus()"));
    browser.keys(&[Key::END]);
    assert!(now(&browser, FROM) < to);
    browser.keys(&[Key::ESCAPE]);
    assert_eq!(now(&browser, FROM), from + 50.0);
    crate::quiet(&browser);
}

#[test]
fn band_ends_move_by_pointer_and_by_touch() {
    let shop = Shop::open();
    let browser = open(&shop, 1280, 900);
    for kind in ["mouse", "touch"] {
        let before = now(&browser, TO);
        browser.drag(kind, browser.middle(TO), (-60.0, 0.0));
        let after = now(&browser, TO);
        assert!(after < before, "{kind}: dragged to the left, {before} to {after} rpm");
        assert_eq!(after % 25.0, 0.0, "{kind}: ends stand at whole steps");
        browser.until(
            "the new band in the address",
            &format!("new URLSearchParams(location.search).get('to') === '{after}'"),
        );
        settled(&browser);
        assert_eq!(now(&browser, TO), after, "{kind}");
    }
    crate::quiet(&browser);
}

#[test]
fn the_curve_is_read_by_arrow_keys() {
    let shop = Shop::open();
    let browser = open(&shop, 1280, 900);
    browser.js("document.querySelector('#reader').focus()");
    let value = |name: &str| {
        let value = browser.js(&format!("return document.querySelector('#reader')?.getAttribute('{name}') ?? ''"));
        value.as_str().unwrap_or_default().to_owned()
    };
    browser.until(
        "values at the speed",
        "/N.m|kW/.test(document.querySelector('#reader').getAttribute('aria-valuetext'))",
    );
    let start: f64 = value("aria-valuenow").parse().expect("a number");
    let said = value("aria-valuetext");
    browser.keys(&[Key::RIGHT]);
    browser.until(
        "the next speed",
        &format!("document.querySelector('#reader').getAttribute('aria-valuenow') === '{}'", start + 25.0),
    );
    assert_ne!(value("aria-valuetext"), said);
    assert_eq!(browser.js("return document.querySelector('g.readout').getAttribute('visibility')"), "visible");
    // what is said is what the curve of the run holds at that speed
    let curve: serde_json::Value = serde_json::from_slice(
        &shop
            .fetch(browser.js("return document.querySelector('run-chart').dataset.curve").as_str().expect("an address"))
            .body,
    )
    .expect("JSON");
    let torque = &curve["strips"][0]["lines"][0]["points"];
    let there =
        torque.as_array().expect("points").iter().find(|p| p[0].as_f64() == Some(start + 25.0)).expect("a grid point");
    let decimals = curve["strips"][0]["decimals"].as_u64().expect("decimals") as usize;
    let expected = format!("{:.decimals$}", there[1].as_f64().expect("a value"));
    let said = value("aria-valuetext");
    assert!(said.contains(&expected), "`{said}` holds {expected}");
    browser.keys(&[Key::LEFT, Key::HOME]);
    browser.until(
        "the lowest speed",
        "(r => r.getAttribute('aria-valuenow') === r.getAttribute('aria-valuemin'))(document.querySelector('#reader'))",
    );
    crate::quiet(&browser);
}

#[test]
fn a_pull_is_left_out_with_a_reason_and_taken_back() {
    let shop = Shop::open();
    let browser = open(&shop, 1280, 900);
    browser.js("document.querySelector('#pulls').open = true; document.querySelector('#leave-2').open = true");
    // without a reason the form does not go
    browser.click(&browser.one("#leave-2 button[type=submit]"));
    assert_eq!(browser.js("return document.querySelector('#why-2').validity.valueMissing"), true);
    browser.put(&browser.one("#why-2"), "throttle not full");
    browser.click(&browser.one("#leave-2 button[type=submit]"));
    browser.until("the pull left out", "document.querySelector('#pull-2.out')");
    let row = browser.js("return document.querySelector('#pull-2').textContent");
    assert!(row.as_str().unwrap_or_default().contains("throttle not full"), "the reason stands beside the pull: {row}");
    browser.js("document.querySelector('#pulls').open = true");
    browser.click(&browser.one("#pull-2 form[action$='take-back'] button"));
    browser.until("the pull back in", "document.querySelector('#pull-2:not(.out)')");
    crate::quiet(&browser);
}

#[test]
fn units_are_switched_and_stay() {
    let shop = Shop::open();
    let browser = open(&shop, 1280, 900);
    assert!(browser.text().contains("N·m"));
    browser.click(&browser.one("form[aria-label=Units] button[value=us]"));
    browser.until("the other units", "/lb.ft/.test(document.querySelector('main').innerText)");
    settled(&browser);
    browser.go("/runs");
    assert!(browser.text_of(&browser.one("table.runs thead")).contains("lb"), "the choice is kept");
    crate::quiet(&browser);
}

#[test]
fn light_and_dark_follow_the_machine_and_the_choice() {
    let shop = Shop::open();
    let browser = open(&shop, 1280, 900);
    let paper = "getComputedStyle(document.querySelector('main')).backgroundColor";
    browser.scheme("light");
    let light = browser.js(&format!("return {paper}"));
    browser.scheme("dark");
    browser.until("the dark paper", &format!("{paper} !== {light}"));
    let dark = browser.js(&format!("return {paper}"));
    browser.click(&browser.one("button[name=paper][value=light]"));
    browser.until("light although the machine is dark", &format!("{paper} === {light}"));
    browser.click(&browser.one("button[name=paper][value=machine]"));
    browser.until("dark again", &format!("{paper} === {dark}"));
    crate::quiet(&browser);
}

#[test]
fn a_tablet_shows_the_page_without_moving_it_sideways() {
    let shop = Shop::open();
    let browser = open(&shop, 1024, 768);
    for path in ["/", "/runs", "/runs/2", "/runs/2/questions", "/dynos"] {
        browser.go(path);
        let wide = browser.js("return document.documentElement.scrollWidth - window.innerWidth");
        assert!(wide.as_f64().expect("a number") <= 0.0, "{path} is {wide} px wider than the window");
    }
    browser.go("/runs/2");
    settled(&browser);
    // handles are big enough for a finger: 44 px each way
    let small = browser.js(
        "return [...document.querySelectorAll('run-chart g.handle')].map(h => h.getBoundingClientRect()).filter(r => r.width < 44 || r.height < 44).map(r => [r.width, r.height])",
    );
    assert_eq!(small, serde_json::json!([]), "handles under 44 px");
    crate::quiet(&browser);
}

#[test]
fn the_run_is_accepted_and_opened_again_with_a_reason() {
    let shop = Shop::open();
    let browser = open(&shop, 1280, 900);
    browser.click(&browser.one("form[action$='/accept'] button[type=submit]"));
    browser.until("accepted", "document.querySelector(\"form[action$='/unaccept']\")");
    browser.js("for (const d of document.querySelectorAll('details')) if (d.querySelector(\"form[action$='/unaccept']\")) d.open = true");
    browser.put(&browser.one("form[action$='/unaccept'] [name=reason]"), "weather station was off");
    browser.click(&browser.one("form[action$='/unaccept'] button[type=submit]"));
    browser.until("open again", "document.querySelector(\"form[action$='/accept']\")");
    crate::quiet(&browser);
}

#[test]
fn everything_is_reached_by_the_tab_key_and_shows_where_it_is() {
    let shop = Shop::open();
    let browser = open(&shop, 1280, 900);
    let mut reached = Vec::new();
    for _ in 0..80 {
        browser.keys(&[Key::TAB]);
        let here = browser.js(
            "const e = document.activeElement; if (!e || e === document.body) return null;
             const ring = [e, ...e.querySelectorAll('*')].some(x => { const s = getComputedStyle(x); return (s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) > 0) || s.boxShadow !== 'none' || (x.localName !== 'text' && x.namespaceURI.endsWith('svg') && s.stroke !== 'none' && parseFloat(s.strokeWidth) >= 3); });
             return [e.dataset.end ?? e.id ?? '', e.localName, ring ? 'ring' : 'no ring', (e.textContent ?? '').slice(0, 30)].join('|')",
        );
        let Some(here) = here.as_str() else { break };
        reached.push(here.to_owned());
    }
    assert!(reached[0].contains("To the page"), "the first stop skips the spine: {reached:#?}");
    for wanted in ["from|", "to|", "reader|"] {
        assert!(reached.iter().any(|stop| stop.starts_with(wanted)), "{wanted} is not reached: {reached:#?}");
    }
    let unseen: Vec<_> = reached.iter().filter(|stop| stop.contains("|no ring|")).collect();
    assert!(unseen.is_empty(), "focus cannot be seen on {unseen:#?}");
}
