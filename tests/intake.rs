//! Tests of `intake` from outside.

mod inspect;
mod register;
mod svg;
mod svg_corpora;
mod svg_fidelity;
mod svg_findings;
mod svg_text;
