//! Figures as they lie on the sheet.

use super::photo::{PhotoSource, PlacedPhoto};
use crate::geometry::Drawing;
use crate::layout::Frames;
use crate::mending::{Change, Fault};
use crate::puzzle::PuzzleLayout;
use crate::recipe::{Cell, MirrorAxis, SHEET_NAME};
use crate::units::{Mm, Percent};
use kurbo::{Affine, Rect};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A figure on the sheet.
#[derive(Clone, Debug)]
pub struct Placed {
    /// What it looks like, in sheet coordinates.
    pub drawing: Arc<Drawing>,
    /// What it looks like where it is burned from behind, if that is something else.
    pub behind: Option<Behind>,
    /// Its box: ink and the middles of lines.
    pub frame: Option<Rect>,
    /// The pieces, where it is a puzzle.
    pub puzzle: Option<Arc<PuzzleLayout>>,
    /// From the frame of its own to the sheet; no movement where it is made in place.
    pub movement: Affine,
    /// The picture, where it is a photo.
    pub photo: Option<PlacedPhoto>,
    /// How it was traced, where it is a picture.
    pub trace: Option<Traced>,
    /// What was mended in it.
    pub changes: Vec<Change>,
    /// What is still wrong with it, where it comes from a file; it has been told.
    pub faults: Arc<Vec<Fault>>,
}

/// Drawings that are set to be read from behind, in sheet coordinates as seen from the front.
#[derive(Clone, Debug)]
pub struct Behind {
    /// For a sheet that is turned over with left and right changing places.
    pub left_right: Arc<Drawing>,
    /// For one with top and bottom changing places.
    pub top_bottom: Arc<Drawing>,
}

impl Placed {
    /// What is burned of it: from the front, or from behind once the sheet is turned over.
    pub fn burned(&self, turned: Option<MirrorAxis>) -> &Arc<Drawing> {
        match (turned, &self.behind) {
            (Some(MirrorAxis::LeftRight), Some(behind)) => &behind.left_right,
            (Some(MirrorAxis::TopBottom), Some(behind)) => &behind.top_bottom,
            _ => &self.drawing,
        }
    }
}

/// How a picture was traced.
#[derive(Clone, Debug, PartialEq)]
pub struct Traced {
    /// What was read in it, in the recipe's word.
    pub reading: &'static str,
    /// What kind of picture it is, in words.
    pub paper: &'static str,
    /// What counted as drawn, from paper to black.
    pub threshold: Percent,
    /// How wide a pixel becomes on the piece.
    pub pixel: Mm,
    /// Specks and pinholes that were left out.
    pub specks: usize,
    /// The areas that seams part, what lies about the drawing among them; nothing for other readings.
    pub areas: Option<usize>,
    /// Half of the lines are drawn at most this wide; nothing for outlines.
    pub line_width: Option<Mm>,
}

/// All figures on the sheet.
#[derive(Clone, Debug)]
pub struct Figures {
    placed: BTreeMap<String, Placed>,
    cells: BTreeMap<String, Rect>,
    sheet: Rect,
}

impl Figures {
    /// A sheet with cells and without figures.
    pub(super) fn on(sheet: Rect, cells: &[Cell]) -> Self {
        let cells = cells.iter().map(|c| (c.name.clone(), c.frame)).collect();
        Self { placed: BTreeMap::new(), cells, sheet }
    }

    /// Adds a figure; the first of a name stays.
    pub(super) fn add(&mut self, name: &str, placed: Placed) {
        self.placed.entry(name.to_owned()).or_insert(placed);
    }

    /// A figure by its name; `None` when it could not be worked out.
    pub fn get(&self, name: &str) -> Option<&Placed> {
        self.placed.get(name)
    }

    /// Whether there is a figure, a cell or the sheet of that name.
    pub(super) fn has(&self, name: &str) -> bool {
        name == SHEET_NAME || self.cells.contains_key(name) || self.placed.contains_key(name)
    }

    /// The sheet's box.
    pub const fn sheet(&self) -> Rect {
        self.sheet
    }
}

impl Frames for Figures {
    fn frame(&self, figure: &str) -> Option<Rect> {
        if figure == SHEET_NAME {
            return Some(self.sheet);
        }
        self.cells.get(figure).copied().or_else(|| self.placed.get(figure)?.frame)
    }
}

/// A figure before it is placed.
pub(super) struct Made {
    /// What it looks like, in its own frame or, where `in_place`, on the sheet.
    pub drawing: Arc<Drawing>,
    /// The pieces.
    pub puzzle: Option<Arc<PuzzleLayout>>,
    /// The picture.
    pub photo: Option<Arc<PhotoSource>>,
    /// How it was traced.
    pub trace: Option<Traced>,
    /// What it looks like where it is burned from behind.
    pub behind: Option<Behind>,
    /// The box that it is sized and placed by, where that is not the box around the drawing.
    pub frame: Option<Rect>,
}

impl Made {
    /// A figure that is only a drawing.
    pub fn of(drawing: Drawing) -> Self {
        Self { drawing: Arc::new(drawing), puzzle: None, trace: None, behind: None, frame: None, photo: None }
    }
}
