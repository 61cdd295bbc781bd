//! The description of one node.

use crate::units::Dimension;

/// Everything the language says of one node. It stands as a static beside the type it is decoded into.
#[derive(Debug)]
pub struct NodeSpec {
    /// The word.
    pub name: &'static str,
    /// What it is, in one or two sentences.
    pub about: &'static str,
    /// Its arguments, in order; only the last may be repeated.
    pub arguments: &'static [Slot],
    /// Its properties.
    pub properties: &'static [Slot],
    /// The nodes that may stand inside it.
    pub children: &'static [(&'static NodeSpec, Often)],
    /// A piece of recipe that shows it; a test decodes it.
    pub example: &'static str,
}

/// How often a node may stand in its parent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Often {
    /// Exactly once.
    Once,
    /// Once or not at all.
    AtMostOnce,
    /// As often as wanted.
    Any,
}

impl Often {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Once => "exactly one",
            Self::AtMostOnce => "at most one",
            Self::Any => "any number",
        }
    }
}

/// One argument or property.
#[derive(Debug)]
pub struct Slot {
    /// Its name; for arguments it is only said, never written.
    pub name: &'static str,
    /// What may be written.
    pub kind: Kind,
    /// Whether it has to be.
    pub need: Need,
    /// What it means.
    pub about: &'static str,
    /// Whether a length is known before any figure is: it cannot be calculated from one.
    pub fixed: bool,
    /// The least and the greatest quantity that may be written, as it would be; only for quantities that are known when
    /// they are read.
    pub range: Option<(&'static str, &'static str)>,
}

impl Slot {
    /// The slot for a length that is known before any figure is.
    #[must_use]
    pub const fn fixed(self) -> Self {
        Self { fixed: true, ..self }
    }

    /// The slot for a quantity within a range, both ends included, that is known before any figure is.
    #[must_use]
    pub const fn within(self, least: &'static str, most: &'static str) -> Self {
        Self { fixed: true, range: Some((least, most)), ..self }
    }

    /// What is expected, with its article and its range.
    pub fn expects(&self) -> String {
        let range = self.range.map_or_else(String::new, |(least, most)| format!(" from {least} to {most}"));
        self.kind.expects() + &range
    }
}

/// Whether a value has to be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// It has to be written.
    Required,
    /// It may be left out.
    Optional,
    /// It may be left out and then holds this value, as it would be written.
    Default(&'static str),
    /// One or more values (last argument only).
    Repeated,
}

/// One word of a choice.
#[derive(Debug)]
pub struct Choice {
    /// The word.
    pub word: &'static str,
    /// What it means.
    pub about: &'static str,
}

/// What a value may be.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// Any text; `{input}` is replaced.
    Text,
    /// Text that is taken as it stands, braces included.
    Verbatim,
    /// A path, relative to the file it stands in; `{input}` is replaced.
    Path,
    /// The name that a node gives itself: a letter, then letters, digits, `-` and `_`.
    NewName,
    /// The name of something else, said in one word (`figure`, `machine`).
    NameOf(&'static str),
    /// A quantity of one dimension, above zero unless `zero` allows it.
    Quantity {
        /// What it measures.
        dimension: Dimension,
        /// Whether zero may be written.
        zero: bool,
    },
    /// A quantity that may be negative.
    Signed(Dimension),
    /// The name of something, or a length.
    NameOrLength(&'static str),
    /// A whole number in a range, both ends included.
    Count(u32, u32),
    /// `#true` or `#false`.
    Flag,
    /// One of some words.
    Word(&'static [Choice]),
    /// A colour as `#rrggbb`.
    Colour,
    /// Any value; what it has to be depends on another one.
    Any,
}

impl Kind {
    /// What is expected, with its article: the one place where this sentence is made.
    pub fn expects(self) -> String {
        match self {
            Self::Text | Self::Verbatim => "a text".to_owned(),
            Self::Path => "a path".to_owned(),
            Self::NewName => "a name".to_owned(),
            Self::NameOf(what) => format!("the name of a {what}"),
            Self::Quantity { dimension, .. } | Self::Signed(dimension) => dimension.name().to_owned(),
            Self::NameOrLength(what) => format!("the name of a {what}, or a length"),
            Self::Count(low, high) if high == u32::MAX => format!("a whole number, {low} or more"),
            Self::Count(low, high) => format!("a whole number from {low} to {high}"),
            Self::Flag => "`#true` or `#false`".to_owned(),
            Self::Word(words) => crate::diagnostics::quoted_list(words.iter().map(|w| w.word), "or"),
            Self::Colour => "a colour such as `#0072b2`".to_owned(),
            Self::Any => "a value".to_owned(),
        }
    }
}

/// A required slot.
pub const fn required(name: &'static str, kind: Kind, about: &'static str) -> Slot {
    Slot { name, kind, need: Need::Required, about, fixed: false, range: None }
}

/// A slot that may be left out.
pub const fn optional(name: &'static str, kind: Kind, about: &'static str) -> Slot {
    Slot { name, kind, need: Need::Optional, about, fixed: false, range: None }
}

/// A slot that may be left out and then holds `value`.
pub const fn defaulted(name: &'static str, kind: Kind, value: &'static str, about: &'static str) -> Slot {
    Slot { name, kind, need: Need::Default(value), about, fixed: false, range: None }
}

/// A last argument that may be repeated.
pub const fn repeated(name: &'static str, kind: Kind, about: &'static str) -> Slot {
    Slot { name, kind, need: Need::Repeated, about, fixed: false, range: None }
}

/// A length above zero.
pub const LENGTH: Kind = Kind::Quantity { dimension: Dimension::Length, zero: false };
/// A length, zero allowed.
pub const DISTANCE: Kind = Kind::Quantity { dimension: Dimension::Length, zero: true };
/// A percentage above zero.
pub const PERCENT: Kind = Kind::Quantity { dimension: Dimension::Percent, zero: false };
/// A speed above zero.
pub const SPEED: Kind = Kind::Quantity { dimension: Dimension::Speed, zero: false };
/// An angle, zero allowed.
pub const ANGLE: Kind = Kind::Quantity { dimension: Dimension::Angle, zero: true };
