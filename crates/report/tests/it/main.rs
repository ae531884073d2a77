//! Tests of the report: sentences, rows, picture and the sheet on paper.

mod paper;
mod picture;
mod sample;
mod sentences;
