//! Tests of `outputs` from outside.

mod paper;
mod preview;
mod proof;
mod report;
pub mod sample;
mod svg;
