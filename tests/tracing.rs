//! Tracing against what was drawn: real pictograms and drawn lines are made into pixels, and traced back.

pub mod figures;
mod icons;
mod lines;
mod outlines;
pub mod pictures;
mod seams;
