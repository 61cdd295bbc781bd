//! A rule: the stable name under which one kind of finding is known.

use std::fmt;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Nothing can be written, or what would be written is wrong or unsafe.
    Error,
    /// Output is written, but probably not what is wanted.
    Warning,
    /// Worth knowing.
    Advice,
}

impl Severity {
    /// The word that is printed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Advice => "advice",
        }
    }
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// One rule. It is declared once, as a static, beside the code that raises it.
#[derive(Debug)]
pub struct Finding {
    /// Stable name, `area/what-is-wrong`; never used again for something else.
    pub rule: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// One line: what the rule is about.
    pub title: &'static str,
    /// A few sentences for `explain`: why it matters at the machine and what to do.
    pub explanation: &'static str,
    /// A piece of recipe that raises it.
    pub wrong: &'static str,
    /// The same, mended.
    pub right: &'static str,
}
