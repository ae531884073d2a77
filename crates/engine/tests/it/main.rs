//! Integration tests of the crate, in one binary.

mod balance;
mod blower;
mod build_file;
mod build_sheet;
mod build_sheet_limits;
mod cam_card;
mod cam_events;
mod cam_table;
mod clearances;
mod compression;
mod fasteners;
mod flow_bench;
mod flow_ports;
mod flow_properties;
mod fuel;
mod geometry;
mod kinematics;
mod limits;
mod loads;
mod piston_to_valve;
mod valve_train;
