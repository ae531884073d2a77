//! What the shop survives: a server killed while clients write, a full disk, a folder that may not be written, a damaged
//! file, a database cut in the middle. Always the real program, over HTTP and from the command line.
//!
//! The program's path can be given in `PLATEAU_BIN`; the number of kills in `PLATEAU_KILLS`.

mod carried;
mod disk;
mod entries;
mod faults;
#[path = "../browser/http.rs"]
mod http;
mod kill;
mod server;
