//! Lettering: a typeface and a text become a drawing in millimetres.
//!
//! In: a [`LetteringRequest`] (text, font files or a face of strokes, a size). Out: [`Lettering`], whose drawing is one
//! clean area: letters that overlap, as they do in joined hands, are welded. Letters of strokes are open lines.
//!
//! The frame: x right, y **down**. A straight setting has the baseline of its first line at y = 0, and
//! x = 0 at the left end, middle or right end of its lines, by [`Align`]. A setting on an [`Arc`] has the
//! circle's centre at the origin. A setting [`Along`] a line lies in that line's frame.
//!
//! Invariant: every character is either drawn or returned in [`Lettering::missing`]; no font, however
//! broken, makes this panic or run without end.

mod error;
mod typeface;
mod font;
mod fonts;
mod outline;
mod shaping;
mod strokes;
mod measure;
mod track;
mod placing;
mod weld;
mod stencil;
mod bounded;
#[cfg(test)]
mod reference;

pub use error::{FontProblem, LetteringError};
pub use font::CapitalsFrom;
pub use stencil::{Bridged, NarrowCounter, bridge};
pub use strokes::StrokeFace;
pub use track::{Along, TightTurn};
pub use typeface::{AxisSetting, ClampedAxis, FeatureSetting, FontFile, FontTag, Typeface, font_tag};

use crate::geometry::{Drawing, Line, Part, Pen, subpaths};
use crate::units::{Mm, Percent};
use fonts::Fonts;
use kurbo::{Affine, BezPath};
use outline::Outline;
use placing::PlacedGlyph;
use shaping::{Glyph, ShapedLine, ShapedText};
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
    /// What it is set in.
    pub typeface: Typeface<'a>,
    /// Fonts that are asked in this order for characters which the one before lacks; set at the same em.
    pub fallbacks: &'a [FontFile<'a>],
    /// Where variable fonts stand on their axes; fallbacks follow as far as they have them.
    pub axes: &'a [AxisSetting],
    /// Features of the fonts that are switched on or off.
    pub features: &'a [FeatureSetting],
    /// How large it becomes.
    pub size: LetteringSize,
    /// Space added between neighbouring letters; less than zero sets them closer.
    pub tracking: Mm,
    /// The circle it runs along; straight lines without one.
    pub arc: Option<Arc>,
    /// The line it runs along in place of a circle.
    pub along: Option<&'a Along>,
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
    /// Characters that no font has a glyph for, each once, as they first appear. They are not drawn.
    pub missing: Vec<char>,
    /// Axis values that were out of the font's range.
    pub clamped: Vec<ClampedAxis>,
    /// Where letters along a line turn too far from each other to be read as a word.
    pub turns: Vec<TightTurn>,
    /// Where neighbouring letters along a line lie on each other, though on a straight line they do not.
    pub collisions: Vec<kurbo::Point>,
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
    let outline = |p: &PlacedGlyph| p.affine * drawn.outlines[&p.glyph].clone();
    let filled = matches!(request.typeface, Typeface::Font(_));
    let parts = drawn.placed.iter().map(|p| part_of(outline(p), filled)).collect();
    let drawing = if filled {
        Drawing { ink: weld::weld(&drawn.outlines, &drawn.placed)?, lines: Vec::new(), parts }
    } else {
        let lines = drawn.placed.iter().flat_map(|p| subpaths(&outline(p))).map(stroke_of).collect();
        Drawing { lines, parts, ..Drawing::default() }
    };
    let collisions = match (request.along, filled) {
        (Some(_), true) => weld::collisions(&drawn.outlines, &drawn.placed, &drawn.straight)?,
        _ => Vec::new(),
    };
    Ok(Lettering {
        drawing,
        cap_height: drawn.cap_height,
        capitals_from: drawn.capitals_from,
        em: drawn.em,
        lines: drawn.lines,
        missing: drawn.missing,
        clamped: drawn.clamped,
        turns: drawn.turns,
        collisions,
    })
}

fn stroke_of(path: BezPath) -> Line {
    Line { path, width: None, pen: Pen::default() }
}

fn part_of(path: BezPath, filled: bool) -> Part {
    Part { element: None, path, filled, open: Vec::new() }
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
    if let Some(along) = request.along {
        refuse_length("gap", along.gap, true)?;
        refuse_length("shift", along.shift, true)?;
        let lines = shaping::lines_of(request.text).len();
        if 1 < lines {
            return Err(LetteringError::SeveralLinesAlong { lines });
        }
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
    outlines: BTreeMap<Glyph, BezPath>,
    /// Where they stand, in the order of the text from left to right.
    placed: Vec<PlacedGlyph>,
    /// Where they would stand on a straight line; only for a setting along a line.
    straight: Vec<PlacedGlyph>,
    cap_height: Mm,
    capitals_from: CapitalsFrom,
    em: Mm,
    lines: Vec<SetLine>,
    missing: Vec<char>,
    clamped: Vec<ClampedAxis>,
    turns: Vec<TightTurn>,
}

/// A typeface's answer to a text, in its own units.
struct Shaped {
    text: ShapedText,
    outlines: BTreeMap<Glyph, Outline>,
    capitals: f64,
    capitals_from: CapitalsFrom,
    em: f64,
    clamped: Vec<ClampedAxis>,
}

/// Shapes, measures and places the text, without a limit of time.
fn draw(request: &LetteringRequest) -> Result<Drawn, LetteringError> {
    let shaped = match &request.typeface {
        Typeface::Font(file) => in_fonts(file, request)?,
        Typeface::Strokes(face) => in_strokes(*face, request)?,
    };
    let Shaped { text: ShapedText { lines, missing }, outlines, capitals, capitals_from, em, clamped } = shaped;
    let scale = measure::scale(request, &lines, &outlines, capitals)?;
    let setting = placing::Setting::new(request, em, scale);
    let (mut placed, mut straight, mut turns) = (Vec::new(), Vec::new(), Vec::new());
    for (index, line) in lines.iter().enumerate() {
        match request.along {
            None => placed.append(&mut setting.place(index, line)?),
            Some(along) => {
                (placed, turns) = placing::place_along(along, &setting, line, capitals * scale)?;
                straight = setting.place(index, line)?;
            }
        }
    }
    placed.retain(|p| outlines.contains_key(&p.glyph));
    straight.retain(|p| outlines.contains_key(&p.glyph));
    // From font units, y up, to millimetres, y down.
    let to_millimetres = Affine::scale_non_uniform(scale, -scale);
    Ok(Drawn {
        outlines: outlines.into_iter().map(|(id, outline)| (id, to_millimetres * outline.path)).collect(),
        placed,
        straight,
        cap_height: Mm::new(capitals * scale),
        capitals_from,
        em: Mm::new(em * scale),
        lines: lines.iter().enumerate().map(|(i, l)| setting.describe(i, l)).collect(),
        missing,
        clamped,
        turns,
    })
}

fn in_fonts(file: &FontFile, request: &LetteringRequest) -> Result<Shaped, LetteringError> {
    let (fonts, clamped) = Fonts::open(file, request.fallbacks, request.axes)?;
    let (capitals, capitals_from) = fonts.first().capitals()?;
    let text = shaping::shape(&fonts, request.text, request.features, request.tracking != Mm::ZERO)?;
    let outlines = outline::of_glyphs(&fonts, &text.lines)?;
    Ok(Shaped { text, outlines, capitals, capitals_from, em: fonts.first().units_per_em(), clamped })
}

fn in_strokes(face: StrokeFace, request: &LetteringRequest) -> Result<Shaped, LetteringError> {
    let text = strokes::shape(face, request.text)?;
    let outlines = strokes::outlines(face, &text.lines);
    let (capitals, em) = (strokes::CAPITALS, strokes::EM);
    Ok(Shaped { text, outlines, capitals, capitals_from: CapitalsFrom::Strokes, em, clamped: Vec::new() })
}

/// Advance of a line in millimetres, tracking included.
fn advance_of(line: &ShapedLine, scale: f64, tracking: f64) -> f64 {
    let gaps = line.clusters.len().saturating_sub(1);
    line.advance() * scale + tracking * gaps as f64
}
