//! `invent`: writes invented logs.
fn main() {}
