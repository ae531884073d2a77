//! The run on paper and as files: printed by the browser, as the sheet to download, as JSON.

use crate::driver::Browser;
use crate::pdf::pages;
use crate::shop::{Shop, pull_json};

/// A4 and Letter, cm.
const PAPERS: [(&str, f64, f64); 2] = [("A4", 21.0, 29.7), ("Letter", 21.59, 27.94)];

#[test]
fn the_run_page_prints_on_one_sheet() {
    let shop = Shop::open();
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/runs/2");
    browser.one("run-chart svg");
    browser.until("fonts", "document.fonts.status === 'loaded'");
    for (name, width, height) in PAPERS {
        let pdf = browser.print(width, height);
        std::fs::write(crate::target().join(format!("printed-{name}.pdf")), &pdf).expect("kept for looking at");
        assert_eq!(pages(&pdf), 1, "on {name}");
    }
    crate::quiet(&browser);
}

/// A shop's guard text with thirty rules that every pull breaks, so that there are thirty flags.
fn thirty_rules() -> String {
    (1..=30)
        .map(|n| {
            format!(
                "[[rule]]\nkey = \"invented_{n}\"\nrole = \"oil_temperature\"\ncheck = \"above\"\nwords = \"oil {n} at {{worst}}\"\n\
                 what = \"oil is warmer than invented limit {n}\"\nlook = \"nothing at all, for this limit is there to bring about a flag with a long remark\"\n\
                 when = [\"in a pull\"]\nwarn = {{ limit = \"{} \u{b0}C\", hold = \"0.1 s\" }}\nsource = \"invented\"\n\n",
                20 + n
            )
        })
        .collect()
}

#[test]
fn a_run_with_thirty_flags_prints_on_one_sheet_and_says_how_many_are_left_off() {
    let shop = Shop::open();
    crate::shop::set_guards(shop.folder(), &thirty_rules());
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/runs/2");
    browser.one("run-chart svg");
    assert!(browser.all("ol.flags li").len() > 30, "every flag stands on the page");
    browser.until("fonts", "document.fonts.status === 'loaded'");
    for (name, width, height) in PAPERS {
        let pdf = browser.print(width, height);
        std::fs::write(crate::target().join(format!("printed-many-{name}.pdf")), &pdf).expect("kept for looking at");
        assert_eq!(pages(&pdf), 1, "on {name}");
    }
    let printed = browser.all("ol.flags li:not(.screen)").len();
    let left_off = browser.all("ol.flags li.screen").len();
    assert!(printed >= 4, "{printed} flags are printed");
    let said = browser.js("return document.querySelector('.s-flags .more').textContent");
    assert_eq!(said, format!("and {left_off} more flags, see the page."));
    crate::quiet(&browser);
}

#[test]
fn the_sheet_to_download_is_one_page_of_pdf() {
    let shop = Shop::open();
    let browser = Browser::start(&shop.site(), 1280, 900);
    browser.go("/runs/2");
    // In one go: a page that hears of news draws itself anew, and a link in the hand is then gone.
    let path = browser.js("return document.querySelector('a[href*=\".pdf\"]').getAttribute('href')");
    let path = path.as_str().expect("an address").to_owned();
    let answer = shop.fetch(&path);
    assert_eq!(answer.status, 200);
    assert!(answer.head.to_lowercase().contains("content-type: application/pdf"), "{}", answer.head);
    assert_eq!(pages(&answer.body), 1);
}

#[test]
fn page_and_command_give_the_same_object() {
    let shop = Shop::open();
    let answer = shop.fetch("/runs/2/run.json");
    let mut page: serde_json::Value = serde_json::from_slice(&answer.body).expect("JSON");
    let run = page.as_object_mut().expect("an object").remove("run").expect("what the shop knows it by");
    assert_eq!(run["number"], 2);
    let command = pull_json(shop.folder(), "hill-climb-14", &["--against", "1"]);
    for (key, value) in command.as_object().expect("an object") {
        assert!(page[key] == *value, "`{key}` differs:\n{}\n{value}", page[key]);
    }
    assert_eq!(page.as_object().map(|o| o.len()), command.as_object().map(|o| o.len()));
}
