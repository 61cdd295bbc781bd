//! One finding at one place.

use super::finding::{Finding, Severity};
use crate::source::Span;
use kurbo::Point;

/// A place in a text and what is said of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// The place.
    pub span: Span,
    /// What is said of it; lower case, no full stop.
    pub text: String,
}

/// A place in an artwork file.
#[derive(Clone, Debug, PartialEq)]
pub struct ArtworkPlace {
    /// The file, as the recipe names it.
    pub file: String,
    /// The figure that is made of the file, where it is known which.
    pub figure: Option<String>,
    /// The element: `#id` where it has one, else its tag and line.
    pub element: Option<String>,
    /// Line and column in the file, from 1.
    pub position: Option<(usize, usize)>,
    /// Where it lies on the sheet: millimetres from the sheet's left and top edge.
    pub at: Option<Point>,
}

/// How to mend it.
#[derive(Clone, Debug, PartialEq)]
pub struct Repair {
    /// What to do, in words.
    pub text: String,
    /// The exact replacement, where it is sure.
    pub edit: Option<(Span, String)>,
}

/// One finding at one place.
#[derive(Clone, Debug)]
pub struct Diagnostic {
    /// The rule.
    pub finding: &'static Finding,
    /// How much it matters here; usually the rule's own severity.
    pub severity: Severity,
    /// What is wrong: lower case, no full stop, `backticks` round recipe words.
    pub message: String,
    /// The place it is about; `None` for findings about the whole invocation.
    pub primary: Option<Label>,
    /// Other places that have to do with it.
    pub others: Vec<Label>,
    /// Places in artwork.
    pub artwork: Vec<ArtworkPlace>,
    /// What would happen at the machine or to the output.
    pub consequence: Option<String>,
    /// How to mend it.
    pub repair: Option<Repair>,
    /// The reason of the `allow` that accepts it.
    pub accepted: Option<String>,
}

impl Diagnostic {
    /// A finding of `rule` that says `message`.
    pub fn new(rule: &'static Finding, message: impl Into<String>) -> Self {
        Self {
            finding: rule,
            severity: rule.severity,
            message: message.into(),
            primary: None,
            others: Vec::new(),
            artwork: Vec::new(),
            consequence: None,
            repair: None,
            accepted: None,
        }
    }

    /// Points at the place it is about.
    #[must_use]
    pub fn at(mut self, span: Span, text: impl Into<String>) -> Self {
        self.primary = Some(Label { span, text: text.into() });
        self
    }

    /// Points at another place that has to do with it.
    #[must_use]
    pub fn also(mut self, span: Span, text: impl Into<String>) -> Self {
        self.others.push(Label { span, text: text.into() });
        self
    }

    /// Names a place in an artwork.
    #[must_use]
    pub fn in_artwork(mut self, place: ArtworkPlace) -> Self {
        self.artwork.push(place);
        self
    }

    /// Says what follows from it at the machine.
    #[must_use]
    pub fn because(mut self, consequence: impl Into<String>) -> Self {
        self.consequence = Some(consequence.into());
        self
    }

    /// Says how to mend it.
    #[must_use]
    pub fn repair(mut self, text: impl Into<String>) -> Self {
        self.repair = Some(Repair { text: text.into(), edit: None });
        self
    }

    /// Says how to mend it, with the exact replacement of `span`.
    #[must_use]
    pub fn repair_with(mut self, text: impl Into<String>, span: Span, replacement: impl Into<String>) -> Self {
        self.repair = Some(Repair { text: text.into(), edit: Some((span, replacement.into())) });
        self
    }
}
