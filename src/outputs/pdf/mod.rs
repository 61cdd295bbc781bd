//! PDF plumbing that every printed output shares: shaped text, vector drawing, bytes.
//!
//! In: [`Fragment`]s, which hold text, paths and pictures in millimetres of paper, x right, y **down**.
//! Out: [`write`]s them as one PDF file.
//!
//! Invariant: vectors stay vectors and text stays text; the same fragments give the same bytes in every
//! process. Nothing here knows of a plan.

mod document;
mod drawing;
mod face;
mod fragment;
mod ink;
mod picture;
mod scripts;

pub(crate) use document::{Page, PdfError, Properties, write};
pub(crate) use drawing::{Drawing, Sketch};
pub(crate) use face::Weight;
pub(crate) use fragment::{Align, Cell, Fragment, Pen, Style, Word};
pub(crate) use ink::Ink;
pub(crate) use picture::Picture;
