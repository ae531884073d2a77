//! Cell file.
