//! Tests of `mending`: faults planted in drawings are found and put right, and nothing else is; against GEOS.

mod drawings;
mod gaps;
mod lines;
mod ink;
mod real;
mod time;
mod told;
