//! How a language of nodes is described, checked and decoded.
//!
//! In: a [`Node`](crate::syntax::Node) and the [`NodeSpec`] that describes it. Out: [`Fields`], from which
//! a typed part of the recipe takes its values by name, and findings for everything that does not fit.
//! The same descriptions make the reference and the files in `schema/`.
//!
//! Invariant: this floor knows no word of the recipe language; those stand in `recipe` and `shop`, each
//! beside the type it is decoded into.

mod spec;
mod scope;
mod expression;
mod template;
mod fields;
mod rules;
mod decoded;
mod wording;
mod quantities;
mod values;
mod reference;

pub use decoded::TextValue;
pub use expression::{Expression, Measures, Side};
pub use fields::{Fields, Reader};
pub use reference::{CONDITIONS, all_nodes, language_json, node_page, reference_page};
pub use scope::{InputValue, Scope, ScopeEntry};
pub use spec::{
    ANGLE, Choice, DISTANCE, Kind, LENGTH, Need, NodeSpec, Often, PERCENT, SPEED, Slot, defaulted, optional,
    repeated, required,
};
pub use template::{Condition, PatternError, expand_text, format_date};

use crate::diagnostics::Finding;

/// The rules of this floor.
pub static RULES: &[&Finding] = &[
    &fields::UNKNOWN_NODE,
    &fields::UNKNOWN_PROPERTY,
    &fields::DOUBLED_PROPERTY,
    &fields::SURPLUS_ARGUMENT,
    &fields::MISSING_VALUE,
    &fields::MISSING_NODE,
    &fields::DOUBLED_NODE,
    &fields::NO_CHILDREN,
    &rules::WRONG_KIND,
    &rules::NO_UNIT,
    &rules::WRONG_DIMENSION,
    &rules::BAD_QUANTITY,
    &rules::OUT_OF_RANGE,
    &rules::UNKNOWN_WORD,
    &rules::BAD_NAME,
    &rules::UNKNOWN_INPUT,
    &rules::BAD_CALCULATION,
    &rules::BAD_CONDITION,
];
