//! Why a file is not taken.

/// Why a file is not taken, or no copy can be made of it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum EvidenceError {
    /// No bytes.
    #[error("\"{name}\" is empty; the upload may have been cut off. Send it again")]
    Empty {
        /// Name it came with.
        name: String,
    },
    /// Too many bytes.
    #[error("\"{name}\" has {} MB; up to {} MB are taken. Nothing was kept; send a smaller one", megabytes(*.bytes), megabytes(*.most))]
    TooLarge {
        /// Name it came with.
        name: String,
        /// Bytes it has.
        bytes: u64,
        /// Bytes that are taken.
        most: u64,
    },
    /// Not one of the kinds that are taken.
    #[error("\"{name}\" is {looks_like}; photos are taken as JPEG, PNG, WebP or HEIC, papers as PDF. Nothing was kept")]
    NotTaken {
        /// Name it came with.
        name: String,
        /// What it looks like.
        looks_like: String,
    },
    /// Too many pixels for the memory of the shop's machine.
    #[error(
        "\"{name}\" says that it is {width} × {height} pixels; up to {most_million} million are taken. Nothing was kept"
    )]
    TooManyPixels {
        /// Name it came with.
        name: String,
        /// Pixels, as the file says.
        width: u64,
        /// Pixels, as the file says.
        height: u64,
        /// Million pixels that are taken.
        most_million: u64,
    },
    /// A copy cannot be made; the original may be kept all the same.
    #[error("no picture can be made of it: {why}")]
    NoPicture {
        /// Why.
        why: String,
    },
}

fn megabytes(bytes: u64) -> String {
    format!("{:.1}", bytes as f64 / 1e6)
}
