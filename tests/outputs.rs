//! Tests of `outputs` from outside.

mod preview;
mod proof;
mod report;
pub mod sample;
mod svg;
