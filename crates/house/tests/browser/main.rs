//! The pages in a real browser.

fn main() {}
