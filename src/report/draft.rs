//! A file written whole or not at all: beside its place first, then by renaming.

use std::ffi::OsString;
use std::fs;
use std::fs::File;
use std::io;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use std::process;

/// Writes it.
///
/// # Errors
/// Where the path names no file, the folder is absent or the file cannot be written.
pub fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let path = &target(path);
    let (draft, mut file) = begun(path)?;
    let written = file
        .write_all(bytes)
        .and_then(|()| fs::rename(&draft, path));
    if written.is_err() {
        // The first failure is the one to tell; a draft that cannot be removed is only litter.
        drop(fs::remove_file(&draft));
    }
    written
}

/// Tries whether a file can be made there, and leaves nothing behind.
///
/// # Errors
/// As for [`write()`].
pub fn possible(path: &Path) -> io::Result<()> {
    let (draft, _) = begun(&target(path))?;
    fs::remove_file(&draft)
}

/// Where a link leads, so that the link stays one.
fn target(path: &Path) -> PathBuf {
    if path.is_symlink() {
        fs::canonicalize(path).unwrap_or_else(|_| path.to_owned())
    } else {
        path.to_owned()
    }
}

/// Names tried for a draft: one that is there already is somebody's, or was left by a run that was killed.
const NAMES: usize = 64;

/// The draft of a file, hidden beside it: a new file, whatever else is in the folder.
fn begun(path: &Path) -> io::Result<(PathBuf, File)> {
    let name = path
        .file_name()
        .ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, "not the name of a file"))?;
    let mut begun = Err(io::ErrorKind::AlreadyExists.into());
    for again in 0..NAMES {
        let mut draft = OsString::from(".");
        draft.push(name);
        draft.push(format!(".{}", process::id()));
        if again > 0 {
            draft.push(format!(".{again}"));
        }
        let draft = path.with_file_name(draft);
        begun = File::create_new(&draft).map(|file| (draft, file));
        if !matches!(&begun, Err(e) if e.kind() == io::ErrorKind::AlreadyExists) {
            break;
        }
    }
    begun
}

#[cfg(test)]
mod tests {
    use super::{possible, write};
    use std::{fs, process};

    #[test]
    fn a_draft_takes_the_place_of_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a");
        let other = folder.path().join(format!(".a.{}", process::id()));
        fs::write(&other, "mine").expect("written");
        possible(&path).expect("possible");
        write(&path, b"new").expect("written");
        assert_eq!(fs::read(&path).expect("a file"), b"new");
        assert_eq!(fs::read(&other).expect("a file"), b"mine");
        assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 2);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link() {
        let folder = tempfile::tempdir().expect("a folder");
        let [link, file] = ["link", "file"].map(|name| folder.path().join(name));
        fs::write(&file, "old").expect("written");
        std::os::unix::fs::symlink(&file, &link).expect("a link");
        write(&link, b"new").expect("written");
        assert!(link.is_symlink());
        assert_eq!(fs::read(&file).expect("a file"), b"new");
    }
}
