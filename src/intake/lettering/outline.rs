//! Glyph outlines, as the font draws them: font units, y up.

use super::MOST_SEGMENTS;
use super::error::{FontProblem, LetteringError};
use super::font::Font;
use super::fonts::Fonts;
use super::shaping::{Glyph as FaceGlyph, ShapedLine};
use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape};
use skrifa::instance::Size;
use skrifa::outline::{DrawSettings, OutlineGlyphFormat, OutlinePen};
use skrifa::raw::TableProvider;
use skrifa::raw::tables::glyf::Glyph;
use skrifa::raw::tables::{glyf::Glyf, loca::Loca};
use skrifa::{GlyphId, MetadataProvider};
use std::collections::BTreeMap;

/// Most parts that a glyph may be composed of; an accented letter has two or three.
const MOST_COMPONENTS: usize = 500;

/// The outline of a glyph.
pub(super) struct Outline {
    /// Its contours, all closed.
    pub(super) path: BezPath,
    /// The box around its ink.
    pub(super) bounds: Rect,
}

/// The outlines of all glyphs that a text uses; glyphs without ink are left out.
///
/// They come in units of the first font: at the same em, whatever units another one counts in.
pub(super) fn of_glyphs(
    fonts: &Fonts,
    lines: &[ShapedLine],
) -> Result<BTreeMap<FaceGlyph, Outline>, LetteringError> {
    let mut outlines = BTreeMap::new();
    let mut segments = 0;
    for glyph in lines.iter().flat_map(|l| &l.clusters).flat_map(|c| &c.glyphs) {
        let outline = match outlines.entry(glyph.id) {
            std::collections::btree_map::Entry::Occupied(known) => known.into_mut(),
            std::collections::btree_map::Entry::Vacant(free) => {
                let path =
                    Affine::scale(fonts.ratio(glyph.id.face)) * of_glyph(fonts.font(glyph.id.face), glyph.id.id)?;
                refuse_picture(fonts.font(glyph.id.face), glyph.id.id, &path)?;
                let bounds = path.bounding_box();
                free.insert(Outline { path, bounds })
            }
        };
        segments += outline.path.elements().len();
        if MOST_SEGMENTS < segments {
            return Err(LetteringError::TooDetailed { most: MOST_SEGMENTS });
        }
    }
    outlines.retain(|_, outline| !outline.path.is_empty());
    Ok(outlines)
}

/// A glyph that is a picture would be left out in silence.
fn refuse_picture(font: &Font, glyph: GlyphId, path: &BezPath) -> Result<(), LetteringError> {
    match font.picture_of(glyph).filter(|_| path.is_empty()) {
        Some(table) => Err(font.fail(FontProblem::GlyphIsPicture { glyph: glyph.to_u32(), table })),
        None => Ok(()),
    }
}

/// The outline of one glyph, in the font's own units.
pub(super) fn of_glyph(font: &Font, glyph: GlyphId) -> Result<BezPath, LetteringError> {
    let collection = font.reader().outline_glyphs();
    let table = match collection.format() {
        Some(OutlineGlyphFormat::Cff) => "CFF ",
        Some(OutlineGlyphFormat::Cff2) => "CFF2",
        _ => "glyf",
    };
    let broken = || font.fail(FontProblem::Glyph { glyph: glyph.to_u32(), table });
    if table == "glyf" && !is_modest(font, glyph) {
        return Err(font.fail(FontProblem::GlyphTooComplex { glyph: glyph.to_u32() }));
    }
    let outline = collection.get(glyph).ok_or_else(broken)?;
    let mut pen = PathPen::default();
    let settings = DrawSettings::unhinted(Size::unscaled(), font.location());
    outline.draw(settings, &mut pen).map_err(|_| broken())?;
    if pen.is_full() {
        return Err(font.fail(FontProblem::GlyphTooComplex { glyph: glyph.to_u32() }));
    }
    if pen.path.is_finite() { Ok(without_specks(&pen.path)) } else { Err(broken()) }
}

/// Leaves out contours without any extent: fonts hold single points as anchors, which have no ink and
/// would count as a letter's edge.
fn without_specks(path: &BezPath) -> BezPath {
    let mut kept = BezPath::new();
    let mut contour = BezPath::new();
    for element in path.elements() {
        contour.push(*element);
        if *element == PathEl::ClosePath {
            let bounds = contour.bounding_box();
            if 0.0 < bounds.width() && 0.0 < bounds.height() {
                kept.extend(contour.iter());
            }
            contour = BezPath::new();
        }
    }
    kept
}

/// Whether a glyph of table `glyf` is composed of few parts.
///
/// A composed glyph names others, which may be composed in turn: two names each, nested thirty deep, are
/// a thousand million parts. The reader limits only the depth, so they are counted before it is asked.
fn is_modest(font: &Font, glyph: GlyphId) -> bool {
    let (Ok(loca), Ok(glyf)) = (font.reader().loca(None), font.reader().glyf()) else { return true };
    let mut left = MOST_COMPONENTS;
    count_components(&loca, &glyf, glyph, &mut left, 0);
    0 < left
}

fn count_components(loca: &Loca, glyf: &Glyf, glyph: GlyphId, left: &mut usize, depth: usize) {
    // Deeper than the standard's tables can say and than the reader follows.
    if 64 < depth {
        return;
    }
    let Ok(Some(Glyph::Composite(composite))) = loca.get_glyf(glyph, glyf) else { return };
    for component in composite.components() {
        if *left == 0 {
            return;
        }
        *left -= 1;
        count_components(loca, glyf, component.glyph.into(), left, depth + 1);
    }
}

/// Draws into a kurbo path, and stops keeping what goes beyond the limit: a pen cannot end the drawing,
/// but what it keeps can stay bounded.
#[derive(Default)]
struct PathPen {
    path: BezPath,
}

impl PathPen {
    fn push(&mut self, element: PathEl) {
        if self.path.elements().len() <= MOST_SEGMENTS {
            self.path.push(element);
        }
    }

    fn is_full(&self) -> bool {
        MOST_SEGMENTS < self.path.elements().len()
    }
}

fn point(x: f32, y: f32) -> Point {
    Point::new(f64::from(x), f64::from(y))
}

impl OutlinePen for PathPen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.push(PathEl::MoveTo(point(x, y)));
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.push(PathEl::LineTo(point(x, y)));
    }
    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.push(PathEl::QuadTo(point(cx, cy), point(x, y)));
    }
    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        self.push(PathEl::CurveTo(point(ax, ay), point(bx, by), point(x, y)));
    }
    fn close(&mut self) {
        self.push(PathEl::ClosePath);
    }
}
