//! PDF plumbing that every printed output shares: shaped text, vector drawing, bytes.
//!
//! In: [`Fragment`]s, which hold text, paths and pictures in millimetres of paper, x right, y **down**, and tell by [`Role`]s
//! what their parts are. Out: [`write`]s them as one tagged PDF file, which can be read aloud.
//!
//! Invariant: vectors stay vectors and text stays text; the same fragments give the same bytes in every
//! process. Nothing here knows of a plan.

mod clusters;
mod document;
mod drawing;
mod face;
mod file;
mod fragment;
mod ink;
mod line;
mod objects;
mod painter;
mod picture;
mod scripts;
mod structure;
mod subset;
mod tree;

pub(crate) use document::{Page, PdfError, Properties, write};
pub(crate) use drawing::{Drawing, Sketch};
pub(crate) use face::Weight;
pub(crate) use fragment::{Align, Cell, Fragment, Pen, Style, Word};
pub(crate) use ink::Ink;
pub(crate) use line::Line;
pub(crate) use picture::Picture;
pub(crate) use structure::{Artifact, Numbering, Role};
