//! web
