//! Letters of single strokes, for scoring: open lines without width.
//!
//! The faces are those that A. V. Hershey drew at the U.S. National Bureau of Standards (notice in `hershey/`).
//! They hold the letters of ASCII; those with marks are composed from them with strokes of our own (`accents`, `marks`), and
//! others put together from their parts (`drawn`).
//!
//! In: a text. Out: the same lines of clusters and outlines that a font gives, so that all else is shared.
//! Units are Hershey's: capitals are 21 high; y is up here, from the baseline.

mod face;
mod marks;
mod drawn;
mod accents;
mod smooth;

use super::error::LetteringError;
use super::outline::Outline;
use super::shaping::{Cluster, Glyph, ShapedGlyph, ShapedLine, ShapedText, lines_of, refuse_control_characters};
use kurbo::{BezPath, Shape};
use skrifa::GlyphId;
use std::collections::BTreeMap;

/// Height of the capitals (Hershey's drawings: baseline at 9, top at -12, counted downwards).
pub(super) const CAPITALS: f64 = 21.0;

/// The em: from the lowest descender to the highest bracket, 16 to either side of the middle.
pub(super) const EM: f64 = 32.0;

/// A face of single strokes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StrokeFace {
    /// Upright letters without serifs, each line once.
    Plain,
    /// Upright letters with serifs, their thick parts drawn as two lines.
    Roman,
    /// A slanted, joined hand.
    Script,
}

/// A letter: how far it reaches and what is drawn.
#[derive(Clone)]
struct Letter {
    advance: f64,
    strokes: Vec<Vec<kurbo::Point>>,
}

/// Sets the lines of a text.
pub(super) fn shape(face: StrokeFace, text: &str) -> Result<ShapedText, LetteringError> {
    let letters = face::letters(face);
    let mut shaped = ShapedText { lines: Vec::new(), missing: Vec::new() };
    for (index, line) in lines_of(text).iter().enumerate() {
        refuse_control_characters(line, index + 1)?;
        let mut set = ShapedLine::default();
        for character in accents::composed(line.trim_end()) {
            let Some(letter) = accents::letter(&letters, character) else {
                if !shaped.missing.contains(&character) {
                    shaped.missing.push(character);
                }
                continue;
            };
            let id = Glyph { face: 0, id: GlyphId::new(u32::from(character)) };
            set.clusters
                .push(Cluster { advance: letter.advance, glyphs: vec![ShapedGlyph { id, x: 0.0, y: 0.0 }] });
        }
        shaped.lines.push(set);
    }
    Ok(shaped)
}

/// The strokes of all letters that a text uses.
pub(super) fn outlines(face: StrokeFace, lines: &[ShapedLine]) -> BTreeMap<Glyph, Outline> {
    let letters = face::letters(face);
    let used = lines.iter().flat_map(|l| &l.clusters).flat_map(|c| &c.glyphs).map(|g| g.id);
    let mut outlines = BTreeMap::new();
    for glyph in used {
        let character = char::from_u32(glyph.id.to_u32());
        let Some(letter) = character.and_then(|c| accents::letter(&letters, c)) else { continue };
        let mut path = BezPath::new();
        letter.strokes.iter().for_each(|stroke| path.extend(smooth::drawn(stroke).iter()));
        if !path.is_empty() {
            outlines.insert(glyph, Outline { bounds: path.bounding_box(), path });
        }
    }
    outlines
}
