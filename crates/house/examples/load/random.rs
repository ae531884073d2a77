//! Random-looking numbers that depend on their seed alone, and names made from them.

/// The finaliser of splitmix64: every bit of the argument moves every bit of the result.
pub(crate) fn mixed(n: u64) -> u64 {
    let mut z = n.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// A sequence.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(mixed(seed))
    }

    /// 0 to `below` − 1.
    pub(crate) fn below(&mut self, below: u64) -> u64 {
        self.0 = self.0.wrapping_add(1);
        mixed(self.0) % below.max(1)
    }

    /// 0 to 1.
    pub(crate) fn share(&mut self) -> f64 {
        self.below(1 << 53) as f64 / (1_u64 << 53) as f64
    }
}

/// A name of an entry or a job, a UUID of version 7: made `ms` after a fixed day, told apart by `n`.
pub(crate) fn id(ms: u64, n: u64) -> String {
    let (a, b) = (mixed(n ^ ms << 20), mixed(mixed(n) ^ ms));
    let (time, rest) = (1_744_000_000_000 + ms, b & 0x3fff_ffff_ffff_ffff | 0x8000_0000_0000_0000);
    format!(
        "{:08x}-{:04x}-7{:03x}-{:04x}-{:012x}",
        time >> 16 & 0xffff_ffff,
        time & 0xffff,
        a & 0xfff,
        rest >> 48,
        rest & 0xffff_ffff_ffff
    )
}
