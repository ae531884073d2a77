//! The rules of the house, as tests: they read the repository, not the program.

mod architecture;
mod guide;
mod kernels;
mod layers;
mod licences;
mod links;
mod snapshots;
mod third_party;
mod tidy;
mod unused;
