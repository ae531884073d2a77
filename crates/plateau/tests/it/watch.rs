//! The watched folder.

use crate::{out, plateau, sweep, write};
use std::fs;

#[test]
fn finished_logs_are_taken_in_once_and_nothing_is_written_into_the_folder() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("dyno");
    fs::create_dir(&folder).unwrap();
    write(&folder, "pull-1.csv", &sweep(1, 1.0, "Torque (Nm)"));
    write(&folder, "pull-2.csv", &sweep(2, 1.0, "Torque"));
    write(&folder, "pull-2 copy.csv", &sweep(1, 1.0, "Torque (Nm)"));
    write(&folder, "bad.csv", "no table at all\n");
    write(&folder, "pull-3.csv.part", "Time (s),Eng");
    write(&folder, ".hidden.csv", "Time (s),Eng");
    let names = || {
        let mut names: Vec<_> = fs::read_dir(&folder).unwrap().map(|e| e.unwrap().file_name()).collect();
        names.sort();
        names
    };
    let before = names();
    let shop = dir.path().join("shop").to_string_lossy().into_owned();
    let watch = || out(plateau().arg("watch").arg(&folder).args(["--once", "--settle", "0.05", "--shop", &shop]));
    let (text, errors, code) = watch();
    assert_eq!(code, 0, "{errors}");
    assert!(errors.contains("bad.csv"), "{errors}");
    assert!(text.contains("question is open"), "{text}");
    let store = store::Store::open_existing(shop.as_ref()).unwrap();
    let mut titles: Vec<_> = store.runs().unwrap().into_iter().map(|r| r.title).collect();
    titles.sort();
    // The copy has the bytes of pull-1 and comes first by name of the two that are the same.
    assert_eq!(titles, ["pull-1", "pull-2"]);
    assert_eq!(store.notes(10).unwrap().len(), 1);
    assert!(store.notes(10).unwrap()[0].subject.starts_with("bad.csv"));
    assert_eq!(names(), before);

    let (_, _, code) = watch();
    assert_eq!(code, 0);
    assert_eq!(store.runs().unwrap().len(), 2, "a second look takes nothing in again");
    assert_eq!(store.notes(10).unwrap().len(), 1, "and notes nothing twice");
}
