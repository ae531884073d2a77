//! The pieces of which a flag's sentence is made.

use serde::{Deserialize, Serialize};

/// The pieces of a flag's sentence, for faces that put it together in a person's units.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Parts {
    /// Pulls in which it was found, in order; empty when it lies outside of every pull.
    pub pulls: Vec<usize>,
    /// The rule's words with the numbers left open: `{by}` what was compared with the limit, `{worst}` the
    /// value of the channel, `{limit}` the limit. Empty when the sentence is all there is.
    pub form: String,
    /// Which channel of several: "bank 1", "cylinder 3"; empty where there is one only.
    pub which: String,
    /// How long the limit must be passed, s; 0 for at once.
    pub hold_s: f64,
    /// The limit grows with speed; the one that is told holds at the worst moment.
    pub limit_at_speed: bool,
    /// What else was seen there; may be empty.
    pub note: String,
    /// What to look at: "the plug, the lead and the sensor".
    pub look: String,
}
