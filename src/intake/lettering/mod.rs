//! Lettering: a font file and a text become a drawing in millimetres.
//!
//! In: a [`LetteringRequest`] (text, the font's bytes, a size). Out: [`Lettering`], whose drawing is one
//! clean area: letters that overlap, as they do in joined hands, are welded.
//!
//! The frame: x right, y **down**. A straight setting has the baseline of its first line at y = 0, and
//! x = 0 at the left end, middle or right end of its lines, by [`Align`]. A setting on an [`Arc`] has the
//! circle's centre at the origin.
//!
//! Invariant: every character is either drawn or returned in [`Lettering::missing`]; no font, however
//! broken, makes this panic or run without end.

mod error;
mod font;
mod outline;
mod shaping;
mod measure;
mod placing;
mod weld;
mod bounded;

pub use error::{FontProblem, LetteringError};
pub use font::CapitalsFrom;

use crate::geometry::{Drawing, Part};
use crate::units::{Mm, Percent};
use font::Font;
use kurbo::{Affine, BezPath};
use placing::PlacedGlyph;
use shaping::ShapedLine;
use skrifa::GlyphId;
use std::collections::BTreeMap;

/// Longest text that is set, in characters: a page of close print, more than any board carries.
pub const MOST_CHARACTERS: usize = 4000;

/// Most path segments that a setting may hold: a page of an ornate face stays far below it.
pub const MOST_SEGMENTS: usize = 200_000;

/// What is to be set.
#[derive(Clone, Debug)]
pub struct LetteringRequest<'a> {
    /// The text; a line feed starts a new line.
    pub text: &'a str,
    /// The font file's bytes: TrueType, OpenType, or a collection, of which the first font is taken.
    pub font: &'a [u8],
    /// The font file's name, for messages.
    pub font_file: &'a str,
    /// How large it becomes.
    pub size: LetteringSize,
    /// Space added between neighbouring letters; less than zero sets them closer.
    pub tracking: Mm,
    /// The circle it runs along; straight lines without one.
    pub arc: Option<Arc>,
    /// Where the lines begin, or meet.
    pub align: Align,
    /// From baseline to baseline, in hundredths of the em.
    pub line_spacing: Percent,
}

/// How large lettering becomes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LetteringSize {
    /// Height of the capitals, from the baseline to the top of an `H`.
    Height(Mm),
    /// Width of the ink, from its leftmost to its rightmost point; on an arc, measured along the baseline
    /// before it is bent.
    Width(Mm),
}

/// Where the lines of a setting begin, or meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Align {
    /// They begin at x = 0; on an arc, at the top or bottom of the circle.
    Left,
    /// Their middles lie at x = 0; on an arc, at the top or bottom of the circle.
    #[default]
    Centre,
    /// They end at x = 0; on an arc, at the top or bottom of the circle.
    Right,
}

/// A circle that lettering runs along.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Radius of the first line's baseline.
    pub radius: Mm,
    /// Where on the circle it reads upright.
    pub side: ArcSide,
}

/// The part of a circle at which lettering on it reads upright.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ArcSide {
    /// Over the top, clockwise, the letters' feet towards the centre.
    OverTop,
    /// Under the bottom, anticlockwise, the letters' heads towards the centre.
    UnderBottom,
}

/// Lettering, set.
#[derive(Clone, Debug)]
#[must_use]
pub struct Lettering {
    /// The letters as one area; `parts` holds each glyph as the font draws it.
    pub drawing: Drawing,
    /// Height of the capitals.
    pub cap_height: Mm,
    /// What that height was measured on.
    pub capitals_from: CapitalsFrom,
    /// The em: the size in the sense of typesetting (`Mm::new(25.4 / 72.0)` is one point).
    pub em: Mm,
    /// The lines, from the first.
    pub lines: Vec<SetLine>,
    /// Characters the font has no glyph for, each once, as they first appear. They are not drawn.
    pub missing: Vec<char>,
}

/// One line of a setting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetLine {
    /// Sum of the advances of its letters, kerning and tracking included.
    pub advance: Mm,
    /// Where its baseline lies below the first line's; on an arc, nearer to the reader's foot.
    pub baseline: Mm,
}

/// Sets a text in a font.
///
/// Whatever the font has a say in is done on a thread of its own with a limit of time, because an outline
/// program in a font may be written so that it practically never ends.
pub fn set(request: &LetteringRequest) -> Result<Lettering, LetteringError> {
    check_request(request)?;
    let drawn = bounded::run(request)?;
    let parts = drawn.placed.iter().map(|p| part_of(p.affine * drawn.outlines[&p.glyph].clone())).collect();
    let ink = weld::weld(&drawn.outlines, &drawn.placed)?;
    Ok(Lettering {
        drawing: Drawing { ink, lines: Vec::new(), parts },
        cap_height: drawn.cap_height,
        capitals_from: drawn.capitals_from,
        em: drawn.em,
        lines: drawn.lines,
        missing: drawn.missing,
    })
}

fn part_of(path: BezPath) -> Part {
    Part { element: None, path, filled: true, open: Vec::new() }
}

/// Refuses what cannot be set in any font.
fn check_request(request: &LetteringRequest) -> Result<(), LetteringError> {
    let (size, word) = match request.size {
        LetteringSize::Height(mm) => (mm, "height"),
        LetteringSize::Width(mm) => (mm, "width"),
    };
    refuse_length(word, size, size.get() > 0.0)?;
    refuse_length("tracking", request.tracking, true)?;
    if let Some(arc) = request.arc {
        refuse_length("arc radius", arc.radius, arc.radius.get() > 0.0)?;
    }
    let spacing = request.line_spacing.get();
    if !(0.0..=10_000.0).contains(&spacing) {
        return Err(LetteringError::LineSpacing { found: request.line_spacing });
    }
    let characters = request.text.chars().count();
    if MOST_CHARACTERS < characters {
        return Err(LetteringError::TextTooLong { found: characters, most: MOST_CHARACTERS });
    }
    if request.text.trim().is_empty() {
        return Err(LetteringError::NothingToSet);
    }
    Ok(())
}

/// Ten metres: beyond any bed, and what the geometry kernel refuses too.
const FARTHEST: f64 = 10_000.0;

fn refuse_length(word: &'static str, length: Mm, right_sign: bool) -> Result<(), LetteringError> {
    if length.get().is_finite() && length.get().abs() <= FARTHEST && right_sign {
        return Ok(());
    }
    Err(LetteringError::Length { word, found: length })
}

/// A text as far as the font has a say in it.
struct Drawn {
    /// The glyphs that have ink, in millimetres, y down.
    outlines: BTreeMap<GlyphId, BezPath>,
    /// Where they stand, in the order of the text from left to right.
    placed: Vec<PlacedGlyph>,
    cap_height: Mm,
    capitals_from: CapitalsFrom,
    em: Mm,
    lines: Vec<SetLine>,
    missing: Vec<char>,
}

/// Shapes, measures and places the text, without a limit of time.
fn draw(request: &LetteringRequest) -> Result<Drawn, LetteringError> {
    let font = Font::open(request.font, request.font_file)?;
    let (capitals, capitals_from) = font.capitals()?;
    let shaped = shaping::shape(&font, request.text, request.tracking != Mm::ZERO)?;
    let outlines = outline::of_glyphs(&font, &shaped.lines)?;
    let scale = measure::scale(request, &shaped.lines, &outlines, capitals)?;
    let setting = placing::Setting::new(request, &font, scale);
    let mut placed = Vec::new();
    for (index, line) in shaped.lines.iter().enumerate() {
        placed.append(&mut setting.place(index, line)?);
    }
    placed.retain(|p| outlines.contains_key(&p.glyph));
    // From font units, y up, to millimetres, y down.
    let to_millimetres = Affine::scale_non_uniform(scale, -scale);
    Ok(Drawn {
        outlines: outlines.into_iter().map(|(id, outline)| (id, to_millimetres * outline.path)).collect(),
        placed,
        cap_height: Mm::new(capitals * scale),
        capitals_from,
        em: Mm::new(font.units_per_em() * scale),
        lines: shaped.lines.iter().enumerate().map(|(i, l)| setting.describe(i, l)).collect(),
        missing: shaped.missing,
    })
}

/// Advance of a line in millimetres, tracking included.
fn advance_of(line: &ShapedLine, scale: f64, tracking: f64) -> f64 {
    let gaps = line.clusters.len().saturating_sub(1);
    line.advance() * scale + tracking * gaps as f64
}
