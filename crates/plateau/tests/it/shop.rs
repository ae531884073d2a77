//! Keeping, listing, checking.

use crate::{out, plateau, sweep, three_pulls, write};

#[test]
fn logs_are_kept_listed_and_checked() {
    let dir = tempfile::tempdir().unwrap();
    let logs = three_pulls(&dir);
    let shop = dir.path().join("shop").to_string_lossy().into_owned();
    let (text, errors, code) = out(plateau().arg("keep").args(&logs).args(["--shop", &shop, "--band", "3000-5500"]));
    assert_eq!((errors.as_str(), code), ("", 0));
    assert!(text.starts_with("1  "), "{text}");
    assert!(text.contains("pull-1, pull-2, pull-3") && text.contains("3000–5500 rpm, 3 pulls"), "{text}");

    let before = write(dir.path(), "before.csv", &sweep(9, 0.9, "Torque (Nm)"));
    let (_, errors, code) = out(plateau().args(["keep", &before, "--shop", &shop, "--against", "1"]));
    assert_eq!((errors.as_str(), code), ("", 0));
    let (list, _, _) = out(plateau().args(["runs", "--json"]).env("PLATEAU_SHOP", &shop));
    let list: serde_json::Value = serde_json::from_str(&list).unwrap();
    assert_eq!((&list["runs"][0]["number"], &list["runs"][1]["number"]), (&2.into(), &1.into()));
    assert_eq!(list["runs"][1]["headline"]["pulls"], 3);

    let (text, _, code) = out(plateau().args(["check", "--shop", &shop]));
    assert_eq!(code, 0);
    assert!(text.starts_with("All is there and unharmed: 0 jobs with 0 entries, 2 runs, 4 files"), "{text}");
}

#[test]
fn the_same_log_is_noticed() {
    let dir = tempfile::tempdir().unwrap();
    let log = write(dir.path(), "pull.csv", &sweep(1, 1.0, "Torque (Nm)"));
    let shop = dir.path().join("shop").to_string_lossy().into_owned();
    let keep = |more: &[&str]| out(plateau().args(["keep", &log, "--shop", &shop]).args(more));
    assert_eq!(keep(&[]).2, 0);
    let (_, errors, code) = keep(&[]);
    assert_eq!(code, 1);
    assert!(errors.starts_with("error: pull.csv was taken in before, as run 1; nothing was saved"), "{errors}");
    assert_eq!(keep(&["--if-new"]), ("Taken in before, as run 1.\n".to_owned(), String::new(), 0));
    assert_eq!(keep(&["--again"]).2, 0);
    assert_eq!(store::Store::open_existing(shop.as_ref()).unwrap().runs().unwrap().len(), 2);
}

#[test]
fn damage_is_found_and_ends_with_one() {
    let dir = tempfile::tempdir().unwrap();
    let log = write(dir.path(), "pull.csv", &sweep(1, 1.0, "Torque (Nm)"));
    let shop = dir.path().join("shop").to_string_lossy().into_owned();
    assert_eq!(out(plateau().args(["keep", &log, "--shop", &shop])).2, 0);
    let store = store::Store::open_existing(shop.as_ref()).unwrap();
    let sha = store.runs().unwrap()[0].files[0].sha256.clone();
    std::fs::write(dir.path().join("shop/files").join(&sha[..2]).join(&sha), b"x").unwrap();
    let (text, _, code) = out(plateau().args(["check", "--shop", &shop]));
    assert_eq!(code, 1);
    assert!(text.contains("pull.csv of run 1") && text.contains("is damaged"), "{text}");
    let (json, _, _) = out(plateau().args(["check", "--json", "--shop", &shop]));
    assert_eq!(serde_json::from_str::<serde_json::Value>(&json).unwrap()["clean"], false);
}

/// A run stays with the text of its dyno it was worked out with, until somebody moves it on.
#[test]
fn a_newer_text_of_the_dyno_does_not_move_an_older_run() {
    let dir = tempfile::tempdir().unwrap();
    let log = write(dir.path(), "pull.csv", &sweep(1, 1.0, "Torque"));
    let shop = dir.path().join("shop").to_string_lossy().into_owned();
    let learn = |unit: &str| {
        let unit = format!("Torque={unit}");
        out(plateau().args(["dyno", "learn", "north", "--log", &log, "--unit", &unit, "--shop", &shop]))
    };
    assert_eq!(learn("Nm").2, 0);
    assert_eq!(out(plateau().args(["keep", &log, "--dyno", "north", "--shop", &shop])).2, 0);
    let store = store::Store::open_existing(shop.as_ref()).unwrap();
    let run = store.runs().unwrap().remove(0);
    let mean = |run: &store::Run| match takein::load(&store, run).unwrap().outcome {
        takein::Outcome::Ready(analysis, _) => analysis.figures.mean_torque_nm.unwrap().value,
        takein::Outcome::Asking(open) => panic!("{open:?}"),
    };
    let before = mean(&run);
    assert_eq!(learn("lb-ft").2, 0);
    assert_eq!(mean(&run), before);
    let (moved, _) = takein::use_newest_dyno(&store, &run, run.revision, run.dyno.clone(), "builder").unwrap();
    // 1 lb-ft is 0.3048 m × 0.45359237 kg × 9.80665 m/s² = 1.3558179 N·m, each by definition.
    assert!((mean(&moved) / before - 0.3048 * 0.45359237 * 9.80665).abs() < 1e-9);
}

#[test]
fn a_shop_is_backed_up_and_restored_from_the_terminal() {
    let dir = tempfile::tempdir().unwrap();
    let log = write(dir.path(), "pull.csv", &sweep(1, 1.0, "Torque (Nm)"));
    let path = |name: &str| dir.path().join(name).to_string_lossy().into_owned();
    let (shop, zip, back) = (path("shop"), path("shop.zip"), path("back"));
    assert_eq!(out(plateau().args(["keep", &log, "--shop", &shop])).2, 0);
    let (text, errors, code) = out(plateau().args(["backup", &zip, "--shop", &shop]));
    assert_eq!((errors.as_str(), code), ("", 0));
    assert!(text.starts_with(&format!("Backed up into {zip}: 1 file and the database")), "{text}");
    let (_, errors, code) = out(plateau().args(["backup", &zip, "--shop", &shop]));
    assert!(code == 1 && errors.contains("--replace"), "{errors}");
    assert_eq!(out(plateau().args(["backup", &zip, "--replace", "--shop", &shop])).2, 0);

    let folder = dir.path().join("copies");
    std::fs::create_dir(&folder).unwrap();
    let (json, _, code) = out(plateau().args(["backup", "--json", &path("copies"), "--shop", &shop]));
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!((code, &json["files"]), (0, &1.into()));
    let made = std::fs::read_dir(&folder).unwrap().next().unwrap().unwrap().file_name().into_string().unwrap();
    assert!(
        made.starts_with("shop-20") && made.ends_with(".zip") && made.len() == "shop-2026-04-08-081000.zip".len(),
        "{made}"
    );

    let (text, errors, code) = out(plateau().args(["restore", &zip, "--into", &back]));
    assert_eq!((errors.as_str(), code), ("", 0));
    assert!(text.contains("All is there and unharmed: 0 jobs with 0 entries, 1 run, 1 file"), "{text}");
    let (_, errors, code) = out(plateau().args(["restore", &zip, "--into", &back]));
    assert!(code == 1 && errors.contains("is not empty"), "{errors}");
    let list = |shop: &str| out(plateau().args(["runs", "--json", "--shop", shop])).0;
    assert_eq!(list(&back), list(&shop));
}
