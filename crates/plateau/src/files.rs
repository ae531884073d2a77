//! Files and folders: logs in, results out, and where the shop is by default.

use crate::cli::ShopArgs;
use crate::failure::Failure;
use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Name (without folders) and bytes of each log, in the order given.
pub(crate) fn read_logs(paths: &[PathBuf]) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    paths.iter().map(|path| Ok((name_of(path), read_whole(path).map_err(Failure::reading(path))?))).collect()
}

/// Smallest file that is read in two halves, bytes.
#[cfg(unix)]
const LONG_FILE: u64 = 16 << 20;

/// The bytes of a file. A long one is read in two halves side by side: most of the time goes into making the
/// memory, not into the disc. A file whose length changes meanwhile is read again in one piece.
fn read_whole(path: &Path) -> std::io::Result<Vec<u8>> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileExt;
        let file = File::open(path)?;
        let length = file.metadata()?.len();
        if length >= LONG_FILE {
            let mut bytes = vec![0; usize::try_from(length).map_err(std::io::Error::other)?];
            let half = bytes.len() / 2;
            let (first, second) = bytes.split_at_mut(half);
            let start = first.len() as u64;
            let both = std::thread::scope(|scope| {
                let other = scope.spawn(|| file.read_exact_at(second, start));
                let one = file.read_exact_at(first, 0);
                one.and(other.join().unwrap_or_else(|_| Err(std::io::Error::other("reading was broken off"))))
            });
            if both.is_ok() && file.metadata()?.len() == length {
                return Ok(bytes);
            }
        }
    }
    fs::read(path)
}

/// The file's name without folders.
pub(crate) fn name_of(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// Writes a result so that its name never stands for half of it: beside it first, then renamed.
pub(crate) fn write_result(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let beside = path.with_file_name(format!(".{}.{}.part", name_of(path), std::process::id()));
    let write = || -> std::io::Result<()> {
        let mut file = File::create(&beside)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&beside, path)
    };
    write().map_err(|source| {
        let _ = fs::remove_file(&beside);
        Failure::writing(path)(source)
    })
}

/// The shop's folder: the flag or `PLATEAU_SHOP`, else the user's data folder of this system.
pub(crate) fn shop_folder(args: &ShopArgs) -> Result<PathBuf, Failure> {
    if let Some(dir) = &args.shop {
        return Ok(dir.clone());
    }
    let var = |name| std::env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let data = if cfg!(windows) {
        var("APPDATA")
    } else if cfg!(target_os = "macos") {
        var("HOME").map(|home| home.join("Library/Application Support"))
    } else {
        var("XDG_DATA_HOME").or_else(|| var("HOME").map(|home| home.join(".local/share")))
    };
    data.map(|dir| dir.join("plateau").join("shop")).ok_or_else(|| {
        Failure::Words(
            "no folder for the shop is known here\n  go on    name one with --shop DIR or PLATEAU_SHOP".into(),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(unix)]
    #[test]
    fn a_long_file_read_in_halves_is_the_file() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("long.csv");
        // An odd length, and bytes that differ everywhere, so that a misplaced half would show.
        let bytes: Vec<u8> = (0..LONG_FILE as usize + 4_321).map(|i| (i * 31 + i / 257) as u8).collect();
        fs::write(&path, &bytes).expect("written");
        assert!(read_whole(&path).expect("read") == bytes);
        assert!(read_whole(&folder.path().join("none.csv")).is_err());
    }
}
