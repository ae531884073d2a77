//! Texts with revisions, accounts, sessions, derived files.

use crate::shop;
use std::time::Duration;
use store::{NewAccount, StoreError};

#[test]
fn a_text_keeps_its_older_states_and_two_writers_do_not_overwrite_each_other() {
    let (_dir, store) = shop();
    assert_eq!(store.text("instrument", "mic-1").unwrap(), None);
    let first = store.put_text("instrument", "mic-1", 0, "a", "operator").unwrap();
    let second = store.put_text("instrument", "mic-1", 1, "b", "builder").unwrap();
    assert_eq!((first.revision, second.revision, second.author.as_str()), (1, 2, "builder"));
    let late = store.put_text("instrument", "mic-1", 1, "c", "operator");
    assert!(matches!(late, Err(StoreError::TextConflict { expected: 1, found: 2, .. })));
    assert!(matches!(store.put_text("instrument", "new", 3, "c", "x"), Err(StoreError::TextConflict { found: 0, .. })));
    assert_eq!(store.put_text("instrument", "mic-1", 1, "b", "x").unwrap(), second, "sent twice");
    store.put_text("instrument", "bore gauge", 0, "d", "operator").unwrap();
    store.put_text("template", "mic-1", 0, "e", "operator").unwrap();
    let keys: Vec<_> = store.texts_of("instrument").unwrap().into_iter().map(|t| (t.key, t.text)).collect();
    assert_eq!(keys, [("bore gauge".to_owned(), "d".to_owned()), ("mic-1".to_owned(), "b".to_owned())]);
    assert_eq!(store.text_history("instrument", "mic-1").unwrap(), [first, second]);
    for (kind, key, author) in [("", "k", "a"), ("Big", "k", "a"), ("k", " ", "a"), ("k", "k", "")] {
        assert!(matches!(store.put_text(kind, key, 0, "", author), Err(StoreError::BadValue { .. })));
    }
}

fn account(name: &str) -> NewAccount {
    NewAccount {
        name: name.into(),
        person: "A. Tester".into(),
        roles: vec!["bench".into(), "cell".into()],
        keeper: false,
        active: true,
        password: Some("$argon2id$made-up".into()),
    }
}

#[test]
fn an_account_keeps_its_older_states_but_not_its_older_passwords() {
    let (dir, store) = shop();
    let first = store.put_account(0, &account("tester"), "first run").unwrap();
    assert_eq!((first.revision, first.password.as_str(), first.new_password), (1, "$argon2id$made-up", true));
    let same = NewAccount { password: None, ..account("tester") };
    assert_eq!(store.put_account(7, &same, "keeper").unwrap(), first, "nothing is changed");
    let other = NewAccount { password: Some("$argon2id$other".into()), keeper: true, ..account("tester") };
    assert!(matches!(store.put_account(0, &other, "keeper"), Err(StoreError::AccountConflict { found: 1, .. })));
    let second = store.put_account(1, &other, "keeper").unwrap();
    assert_eq!((second.keeper, second.password.as_str()), (true, "$argon2id$other"));
    let third = store.put_account(2, &NewAccount { active: false, password: None, ..other }, "keeper").unwrap();
    assert_eq!((third.password.as_str(), third.new_password), ("$argon2id$other", false));
    assert_eq!(store.account("tester").unwrap().as_ref(), Some(&third));
    assert_eq!(store.accounts().unwrap(), [third]);
    let history = store.account_history("tester").unwrap();
    assert_eq!(
        history.iter().map(|a| (a.active, a.new_password)).collect::<Vec<_>>(),
        [(true, true), (true, true), (false, false)]
    );
    assert!(history.iter().all(|a| a.password.is_empty()));
    let kept: Vec<String> = rusqlite::Connection::open(dir.path().join("shop/shop.sqlite3"))
        .unwrap()
        .prepare("SELECT password FROM passwords")
        .unwrap()
        .query_map([], |r| r.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    assert_eq!(kept, ["$argon2id$other"]);
    assert!(!format!("{:?} {:?}", history[0], account("x")).contains("argon"));
    for bad in [
        NewAccount { name: "A B".into(), ..account("x") },
        NewAccount { person: " ".into(), ..account("x") },
        NewAccount { password: None, ..account("x") },
    ] {
        assert!(matches!(store.put_account(0, &bad, "keeper"), Err(StoreError::BadValue { .. })));
    }
    let typed = NewAccount { password: Some("open sesame".into()), ..account("x") };
    assert!(!store.put_account(0, &typed, "keeper").unwrap_err().to_string().contains("sesame"));
}

#[test]
fn a_session_lasts_until_it_expires_is_ended_or_the_account_is_changed() {
    let (dir, store) = shop();
    let day = Duration::from_secs(86400);
    assert!(matches!(store.begin_session("t", "nobody", day, "tablet"), Err(StoreError::BadValue { .. })));
    store.put_account(0, &account("tester"), "first run").unwrap();
    let session = store.begin_session("secret-1", "tester", day, "tablet").unwrap();
    assert_eq!(store.session("secret-1").unwrap(), Some(session));
    assert_eq!(store.session("secret-2").unwrap(), None);
    store.begin_session("secret-2", "tester", Duration::ZERO, "phone").unwrap();
    assert_eq!(store.session("secret-2").unwrap(), None, "expired");
    store.prolong_session("secret-2", day).unwrap();
    assert_eq!(store.session("secret-2").unwrap(), None, "stays expired");
    store.prolong_session("secret-1", 2 * day).unwrap();
    store.begin_session("secret-3", "tester", day, "desk").unwrap();
    assert_eq!(store.sessions_of("tester").unwrap().len(), 2);
    store.end_session("secret-3").unwrap();
    assert_eq!(store.session("secret-3").unwrap(), None);
    let file = std::fs::read(dir.path().join("shop/shop.sqlite3-wal")).unwrap();
    assert!(!String::from_utf8_lossy(&file).contains("secret-1"), "the token itself is not kept");

    let changed = NewAccount { password: Some("$argon2id$new".into()), ..account("tester") };
    store.put_account(1, &changed, "keeper").unwrap();
    assert_eq!(store.session("secret-1").unwrap(), None, "another password ends the sessions");
    store.begin_session("secret-4", "tester", day, "desk").unwrap();
    assert_eq!(store.end_sessions_of("tester").unwrap(), 1);
    store.put_account(2, &NewAccount { active: false, ..changed }, "keeper").unwrap();
    assert!(store.begin_session("secret-5", "tester", day, "desk").is_err());
}

#[test]
fn sign_ins_are_written_down_and_counted() {
    let (_dir, store) = shop();
    store.add_sign_in("tester", "refused", "10.0.0.7", "tablet").unwrap();
    store.add_sign_in("other", "refused", "10.0.0.7", "tablet").unwrap();
    store.add_sign_in("tester", "in", "10.0.0.7", "tablet").unwrap();
    assert!(store.add_sign_in("tester", "", "10.0.0.7", "tablet").is_err());
    let minute = Duration::from_secs(60);
    assert_eq!(store.sign_ins_within("refused", "tester", "10.0.0.7", minute).unwrap(), (1, 2));
    assert_eq!(store.sign_ins_within("refused", "tester", "10.0.0.8", minute).unwrap(), (1, 0));
    let outcomes = |account| -> Vec<_> {
        store.sign_ins(account, 2).unwrap().into_iter().map(|s| (s.account, s.outcome)).collect()
    };
    let pair = |a: &str, b: &str| (a.to_owned(), b.to_owned());
    assert_eq!(outcomes(None), [pair("tester", "in"), pair("other", "refused")]);
    assert_eq!(outcomes(Some("tester")), [pair("tester", "in"), pair("tester", "refused")]);
}

#[test]
fn derived_files_may_go_and_come_again() {
    let (dir, store) = shop();
    let name = format!("{}-320.jpg", "ab".repeat(32));
    assert_eq!(store.derived(&name).unwrap(), None);
    store.keep_derived(&name, b"small").unwrap();
    store.keep_derived(&name, b"smaller").unwrap();
    assert_eq!(store.derived(&name).unwrap().as_deref(), Some(&b"smaller"[..]));
    std::fs::remove_dir_all(dir.path().join("shop/derived")).unwrap();
    assert_eq!(store.derived(&name).unwrap(), None);
    assert!(store.check().unwrap().is_clean());
    for name in ["", "a", "../a", "ab/c", "A.jpg", ".abc", "é12"] {
        assert!(matches!(store.derived(name), Err(StoreError::BadValue { .. })), "{name}");
    }
}
