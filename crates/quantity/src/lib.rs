//! Units at the edge, SI inside, uncertainty and origin with every number.

mod origin;

pub use origin::Origin;
