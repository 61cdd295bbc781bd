//! KDL text to a tree of nodes with spans.
//!
//! In: a text. Out: a [`Document`], and a finding for everything in the text that is not KDL or that KDL reads
//! differently from what its writer meant.
//!
//! Invariant: every span lies inside the text, on character boundaries, and slices to what it names.

mod parse;
mod node;
mod guards;
mod tokens;
mod reader;
mod names;
mod values;
mod quotes;
mod words;
mod strings;
mod blocks;
mod marks;
mod convert;
mod edit;

pub use edit::Edits;
pub use guards::{MAX_DEPTH, MAX_TEXT_BYTES};
pub use node::{Document, Node, Property, Value, ValueData};
pub use parse::parse;

use crate::diagnostics::Finding;

/// Every rule of this floor.
pub static RULES: &[&Finding] = &[
    &guards::TEXT_TOO_LARGE,
    &guards::NOT_A_TEXT,
    &guards::NESTED_TOO_DEEP,
    &parse::NOT_UNDERSTOOD,
    &names::NAME,
    &values::ANNOTATION,
    &values::MISSING_BLANK,
    &quotes::RAW_STRING,
    &quotes::REFERENCE_WITHOUT_QUOTES,
    &words::QUANTITY_WITHOUT_QUOTES,
    &words::NEEDS_QUOTES,
    &words::KEYWORD_WITHOUT_HASH,
    &words::UNKNOWN_KEYWORD,
    &words::NUMBER_FORM,
    &words::LIST,
    &words::COMMA,
    &words::COLON,
    &words::WRONG_QUOTES,
    &words::MISSING_VALUE,
    &strings::UNCLOSED_STRING,
    &strings::SEVERAL_LINES,
    &strings::BAD_ESCAPE,
    &strings::BACKSLASH_PATH,
    &strings::INVISIBLE_CHARACTER,
    &blocks::UNCLOSED_BLOCK,
    &blocks::STRAY_BRACE,
    &blocks::BLOCK_WITHOUT_NAME,
    &blocks::AFTER_BLOCK,
    &marks::HASH_COMMENT,
    &marks::UNCLOSED_COMMENT,
    &marks::KDL_VERSION,
    &marks::STRAY_MARK,
];
