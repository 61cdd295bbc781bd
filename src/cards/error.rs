//! Why a card cannot be made.

use std::fmt;

/// What is wrong and how it is mended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardError {
    /// What is wrong.
    pub message: String,
    /// What can be done.
    pub repair: String,
}

impl CardError {
    pub(super) fn new(message: impl Into<String>, repair: impl Into<String>) -> Self {
        Self { message: message.into(), repair: repair.into() }
    }
}

impl fmt::Display for CardError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}\n  repair: {}", self.message, self.repair)
    }
}

impl std::error::Error for CardError {}
