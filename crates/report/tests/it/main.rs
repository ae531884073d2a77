//! Tests of the report: sentences, rows, picture and the sheet on paper.

mod engine_pictures;
mod paper;
mod picture;
mod sample;
mod sentences;
