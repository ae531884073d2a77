//! The server itself: where it listens, what it tells open pages, how it ends.

use std::net::SocketAddr;
use std::time::Duration;
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::net::TcpStream;
use tokio::sync::oneshot;
use web::accounts::book::{self, Change, NewPerson};
use web::accounts::{Password, Roles};
use web::{ServeError, ServeOptions, serve};

#[tokio::test]
async fn an_address_that_others_can_reach_is_refused_without_accounts_before_anything_is_opened() {
    let folder = tempfile::tempdir().unwrap();
    let (none, empty) = (folder.path().join("none"), folder.path().join("empty"));
    drop(store::Store::open(&empty).unwrap());
    for shop in [&none, &empty] {
        for address in ["0.0.0.0:0", "192.0.2.20:7340", "[::]:0"] {
            let options = ServeOptions::new(shop.clone(), address.parse().unwrap(), |_| panic!("ready"));
            let error = serve(options, std::future::pending()).await.unwrap_err();
            assert!(matches!(error, ServeError::NoAccounts { .. }), "{error}");
            assert!(error.to_string().contains("go on    make the first one: plateau people add"), "{error}");
        }
    }
    assert!(!none.exists() && !empty.join("tls").exists());
}

#[tokio::test]
async fn an_address_that_is_taken_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let holder = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let address = holder.local_addr().unwrap();
    let options = ServeOptions::new(folder.path().join("shop"), address, |_| panic!("ready"));
    let error = serve(options, std::future::pending()).await.unwrap_err();
    assert!(error.to_string().starts_with(&format!("{address} cannot be opened")), "{error}");
}

/// Another process writes to the shop; the open page hears of it. Then the server closes, and the
/// stream ends instead of keeping it alive.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn open_pages_hear_of_news_and_their_streams_end_with_the_server() {
    let folder = tempfile::tempdir().unwrap();
    let shop = folder.path().join("shop");
    let (ready, when_ready) = oneshot::channel::<SocketAddr>();
    let (close, closed) = oneshot::channel::<()>();
    let options =
        ServeOptions::new(shop.clone(), "127.0.0.1:0".parse().unwrap(), move |is| ready.send(is.address).unwrap());
    let server = tokio::spawn(serve(options, async move { closed.await.unwrap() }));
    let address = when_ready.await.unwrap();

    let mut stream = TcpStream::connect(address).await.unwrap();
    stream.write_all(format!("GET /events HTTP/1.1\r\nHost: {address}\r\n\r\n").as_bytes()).await.unwrap();
    let mut lines = BufReader::new(stream);
    let mut head = String::new();
    while !head.ends_with("\r\n\r\n") {
        assert_ne!(lines.read_line(&mut head).await.unwrap(), 0, "{head}");
    }
    assert!(head.starts_with("HTTP/1.1 200") && head.contains("text/event-stream"), "{head}");
    assert!(!head.contains("content-encoding"), "news is not held back by compression: {head}");

    store::Store::open(&shop).unwrap().put_dyno("north", "name = \"North cell\"\n").unwrap();
    let mut news = String::new();
    while !news.contains("event: change") {
        assert_ne!(lines.read_line(&mut news).await.unwrap(), 0, "{news}");
    }

    close.send(()).unwrap();
    lines.read_to_string(&mut news).await.unwrap();
    server.await.unwrap().unwrap();
    assert!(TcpStream::connect(address).await.is_err(), "nobody answers any more");
}

/// The stream of somebody who is signed in ends when the account is closed; nobody else gets one.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_stream_needs_a_session_and_ends_with_it() {
    let folder = tempfile::tempdir().unwrap();
    let shop = folder.path().join("shop");
    let store = store::Store::open(&shop).unwrap();
    let hash = Password::typed("grey lathe by the door").hash().unwrap();
    for (name, keeper) in [("mara", true), ("ove", false)] {
        let new = NewPerson { name: name.into(), person: name.into(), roles: Roles::ALL, keeper, hash: hash.clone() };
        book::add(&store, &new, "the test").unwrap();
    }
    let token = "d".repeat(64);
    store.begin_session(&token, "ove", Duration::from_secs(600), "test").unwrap();

    let (ready, when_ready) = oneshot::channel::<SocketAddr>();
    let options = ServeOptions::new(shop, "127.0.0.1:0".parse().unwrap(), move |is| ready.send(is.address).unwrap());
    let (_close, closed) = oneshot::channel::<()>();
    let server = tokio::spawn(serve(options, async move { drop(closed.await) }));
    let address = when_ready.await.unwrap();
    let ask = |cookie: String| async move {
        let mut stream = TcpStream::connect(address).await.unwrap();
        let head = format!("GET /events HTTP/1.1\r\nHost: {address}\r\n{cookie}Connection: close\r\n\r\n");
        stream.write_all(head.as_bytes()).await.unwrap();
        stream
    };
    let mut refused = String::new();
    ask(String::new()).await.read_to_string(&mut refused).await.unwrap();
    assert!(refused.starts_with("HTTP/1.1 401"), "{refused}");

    let mut lines = BufReader::new(ask(format!("Cookie: plateau={token}\r\n")).await);
    let mut head = String::new();
    while !head.ends_with("\r\n\r\n") {
        assert_ne!(lines.read_line(&mut head).await.unwrap(), 0, "{head}");
    }
    assert!(head.starts_with("HTTP/1.1 200"), "{head}");
    let change = Change { active: Some(false), ..Change::default() };
    book::change(&store, "ove", None, &change, "the test").unwrap();
    let mut rest = String::new();
    let ended = tokio::time::timeout(Duration::from_secs(20), lines.read_to_string(&mut rest)).await;
    ended.expect("the stream ends with the session").unwrap();
    server.abort();
}
