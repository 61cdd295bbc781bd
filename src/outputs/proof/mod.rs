//! `proof.pdf`: the face of the job at full size on paper, to be laid on the stock before anything is burned.
//!
//! In: a [`Plan`]. Out: the bytes of a PDF: one page, or as many as it takes, that overlap and are trimmed
//! and joined by their crop marks. Every page carries a bar of 100 mm and one of 4 in, because the only way
//! to know that a printer kept the size is to measure what it printed.
//!
//! Invariant: one millimetre of the plan is one millimetre of paper, on every page.

mod page;
mod picture;
mod tiling;

use super::pdf::{self, Page, Properties};
use crate::cache::Cache;
use crate::plan::Plan;
use kurbo::{Rect, Size};
use picture::Picture;
use std::fmt;
use tiling::Tiling;

/// Nobody glues more pages than this; a larger job gets a page that says so.
const MOST_PAGES: usize = 120;

/// Paper kept around what is drawn, in mm, so that no line falls on a trimmed edge.
const AROUND: f64 = 3.0;

/// Why a proof cannot be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProofError(String);

impl fmt::Display for ProofError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the proof cannot be written: {}", self.0)
    }
}

impl std::error::Error for ProofError {}

/// Writes the proof on the plan's paper.
pub fn proof(plan: &Plan) -> Result<Vec<u8>, ProofError> {
    proof_with(plan, &Cache::default())
}

/// The same, with what an earlier build has drawn.
pub(crate) fn proof_with(plan: &Plan, cache: &Cache) -> Result<Vec<u8>, ProofError> {
    let picture = Picture::of(plan, cache);
    let paper = Size::new(plan.paper.width().get(), plan.paper.height().get());
    let tiling = Tiling::of(shown(plan, &picture), paper);
    let properties = Properties {
        title: format!("{} – full-size proof", plan.title),
        subject: plan.about.clone(),
        language: "en-GB",
    };
    pdf::write(&properties, &pages(plan, &picture, &tiling), None, &picture.drawings())
        .map_err(|error| ProofError(error.to_string()))
}

/// What has to be on paper: all that is drawn; the bare rest of the sheet is not.
fn shown(plan: &Plan, picture: &Picture) -> Rect {
    let sheet = Rect::new(0.0, 0.0, plan.sheet.width.get(), plan.sheet.height.get());
    picture.bounds().unwrap_or(sheet).inflate(AROUND, AROUND)
}

/// A page for every tile that has something on it.
fn pages(plan: &Plan, picture: &Picture, tiling: &Tiling) -> Vec<Page> {
    if MOST_PAGES < tiling.count() {
        return vec![page::too_large(plan, tiling)];
    }
    let empty = picture.bounds().is_none();
    let used: Vec<_> = tiling.tiles().filter(|tile| empty || picture.touches(tile.shown)).collect();
    used.iter().enumerate().map(|(index, _)| page::tile(plan, picture, tiling, &used, index)).collect()
}
