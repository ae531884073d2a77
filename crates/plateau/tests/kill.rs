//! An import that is killed at any moment leaves the whole run or none.
//!
//! `plateau keep` is started on two new logs and killed (SIGKILL on Unix) after a random time of up
//! to a little more than it usually takes, again and again. After every kill the shop is opened,
//! the runs are counted and everything is checked. Each fresh shop is also killed while it is made.

#[path = "common/mod.rs"]
mod common;

use common::{mixed, sweep};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use store::Store;

/// Fixed, so that a failure can be looked at again; the moments still depend on the machine's load.
const SEED: u64 = 20_260_408;
/// Kills in all.
const KILLS: u64 = 240;
/// Kills in one shop before the next is made.
const IN_ONE_SHOP: u64 = 20;

/// Starts `plateau keep` on two logs.
fn keep(shop: &Path, logs: &[String; 2], title: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_plateau"));
    command.arg("keep").args(logs).arg("--shop").arg(shop).args(["--title", title, "--author", "test"]);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped());
    command
}

/// Two logs that no run has yet.
fn logs(dir: &Path, n: u64) -> [String; 2] {
    [2 * n, 2 * n + 1].map(|seed| common::write(dir, &format!("pull-{seed}.csv"), &sweep(seed, 1.0, "Torque (Nm)")))
}

#[test]
fn an_import_killed_at_any_moment_leaves_the_whole_run_or_none() {
    println!("seed {SEED}");
    let dir = tempfile::tempdir().unwrap();
    let mut took: Vec<Duration> = (0..5)
        .map(|n| {
            let logs = logs(dir.path(), 1_000_000 + n);
            let began = Instant::now();
            let done = keep(&dir.path().join("rehearsal"), &logs, "rehearsal").output().unwrap();
            assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
            began.elapsed()
        })
        .collect();
    took.sort();
    let usual = took[2];
    let (mut cut_short, mut none, mut whole_though_killed, mut finished) = (0, 0, 0, 0);
    let mut unused = 0;
    for kill in 0..KILLS {
        let shop = dir.path().join(format!("shop-{}", kill / IN_ONE_SHOP));
        let before = runs(&shop);
        let logs = logs(dir.path(), kill);
        let title = format!("kill {kill}");
        // Every other kill falls into the last part, in which files and database are written.
        let share = mixed(SEED ^ kill) as f64 / u64::MAX as f64;
        let share = if kill % 2 == 0 { 1.2 * share } else { 0.6 + 0.5 * share };
        let mut child = keep(&shop, &logs, &title).spawn().unwrap();
        std::thread::sleep(usual.mul_f64(share));
        let _ = child.kill();
        let ended = child.wait_with_output().unwrap();
        if !ended.status.success() {
            assert!(ended.status.code().is_none(), "not killed but failed: {}", String::from_utf8_lossy(&ended.stderr));
            cut_short += 1;
        }

        let after = runs(&shop);
        let place = format!("kill {kill} after {share:.3} of {usual:?}, seed {SEED}");
        match (after - before, ended.status.success()) {
            (0, false) => none += 1,
            (1, killed_late) => {
                if killed_late {
                    finished += 1;
                } else {
                    whole_though_killed += 1;
                }
                let store = Store::open_existing(&shop).unwrap();
                let run = store.runs().unwrap().remove(0);
                assert_eq!(run.title, title, "{place}");
                assert_eq!(run.files.len(), 2, "{place}");
                for (file, log) in run.files.iter().zip(&logs) {
                    assert_eq!(store.read_file(&file.sha256).unwrap(), std::fs::read(log).unwrap(), "{place}");
                }
            }
            (more, ended) => panic!("{more} runs more, ended by itself: {ended}: {place}"),
        }
        if shop.join("shop.sqlite3").exists() {
            // Opening clears what the killed process left half written; the check then finds all well.
            let report = Store::open(&shop).unwrap().check().unwrap();
            assert!(report.is_clean(), "{report:?}: {place}");
            assert!(report.temporaries.is_empty(), "{report:?}: {place}");
            unused += usize::from(!report.unused_files.is_empty() && after == before);
        }
    }
    println!(
        "{KILLS} kills, an import takes {usual:?}: {cut_short} cut short ({none} left no run, {whole_though_killed} a whole run), \
         {finished} had finished; after {unused} the shop held kept files without a run"
    );
    // Without these the kills would have missed what they are for.
    assert!(cut_short >= 100, "only {cut_short} of {KILLS} imports were cut short");
    assert!(finished + whole_though_killed >= 10, "only {} imports got through", finished + whole_though_killed);

    for shop in 0..KILLS.div_ceil(IN_ONE_SHOP) {
        let shop = dir.path().join(format!("shop-{shop}"));
        let before = runs(&shop);
        let done = keep(&shop, &logs(dir.path(), 2_000_000 + before as u64), "afterwards").output().unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        assert_eq!(runs(&shop), before + 1);
        assert!(Store::open(&shop).unwrap().check().unwrap().is_clean());
    }
}

/// Runs in a shop; none where there is no shop yet.
fn runs(shop: &Path) -> usize {
    if !shop.join("shop.sqlite3").exists() {
        return 0;
    }
    // Opening also finishes a shop whose making was cut short.
    Store::open(shop).unwrap().runs().unwrap().len()
}
