//! What a written value becomes.

use super::expression::Expression;
use crate::source::{SourceId, Span, Spanned};
use crate::syntax::Value;

/// A text and where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextValue {
    /// The text, inputs replaced.
    pub text: String,
    /// Where it is written.
    pub span: Span,
    /// The text it is written in; paths are relative to that one.
    pub from: SourceId,
}

/// A value that fits its kind.
#[derive(Clone, Debug)]
pub(super) enum Decoded {
    Text(TextValue),
    Quantity(Spanned<Expression>),
    Count(u32),
    Flag(bool),
    Word(&'static str),
    Raw(Value),
}
