//! Tests of the store from outside, each on a real folder.
