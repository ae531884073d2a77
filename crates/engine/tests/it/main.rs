//! Integration tests of the crate, in one binary.

mod cam_card;
mod cam_events;
mod cam_table;
mod csv_bottom;
mod csv_cam;
mod kinematics;
mod piston_to_valve;
mod valve_train;
