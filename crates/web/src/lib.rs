//! The pages of a shop, served on this machine.
//!
//! Server-rendered pages with small native scripts on top; every page works without them. The
//! crate knows no physics: numbers come from [`pull`], words and pictures from [`report`] and
//! [`chart`], and what is kept is kept by [`store`].
//!
//! - [`serve`] opens a shop and answers on an address until told to stop.
//! - [`app`] is the same as a router, for tests.
//! - [`accounts`] says who may do what, here and for the command.
//!
//! A shop without accounts is served on this machine alone. An address that other machines can reach
//! needs accounts, and speaks TLS only.

pub mod accounts;
mod assets;
mod cell_text;
mod fault;
mod frame;
mod marks;
mod names;
mod news;
mod pages;
mod prefs;
mod readings;
mod routes;
mod rows_read;
mod serving;
mod shield;
mod state;
mod tls;
mod units;
mod words;

pub use routes::app;
pub use serving::{Ready, ServeError, ServeOptions, serve};
pub use state::AppState;
pub use tls::{Certificate, TlsError};
