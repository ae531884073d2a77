//! Integration tests of the crate, in one binary.

mod cam_card;
mod cam_events;
mod csv_cam;
