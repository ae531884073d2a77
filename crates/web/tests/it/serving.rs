//! The server itself: where it listens, what it tells open pages, how it ends.

use std::net::SocketAddr;
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::net::TcpStream;
use tokio::sync::oneshot;
use web::{ServeError, ServeOptions, serve};

#[tokio::test]
async fn an_address_that_others_can_reach_is_refused_before_anything_is_opened() {
    let folder = tempfile::tempdir().unwrap();
    let shop = folder.path().join("shop");
    for address in ["0.0.0.0:0", "192.168.1.20:7340", "[::]:0"] {
        let options = ServeOptions {
            shop: shop.clone(),
            address: address.parse().unwrap(),
            on_ready: Box::new(|_| panic!("ready")),
        };
        let error = serve(options, std::future::pending()).await.unwrap_err();
        assert!(matches!(error, ServeError::NotLoopback { .. }), "{error}");
        assert!(error.to_string().contains("go on"), "{error}");
    }
    assert!(!shop.exists());
}

#[tokio::test]
async fn an_address_that_is_taken_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let holder = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let address = holder.local_addr().unwrap();
    let options = ServeOptions { shop: folder.path().join("shop"), address, on_ready: Box::new(|_| panic!("ready")) };
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
    let options = ServeOptions {
        shop: shop.clone(),
        address: "127.0.0.1:0".parse().unwrap(),
        on_ready: Box::new(move |address| ready.send(address).unwrap()),
    };
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
