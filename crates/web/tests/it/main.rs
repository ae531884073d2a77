//! The pages of a real shop in a temporary folder, asked through the router.

mod bench;
mod doors;
mod dynos;
mod logs;
mod runs;
mod serving;
