//! `proof.pdf`: every side that is burned, at full size on paper, to be laid on the stock before anything is burned.
//!
//! In: a [`Plan`]. Out: the bytes of a PDF. Each side takes one page, or as many as it takes, that overlap and are
//! trimmed and joined by their crop marks. Every page carries a bar of 100 mm and one of 4 in, because the only way
//! to know that a printer kept the size is to measure what it printed.
//!
//! Invariant: one millimetre of the plan is one millimetre of paper, on every page.

mod foot;
mod map;
mod page;
mod picture;
mod side;
mod tiling;

use super::pdf::{self, Page, Properties};
use crate::cache::Cache;
use crate::plan::{Lay, Plan};
use page::Place;
use rayon::prelude::*;
use side::Side;
use std::fmt;

/// Nobody glues more pages than this; a larger side gets a page that says so, and so does each after as many.
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
    let mut sides = plan.sides();
    if sides.is_empty() {
        sides.push(Lay::default());
    }
    let sides: Vec<Side> = sides.par_iter().map(|&side| Side::of(plan, side, cache)).collect();
    let drawings: Vec<_> = sides.iter().flat_map(|side| side.picture.drawings()).collect();
    let properties = Properties {
        title: format!("{} – full-size proof", plan.title),
        subject: plan.about.clone(),
        language: "en-GB",
    };
    pdf::write(&properties, &pages(&sides), None, &drawings).map_err(|error| ProofError(error.to_string()))
}

/// The pages of every side, in the order in which the sides are burned.
fn pages(sides: &[Side]) -> Vec<Page> {
    let places = places(sides);
    let count = places.iter().zip(sides).map(|(place, side)| place.count(side)).sum();
    let of_side = |(place, side): (&Place, &Side)| page::of_side(side, *place, count);
    places.iter().zip(sides).flat_map(of_side).collect()
}

/// Where the pages and drawings of each side stand among all, and whether they are printed.
fn places(sides: &[Side]) -> Vec<Place> {
    let (mut pages, mut drawings, mut left) = (0, 0, MOST_PAGES);
    let place = |side: &Side| {
        let is_printed = (1..=left).contains(&side.printed.len());
        let place = Place { first_page: pages + 1, first_drawing: drawings, is_printed };
        pages += place.count(side);
        drawings += side.picture.drawings().count();
        left -= if is_printed { side.printed.len() } else { 0 };
        place
    };
    sides.iter().map(place).collect()
}
