//! Integration tests, one binary. A file per floor or promise.

mod diagnostics;
mod driver;
mod geometry;
mod intake;
mod job_sheet;
mod lettering;
mod outputs;
mod puzzle;
mod rebuild;
mod syntax;
