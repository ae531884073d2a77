//! `plateau serve`: the shop's pages, on this machine alone.

use crate::Done;
use crate::cli::ServeArgs;
use crate::failure::Failure;
use crate::files::shop_folder;
use std::net::{Ipv4Addr, SocketAddr};
use std::process::{Command, Stdio};

/// Serves until Ctrl-C.
pub(crate) fn run(args: &ServeArgs) -> Result<Done, Failure> {
    let address = args.port.map_or(args.listen, |port| SocketAddr::from((Ipv4Addr::LOCALHOST, port)));
    if !address.ip().is_loopback() {
        return Err(Failure::Words(format!(
            "{address} can be reached from other machines; nothing was opened\n  why      that needs accounts and encryption (TLS), which this version does not have\n  go on    serve on 127.0.0.1 or [::1]"
        )));
    }
    let shop = shop_folder(&args.shop)?;
    let filter = tracing_subscriber::EnvFilter::try_from_env("PLATEAU_LOG")
        .unwrap_or_else(|_| tracing_subscriber::EnvFilter::new("warn"));
    tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).init();

    let (place, open) = (shop.clone(), args.open);
    let on_ready = Box::new(move |bound: SocketAddr| {
        let page = format!("http://{bound}/");
        anstream::println!("The shop in {} is open at {page}", place.display());
        anstream::println!("Ctrl-C closes it.");
        if open && let Err(error) = open_in_browser(&page) {
            anstream::eprintln!("The browser could not be opened ({error}); open {page} yourself.");
        }
    });
    let starting = |source| Failure::File { path: "the system's network".into(), doing: "started", source };
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().map_err(starting)?;
    let closing = async {
        let _ = tokio::signal::ctrl_c().await;
    };
    runtime.block_on(web::serve(web::ServeOptions { shop, address, on_ready }, closing))?;
    Ok(Done::Well)
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
