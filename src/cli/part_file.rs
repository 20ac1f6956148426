//! A file that grows line by line, keeps what is whole when its run is interrupted, and can be gone on
//! with.
//!
//! Until it is whole, `FILE` is written as `FILE.part`, and `FILE.part.question` holds the fingerprint of
//! what was asked. Lines are appended in whole chunks; what a kill leaves of the last one is dropped by
//! the next run.

use crate::cli::destination;
use crate::cli::refusal::Refusal;
use crate::report::draft;
use crate::report::json::answer;
use crate::report::lines::Lines;
use crate::solve::answer::Status;
use crate::study::sweep::plan::Plan;
use std::ffi::OsStr;
use std::ffi::OsString;
use std::fs;
use std::fs::File;
use std::io;
use std::io::BufRead;
use std::io::BufReader;
use std::io::Seek;
use std::io::SeekFrom;
use std::io::Write;
use std::ops::Range;
use std::path::Path;
use std::path::PathBuf;

/// What is to be written.
pub struct Whole<'a> {
    /// The sweep.
    pub plan: &'a Plan,
    /// Its lines.
    pub lines: &'a Lines<'a>,
    /// The chunks of this file.
    pub chunks: Range<usize>,
    /// What stands before the first line.
    pub head: String,
    /// The fingerprint of the question.
    pub question: String,
}

/// A file being written.
pub struct PartFile {
    file: File,
    part: PathBuf,
    note: PathBuf,
    whole: PathBuf,
}

/// What an earlier run had written.
#[derive(Debug, Default)]
pub struct Kept {
    /// Whole chunks.
    pub chunks: usize,
    /// The status of each of their points, counted.
    pub statuses: Vec<(Status, usize)>,
}

impl PartFile {
    /// Begins a file, or goes on with what an earlier run of the same question left.
    ///
    /// # Errors
    /// Where the file is there already, or an unfinished one that is not to be gone on with, or one of
    /// another question; where it is being written by another run; where the disk refuses.
    pub fn open(path: &Path, whole: &Whole, resume: bool) -> Result<(Self, Kept), Refusal> {
        let (part, note) = (beside(path, ".part"), beside(path, ".part.question"));
        if is_taken(path) {
            return Err(Refusal::Sentence(format!(
                "`{}` is there already and is not written over: name another file, or remove it first",
                path.display()
            )));
        }
        destination::ready(path)?;
        destination::ready(&part)?;
        if !is_taken(&part) {
            own_note(&note)?;
        }
        let refuse = |error: io::Error| refused(path, &error);
        let file = File::options()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(&part)
            .map_err(refuse)?;
        if file.try_lock().is_err() {
            return Err(Refusal::Sentence(format!(
                "`{}` is being written by another run",
                part.display()
            )));
        }
        // Only now, alone: the note of one question must not come to stand beside the lines of another.
        let begun = file.metadata().map_err(refuse)?.len() > 0;
        if begun && !resume {
            return Err(Refusal::Sentence(format!(
                "`{}` is there already, the beginning of a sweep that was interrupted: go on with it by the same command with `--resume`, or remove it first",
                part.display()
            )));
        }
        if begun {
            same_question(&part, &note, &whole.question)?;
        } else {
            write_note(&note, &whole.question).map_err(refuse)?;
        }
        let (kept, end) = kept(&file, &part, whole)?;
        let mut file = file;
        file.set_len(end)
            .and_then(|()| file.seek(SeekFrom::End(0)))
            .map_err(refuse)?;
        let mut this = PartFile {
            file,
            part,
            note,
            whole: path.to_owned(),
        };
        if end == 0 {
            this.append(&whole.head)?;
        }
        Ok((this, kept))
    }

    /// Appends whole lines.
    ///
    /// # Errors
    /// Where the disk refuses.
    pub fn append(&mut self, text: &str) -> Result<(), Refusal> {
        self.file
            .write_all(text.as_bytes())
            .map_err(|error| refused(&self.whole, &error))
    }

    /// Gives the finished file its name.
    ///
    /// # Errors
    /// Where the disk refuses, or another file took the name meanwhile.
    pub fn finish(self) -> Result<(), Refusal> {
        let taken = || {
            Refusal::Sentence(format!(
                "`{}` came to be there meanwhile: what was found stands in `{}`",
                self.whole.display(),
                self.part.display()
            ))
        };
        if is_taken(&self.whole) {
            return Err(taken());
        }
        let refuse = |error: io::Error| refused(&self.whole, &error);
        self.file.sync_all().map_err(refuse)?;
        // A second name is given only where there is none yet; where a disk knows no second names, the first
        // is changed.
        match fs::hard_link(&self.part, &self.whole) {
            Ok(()) => drop(fs::remove_file(&self.part)),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Err(taken()),
            Err(_) => fs::rename(&self.part, &self.whole).map_err(refuse)?,
        }
        // The answer is whole; a note that cannot be removed is only litter.
        drop(fs::remove_file(&self.note));
        Ok(())
    }
}

/// Whether something has the name already, be it a link that leads nowhere.
fn is_taken(path: &Path) -> bool {
    path.symlink_metadata().is_ok()
}

/// A failure of the disk, of the file that was named: of its parts nobody asked.
fn refused(path: &Path, error: &io::Error) -> Refusal {
    Refusal::Sentence(destination::cannot(path, &error.to_string()))
}

fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.file_name().map_or_else(OsString::new, OsStr::to_owned);
    name.push(end);
    path.with_file_name(name)
}

/// How every note begins.
const NOTE: &str = "An unfinished sweep of treatrate: the same command with --resume goes on.";

/// Only a note of this program's gives way to another; beside a file that is begun it is one.
fn own_note(note: &Path) -> Result<(), Refusal> {
    let ours = !is_taken(note)
        || fs::metadata(note).is_ok_and(|there| there.is_file())
            && fs::read_to_string(note).is_ok_and(|text| text.is_empty() || text.starts_with(NOTE));
    if ours {
        return Ok(());
    }
    Err(Refusal::Sentence(format!(
        "`{}` is there already and is no note of this program's: name another file, or remove it first",
        note.display()
    )))
}

/// Written before the first line, and never half.
fn write_note(note: &Path, question: &str) -> io::Result<()> {
    draft::write(note, note_of(question).as_bytes())
}

fn note_of(question: &str) -> String {
    format!("{NOTE}\nquestion {question}\n")
}

fn same_question(part: &Path, note: &Path, question: &str) -> Result<(), Refusal> {
    if fs::read_to_string(note).is_ok_and(|text| text == note_of(question)) {
        return Ok(());
    }
    Err(Refusal::Sentence(format!(
        "`{}` is the beginning of another question: the problem, a shelf, a path, an option or the version of this program is not the same. Ask what was asked then, or remove the file and begin anew",
        part.display()
    )))
}

/// What whole chunks a file holds, and where they end.
fn kept(file: &File, part: &Path, whole: &Whole) -> Result<(Kept, u64), Refusal> {
    let refuse = |error: io::Error| {
        Refusal::of_system(format!("`{}` cannot be read", part.display()), &error)
    };
    let mut reader = BufReader::new(file);
    let mut kept = Kept::default();
    let mut line = Vec::new();
    let mut next = || -> Result<Option<Vec<u8>>, Refusal> {
        line.clear();
        reader.read_until(b'\n', &mut line).map_err(refuse)?;
        Ok(line.ends_with(b"\n").then(|| line.clone()))
    };
    let strange = |number: usize| {
        Refusal::Sentence(format!(
            "line {number} of `{}` is not what this sweep writes there: the file was changed. Remove it and begin anew",
            part.display()
        ))
    };
    let mut number = 0;
    let mut end = 0_u64;
    if !whole.head.is_empty() {
        let Some(head) = next()? else {
            return Ok((kept, 0));
        };
        number += 1;
        if head != whole.head.as_bytes() {
            return Err(strange(number));
        }
        end = length(&head);
    }
    for chunk in whole.chunks.clone() {
        let mut statuses: Vec<Status> = Vec::new();
        let mut reached = end;
        for point in whole.plan.chunk(chunk) {
            let Some(line) = next()? else {
                return Ok((kept, end));
            };
            number += 1;
            let text = str::from_utf8(&line).map_err(|_| strange(number))?;
            let status = whole.lines.status(point, text);
            let status = status.and_then(answer::status_of);
            statuses.push(status.ok_or_else(|| strange(number))?);
            reached += length(&line);
        }
        end = reached;
        kept.chunks += 1;
        for status in statuses {
            match kept.statuses.iter_mut().find(|(of, _)| *of == status) {
                Some((_, count)) => *count += 1,
                None => kept.statuses.push((status, 1)),
            }
        }
    }
    if next()?.is_some() {
        return Err(strange(number + 1));
    }
    Ok((kept, end))
}

fn length(line: &[u8]) -> u64 {
    line.len() as u64
}
