//! Tests of `intake` from outside.

mod svg;
mod svg_corpora;
mod svg_findings;
