//! `findings/NAME.svg`: an artwork in grey with numbered marks where something was found, and what it is.
//!
//! In: a [`Plan`] and the findings of its build. Out: a picture for each artwork that a finding names a place in. It is
//! for people, and drawn so that it can be read in black and white.
//!
//! Steps: [`marks`] sorts findings to figures, [`labels`] finds room for the numbers, [`picture`] draws.
//!
//! Invariant: it shows the artwork as it is burned, after mending; a finding without a place in an artwork is not in it.

mod marks;
mod labels;
mod picture;

use super::OutputFile;
use super::names::findings_file;
use crate::diagnostics::Diagnostic;
use crate::plan::Plan;
use std::collections::BTreeSet;

/// The pictures of a build, in the order of the figures.
pub fn findings_pictures(plan: &Plan, diagnostics: &[Diagnostic]) -> Vec<OutputFile> {
    let mut taken = BTreeSet::new();
    let marked = marks::by_artwork(plan, diagnostics);
    let of_all = marked.len();
    marked
        .into_iter()
        .map(|marked| {
            let path =
                (1..=of_all).map(|n| findings_file(&marked.figure.name, n)).find(|p| taken.insert(p.clone()));
            OutputFile { path: path.unwrap_or_default(), bytes: picture::draw(&marked) }
        })
        .collect()
}
