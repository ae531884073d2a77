//! Photos and files: kept byte for byte, what can be told of them, and the small pictures made from them.

use crate::{Notebook, NotebookError};
use evidence::{Bounds, THUMBNAIL_SIDE, VIEW_SIDE, copies, look};
use record::EvidenceFile;

/// A picture made from a photo, without anything that the camera wrote into it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// The file.
    pub bytes: Vec<u8>,
    /// Its media type.
    pub media_type: &'static str,
}

/// How large a picture is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PictureSize {
    /// For a list.
    Thumb,
    /// For the screen.
    View,
}

impl PictureSize {
    fn name(self, sha256: &str) -> String {
        match self {
            Self::Thumb => format!("{sha256}-thumb.jpg"),
            Self::View => format!("{sha256}-view.jpg"),
        }
    }
}

impl Notebook {
    /// Keeps a photo or file and says what it is. The entry that names it is the caller's to write.
    ///
    /// # Errors
    /// [`NotebookError::Evidence`] for a file that is empty, too large or of a kind that is not taken, and those of the
    /// store; nothing is kept then.
    pub fn keep_evidence(&self, name: &str, bytes: &[u8]) -> Result<EvidenceFile, NotebookError> {
        let seen = look(name, bytes, &Bounds::default())?;
        let kept = self.store.keep_file(name, bytes)?;
        Ok(EvidenceFile {
            sha256: kept.sha256,
            name: name.to_owned(),
            media_type: seen.kind.media_type().to_owned(),
            size: kept.size,
            pixels: seen.pixels,
            taken: seen.taken.map(|taken| taken.to_string()),
            caption: String::new(),
            about: Vec::new(),
        })
    }

    /// A picture of a kept photo. It is made once and kept among what may be deleted and made again.
    ///
    /// # Errors
    /// [`NotebookError::Evidence`] where no picture can be made of the file, and those of the store: no such file.
    pub fn picture(&self, sha256: &str, size: PictureSize) -> Result<Picture, NotebookError> {
        if let Some(bytes) = self.store.derived(&size.name(sha256))? {
            return Ok(Picture { bytes, media_type: "image/jpeg" });
        }
        let original = self.store.read_file(sha256)?;
        let sizes = [PictureSize::View, PictureSize::Thumb];
        let made = copies(&original, &[VIEW_SIDE, THUMBNAIL_SIDE], &Bounds::default())?;
        let mut wanted = None;
        for (made, of) in made.into_iter().zip(sizes) {
            // A disk that is full must not hide a photo: the picture is shown and made again the next time.
            let _ = self.store.keep_derived(&of.name(sha256), &made.bytes);
            if of == size {
                wanted = Some(Picture { bytes: made.bytes, media_type: made.media_type });
            }
        }
        wanted.ok_or_else(|| NotebookError::NoPicture { sha256: sha256.to_owned() })
    }
}
