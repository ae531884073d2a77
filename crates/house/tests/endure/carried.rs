//! Backups and restores that are killed: the earlier backup stays whole, and a restore is taken up again.

use crate::entries::{mixed, note, opening};
use crate::server::{program, said};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use store::{NewEntry, Store};

/// Fixed, so that a failure can be looked at again; the moments still depend on the machine's load.
const SEED: u64 = 20_261_130;
/// Kills of each.
const KILLS: u64 = 15;

/// A shop with a few thousand entries and some files.
fn filled(shop: &Path) -> Store {
    let store = Store::open(shop).expect("a shop");
    let job = crate::entries::id(1);
    let entry = |n: u64, value: serde_json::Value, files: Vec<(String, String)>| NewEntry {
        id: crate::entries::id(n),
        job: job.clone(),
        at: "2026-04-08T08:10:00Z".into(),
        author: "tester".into(),
        kind: value["kind"].as_str().expect("a kind").into(),
        body: value["body"].to_string(),
        files,
        search_text: format!("note {n}"),
    };
    let mut all = vec![entry(2, opening(0, "invented four"), Vec::new())];
    for n in 0..2000 {
        let files = if n % 20 == 0 {
            let bytes: Vec<u8> = (0..20_000_u64).map(|i| mixed(n << 20 | i) as u8).collect();
            let kept = store.keep_file("p.jpg", &bytes).expect("a file");
            vec![(kept.sha256, kept.name)]
        } else {
            Vec::new()
        };
        all.push(entry(100 + n, note(0, &format!("note {n}")), files));
    }
    store.add_entries(&all).expect("entries");
    store
}

/// Starts the program and kills it after a share of the time that it usually takes; whether it had ended by itself.
fn killed(arguments: &[&str], usual: Duration, kill: u64) -> bool {
    let mut command = Command::new(program());
    command.args(arguments).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    let mut child = command.spawn().expect("it starts");
    let share = mixed(SEED ^ kill) as f64 / u64::MAX as f64;
    std::thread::sleep(usual.mul_f64(0.05 + 0.9 * share));
    let _ = child.kill();
    child.wait().expect("it ends").success()
}

#[test]
fn a_backup_that_is_killed_leaves_the_earlier_one_whole() {
    let dir = tempfile::tempdir().expect("a folder");
    let (shop, copies) = (dir.path().join("shop"), dir.path().join("copies"));
    std::fs::create_dir(&copies).expect("a folder");
    let store = filled(&shop);
    let zip = copies.join("shop.zip");
    let arguments = ["backup", "--replace", zip.to_str().expect("UTF-8"), "--shop", shop.to_str().expect("UTF-8")];
    let began = Instant::now();
    let (_, errors, code) = said(&arguments);
    assert_eq!((errors.as_str(), code), ("", 0));
    let usual = began.elapsed();
    let mut cut_short = 0;
    for kill in 0..KILLS {
        cut_short += u64::from(!killed(&arguments, usual, kill));
        let back = dir.path().join(format!("back-{kill}"));
        let (_, report) = Store::restore(&zip, &back, &mut |_, _| {}).expect("the backup is whole");
        assert!(report.is_whole() && report.check.is_clean(), "kill {kill}, seed {SEED}: {report:?}");
        assert_eq!((report.check.entries, report.check.files), (2001, 100));
        std::fs::remove_dir_all(&back).expect("it goes");
    }
    assert!(cut_short >= KILLS / 3, "only {cut_short} of {KILLS} were cut short");
    // The next one clears away what the killed ones left.
    assert_eq!(said(&arguments).2, 0);
    assert_eq!(std::fs::read_dir(&copies).expect("a readable folder").count(), 1);
    assert!(store.check().expect("the check goes through").is_clean());
}

#[test]
fn a_restore_that_is_killed_is_no_shop_until_it_is_taken_up_again() {
    let dir = tempfile::tempdir().expect("a folder");
    let shop = dir.path().join("shop");
    filled(&shop).backup(&dir.path().join("shop.zip"), false, &mut |_, _| {}).expect("a backup");
    let zip = dir.path().join("shop.zip");
    let zip = zip.to_str().expect("UTF-8");
    let began = Instant::now();
    assert_eq!(said(&["restore", zip, "--into", dir.path().join("first").to_str().expect("UTF-8")]).2, 0);
    let usual = began.elapsed();
    let mut cut_short = 0;
    for kill in 0..KILLS {
        let into = dir.path().join(format!("into-{kill}"));
        let folder = into.to_str().expect("UTF-8");
        let ended = killed(&["restore", zip, "--into", folder], usual, kill);
        cut_short += u64::from(!ended);
        let place = format!("kill {kill}, seed {SEED}");
        if !into.join("shop.sqlite3").exists() {
            let (_, errors, code) = said(&["check", "--shop", folder]);
            assert!(code == 1 && errors.contains("there is no shop in"), "{errors}: {place}");
            let (text, errors, code) = said(&["restore", zip, "--into", folder]);
            assert_eq!((errors.as_str(), code), ("", 0), "{text}: {place}");
        }
        let report = Store::open(&into).expect("a shop").check().expect("the check goes through");
        assert!(report.is_clean() && report.temporaries.is_empty(), "{report:?}: {place}");
        assert_eq!((report.entries, report.files), (2001, 100), "{place}");
    }
    assert!(cut_short >= KILLS / 3, "only {cut_short} of {KILLS} were cut short");
}
