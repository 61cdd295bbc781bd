//! Tests of `outputs` from outside.

mod report;
mod sample;
mod svg;
