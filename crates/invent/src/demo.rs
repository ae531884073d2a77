//! Files of the demo. Filled in below.
