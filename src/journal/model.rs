//! What a journal holds.

use crate::shop::{OperationKind, SettingValues};
use jiff::civil::Date;
use std::fmt;

/// A whole journal.
#[derive(Clone, Debug, Default)]
pub struct Journal {
    /// What was burned, in the order in which it was written down.
    pub entries: Vec<Entry>,
}

/// One time that a job was burned.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The day, as `2027-08-10`.
    pub day: String,
    /// The first digits of the job's version: what went in, hashed.
    pub version: String,
    /// The revision of the project then, where it is kept under version control.
    pub revision: Option<String>,
    /// The machine.
    pub machine: String,
    /// The stock.
    pub stock: String,
    /// The runs that were burned, and how they went.
    pub runs: Vec<RunThen>,
    /// Remarks.
    pub notes: Vec<String>,
    /// The inputs and their values.
    pub inputs: Vec<InputThen>,
    /// The files that were read.
    pub files: Vec<FileThen>,
    /// The operations and their numbers.
    pub steps: Vec<Step>,
}

/// The years in which a day may lie: another one is a slip.
const YEARS: std::ops::RangeInclusive<i16> = 2000..=2199;

/// A day that is written as `2027-08-10`; `None` where the calendar has none such, or only in a far century.
pub fn day(text: &str) -> Option<Date> {
    text.parse().ok().filter(|day: &Date| text.len() == "2027-08-10".len() && YEARS.contains(&day.year()))
}

/// A run that was burned.
#[derive(Clone, Debug)]
pub struct RunThen {
    /// Its name.
    pub name: String,
    /// How it went.
    pub went: HowItWent,
    /// Where it did not, in the maker's words.
    pub place: Option<String>,
}

/// How a run went.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HowItWent {
    /// As it was meant to.
    Well,
    /// A cut did not go through everywhere.
    NotThrough,
    /// It burned darker than was wanted.
    TooDark,
    /// It burned lighter than was wanted.
    TooLight,
    /// It does not lie where it should.
    Shifted,
    /// It was ended before it was done.
    Stopped,
    /// The piece cannot be used.
    Spoiled,
}

impl HowItWent {
    /// All of them, the good one first.
    pub const ALL: [Self; 7] =
        [Self::Well, Self::NotThrough, Self::TooDark, Self::TooLight, Self::Shifted, Self::Stopped, Self::Spoiled];

    /// The word in a journal.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Well => "well",
            Self::NotThrough => "not-through",
            Self::TooDark => "too-dark",
            Self::TooLight => "too-light",
            Self::Shifted => "shifted",
            Self::Stopped => "stopped",
            Self::Spoiled => "spoiled",
        }
    }

    /// What the word means.
    pub const fn about(self) -> &'static str {
        match self {
            Self::Well => "as it was meant to",
            Self::NotThrough => "a cut did not go through everywhere",
            Self::TooDark => "darker than was wanted",
            Self::TooLight => "lighter than was wanted",
            Self::Shifted => "it does not lie where it should",
            Self::Stopped => "it was ended before it was done",
            Self::Spoiled => "the piece cannot be used",
        }
    }

    /// The outcome that a word names.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|went| went.word() == word)
    }
}

impl fmt::Display for HowItWent {
    /// What is said of a run: `it did not go through everywhere`, without the `it`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Well => "went well",
            Self::NotThrough => "did not go through everywhere",
            Self::TooDark => "burned too dark",
            Self::TooLight => "burned too light",
            Self::Shifted => "did not lie where it should",
            Self::Stopped => "was stopped before it was done",
            Self::Spoiled => "spoiled the piece",
        })
    }
}

/// An input and its value then.
#[derive(Clone, Debug)]
pub struct InputThen {
    /// Its name.
    pub name: String,
    /// Its value, as written.
    pub value: String,
}

/// A file that was read then.
#[derive(Clone, Debug)]
pub struct FileThen {
    /// Its path from the recipe's folder.
    pub path: String,
    /// The first digits of its SHA-256.
    pub hash: String,
}

/// An operation and the numbers it was burned with.
#[derive(Clone, Debug)]
pub struct Step {
    /// The run.
    pub run: String,
    /// What it did to the stock.
    pub operation: OperationKind,
    /// Its name, made from its figures.
    pub name: String,
    /// Its numbers.
    pub values: SettingValues,
}
