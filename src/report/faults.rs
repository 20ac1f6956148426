//! Faults as text: each with its code, its places in the file, and the edit to make.

use crate::fault::{Fault, Faults, Mark, Sources};
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use std::fmt::Write;
use std::ops::Range;

/// The most faults that are shown; a file with more has one thing wrong many times.
const MOST_SHOWN: usize = 100;

/// The most bytes of a line that are shown around a mark.
const WIDEST_LINE: usize = 400;

/// All faults, in the order they stand in the files, and a line that counts them.
#[must_use]
pub fn render(faults: &Faults, colour: bool) -> String {
    let renderer = if colour {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let mut text = String::new();
    for fault in faults.faults.iter().take(MOST_SHOWN) {
        text.push_str(&one(fault, &faults.sources, &renderer));
        text.push_str("\n\n");
    }
    text.push_str(&summary(faults));
    text
}

/// `3 faults in problems/x.toml; nothing was solved`.
fn summary(faults: &Faults) -> String {
    let count = faults.faults.len();
    let mut files: Vec<usize> = faults
        .faults
        .iter()
        .map(|fault| fault.marks.first().map_or(0, |mark| mark.place.file))
        .collect();
    files.sort_unstable();
    files.dedup();
    let names: Vec<&str> = files.iter().map(|f| faults.sources.name(*f)).collect();
    let word = if count == 1 { "fault" } else { "faults" };
    let mut line = format!("{count} {word} in {}", names.join(", "));
    if count > MOST_SHOWN {
        let _ = write!(line, " (the first {MOST_SHOWN} are shown)");
    }
    line.push_str("; nothing was solved\n");
    line
}

/// Marks of one file that are farther apart, in bytes, are shown in excerpts of their own.
const FARTHEST: usize = 20_000;

/// A part of a file's text that holds some marks, and where it starts.
struct Excerpt {
    text: String,
    first_line: usize,
    marks: Vec<(Range<usize>, String, AnnotationKind)>,
    file: usize,
}

fn one(fault: &Fault, sources: &Sources, renderer: &Renderer) -> String {
    let excerpts = excerpts(&fault.marks, sources);
    let title = Level::ERROR
        .primary_title(fault.title.as_str())
        .id(fault.code.slug());
    let mut group = if excerpts.is_empty() {
        Group::with_title(title)
    } else {
        let snippets = excerpts.iter().map(|excerpt| {
            let annotations = excerpt.marks.iter().map(|(span, label, kind)| {
                let annotation = kind.span(span.clone());
                if label.is_empty() {
                    annotation
                } else {
                    annotation.label(label.as_str())
                }
            });
            Snippet::source(excerpt.text.as_str())
                .line_start(excerpt.first_line)
                .path(sources.name(excerpt.file))
                .annotations(annotations)
        });
        title.elements(snippets)
    };
    if let Some(help) = &fault.help {
        group = group.element(Level::HELP.message(help.as_str()));
    }
    renderer.render(&[group])
}

/// One excerpt a file, in the order of the marks: from the first marked line to the last. Marks far
/// apart have their own.
fn excerpts(marks: &[Mark], sources: &Sources) -> Vec<Excerpt> {
    let mut groups: Vec<Vec<(usize, &Mark)>> = Vec::new();
    for numbered in marks.iter().enumerate() {
        let place = &numbered.1.place;
        let near = |(_, other): &(usize, &Mark)| {
            other.place.file == place.file
                && other.place.span.start.abs_diff(place.span.start) < FARTHEST
        };
        match groups.iter_mut().find(|group| group.iter().all(near)) {
            Some(group) => group.push(numbered),
            None => groups.push(vec![numbered]),
        }
    }
    groups
        .iter()
        .filter_map(|group| {
            let file = group.first()?.1.place.file;
            Some(excerpt(file, group, sources.text(file)))
        })
        .collect()
}

fn excerpt(file: usize, marks: &[(usize, &Mark)], text: &str) -> Excerpt {
    let spans: Vec<Range<usize>> = marks
        .iter()
        .map(|(_, mark)| shown(text, &mark.place.span))
        .collect();
    let low = spans.iter().map(|s| s.start).min().unwrap_or(0);
    let high = spans.iter().map(|s| s.end).max().unwrap_or(0);
    let mut start = text[..low].rfind('\n').map_or(0, |i| i + 1);
    let mut end = text[high..].find('\n').map_or(text.len(), |i| high + i);
    let first_line = text[..start].matches('\n').count() + 1;
    // A line of a megabyte is cut, at the cost of its column number.
    if low - start > WIDEST_LINE {
        start = edge(text, low - WIDEST_LINE);
    }
    if end - high > WIDEST_LINE {
        end = edge(text, high + WIDEST_LINE);
    }
    let marks = marks
        .iter()
        .zip(spans)
        .map(|((index, mark), span)| {
            let kind = if *index == 0 {
                AnnotationKind::Primary
            } else {
                AnnotationKind::Context
            };
            (
                span.start - start..span.end - start,
                mark.label.clone(),
                kind,
            )
        })
        .collect();
    Excerpt {
        text: text[start..end].to_owned(),
        first_line,
        marks,
        file,
    }
}

/// A span as it is underlined: within the text, at most one line long, without trailing space.
fn shown(text: &str, span: &Range<usize>) -> Range<usize> {
    let start = edge(text, span.start);
    let end = edge(text, span.end).max(start);
    let line = text[start..end].lines().next().unwrap_or("");
    let line = line.trim_end();
    let kept = edge(text, start + line.len().min(WIDEST_LINE));
    start..kept
}

/// The nearest character boundary at or before a byte.
fn edge(text: &str, mut at: usize) -> usize {
    at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}
