//! A file written whole or not at all: beside its place first, then by renaming.

use std::ffi::OsString;
use std::fs;
use std::io;
use std::path::Path;
use std::process;

/// Writes it.
///
/// # Errors
/// Where the path names no file, the folder is absent or the file cannot be written.
pub fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let name = path
        .file_name()
        .ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, "not the name of a file"))?;
    let mut draft_name = OsString::from(".");
    draft_name.push(name);
    draft_name.push(format!(".{}", process::id()));
    let draft = path.with_file_name(draft_name);
    let written = fs::write(&draft, bytes).and_then(|()| fs::rename(&draft, path));
    if written.is_err() {
        // The first failure is the one to tell; a draft that cannot be removed is only litter.
        drop(fs::remove_file(&draft));
    }
    written
}
