//! A measuring sheet under the hand: keys, keyboard, without link, two tablets at once, nothing for axe to find.

use crate::access::{axe, findings};
use crate::driver::{Browser, Key};
use crate::measured_job::{READ, address, lines, place};
use crate::shop::Shop;
use serde_json::Value;
use std::time::Instant;

fn shop(read: usize) -> Shop {
    let shop = Shop::empty();
    shop.bring_job(&lines(read));
    shop
}

/// Opens the sheet and waits until its script is at work.
fn sheet(shop: &Shop, width: u32, height: u32) -> Browser {
    let browser = Browser::start(&shop.site(), width, height);
    browser.go(&address());
    alive(&browser);
    browser
}

fn alive(browser: &Browser) {
    browser.until("the sheet's script", "document.querySelector('measuring-sheet.alive .keypad .padkey')");
}

/// Touches what a selector finds now: the grid is drawn anew whenever somebody reads, so an element is no good to hold.
fn tap(browser: &Browser, css: &str) {
    browser.one(css);
    browser.js(&format!("document.querySelector(`{css}`).scrollIntoView({{block: 'nearest'}})"));
    let at = browser.js(&format!("const r = document.querySelector(`{css}`).getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]"));
    browser.drag("touch", (at[0].as_f64().expect("a number"), at[1].as_f64().expect("a number")), (0.0, 0.0));
}

fn press(browser: &Browser, keys: &str) {
    for key in keys.chars() {
        tap(browser, &format!(".padkey[data-key='{key}']"));
    }
}

fn save(browser: &Browser) {
    tap(browser, "[data-hand=save]");
}

/// What a cell shows, and whether it waits for the shop.
fn cell(browser: &Browser, place: &str) -> String {
    browser
        .js(&format!("const c = document.querySelector(`a[data-place='{place}']`); return c.querySelector('.v').textContent + (c.classList.contains('waits') ? ' waits' : '')"))
        .as_str()
        .unwrap_or_default()
        .to_owned()
}

fn wait_for_cell(browser: &Browser, place: &str, text: &str) {
    let script = format!(
        "(c => c && c.querySelector('.v').textContent + (c.classList.contains('waits') ? ' waits' : '') === '{text}')(document.querySelector(`a[data-place='{place}']`))"
    );
    browser.until(&format!("{place} to show {text}"), &script);
}

/// Readings of the job in the order in which the shop received them: place and text.
fn received(shop: &Shop) -> Vec<(String, String)> {
    let readings = shop.export_job(1).into_iter().filter(|e| e["kind"] == "reading");
    readings
        .map(|e| {
            let text = |v: &Value| v.as_str().unwrap_or_default().to_owned();
            (text(&e["body"]["place"]), text(&e["body"]["value"]["quantity"]["text"]))
        })
        .collect()
}

#[test]
fn a_bore_is_read_with_the_keys_and_leads_on_to_the_next_place() {
    let shop = shop(0);
    let browser = sheet(&shop, 1024, 768);
    let big = |script: &str| browser.js(script).as_f64().unwrap_or_default();
    let least = "Math.min(...[...document.querySelectorAll('.padkey')].map(k => k.getBoundingClientRect().height))";
    assert!(big(&format!("return {least}")) >= 60.0, "keys for gloves are at least 60 px high");
    assert_eq!(browser.text_of(&browser.one("[data-hand=pre]")), "92.7", "leading digits are there and quiet");
    press(&browser, "52");
    save(&browser);
    wait_for_cell(&browser, &place(0), "92.752");
    browser.until("the next place", "document.querySelector('#hand-name').textContent === 'Cylinder 1, top, along'");
    // Out: it is saved, the page stays and says by how much.
    press(&browser, "71");
    assert_eq!(browser.text_of(&browser.one("[data-hand=beyond]")), "0.011 over", "before it is saved");
    save(&browser);
    browser.until("the ask", "!document.querySelector('[data-hand=out]').hidden");
    assert_eq!(browser.text_of(&browser.one("#hand-name")), "Cylinder 1, top, along");
    tap(&browser, "[data-hand=again]");
    press(&browser, "53");
    save(&browser);
    wait_for_cell(&browser, &place(1), "92.753");
    // Taken back: what stood before stands again.
    browser
        .until("the next place", "document.querySelector('#hand-name').textContent === 'Cylinder 1, middle, across'");
    tap(&browser, "[data-hand=undo]");
    wait_for_cell(&browser, &place(1), "92.771");
    // A whole number, and rubbing out.
    tap(&browser, "a[data-place='cylinder 1/middle/across']");
    tap(&browser, ".padkey[data-key=whole]");
    press(&browser, "92");
    tap(&browser, ".padkey[data-key=whole]");
    press(&browser, "7499");
    tap(&browser, ".padkey[data-key=rub]");
    save(&browser);
    wait_for_cell(&browser, &place(2), "92.749");
    let got: Vec<String> = received(&shop).into_iter().map(|(_, text)| text).collect();
    assert_eq!(got, ["92.752 mm", "92.771 mm", "92.753 mm", "92.771 mm", "92.749 mm"]);
    crate::quiet(&browser);
}

#[test]
fn a_sheet_is_filled_from_the_keyboard_alone() {
    let shop = shop(0);
    let browser = sheet(&shop, 1280, 900);
    // Tab by tab to the place in hand: the grid is one stop.
    for _ in 0..60 {
        browser.keys(&[Key::TAB]);
        if browser.js("return document.activeElement.matches('a[data-place]')") == true {
            break;
        }
    }
    assert_eq!(browser.js("return document.activeElement.dataset.place"), place(0));
    for (n, text) in READ.iter().enumerate().take(6) {
        let keys: Vec<String> = text[4..].chars().map(String::from).collect();
        let mut keys: Vec<&str> = keys.iter().map(String::as_str).collect();
        keys.push(Key::ENTER);
        browser.keys(&keys);
        wait_for_cell(&browser, &place(n), text);
        if n < 5 {
            browser.until(
                "focus on the next place",
                &format!("document.activeElement.dataset.place === '{}'", place(n + 1)),
            );
        }
    }
    // Arrows move, digits of a whole number may be typed as they are, Escape gives up, Backspace rubs out.
    browser.keys(&[Key::DOWN]);
    assert_eq!(browser.js("return document.activeElement.dataset.place"), "cylinder 2/top/along");
    browser.keys(&["9", "2", ".", "7", "5", "9", "9", Key::BACKSPACE, Key::ESCAPE]);
    assert_eq!(cell(&browser, "cylinder 2/top/along"), "\u{b7}\u{b7}");
    browser.keys(&["9", "2", ".", "7", "5", "1", Key::ENTER]);
    wait_for_cell(&browser, "cylinder 2/top/along", "92.751");
    assert_eq!(received(&shop).len(), 7);
    crate::quiet(&browser);
}

#[test]
fn without_link_readings_are_kept_and_sent_once_in_order() {
    let mut shop = shop(0);
    let browser = sheet(&shop, 1024, 768);
    // The worker has its copy of the page and of its files.
    browser.until("the worker", "navigator.serviceWorker.controller");
    browser.js_later(
        "const done = arguments[arguments.length - 1];
         const look = async () => { const c = await caches.open('plateau-pages-1'); const k = await c.keys(); k.length ? done(true) : setTimeout(look, 100); };
         look();",
    );
    shop.stop();
    for (n, text) in READ.iter().enumerate().take(4) {
        press(&browser, &text[4..]);
        save(&browser);
        wait_for_cell(&browser, &place(n), &format!("{text} waits"));
    }
    browser
        .until("the state", "document.querySelector('#saved').textContent.includes('4 readings kept on this tablet')");
    browser.until("the count", "document.querySelector('[data-progress]').textContent === '4 of 24'");
    // The page is opened again without link: it comes from the tablet, says so, and the readings are still there.
    browser.go(&address());
    alive(&browser);
    browser.until("the age of the page", "document.querySelector('.as-of')?.textContent.startsWith('As of ')");
    for (n, text) in READ.iter().enumerate().take(4) {
        wait_for_cell(&browser, &place(n), &format!("{text} waits"));
    }
    press(&browser, &READ[4][4..]);
    save(&browser);
    wait_for_cell(&browser, &place(4), &format!("{} waits", READ[4]));
    assert_eq!(received(&shop).len(), 0);
    shop.start_again();
    browser.until("everything sent", "document.querySelector('#saved').textContent.startsWith('Saved in the shop')");
    for (n, text) in READ.iter().enumerate().take(5) {
        wait_for_cell(&browser, &place(n), text);
    }
    let wanted: Vec<(String, String)> = (0..5).map(|n| (place(n), format!("{} mm", READ[n]))).collect();
    assert_eq!(received(&shop), wanted, "once each, in order");
    browser.until("the page is the shop's again", "!document.querySelector('.as-of')");
}

#[test]
fn what_is_kept_outlives_the_browser() {
    let mut shop = shop(0);
    let mut browser = sheet(&shop, 1024, 768);
    browser.until("the worker", "navigator.serviceWorker.controller");
    browser.until("its copy of the page", "document.documentElement.dataset.keepsPages === 'yes'");
    browser.js_later(
        "const done = arguments[arguments.length - 1];
         const look = async () => { const c = await caches.open('plateau-pages-1'); const k = await c.keys(); k.length ? done(true) : setTimeout(look, 100); };
         look();",
    );
    shop.stop();
    press(&browser, "52");
    save(&browser);
    wait_for_cell(&browser, &place(0), "92.752 waits");
    browser.restart(1024, 768);
    browser.go(&address());
    alive(&browser);
    wait_for_cell(&browser, &place(0), "92.752 waits");
    shop.start_again();
    wait_for_cell(&browser, &place(0), "92.752");
    assert_eq!(received(&shop), [(place(0), "92.752 mm".to_owned())]);
}

#[test]
fn whoever_is_signed_out_loses_nothing_and_nobody_else_sends_it() {
    const PASSWORD: &str = "grey lathe by the door";
    let shop = shop(0);
    for (name, person) in [("mara", "Mara Lind"), ("odd", "Odd Berg")] {
        crate::shop::account(shop.folder(), name, person, PASSWORD);
    }
    let browser = Browser::start(&shop.site(), 1024, 768);
    let sign_in = |name: &str| {
        browser.go("/sign-in");
        browser.put(&browser.one("main [name=name]"), name);
        browser.put(&browser.one("main [name=password]"), PASSWORD);
        browser.keys(&[Key::ENTER]);
        browser.until("the shop", "location.pathname !== '/sign-in'");
    };
    sign_in("mara");
    browser.go(&address());
    alive(&browser);
    let bench = browser.window();
    let office = browser.new_window();
    browser.to_window(&office);
    browser.go("/people");
    browser.js("document.querySelector('form[action=\"/sign-out\"]').submit()");
    browser.until("the sign-in page", "location.pathname === '/sign-in'");
    browser.to_window(&bench);
    press(&browser, "52");
    save(&browser);
    browser.until(
        "the state",
        "document.querySelector('#saved').textContent.includes('Signed out. 1 reading kept on this tablet')",
    );
    // Somebody else signs in on the tablet: the reading is not theirs to send.
    browser.to_window(&office);
    sign_in("odd");
    browser.go(&address());
    browser
        .until("whose it is", "document.querySelector('#saved').textContent.includes('by mara kept on this tablet')");
    assert_eq!(received(&shop).len(), 0);
    browser.js("document.querySelector('form[action=\"/sign-out\"]').submit()");
    browser.until("the sign-in page", "location.pathname === '/sign-in'");
    sign_in("mara");
    browser.go(&address());
    wait_for_cell(&browser, &place(0), "92.752");
    let sent: Vec<Value> = shop.export_job(1).into_iter().filter(|e| e["kind"] == "reading").collect();
    assert_eq!(sent.len(), 1);
    assert_eq!(sent[0]["author"], "Mara Lind");
}

#[test]
fn several_tabs_send_what_is_kept_once() {
    let mut shop = shop(0);
    let browser = sheet(&shop, 1024, 768);
    let first = browser.window();
    let second = browser.new_window();
    browser.to_window(&second);
    browser.go(&address());
    alive(&browser);
    shop.stop();
    browser.to_window(&first);
    press(&browser, "52");
    save(&browser);
    wait_for_cell(&browser, &place(0), "92.752 waits");
    browser.to_window(&second);
    tap(&browser, "a[data-place='cylinder 1/top/along']");
    press(&browser, "51");
    save(&browser);
    wait_for_cell(&browser, &place(1), "92.751 waits");
    wait_for_cell(&browser, &place(0), "92.752 waits");
    shop.start_again();
    browser.until("everything sent", "document.querySelector('#saved').textContent.startsWith('Saved in the shop')");
    assert_eq!(received(&shop), [(place(0), "92.752 mm".to_owned()), (place(1), "92.751 mm".to_owned())]);
}

#[test]
fn an_entry_that_the_shop_refuses_is_shown_and_never_dropped() {
    let shop = shop(0);
    let browser = sheet(&shop, 1024, 768);
    // A reading that no number stands in cannot come from the keys; a later version of a page might send one.
    browser.js(&format!(
        "const queue = [...document.querySelectorAll('script[type=module]')].map(s => s.src).find(s => s.endsWith('page.js')).replace('page.js', 'queue.js');
         import(queue).then(q => q.put({{ job: document.querySelector('measuring-sheet').dataset.job, kind: 'reading', words: 'Cylinder 1, top, across: ninety', sheet: '{sheet}',
            body: {{ sheet: '{sheet}', place: 'cylinder 1/top/across', value: {{ typed: 'ninety' }} }} }}))",
        sheet = crate::measured_job::SHEET
    ));
    browser.until("the refusal", "document.querySelector('.refused')?.textContent.includes('ninety')");
    browser.go("/jobs/1");
    browser.until(
        "the refusal on another page",
        "document.querySelector('.refused')?.textContent.includes('Cylinder 1, top, across: ninety')",
    );
    assert!(browser.text_of(&browser.one("#saved")).contains("refused 1 entry"));
    // What comes after it is not held up.
    browser.go(&address());
    alive(&browser);
    press(&browser, "52");
    save(&browser);
    wait_for_cell(&browser, &place(0), "92.752");
    let strike =
        "[...document.querySelectorAll('.refused button')].find(b => b.textContent.startsWith('Strike')).click()";
    browser.js(strike);
    browser.js(strike);
    browser.until("it is gone", "!document.querySelector('.refused')");
    assert_eq!(received(&shop).len(), 1);
}

#[test]
fn two_tablets_on_one_sheet_see_each_other_within_a_second() {
    let shop = shop(0);
    let one = sheet(&shop, 1024, 768);
    let two = sheet(&shop, 1024, 768);
    two.until("the second tablet listens", "document.querySelector('measuring-sheet.alive')");
    std::thread::sleep(std::time::Duration::from_millis(600));
    // The second has something in hand, which must stay.
    tap(&two, "a[data-place='cylinder 2/top/across']");
    press(&two, "5");
    let mut slowest = 0.0_f64;
    for n in 0..4 {
        tap(&one, &format!("a[data-place='{}']", place(n)));
        press(&one, &READ[n][4..]);
        two.js(&format!(
            "window.seen = null; const begun = performance.now(); const look = () => {{ const c = document.querySelector(`a[data-place='{}']`); if (c.querySelector('.v').textContent === '{}') window.seen = performance.now() - begun; else requestAnimationFrame(look) }}; look()",
            place(n),
            READ[n]
        ));
        let since = Instant::now();
        save(&one);
        two.until("the other tablet's reading", "window.seen !== null");
        slowest = slowest.max(since.elapsed().as_secs_f64());
    }
    eprintln!("slowest from the touch on one tablet to the number on the other: {slowest:.2} s");
    assert!(slowest <= 1.0, "{slowest:.2} s");
    assert_eq!(two.js("return document.querySelector('#typed').value"), "5", "what was in hand stays in hand");
    // Both write in one place without knowing of each other: the second typed before the first one's reading came.
    tap(&one, "a[data-place='cylinder 2/top/across']");
    press(&one, "49");
    save(&one);
    two.until("word of it", "document.querySelector('[data-hand=said]').textContent.includes('Somebody else')");
    press(&two, "4");
    save(&two);
    two.until("both are shown", "!document.querySelector('[data-hand=two]').hidden || document.querySelector(`a[data-place='cylinder 2/top/across']`).classList.contains('two')");
    tap(&two, "a[data-place='cylinder 2/top/across']");
    two.until("a choice", "document.querySelector('[data-choose=\"92.754 mm\"]')");
    tap(&two, "[data-choose='92.754 mm']");
    wait_for_cell(&one, "cylinder 2/top/across", "92.754");
    one.until(
        "it is settled",
        "!document.querySelector(`a[data-place='cylinder 2/top/across']`).classList.contains('two')",
    );
    assert_eq!(received(&shop).len(), 4 + 3);
}

#[test]
fn axe_finds_nothing_where_things_are_measured() {
    let axe = axe();
    let shop = shop(18);
    let browser = Browser::start(&shop.site(), 1024, 768);
    let last = place(17).replace(' ', "%20").replace('/', "%2F");
    let paths = [
        format!("{}?place={last}", address()),
        "/jobs/1/sheets".to_owned(),
        "/jobs/1/sheets/new".to_owned(),
        "/jobs/1/sheets/new?template=springs".to_owned(),
        "/jobs/1/before".to_owned(),
        "/jobs/1/before/cranking".to_owned(),
        "/jobs/1/before/borescope".to_owned(),
        "/jobs/1/build".to_owned(),
        "/jobs/1/build/measured".to_owned(),
        "/instruments".to_owned(),
        "/templates".to_owned(),
        "/templates/bores".to_owned(),
    ];
    let mut all = Vec::new();
    for (width, height) in [(1024, 768), (1280, 900)] {
        browser.view(width, height);
        for scheme in ["light", "dark"] {
            browser.scheme(scheme);
            for path in &paths {
                browser.go(path);
                browser.until("the page", "document.readyState === 'complete' && document.fonts.status === 'loaded'");
                if path.starts_with(&address()) {
                    alive(&browser);
                }
                browser.js("document.querySelectorAll('details').forEach(d => d.open = true)");
                all.extend(
                    findings(&browser, &axe).into_iter().map(|line| format!("{path}, {scheme}, {width} px: {line}")),
                );
            }
        }
    }
    assert!(all.is_empty(), "{}", all.join("\n"));
    crate::quiet(&browser);
}
