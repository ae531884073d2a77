//! Tests of the drawing: what must hold for every picture, and what some pictures look like.

mod drawn;
mod fonts;
mod gaps;
mod golden;
mod page;
mod places;
mod rendered;
mod sample;
mod tables;
mod xy;
