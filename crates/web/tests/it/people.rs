//! Accounts on the page: the first one, more, roles, passwords, closing.

use crate::bench::{Bench, PASSWORD, assert_clean};
use crate::logs::{Written, pull_csv};
use axum::http::StatusCode;
use web::accounts::Role;

const NEW: &str = "brass dial on a stand";

#[tokio::test]
async fn a_shop_without_accounts_works_as_one_person_with_a_name() {
    let bench = Bench::new();
    let page = bench.get("/people").await;
    assert_eq!(page.status, StatusCode::OK);
    assert_clean(&page.text());
    assert!(page.has("Nobody has an account"));
    let answer = bench.post("/people/name", &[("name", " J\u{f6}rg  Lind ")]).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/people"));
    let cookie = answer.cookie();
    assert!(bench.get_with("/people", &cookie).await.has("value=\"J\u{f6}rg Lind\""));
    assert_eq!(bench.post("/people/name", &[("name", "  ")]).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(bench.get("/sign-in").await.header("location"), "/");
}

#[tokio::test]
async fn the_first_account_closes_the_shop_and_keeps_it() {
    let bench = Bench::new();
    let fields = [("name", "Mara"), ("person", "Mara Lind"), ("password", PASSWORD), ("again", PASSWORD)];
    let answer = bench.post("/people", &fields).await;
    assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/sign-in?back=%2Fpeople"));
    assert_eq!(bench.get("/dynos").await.status, StatusCode::UNAUTHORIZED, "on this machine too");
    let account = bench.state.store().account("mara").unwrap().unwrap();
    assert!(account.keeper && account.active && account.roles.len() == 3);
    assert_eq!(account.author, "Mara Lind");
    let second = bench.post("/people", &[("name", "eve"), ("person", "Eve"), ("password", NEW), ("again", NEW)]).await;
    assert_eq!(second.status, StatusCode::UNAUTHORIZED, "nobody makes a second first account");
    assert!(bench.state.store().account("eve").unwrap().is_none());
    let page = bench.get_with("/people", &bench.signed_in("mara").await).await;
    assert_clean(&page.text());
    for words in ["Mara Lind", "keeps the accounts", "Another account", "Sign-ins", "signed in"] {
        assert!(page.has(words), "{words}");
    }
    assert!(!page.has("argon2"), "no hash on a page");
}

#[tokio::test]
async fn what_is_not_taken_is_said_and_only_passwords_are_typed_again() {
    let bench = Bench::new();
    for (name, person, password, again, words) in [
        ("ma ra", "Mara", PASSWORD, PASSWORD, "found \u{201c}ma ra\u{201d}"),
        ("mara", " ", PASSWORD, PASSWORD, "name is missing"),
        ("mara", "Mara", PASSWORD, NEW, "The two passwords differ"),
        ("mara", "Mara", "short", "short", "5 signs"),
        ("mara", "Mara", "password2026", "password2026", "tried first"),
    ] {
        let fields = [("name", name), ("person", person), ("password", password), ("again", again)];
        let answer = bench.post("/people", &fields).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{words}");
        assert!(answer.has(words), "{words}: {}", answer.text());
        assert!(answer.has(&format!("value=\"{name}\"")) && !answer.has(&format!("value=\"{password}\"")));
        assert!(bench.state.store().accounts().unwrap().is_empty());
    }
}

#[tokio::test]
async fn the_keeper_makes_and_changes_accounts_with_the_own_password() {
    let bench = Bench::new();
    bench.account("mara", "Mara Lind", &Role::ALL, true);
    let cookie = bench.signed_in("mara").await;
    let new = |mine: &'static str| {
        vec![
            ("name", "ove"),
            ("person", "Ove Holt"),
            ("password", NEW),
            ("again", NEW),
            ("bench", "yes"),
            ("mine", mine),
        ]
    };
    let refused = bench.post_with("/people", &new("not my password"), &cookie).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.has("Your own password, as it is now, is not right"));
    assert!(bench.state.store().account("ove").unwrap().is_none());
    let made = bench.post_with("/people", &new(PASSWORD), &cookie).await;
    assert_eq!((made.status, made.header("location")), (StatusCode::SEE_OTHER, "/people#account-ove"));
    let again = bench.post_with("/people", &new(PASSWORD), &cookie).await;
    assert!(
        again.status == StatusCode::UNPROCESSABLE_ENTITY && again.has("a name is never given twice"),
        "{}",
        again.text()
    );

    let ove = bench.state.store().account("ove").unwrap().unwrap();
    assert_eq!(
        (ove.roles.as_slice(), ove.keeper, ove.author.as_str()),
        (&["bench".to_owned()][..], false, "Mara Lind")
    );
    let revision = ove.revision.to_string();
    let rights =
        [("person", "Ove Holt"), ("revision", &revision), ("cell", "yes"), ("office", "yes"), ("mine", PASSWORD)];
    assert_eq!(bench.post_with("/people/ove/rights", &rights, &cookie).await.status, StatusCode::SEE_OTHER);
    assert_eq!(bench.state.store().account("ove").unwrap().unwrap().roles, ["cell", "office"]);
    let late = bench
        .post_with("/people/ove/rights", &[("person", "X"), ("revision", &revision), ("mine", PASSWORD)], &cookie)
        .await;
    assert!(late.status == StatusCode::UNPROCESSABLE_ENTITY && late.has("changed elsewhere"), "{}", late.text());
    assert_eq!(
        bench.post_with("/people/nobody/close", &[("mine", PASSWORD)], &cookie).await.status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
}

#[tokio::test]
async fn somebody_always_keeps_the_accounts() {
    let bench = Bench::new();
    bench.account("mara", "Mara Lind", &Role::ALL, true);
    let cookie = bench.signed_in("mara").await;
    let revision = bench.state.store().account("mara").unwrap().unwrap().revision.to_string();
    let no_keeper = [("person", "Mara Lind"), ("revision", revision.as_str()), ("bench", "yes"), ("mine", PASSWORD)];
    for answer in [
        bench.post_with("/people/mara/close", &[("mine", PASSWORD)], &cookie).await,
        bench.post_with("/people/mara/rights", &no_keeper, &cookie).await,
    ] {
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(answer.has("only open account that keeps the accounts"), "{}", answer.text());
    }
    bench.account("ove", "Ove Holt", &[], true);
    assert_eq!(
        bench.post_with("/people/mara/close", &[("mine", PASSWORD)], &cookie).await.status,
        StatusCode::SEE_OTHER
    );
}

#[tokio::test]
async fn ones_own_password_is_changed_with_the_old_one_and_ends_the_other_places() {
    let bench = Bench::new();
    bench.account("mara", "Mara Lind", &Role::ALL, true);
    let (here, there) = (bench.signed_in("mara").await, bench.signed_in("mara").await);
    let fields = |mine: &'static str| [("mine", mine), ("password", NEW), ("again", NEW)];
    let refused = bench.post_with("/people/password", &fields(NEW), &here).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let done = bench.post_with("/people/password", &fields(PASSWORD), &here).await;
    assert_eq!((done.status, done.header("location")), (StatusCode::SEE_OTHER, "/people#you"));
    for old in [&here, &there] {
        assert_eq!(bench.get_with("/dynos", old).await.status, StatusCode::UNAUTHORIZED);
    }
    assert_eq!(bench.get_with("/dynos", &done.cookie()).await.status, StatusCode::OK, "this browser goes on");
}

#[tokio::test]
async fn a_role_that_is_missing_is_refused_with_a_page_that_names_it() {
    let bench = Bench::new();
    bench.account("mara", "Mara Lind", &Role::ALL, true);
    bench.account("ove", "Ove Holt", &[Role::Bench], false);
    let (keeper, ove) = (bench.signed_in("mara").await, bench.signed_in("ove").await);
    let refused = bench.post_with("/dynos", &[("key", "north")], &ove).await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    assert!(refused.has("the role \u{201c}cell\u{201d}") && refused.has("has: bench"), "{}", refused.text());
    assert_clean(&refused.text());
    assert!(bench.state.store().dynos().unwrap().is_empty());
    assert_eq!(bench.get_with("/dynos", &ove).await.status, StatusCode::OK, "looking is everybody's");
    assert_eq!(bench.post_with("/dynos", &[("key", "north")], &keeper).await.status, StatusCode::SEE_OTHER);
    let page = bench.get_with("/people", &ove).await;
    assert!(page.has("Ove Holt") && !page.has("Another account") && !page.has("Sign-ins"));
    for path in
        ["/people", "/people/mara/close", "/people/ove/rights", "/people/mara/sign-out", "/people/mara/password"]
    {
        let fields = [
            ("name", "x"),
            ("person", "X"),
            ("revision", "1"),
            ("password", NEW),
            ("again", NEW),
            ("mine", PASSWORD),
            ("keeper", "yes"),
        ];
        assert_eq!(bench.post_with(path, &fields, &ove).await.status, StatusCode::FORBIDDEN, "{path}");
    }
    assert_eq!(bench.state.store().accounts().unwrap().len(), 2);
    assert!(!bench.state.store().account("ove").unwrap().unwrap().keeper);
}

#[tokio::test]
async fn what_is_written_carries_the_name_of_the_person() {
    let bench = Bench::new();
    bench.account("mara", "Mara Lind", &Role::ALL, true);
    let cookie = bench.signed_in("mara").await;
    let log = pull_csv(Written::default());
    let answer = bench.bring_with(&[], &[("a.csv", &log)], &cookie).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
    let run = bench.state.store().runs().unwrap().remove(0);
    assert_eq!(run.author, "Mara Lind");
}
