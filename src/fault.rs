//! A finding about what the user wrote: code, sentence, places, the edit to make. Data, not text;
//! `report::faults` renders it.

use std::ops::Range;

/// A stable name for each kind of finding, as printed and as `explain` takes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Code {
    /// The file could not be read from disk, is too large, or is not UTF-8 text.
    UnreadableFile,
    /// The text is not TOML.
    Syntax,
    /// A number is written with a decimal comma.
    DecimalComma,
    /// A key that this table does not know.
    UnknownKey,
    /// A required key is absent.
    MissingKey,
    /// A value of the wrong type: text where a number belongs, and so on.
    WrongType,
    /// A number that is not finite, or outside the range its meaning allows.
    OutOfRange,
    /// Two components, properties or shares carry one name.
    DuplicateName,
    /// A component that no shelf of the problem holds.
    UnknownComponent,
    /// A property that nothing declares.
    UnknownProperty,
    /// A grade, class, mixing rule or other fixed word that is not known.
    UnknownWord,
    /// A minimum above its maximum.
    EmptyBand,
    /// A viscosity at 40 °C that is not above the one at 100 °C.
    SwappedViscosities,
    /// A treat band of the problem wider than the supplier's, without `override`.
    WidenedBand,
    /// A component lacks a measured value that the problem's limits or goal need.
    MissingValue,
    /// A component has a stock and the problem gives no batch.
    MissingBatch,
    /// A recipe whose treat rates do not add up to 100 %.
    RecipeSum,
    /// Two shelves that state different currencies.
    MixedCurrencies,
}

/// A span of one file of [`Sources`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Index into [`Sources`].
    pub file: usize,
    /// Byte range in that file's text.
    pub span: Range<usize>,
}

/// A place with what was read there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// Where.
    pub place: Place,
    /// What was read, or what the other party says; may be empty.
    pub label: String,
}

/// One finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Its kind.
    pub code: Code,
    /// What is wrong, in the formulator's words: a lower-case phrase without a full stop.
    pub title: String,
    /// The place of the fault first, then the other parties.
    pub marks: Vec<Mark>,
    /// The edit to make, ready to paste.
    pub help: Option<String>,
}

impl Fault {
    /// A finding at one place.
    #[must_use]
    pub fn at(
        code: Code,
        title: impl Into<String>,
        place: Place,
        label: impl Into<String>,
    ) -> Self {
        Fault {
            code,
            title: title.into(),
            marks: vec![Mark {
                place,
                label: label.into(),
            }],
            help: None,
        }
    }

    /// The same with another party's place.
    #[must_use]
    pub fn and(mut self, place: Place, label: impl Into<String>) -> Self {
        self.marks.push(Mark {
            place,
            label: label.into(),
        });
        self
    }

    /// The same with the edit to make.
    #[must_use]
    pub fn help(mut self, edit: impl Into<String>) -> Self {
        self.help = Some(edit.into());
        self
    }
}

/// The texts that faults point into.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    files: Vec<(String, String)>,
}

impl Sources {
    /// Adds a file under the name it is printed with; returns its index.
    pub fn add(&mut self, name: impl Into<String>, text: impl Into<String>) -> usize {
        self.files.push((name.into(), text.into()));
        self.files.len() - 1
    }

    /// The printed name of a file.
    #[must_use]
    pub fn name(&self, file: usize) -> &str {
        self.files.get(file).map_or("", |(name, _)| name)
    }

    /// The text of a file.
    #[must_use]
    pub fn text(&self, file: usize) -> &str {
        self.files.get(file).map_or("", |(_, text)| text)
    }
}

/// All that is wrong with the files of one question, sorted by place, and the texts it points into.
#[derive(Debug, Clone)]
pub struct Faults {
    /// The texts.
    pub sources: Sources,
    /// The findings: never empty.
    pub faults: Vec<Fault>,
}
