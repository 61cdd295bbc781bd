//! A value that was written wrong.

use super::node::ValueData;

/// A value that was written wrong, with what it is taken for so that the rest can still be checked.
pub(super) struct Mend {
    /// Its first byte.
    pub start: usize,
    /// The end of the place that is shown for it.
    pub shown_end: usize,
    /// What it is taken for.
    pub data: ValueData,
}
