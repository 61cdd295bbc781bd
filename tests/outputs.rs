//! Tests of `outputs` from outside.

mod preview;
mod report;
mod sample;
mod svg;
