//! Towards other machines: encrypted, under names that are checked, with a certificate that can be compared.

use rcgen::{CertificateParams, KeyPair};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::sync::oneshot;
use tokio_rustls::TlsConnector;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, ServerName};
use tokio_rustls::rustls::{ClientConfig, RootCertStore};
use web::accounts::book::{self, NewPerson};
use web::accounts::{Password, Roles};
use web::{Certificate, Ready, ServeError, ServeOptions, serve};

const PASSWORD: &str = "grey lathe by the door";

/// A shop with one account.
fn shop(folder: &Path) -> PathBuf {
    let shop = folder.join("shop");
    let store = store::Store::open(&shop).unwrap();
    let hash = Password::typed(PASSWORD).hash().unwrap();
    let new = NewPerson { name: "mara".into(), person: "Mara Lind".into(), roles: Roles::ALL, keeper: true, hash };
    book::add(&store, &new, "the test").unwrap();
    shop
}

/// A server on every address of this machine.
struct Server {
    ready: Ready,
    close: oneshot::Sender<()>,
    task: tokio::task::JoinHandle<Result<(), ServeError>>,
}

impl Server {
    async fn start(shop: &Path, change: impl FnOnce(&mut ServeOptions)) -> Self {
        let (ready, when_ready) = oneshot::channel();
        let mut options = ServeOptions::new(shop.to_owned(), "0.0.0.0:0".parse().unwrap(), move |is| {
            ready.send(is.clone()).unwrap();
        });
        change(&mut options);
        let (close, closed) = oneshot::channel::<()>();
        let task = tokio::spawn(serve(options, async move { drop(closed.await) }));
        let ready = when_ready.await.expect("the server starts");
        Self { ready, close, task }
    }

    fn at(&self) -> SocketAddr {
        SocketAddr::from(([127, 0, 0, 1], self.ready.address.port()))
    }

    async fn stop(self) {
        let _ = self.close.send(());
        self.task.await.unwrap().unwrap();
    }
}

/// Trusts these certificates and nothing else, and checks names and dates as a browser does.
fn client(trusted: &Path, protocols: &[&str]) -> TlsConnector {
    let mut roots = RootCertStore::empty();
    roots.add(CertificateDer::from_pem_file(trusted).unwrap()).unwrap();
    let mut config = ClientConfig::builder().with_root_certificates(roots).with_no_client_auth();
    config.alpn_protocols = protocols.iter().map(|p| p.as_bytes().to_vec()).collect();
    TlsConnector::from(Arc::new(config))
}

/// One request over TLS; the whole answer, and the server's certificate.
async fn ask(server: &Server, trusted: &Path, name: &str, request: &str) -> (String, Vec<u8>) {
    let stream = TcpStream::connect(server.at()).await.unwrap();
    let name = ServerName::try_from(name.to_owned()).unwrap();
    let mut stream = client(trusted, &["http/1.1"]).connect(name, stream).await.expect("a handshake");
    let certificate = stream.get_ref().1.peer_certificates().unwrap()[0].to_vec();
    stream.write_all(request.as_bytes()).await.unwrap();
    let mut answer = Vec::new();
    // A server may close without the closing words of TLS.
    let _ = stream.read_to_end(&mut answer).await;
    (String::from_utf8_lossy(&answer).into_owned(), certificate)
}

fn get(host: &str, path: &str) -> String {
    format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_certificate_made_here_is_trusted_by_its_authority_and_has_the_fingerprint_told() {
    let folder = tempfile::tempdir().unwrap();
    let shop = shop(folder.path());
    let server = Server::start(&shop, |options| options.names = vec!["shop-pc.example".to_owned()]).await;
    let authority = server.ready.authority.clone().unwrap();
    let host = format!("127.0.0.1:{}", server.at().port());
    for name in ["localhost", "127.0.0.1", "shop-pc.example"] {
        let (answer, certificate) = ask(&server, &authority, name, &get(&host, "/health")).await;
        assert!(answer.starts_with("HTTP/1.1 200") && answer.ends_with("ok\n"), "{name}: {answer}");
        let again = CertificateDer::from_pem_file(authority.with_file_name("certificate.pem")).unwrap();
        assert_eq!(certificate, again.to_vec());
    }
    let (answer, _) = ask(&server, &authority, "shop-pc.example", &get("shop-pc.example", "/health")).await;
    assert!(answer.starts_with("HTTP/1.1 200") && !answer.contains("strict-transport-security"), "{answer}");
    let stranger = TcpStream::connect(server.at()).await.unwrap();
    let other = ServerName::try_from("other.example").unwrap();
    assert!(client(&authority, &[]).connect(other, stranger).await.is_err(), "it speaks for its own names alone");
    let fingerprint = server.ready.fingerprint.clone().unwrap();
    assert_eq!(fingerprint.split(':').count(), 32, "{fingerprint}");
    assert!(server.ready.pages.iter().all(|page| page.starts_with("https://")), "{:?}", server.ready.pages);
    assert!(server.ready.pages.iter().any(|page| page.starts_with("https://shop-pc.example:")));
    server.stop().await;

    let again = Server::start(&shop, |options| options.names = vec!["shop-pc.example".to_owned()]).await;
    assert_eq!(again.ready.fingerprint.as_ref(), Some(&fingerprint), "the same certificate at the next start");
    again.stop().await;
    let anew = Server::start(&shop, |options| options.certificate = Some(Certificate::SelfMade { anew: true })).await;
    assert_ne!(anew.ready.fingerprint.as_ref(), Some(&fingerprint));
    anew.stop().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn nothing_is_said_without_encryption() {
    let folder = tempfile::tempdir().unwrap();
    let server = Server::start(&shop(folder.path()), |_| {}).await;
    let mut plain = TcpStream::connect(server.at()).await.unwrap();
    plain.write_all(get("localhost", "/health").as_bytes()).await.unwrap();
    let mut answer = Vec::new();
    let _ = plain.read_to_end(&mut answer).await;
    assert!(!String::from_utf8_lossy(&answer).contains("HTTP/1.1"), "an answer in the clear");
    server.stop().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn newer_browsers_get_one_connection_for_all() {
    let folder = tempfile::tempdir().unwrap();
    let server = Server::start(&shop(folder.path()), |_| {}).await;
    let authority = server.ready.authority.clone().unwrap();
    let stream = TcpStream::connect(server.at()).await.unwrap();
    let name = ServerName::try_from("localhost").unwrap();
    let stream = client(&authority, &["h2", "http/1.1"]).connect(name, stream).await.unwrap();
    assert_eq!(stream.get_ref().1.alpn_protocol(), Some(&b"h2"[..]));
    drop(stream);
    server.stop().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn over_tls_the_cookie_is_bound_to_it_and_a_session_opens_the_shop() {
    let folder = tempfile::tempdir().unwrap();
    let server = Server::start(&shop(folder.path()), |_| {}).await;
    let authority = server.ready.authority.clone().unwrap();
    let host = format!("localhost:{}", server.at().port());
    let (answer, _) = ask(&server, &authority, "localhost", &get(&host, "/dynos")).await;
    assert!(answer.starts_with("HTTP/1.1 401"), "{answer}");
    let body = "name=mara&password=grey+lathe+by+the+door";
    let request = format!(
        "POST /sign-in HTTP/1.1\r\nHost: {host}\r\nOrigin: https://{host}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
        body.len()
    );
    let clear = request.replace("Origin: https:", "Origin: http:");
    let (answer, _) = ask(&server, &authority, "localhost", &clear).await;
    assert!(answer.starts_with("HTTP/1.1 403"), "a page in the clear under the same name: {answer}");
    let (answer, _) = ask(&server, &authority, "localhost", &request).await;
    assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
    let line = answer.lines().find_map(|line| line.strip_prefix("set-cookie: ")).expect("a cookie").to_owned();
    assert!(line.starts_with("__Host-plateau="), "{line}");
    for part in ["HttpOnly", "SameSite=Strict", "Path=/", "Secure"] {
        assert!(line.split("; ").any(|found| found == part), "{part}: {line}");
    }
    assert!(!answer.contains("strict-transport-security"), "no such promise with a certificate of our own making");
    let cookie = line.split(';').next().unwrap();
    let with =
        |host: &str| format!("GET /dynos HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\nConnection: close\r\n\r\n");
    let (answer, _) = ask(&server, &authority, "localhost", &with(&host)).await;
    assert!(answer.starts_with("HTTP/1.1 200") && answer.contains("Mara Lind"), "{answer}");
    let (answer, _) = ask(&server, &authority, "localhost", &with("evil.example")).await;
    assert!(answer.starts_with("HTTP/1.1 421"), "a foreign name: {answer}");
    let (answer, _) = ask(&server, &authority, "localhost", &with("192.0.2.99")).await;
    assert!(answer.starts_with("HTTP/1.1 421"), "an address that the connection did not come in on: {answer}");
    let line = store::Store::open(folder.path().join("shop").as_path()).unwrap().sign_ins(None, 1).unwrap().remove(0);
    assert_eq!((line.account.as_str(), line.outcome.as_str(), line.address.as_str()), ("mara", "in", "127.0.0.1"));
    server.stop().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_shops_own_certificate_is_used_and_insists_on_tls() {
    let folder = tempfile::tempdir().unwrap();
    let shop = shop(folder.path());
    let (certificate, key) = (folder.path().join("own.pem"), folder.path().join("own-key.pem"));
    let pair = KeyPair::generate().unwrap();
    let made = CertificateParams::new(vec!["shop.example".to_owned()]).unwrap().self_signed(&pair).unwrap();
    std::fs::write(&certificate, made.pem()).unwrap();
    std::fs::write(&key, pair.serialize_pem()).unwrap();
    let own = Certificate::Own { certificate: certificate.clone(), key: key.clone() };
    let server = Server::start(&shop, |options| {
        options.names = vec!["shop.example".to_owned()];
        options.certificate = Some(own);
    })
    .await;
    assert!(server.ready.authority.is_none() && !shop.join("tls").exists(), "none was made");
    for (host, insists) in [("shop.example", true), ("shop.example:7340", true), ("localhost", false)] {
        let (answer, sent) = ask(&server, &certificate, "shop.example", &get(host, "/health")).await;
        assert!(answer.starts_with("HTTP/1.1 200"), "{host}: {answer}");
        assert_eq!(sent, made.der().to_vec());
        assert_eq!(answer.contains("strict-transport-security: max-age=15552000"), insists, "{host}: {answer}");
    }
    server.stop().await;

    std::fs::write(&key, KeyPair::generate().unwrap().serialize_pem()).unwrap();
    let mut options = ServeOptions::new(shop.clone(), "0.0.0.0:0".parse().unwrap(), |_| panic!("ready"));
    options.certificate = Some(Certificate::Own { certificate: certificate.clone(), key });
    let error = serve(options, std::future::pending()).await.unwrap_err().to_string();
    assert!(error.contains("own.pem and its key cannot be used") && error.contains("go on"), "{error}");
    let mut options = ServeOptions::new(shop, "0.0.0.0:0".parse().unwrap(), |_| panic!("ready"));
    options.certificate = Some(Certificate::Own { certificate, key: folder.path().join("none.pem") });
    let error = serve(options, std::future::pending()).await.unwrap_err().to_string();
    assert!(error.contains("none.pem could not be read") && error.contains("nothing was opened"), "{error}");
}

#[tokio::test]
async fn a_name_that_no_certificate_can_carry_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let mut options = ServeOptions::new(shop(folder.path()), "0.0.0.0:0".parse().unwrap(), |_| panic!("ready"));
    options.names = vec!["https://shop".to_owned()];
    let error = serve(options, std::future::pending()).await.unwrap_err().to_string();
    assert!(error.contains("found `https://shop`") && error.contains("nothing was opened"), "{error}");
}
