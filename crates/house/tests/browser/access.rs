//! Every page, light and dark, desk and tablet, under axe-core: nothing found.

use crate::driver::Browser;
use crate::shop::Shop;
use std::path::PathBuf;

/// axe-core's script; `make tools` puts it there with npm.
pub(crate) fn axe() -> String {
    let beside = crate::target().join("axe/node_modules/axe-core/axe.min.js");
    let usual = house::root().join("target/axe/node_modules/axe-core/axe.min.js");
    let path: PathBuf = if beside.is_file() { beside } else { usual };
    std::fs::read_to_string(&path)
        .unwrap_or_else(|e| panic!("axe-core is needed at {} ({e}); `make tools` puts it there", path.display()))
}

/// What axe finds on the page that is open: rule, elements, what to do.
pub(crate) fn findings(browser: &Browser, axe: &str) -> Vec<String> {
    browser.js(axe);
    let found = browser.js_later(
        "const done = arguments[arguments.length - 1];
         axe.run(document, { resultTypes: ['violations'] }).then(
           r => done(r.violations.map(v => v.id + ': ' + v.nodes.map(n => n.target.join(' ') + ' (' + n.failureSummary.replace(/\\s+/g, ' ') + ')').join(' | '))),
           e => done(['axe failed: ' + e.message]));",
    );
    found.as_array().expect("a list").iter().map(|v| v.as_str().unwrap_or("?").to_owned()).collect()
}

#[test]
fn axe_finds_nothing_on_any_page() {
    let axe = axe();
    let shop = Shop::open();
    crate::shop::keep(shop.folder(), "spacer-a1", &["--title", "Spacer, first leg"]);
    let browser = Browser::start(&shop.site(), 1280, 900);
    let mut all = Vec::new();
    for (width, height) in [(1280, 900), (1024, 768)] {
        browser.view(width, height);
        for scheme in ["light", "dark"] {
            browser.scheme(scheme);
            for path in [
                "/",
                "/runs",
                "/runs/1",
                "/runs/2",
                "/runs/3",
                "/runs/2/questions",
                "/dynos",
                "/dynos/north",
                "/nothing-here",
            ] {
                browser.go(path);
                browser.until("the page", "document.readyState === 'complete' && document.fonts.status === 'loaded'");
                // what is folded is looked at too
                browser.js("document.querySelectorAll('details').forEach(d => d.open = true)");
                all.extend(
                    findings(&browser, &axe).into_iter().map(|line| format!("{path}, {scheme}, {width} px: {line}")),
                );
            }
        }
    }
    assert!(all.is_empty(), "{}", all.join("\n"));
}

#[test]
fn axe_finds_nothing_on_the_questions() {
    let axe = axe();
    let shop = Shop::empty();
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/runs");
    let empty = findings(&browser, &axe);
    assert!(empty.is_empty(), "empty list: {}", empty.join("\n"));
    let log = &crate::shop::logs_of("a-unit-to-ask-about")[0];
    browser.put(&browser.one("#bring input[type=file]"), &log.to_string_lossy());
    browser.until("the questions", "location.pathname === '/runs/1/questions'");
    for scheme in ["light", "dark"] {
        browser.scheme(scheme);
        let found = findings(&browser, &axe);
        assert!(found.is_empty(), "{scheme}: {}", found.join("\n"));
    }
}

#[test]
fn axe_itself_finds_what_is_wrong() {
    let browser = Browser::start("http://127.0.0.1:1", 800, 600);
    browser.go("about:blank");
    browser.js("document.body.innerHTML = '<input type=text><p style=\"color:#bbb;background:#fff\">pale</p>'");
    let found = findings(&browser, &axe()).join("\n");
    assert!(found.contains("label") && found.contains("color-contrast"), "{found}");
}
