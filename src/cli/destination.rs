//! Where a file is to be written: what stands in the way is told before any work.

use crate::cli::refusal::Refusal;
use crate::report::draft;
use std::ffi::OsStr;
use std::fs;
use std::io;
use std::path::Path;

/// Finds out that a file can be made where it was named.
///
/// # Errors
/// A sentence that names the file as it was named, and why: no name of a file, a folder of that name, a
/// device, a link that leads nowhere, a file that is not to be written, a folder that is not there or takes
/// no file.
pub fn ready(path: &Path) -> Result<(), Refusal> {
    let refused = |why: &str| Err(Refusal::Sentence(cannot(path, why)));
    if path.is_dir() {
        return refused("it is a folder: name a file in it");
    }
    // `a.svg/` and `a.svg/.` name a folder to the system, and a file to whoever takes them apart.
    let whole = path.as_os_str().as_encoded_bytes();
    let named = path.file_name().map(OsStr::as_encoded_bytes);
    if !named.is_some_and(|name| whole.ends_with(name)) {
        return refused("it is not the name of a file");
    }
    match fs::metadata(path) {
        // A device or a pipe would be read for ever, or be put out of its place.
        Ok(there) if !there.is_file() => return refused("it is no file but a device or a pipe"),
        Ok(there) if there.permissions().readonly() => {
            return refused("it is there already, and marked as not to be written");
        }
        Err(_) if path.is_symlink() => return refused("it is a link that leads nowhere"),
        _ => {}
    }
    let folder = folder(path);
    let named = folder.display();
    if !folder.exists() {
        return refused(&format!(
            "there is no folder `{named}`: make it first, or name another"
        ));
    }
    if !folder.is_dir() {
        return refused(&format!("`{named}` is a file, not a folder"));
    }
    draft::possible(path).or_else(|error| refused(&no_file(folder, &error)))
}

/// Why a file cannot be written, as a phrase that begins with its name.
#[must_use]
pub fn cannot(path: &Path, why: &str) -> String {
    format!("`{}` cannot be written: {why}", path.display())
}

fn no_file(folder: &Path, error: &io::Error) -> String {
    format!(
        "the folder `{}` takes no new file: {error}",
        folder.display()
    )
}

/// The folder of a file; a bare name lies in the current one.
fn folder(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}
