//! `plateau serve`: the shop's pages, on this machine or to the tablets of the shop.

use crate::Done;
use crate::cli::ServeArgs;
use crate::failure::Failure;
use crate::files::shop_folder;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::Path;
use std::process::{Command, Stdio};
use tracing_subscriber::EnvFilter;
use web::{Certificate, Ready, ServeOptions};

/// Parts that would write the heads of requests, and with them session cookies, when everything is asked for.
const TIGHT_LIPPED: [&str; 6] = ["hyper", "hyper_util", "h2", "rustls", "tokio_rustls", "axum_server"];

/// Serves until Ctrl-C.
pub(crate) fn run(args: &ServeArgs) -> Result<Done, Failure> {
    let address = args.port.map_or(args.listen, |port| SocketAddr::from((Ipv4Addr::LOCALHOST, port)));
    let shop = shop_folder(&args.shop)?;
    tracing_subscriber::fmt().with_env_filter(filter()).with_writer(std::io::stderr).init();

    let (place, open) = (shop.clone(), args.open);
    let mut options = ServeOptions::new(shop, address, move |ready| {
        tell(&place, ready);
        if let (true, Some(page)) = (open, ready.pages.first())
            && let Err(error) = open_in_browser(page)
        {
            anstream::eprintln!("The browser could not be opened ({error}); open {page} yourself.");
        }
    });
    options.names.clone_from(&args.name);
    options.certificate = match (&args.certificate, &args.key) {
        (Some(certificate), Some(key)) => Some(Certificate::Own { certificate: certificate.clone(), key: key.clone() }),
        _ => args.new_certificate.then_some(Certificate::SelfMade { anew: true }),
    };
    let starting = |source| Failure::File { path: "the system's network".into(), doing: "started", source };
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().map_err(starting)?;
    let closing = async {
        let _ = tokio::signal::ctrl_c().await;
    };
    runtime.block_on(web::serve(options, closing))?;
    Ok(Done::Well)
}

/// `PLATEAU_LOG`, or warnings only; never so much that a session's cookie would be written.
fn filter() -> EnvFilter {
    let asked = EnvFilter::try_from_env("PLATEAU_LOG").unwrap_or_else(|_| EnvFilter::new("warn"));
    let bounds = TIGHT_LIPPED.iter().filter_map(|part| format!("{part}=warn").parse().ok());
    bounds.fold(asked, EnvFilter::add_directive)
}

/// Says where the shop is open, and by what its certificate is known.
fn tell(place: &Path, ready: &Ready) {
    let Some(fingerprint) = &ready.fingerprint else {
        let page = ready.pages.first().map_or("", String::as_str);
        anstream::println!("The shop in {} is open at {page}", place.display());
        anstream::println!("Ctrl-C closes it.");
        return;
    };
    anstream::println!("The shop in {} is open, encrypted, at", place.display());
    for page in &ready.pages {
        anstream::println!("  {page}");
    }
    if let Some(authority) = &ready.authority {
        anstream::println!(
            "Its certificate was made here, so a browser says that it does not know it. Go on there only if"
        );
        anstream::println!("the browser shows this fingerprint (SHA-256):");
        anstream::println!("  {fingerprint}");
        anstream::println!("A tablet that is to trust it for good takes {}", authority.display());
    } else {
        anstream::println!("Fingerprint of its certificate (SHA-256):");
        anstream::println!("  {fingerprint}");
    }
    for note in &ready.notes {
        anstream::println!("{note}");
    }
    anstream::println!("Ctrl-C closes it.");
}

/// Hands an address to whatever the system opens pages with.
fn open_in_browser(page: &str) -> std::io::Result<()> {
    let mut command = if cfg!(windows) {
        let mut command = Command::new("cmd");
        command.args(["/C", "start", ""]);
        command
    } else if cfg!(target_os = "macos") {
        Command::new("open")
    } else {
        Command::new("xdg-open")
    };
    command.arg(page).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn().map(|_| ())
}
