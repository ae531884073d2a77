//! Files and folders: logs in, results out, and where the shop is by default.

use crate::cli::ShopArgs;
use crate::failure::Failure;
use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Name (without folders) and bytes of each log, in the order given.
pub(crate) fn read_logs(paths: &[PathBuf]) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    paths.iter().map(|path| Ok((name_of(path), fs::read(path).map_err(Failure::reading(path))?))).collect()
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
