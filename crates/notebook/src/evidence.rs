//! Photos and files: kept byte for byte, and what can be told of them.

use crate::{Notebook, NotebookError};
use record::EvidenceFile;

impl Notebook {
    /// Keeps a photo or file and says what it is. The entry that names it is the caller's to write.
    ///
    /// # Errors
    /// Those of the store.
    pub fn keep_evidence(&self, name: &str, bytes: &[u8]) -> Result<EvidenceFile, NotebookError> {
        let kept = self.store.keep_file(name, bytes)?;
        Ok(EvidenceFile {
            sha256: kept.sha256,
            name: name.to_owned(),
            media_type: media_type(bytes).to_owned(),
            size: kept.size,
            pixels: None,
            taken: None,
            caption: String::new(),
            about: Vec::new(),
        })
    }
}

fn media_type(bytes: &[u8]) -> &'static str {
    match bytes {
        [0xff, 0xd8, 0xff, ..] => "image/jpeg",
        [0x89, b'P', b'N', b'G', ..] => "image/png",
        [b'%', b'P', b'D', b'F', ..] => "application/pdf",
        _ => "application/octet-stream",
    }
}
