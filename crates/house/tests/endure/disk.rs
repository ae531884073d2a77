//! Disks that are small, and users that may not write.

use std::os::unix::fs::{PermissionsExt, chown};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::Command;

/// A user without rights, by the numbers that Linux gives to "nobody".
const NOBODY: u32 = 65_534;

/// A disk that gets full: a small one of its own (tmpfs) where that may be made, else the folder of a process that may not
/// write long files. Either is a real refusal by the system.
pub(crate) enum Tight {
    /// A disk of its own; taken away when dropped.
    Small(tempfile::TempDir),
    /// Files up to a length.
    Limited(tempfile::TempDir),
}

impl Tight {
    /// A disk of so many kilobytes.
    pub(crate) fn new(kilobytes: u32) -> Self {
        let dir = tempfile::tempdir().expect("a folder");
        let options = format!("size={kilobytes}k");
        let made = Command::new("mount").args(["-t", "tmpfs", "-o", &options, "tmpfs"]).arg(dir.path()).output();
        if made.is_ok_and(|out| out.status.success()) { Self::Small(dir) } else { Self::Limited(dir) }
    }

    pub(crate) fn path(&self) -> &Path {
        match self {
            Self::Small(dir) | Self::Limited(dir) => dir.path(),
        }
    }

    /// The command that runs a program on it.
    pub(crate) fn command(&self, program: &Path) -> Command {
        match self {
            Self::Small(_) => Command::new(program),
            // Blocks of 512 or 1024 bytes, as the shell has it; without the signal, so that the program hears an error.
            Self::Limited(_) => {
                let mut command = Command::new("sh");
                command.args(["-c", "trap '' XFSZ; ulimit -f 4000; exec \"$0\" \"$@\""]).arg(program);
                command
            }
        }
    }

    /// Makes room; `false` where that cannot be done while a process is running.
    pub(crate) fn make_room(&self) -> bool {
        let Self::Small(dir) = self else { return false };
        let made = Command::new("mount").args(["-o", "remount,size=200m"]).arg(dir.path()).output();
        made.expect("mount runs").status.success()
    }
}

impl Drop for Tight {
    fn drop(&mut self) {
        if let Self::Small(dir) = self {
            let _ = Command::new("umount").arg("-l").arg(dir.path()).output();
        }
    }
}

/// Whether this test runs as root.
fn root() -> bool {
    let out = Command::new("id").arg("-u").output().expect("id runs");
    out.stdout == b"0\n"
}

/// A folder and a program for somebody whom rights bind. Root is bound by none, so that as root the program runs as nobody.
pub(crate) struct Bound {
    dir: tempfile::TempDir,
    program: PathBuf,
}

impl Bound {
    pub(crate) fn new(program: &Path) -> Self {
        let dir = tempfile::tempdir().expect("a folder");
        // Where the program was built nobody may have no way in.
        let copy = dir.path().join("plateau");
        std::fs::copy(program, &copy).expect("a copy of the program");
        mode(dir.path(), 0o755);
        Self { dir, program: copy }
    }

    /// A folder of theirs.
    pub(crate) fn folder(&self, name: &str) -> PathBuf {
        let path = self.dir.path().join(name);
        std::fs::create_dir(&path).expect("a folder");
        if root() {
            chown(&path, Some(NOBODY), Some(NOBODY)).expect("given to nobody");
        }
        path
    }

    /// The command that runs the program as them.
    pub(crate) fn command(&self) -> Command {
        let mut command = Command::new(&self.program);
        command.current_dir("/").env("HOME", "/nowhere");
        if root() {
            command.uid(NOBODY).gid(NOBODY);
        }
        command
    }
}

/// Sets the rights of a file or folder.
pub(crate) fn mode(path: &Path, mode: u32) {
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).expect("rights are set");
}

/// Sets the rights of a folder, and of all folders and files in it.
pub(crate) fn rights(path: &Path, folders: u32, files: u32) {
    for entry in std::fs::read_dir(path).expect("a readable folder") {
        let path = entry.expect("a readable folder").path();
        if path.is_dir() { rights(&path, folders, files) } else { mode(&path, files) }
    }
    mode(path, folders);
}
