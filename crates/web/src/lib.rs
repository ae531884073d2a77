//! The pages of a shop, served on this machine.
//!
//! Server-rendered pages with small native scripts on top; every page works without them. The
//! crate knows no physics: numbers come from [`pull`], words and pictures from [`report`] and
//! [`chart`], and what is kept is kept by [`store`].
//!
//! - [`serve`] opens a shop and answers on a loopback address until told to stop.
//! - [`app`] is the same as a router, for tests.
//!
//! What it leaves out: accounts and encryption. Until they exist, only loopback addresses are
//! served, only loopback names are answered, and a change must come from one of our own pages.

mod assets;
mod cell_text;
mod fault;
mod frame;
mod marks;
mod news;
mod pages;
mod prefs;
mod readings;
mod routes;
mod rows_read;
mod shield;
mod state;
mod units;
mod words;

pub use routes::app;
pub use state::AppState;

use std::future::Future;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;

/// How to serve a shop.
pub struct ServeOptions {
    /// The shop's folder; made if it is missing or empty.
    pub shop: PathBuf,
    /// Loopback address and port; port 0 lets the system choose one.
    pub address: SocketAddr,
    /// Called once, with the address that was bound, as soon as requests are answered.
    pub on_ready: Box<dyn FnOnce(SocketAddr) + Send>,
}

impl std::fmt::Debug for ServeOptions {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("ServeOptions").field("shop", &self.shop).field("address", &self.address).finish_non_exhaustive()
    }
}

/// Why serving did not start, or ended.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ServeError {
    /// Not a loopback address.
    #[error(
        "{address} can be reached from other machines, and this version has no accounts; nothing was opened\n  go on    serve on 127.0.0.1 or [::1], and come from other machines through a tunnel that asks who you are"
    )]
    NotLoopback {
        /// The address asked for.
        address: SocketAddr,
    },
    /// The address is taken, or may not be used.
    #[error("{address} cannot be opened: {source}\n  go on    name another port, or stop what is answering there")]
    Address {
        /// The address asked for.
        address: SocketAddr,
        /// The system's reason.
        source: std::io::Error,
    },
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
/// [`ServeError::NotLoopback`] before anything is opened, [`ServeError::Shop`],
/// [`ServeError::Address`], and [`ServeError::Ended`].
pub async fn serve(
    options: ServeOptions,
    shutdown: impl Future<Output = ()> + Send + 'static,
) -> Result<(), ServeError> {
    let address = options.address;
    if !address.ip().is_loopback() {
        return Err(ServeError::NotLoopback { address });
    }
    let state = AppState::open(&options.shop)?;
    let listener =
        tokio::net::TcpListener::bind(address).await.map_err(|source| ServeError::Address { address, source })?;
    let bound = listener.local_addr().map_err(|source| ServeError::Address { address, source })?;
    let follower = tokio::spawn(news::follow(state.clone()));

    let mut closing = state.closing();
    let closer = {
        let state = state.clone();
        async move {
            shutdown.await;
            state.close();
        }
    };
    let server = axum::serve(listener, app(state)).with_graceful_shutdown(closer).into_future();
    (options.on_ready)(bound);
    tracing::info!(%bound, "serving");

    let late = async move {
        // The sender lives in the state, so waiting ends only by closing.
        let _ = closing.wait_for(|closed| *closed).await;
        tokio::time::sleep(Duration::from_secs(5)).await;
    };
    let ended = tokio::select! {
        ended = server => ended,
        () = late => Ok(()),
    };
    follower.abort();
    ended.map_err(|source| ServeError::Ended { source })
}
