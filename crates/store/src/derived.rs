//! Things made from kept files, such as thumbnails: in a folder of their own that may be emptied at any time.
//!
//! They are in no backup and under no check; whoever asks for one that is not there makes it again.

use crate::Store;
use crate::error::StoreError;
use crate::files::{sync_folder, write_whole};
use std::fs;
use std::io::ErrorKind;
use std::path::PathBuf;

/// Folder of what is made from kept files.
pub(crate) const DERIVED: &str = "derived";

impl Store {
    /// A derived file; `None` if it is not there.
    ///
    /// # Errors
    /// [`StoreError::BadValue`] for a name with other characters than lower-case letters, digits, `-`, `_` and `.`;
    /// [`StoreError::Io`].
    pub fn derived(&self, name: &str) -> Result<Option<Vec<u8>>, StoreError> {
        let path = self.derived_path(name)?;
        match fs::read(&path) {
            Ok(bytes) => Ok(Some(bytes)),
            Err(e) if e.kind() == ErrorKind::NotFound => Ok(None),
            Err(e) => Err(StoreError::io(&path, "reading a file made from a kept one", e)),
        }
    }

    /// Keeps a derived file, in place of one of the same name. Begin the name with the SHA-256 of what it was made from.
    ///
    /// # Errors
    /// [`StoreError::BadValue`] as for [`Store::derived`]; [`StoreError::DiskFull`], [`StoreError::ReadOnly`],
    /// [`StoreError::Io`].
    pub fn keep_derived(&self, name: &str, bytes: &[u8]) -> Result<(), StoreError> {
        let path = self.derived_path(name)?;
        let folder = path.parent().unwrap_or(&self.inner.dir);
        fs::create_dir_all(folder).map_err(|e| StoreError::io(folder, "keeping a file made from a kept one", e))?;
        write_whole(&self.inner.dir, &path, bytes)?;
        sync_folder(folder)
    }

    fn derived_path(&self, name: &str) -> Result<PathBuf, StoreError> {
        let letter = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b"-_.".contains(&b);
        if name.len() < 3 || name.starts_with('.') || !name.bytes().all(letter) || !name.is_char_boundary(2) {
            let expected = "lower-case letters, digits, -, _ and ., at least three";
            return Err(StoreError::BadValue { what: "name of a derived file", found: name.to_owned(), expected });
        }
        Ok(self.inner.dir.join(DERIVED).join(&name[..2]).join(name))
    }
}
