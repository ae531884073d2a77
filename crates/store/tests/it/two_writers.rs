//! Several at once: threads on one store, and stores on one folder.

use crate::new_run;
use std::collections::BTreeSet;
use store::Store;

/// Every add reads the highest number and writes the next: without one writer at a time, numbers would meet.
#[test]
fn runs_added_by_many_at_once_get_a_number_each() {
    let dir = tempfile::tempdir().unwrap();
    let (threads, each) = (8, 10);
    std::thread::scope(|scope| {
        for thread in 0..threads {
            let path = dir.path();
            scope.spawn(move || {
                // Each thread opens the folder by itself, like another process.
                let store = Store::open(path).unwrap();
                for n in 0..each {
                    let file = store.keep_file("a.csv", format!("{}", (thread + n) % 3).as_bytes()).unwrap();
                    store.add_run(new_run(&format!("{thread}-{n}"), vec![file])).unwrap();
                    store.runs().unwrap();
                }
            });
        }
    });
    let store = Store::open(dir.path()).unwrap();
    let numbers: BTreeSet<i64> = store.runs().unwrap().into_iter().map(|r| r.number).collect();
    assert_eq!(numbers, (1..=threads * each).collect());
    assert!(store.check().unwrap().is_clean());
}

#[test]
fn a_store_is_shared_between_threads() {
    fn shared<T: Send + Sync + Clone + 'static>() {}
    shared::<Store>();
}
