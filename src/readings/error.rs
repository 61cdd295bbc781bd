//! Why readings give no number.

use std::fmt;

/// What is wrong, where it was read, and how it is mended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadingError {
    /// File, row and column, where the readings come from a table.
    pub place: Option<String>,
    /// What is wrong.
    pub message: String,
    /// What can be done.
    pub repair: String,
}

impl ReadingError {
    pub(super) fn new(message: impl Into<String>, repair: impl Into<String>) -> Self {
        Self { place: None, message: message.into(), repair: repair.into() }
    }

    pub(super) fn at(self, place: impl Into<String>) -> Self {
        Self { place: Some(place.into()), ..self }
    }
}

impl fmt::Display for ReadingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = &self.place {
            write!(f, "{place}: ")?;
        }
        write!(f, "{}\n  repair: {}", self.message, self.repair)
    }
}

impl std::error::Error for ReadingError {}
