//! chart
