//! A finding about what the user wrote: code, sentence, places, the edit to make. Data, not text;
//! `report::faults` renders it.

use std::fmt;
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
    /// A viscosity that does not fall as the temperature rises.
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
    /// Two shelves that ask for different mixing rules, undecided by the problem.
    MixedRules,
    /// An identifier that is not lower-case letters, digits and hyphens.
    BadName,
    /// Two keys that exclude each other.
    KeysTogether,
}

impl Code {
    /// Every code, in the order of `explain`'s list.
    pub const ALL: [Code; 21] = [
        Code::UnreadableFile,
        Code::Syntax,
        Code::DecimalComma,
        Code::UnknownKey,
        Code::MissingKey,
        Code::WrongType,
        Code::OutOfRange,
        Code::BadName,
        Code::DuplicateName,
        Code::KeysTogether,
        Code::UnknownComponent,
        Code::UnknownProperty,
        Code::UnknownWord,
        Code::EmptyBand,
        Code::SwappedViscosities,
        Code::WidenedBand,
        Code::MissingValue,
        Code::MissingBatch,
        Code::RecipeSum,
        Code::MixedCurrencies,
        Code::MixedRules,
    ];

    /// The code as printed, kebab-case.
    #[must_use]
    pub fn slug(self) -> &'static str {
        match self {
            Code::UnreadableFile => "unreadable-file",
            Code::Syntax => "syntax",
            Code::DecimalComma => "decimal-comma",
            Code::UnknownKey => "unknown-key",
            Code::MissingKey => "missing-key",
            Code::WrongType => "wrong-type",
            Code::OutOfRange => "out-of-range",
            Code::BadName => "bad-name",
            Code::DuplicateName => "duplicate-name",
            Code::KeysTogether => "keys-together",
            Code::UnknownComponent => "unknown-component",
            Code::UnknownProperty => "unknown-property",
            Code::UnknownWord => "unknown-word",
            Code::EmptyBand => "empty-band",
            Code::SwappedViscosities => "swapped-viscosities",
            Code::WidenedBand => "widened-band",
            Code::MissingValue => "missing-value",
            Code::MissingBatch => "missing-batch",
            Code::RecipeSum => "recipe-sum",
            Code::MixedCurrencies => "mixed-currencies",
            Code::MixedRules => "mixed-rules",
        }
    }

    /// The code that is printed so.
    #[must_use]
    pub fn of_slug(slug: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|code| code.slug() == slug)
    }

    /// What the code means, in one or two sentences.
    #[must_use]
    pub fn sentence(self) -> &'static str {
        match self {
            Code::UnreadableFile => {
                "The file is missing, is a folder, is too large, or is not UTF-8 text. Nothing in it was read."
            }
            Code::Syntax => {
                "The text does not follow the rules of TOML, so its meaning is not certain from here on."
            }
            Code::DecimalComma => {
                "TOML writes decimals with a point; a comma separates two values. Write 3.10 for three and a tenth."
            }
            Code::UnknownKey => {
                "This table has no such key. A key is never ignored, because a misspelt limit would then not be obeyed."
            }
            Code::MissingKey => "Something that this table must say is not said.",
            Code::WrongType => {
                "The value is of the wrong kind: text where a number belongs, a number where a table belongs, and so on."
            }
            Code::OutOfRange => {
                "The number is not finite, or lies outside what its quantity can be. Most often the unit is another one."
            }
            Code::BadName => {
                "Components, properties and sums are named by lower-case letters, digits and hyphens, so that a name can be a key anywhere."
            }
            Code::DuplicateName => {
                "Two things carry one name, so that the name does not say which is meant."
            }
            Code::KeysTogether => "Two keys are given of which only one can hold.",
            Code::UnknownComponent => "No shelf of this problem holds a component of this name.",
            Code::UnknownProperty => {
                "The tool does not know this property and the problem does not declare it under [property]."
            }
            Code::UnknownWord => "Only certain words may stand here, and this is none of them.",
            Code::EmptyBand => {
                "A minimum lies above its maximum, so that no value fits between them."
            }
            Code::SwappedViscosities => {
                "An oil thins as it warms: the viscosity at 40 °C must be above the one at 100 °C, and a cold viscosity above the next warmer one. Most often the two are swapped."
            }
            Code::WidenedBand => {
                "The problem asks for a treat rate outside the supplier's band. Beyond it the supplier's figures are no longer vouched for, so it must be asked for with `override = true`."
            }
            Code::MissingValue => {
                "A limit or the goal needs a measured value that a component does not state. Nothing is taken as zero silently."
            }
            Code::MissingBatch => {
                "A stock limits how much of a component a batch can hold, which needs the size of the batch."
            }
            Code::RecipeSum => "The treat rates of a recipe must add up to 100 %.",
            Code::MixedCurrencies => {
                "Prices in different currencies cannot be added; the tool does not know exchange rates."
            }
            Code::MixedRules => {
                "Shelves ask for different mixing rules. One problem is predicted by one rule, so the problem must choose."
            }
        }
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.slug())
    }
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

    /// The texts of all files, in order.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        self.files.iter().map(|(_, text)| text.as_str())
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
