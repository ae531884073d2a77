//! The server: where it listens, whether it encrypts, how it ends.

use crate::accounts;
use crate::shield::Door;
use crate::state::AppState;
use crate::tls::{self, Certificate, TlsError};
use crate::{names, news, routes};
use axum_server::Handle;
use axum_server::accept::LocalAddrAcceptor;
use axum_server::tls_rustls::RustlsAcceptor;
use std::future::Future;
use std::net::{IpAddr, SocketAddr};
use std::path::PathBuf;
use std::time::Duration;
use store::Store;

/// A request's head must be whole within this time.
const HEAD_WITHIN: Duration = Duration::from_secs(20);
/// Running answers are given this long when the server closes.
const LAST_ANSWERS: Duration = Duration::from_secs(5);
/// Most answers at once over one connection of a browser.
const STREAMS: u32 = 100;

/// How to serve a shop.
pub struct ServeOptions {
    /// The shop's folder; made if it is missing or empty.
    pub shop: PathBuf,
    /// Address and port; port 0 lets the system choose one.
    pub address: SocketAddr,
    /// Names under which the shop is reached, beside this machine's own.
    pub names: Vec<String>,
    /// Certificate for TLS. `None`: no TLS on a loopback address, a certificate of our own making on any other.
    pub certificate: Option<Certificate>,
    /// Called once, as soon as requests are answered.
    pub on_ready: Box<dyn FnOnce(&Ready) + Send>,
}

impl ServeOptions {
    /// On an address, with nothing else said.
    pub fn new(shop: PathBuf, address: SocketAddr, on_ready: impl FnOnce(&Ready) + Send + 'static) -> Self {
        Self { shop, address, names: Vec::new(), certificate: None, on_ready: Box::new(on_ready) }
    }
}

impl std::fmt::Debug for ServeOptions {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("ServeOptions").field("shop", &self.shop).field("address", &self.address).finish_non_exhaustive()
    }
}

/// What is so when requests are answered.
#[derive(Debug, Clone)]
pub struct Ready {
    /// The address that was bound.
    pub address: SocketAddr,
    /// Addresses of the first page, the best one first.
    pub pages: Vec<String>,
    /// SHA-256 of the certificate, in pairs of digits as browsers show it; `None` without TLS.
    pub fingerprint: Option<String>,
    /// The authority of a certificate that was made here, for tablets that are to trust it.
    pub authority: Option<PathBuf>,
    /// What should be told.
    pub notes: Vec<String>,
}

/// Why serving did not start, or ended.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ServeError {
    /// Other machines can reach the address, and nobody has an account.
    #[error(
        "{address} can be reached from other machines, and nobody has an account in {}; nothing was opened\n  go on    make the first one: plateau people add NAME --person \"NAME BESIDE ENTRIES\", or on the page /people while serving on 127.0.0.1", shop.display()
    )]
    NoAccounts {
        /// The address asked for.
        address: SocketAddr,
        /// The shop's folder.
        shop: PathBuf,
    },
    /// The address is taken, or may not be used.
    #[error("{address} cannot be opened: {source}\n  go on    name another port, or stop what is answering there")]
    Address {
        /// The address asked for.
        address: SocketAddr,
        /// The system's reason.
        source: std::io::Error,
    },
    /// A name that no certificate can carry.
    #[error(
        "name of the shop's machine: found `{found}`, expected letters, digits, dashes and dots, such as shop-pc.local; nothing was opened"
    )]
    Name {
        /// What was given.
        found: String,
    },
    /// There is no encryption.
    #[error(transparent)]
    Tls(#[from] TlsError),
    /// The shop's folder gave an error.
    #[error(transparent)]
    Shop(#[from] store::StoreError),
    /// The connection to the system broke.
    #[error("serving ended: {source}")]
    Ended {
        /// The system's reason.
        source: std::io::Error,
    },
}

/// Serves a shop until `shutdown` is done. Open event streams are ended first, then running
/// answers are given five seconds to finish.
///
/// # Errors
/// [`ServeError::NoAccounts`] and [`ServeError::Name`] before anything is opened, [`ServeError::Shop`],
/// [`ServeError::Address`], [`ServeError::Tls`] and [`ServeError::Ended`].
pub async fn serve(
    options: ServeOptions,
    shutdown: impl Future<Output = ()> + Send + 'static,
) -> Result<(), ServeError> {
    let address = options.address;
    let open_wide = !address.ip().to_canonical().is_loopback();
    if let Some(found) = options.names.iter().find(|name| !names::is_name(name)) {
        return Err(ServeError::Name { found: found.clone() });
    }
    let store = shop_for(&options, open_wide)?;
    let cannot = |source| ServeError::Address { address, source };
    let listener = std::net::TcpListener::bind(address).map_err(cannot)?;
    let bound = listener.local_addr().map_err(cannot)?;

    let choice = options.certificate.or(open_wide.then_some(Certificate::SelfMade { anew: false }));
    let tls = match &choice {
        Some(choice) => Some(tls::ready(store.dir(), choice, &names::for_certificate(&options.names, bound)).await?),
        None => None,
    };
    let own = names::names(&options.names);
    let door = match &choice {
        Some(choice) => Door::tls(own.clone(), matches!(choice, Certificate::Own { .. }), open_wide),
        None => Door::loopback(),
    };
    let state = AppState::behind(store, door);
    let ready = ready(bound, tls.as_ref(), &own);
    let follower = tokio::spawn(news::follow(state.clone()));
    let handle = Handle::new();
    let closer = tokio::spawn({
        let (state, handle) = (state.clone(), handle.clone());
        async move {
            shutdown.await;
            // First the streams: they would keep their connections open for ever.
            state.close();
            handle.graceful_shutdown(Some(LAST_ANSWERS));
        }
    });

    let app = routes::app(state).into_make_service_with_connect_info::<SocketAddr>();
    let mut server = axum_server::from_tcp(listener).map_err(cannot)?.handle(handle);
    server.http_builder().http1().header_read_timeout(HEAD_WITHIN);
    server.http_builder().http2().max_concurrent_streams(STREAMS).keep_alive_interval(HEAD_WITHIN);
    let server = server.first_request_timeout(HEAD_WITHIN);
    tracing::info!(%bound, encrypted = tls.is_some(), "serving");
    (options.on_ready)(&ready);
    let ended = match tls {
        Some(tls) => {
            let acceptor = RustlsAcceptor::new(tls.config).acceptor(LocalAddrAcceptor::new());
            server.acceptor(acceptor).serve(app).await
        }
        None => server.acceptor(LocalAddrAcceptor::new()).serve(app).await,
    };
    follower.abort();
    closer.abort();
    ended.map_err(|source| ServeError::Ended { source })
}

/// Opens the shop. For other machines it must be there already and have somebody who can sign in.
fn shop_for(options: &ServeOptions, open_wide: bool) -> Result<Store, ServeError> {
    if !open_wide {
        return Ok(Store::open(&options.shop)?);
    }
    let none = || ServeError::NoAccounts { address: options.address, shop: options.shop.clone() };
    let store = match Store::open_existing(&options.shop) {
        Err(store::StoreError::NoShop { .. }) => return Err(none()),
        other => other?,
    };
    if accounts::anybody(&store)? { Ok(store) } else { Err(none()) }
}

fn ready(bound: SocketAddr, tls: Option<&tls::Tls>, names: &[String]) -> Ready {
    let page = |host: &str| format!("{}://{host}:{}/", if tls.is_some() { "https" } else { "http" }, bound.port());
    let mut addresses = names::addresses(bound);
    if addresses.is_empty() {
        addresses.push(IpAddr::from([127, 0, 0, 1]));
    }
    let mut pages: Vec<String> =
        addresses.iter().map(|ip| page(SocketAddr::new(*ip, 0).to_string().trim_end_matches(":0"))).collect();
    if !bound.ip().is_loopback() {
        pages.extend(names.iter().map(|name| page(name)));
    }
    Ready {
        address: bound,
        pages,
        fingerprint: tls.map(|tls| tls.fingerprint.clone()),
        authority: tls.and_then(|tls| tls.authority.clone()),
        notes: tls.map_or_else(Vec::new, |tls| tls.notes.clone()),
    }
}
