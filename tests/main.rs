//! Integration tests, one binary. A file per floor or promise.

mod diagnostics;
mod driver;
mod geometry;
mod intake;
mod outputs;
mod puzzle;
mod syntax;
