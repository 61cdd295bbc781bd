//! Tests of `outputs` from outside.

mod preview;
mod proof;
mod report;
mod sample;
mod svg;
