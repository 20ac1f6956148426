//! Pictures beside an answer: as a file where one is named, in plain characters where a person watches.

use crate::cli::destination;
use crate::cli::output;
use crate::cli::refusal::Refusal;
use crate::report::picture;
use crate::report::picture::data::Picture;
use crate::report::picture::file;
use std::fs::File;
use std::io;
use std::io::Read;
use std::path::Path;

/// Columns of a plot in plain characters where the terminal does not say how wide it is, and at most.
const USUAL: usize = 78;
const MOST: usize = 100;

/// Bytes at the head of a file that tell who drew it: two short lines, or two short chunks.
const HEAD: u64 = 4096;

/// Finds out, before any work is done, that a picture can be put where it was named. An earlier picture
/// is replaced; any other file is not.
///
/// # Errors
/// Where the name ends otherwise than in `.svg` or `.png`, the folder takes no file, or what is there
/// already was not drawn here.
pub fn named(path: Option<&Path>) -> Result<(), Refusal> {
    let Some(path) = path else { return Ok(()) };
    let kind = file::kind(path).map_err(|why| unwritten(path, &why))?;
    destination::ready(path)?;
    let mut head = Vec::new();
    let read = File::open(path).and_then(|f| f.take(HEAD).read_to_end(&mut head));
    match read {
        Ok(_) if !file::is_one(kind, &head) => Err(Refusal::Sentence(format!(
            "`{}` is there already and is no picture of this program's: name another file for `--picture`, or remove it first",
            path.display()
        ))),
        Err(error) if error.kind() != io::ErrorKind::NotFound => {
            Err(Refusal::Sentence(destination::cannot(
                path,
                &format!("it is there already, and cannot be read: {error}"),
            )))
        }
        _ => Ok(()),
    }
}

/// Writes a picture to the file that was named; a remark where there is nothing to draw.
///
/// # Errors
/// Where it cannot be written, or another file came to be there meanwhile.
pub fn write(path: Option<&Path>, drawn: Option<&Picture>) -> Result<(), Refusal> {
    let Some(path) = path else { return Ok(()) };
    let Some(drawn) = drawn else {
        output::remark("no picture was written: there is nothing to draw");
        return Ok(());
    };
    named(Some(path))?;
    file::write(path, drawn).map_err(|why| unwritten(path, &why))
}

/// Shows a picture in plain characters to a person who watches standard output.
///
/// # Errors
/// Where standard output cannot be written.
pub fn show(drawn: Option<&Picture>) -> Result<(), Refusal> {
    match drawn.filter(|_| output::read_by_a_person()) {
        Some(drawn) => output::answer(&format!(
            "\n{}",
            picture::terminal(drawn, columns(output::width()))
        )),
        None => Ok(()),
    }
}

/// Columns of a plot on a terminal of this width; the last one stays free, for some wrap when it is full.
fn columns(terminal: Option<usize>) -> usize {
    terminal.map_or(USUAL, |width| width.saturating_sub(1).min(MOST))
}

fn unwritten(path: &Path, why: &file::Unwritten) -> Refusal {
    Refusal::Sentence(format!(
        "the picture cannot be written to `{}`: {why}",
        path.display()
    ))
}

#[cfg(test)]
mod tests {
    use super::columns;

    #[test]
    fn a_plot_fills_the_terminal_within_reason() {
        for (terminal, wide) in [(None, 78), (Some(80), 79), (Some(60), 59), (Some(250), 100)] {
            assert_eq!(columns(terminal), wide, "{terminal:?}");
        }
    }
}
