//! Tracing against what was drawn: real pictograms and drawn lines are made into pixels, and traced back.

mod figures;
mod icons;
mod lines;
mod outlines;
mod pictures;
mod seams;
