//! A file written whole or not at all: beside its place first, then by renaming.

use std::ffi::OsString;
use std::fs;
use std::io;
use std::path::Path;
use std::path::PathBuf;
use std::process;

/// Writes it.
///
/// # Errors
/// Where the path names no file, the folder is absent or the file cannot be written.
pub fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let draft = beside(path)?;
    let written = fs::write(&draft, bytes).and_then(|()| fs::rename(&draft, path));
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
    let draft = beside(path)?;
    fs::write(&draft, []).and_then(|()| fs::remove_file(&draft))
}

/// The draft of a file, hidden beside it.
fn beside(path: &Path) -> io::Result<PathBuf> {
    let name = path
        .file_name()
        .ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, "not the name of a file"))?;
    let mut draft = OsString::from(".");
    draft.push(name);
    draft.push(format!(".{}", process::id()));
    Ok(path.with_file_name(draft))
}
