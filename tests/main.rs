//! Integration tests, one binary. A file per floor or promise.

mod demo;
mod cases;
mod diagnostics;
mod driver;
mod floors;
mod geometry;
mod intake;
mod job_sheet;
mod kerf;
mod lettering;
mod mending;
mod lettering_faces;
mod lettering_line;
mod lettering_stencil;
mod lettering_tables;
mod outputs;
mod picture;
mod puzzle;
mod rebuild;
mod recipes;
mod rules;
mod schema;
mod seams;
mod syntax;
mod toning;
mod tracing;
