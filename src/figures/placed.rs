//! Figures as they lie on the sheet.

use crate::geometry::Drawing;
use crate::layout::Frames;
use crate::puzzle::PuzzleLayout;
use crate::recipe::SHEET_NAME;
use kurbo::Rect;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A figure on the sheet.
#[derive(Clone, Debug)]
pub struct Placed {
    /// What it looks like, in sheet coordinates.
    pub drawing: Arc<Drawing>,
    /// Its box: ink and the middles of lines.
    pub frame: Option<Rect>,
    /// The pieces, where it is a puzzle.
    pub puzzle: Option<Arc<PuzzleLayout>>,
}

/// All figures on the sheet.
#[derive(Clone, Debug)]
pub struct Figures {
    placed: BTreeMap<String, Placed>,
    sheet: Rect,
}

impl Figures {
    /// A sheet without figures.
    pub(super) const fn on(sheet: Rect) -> Self {
        Self { placed: BTreeMap::new(), sheet }
    }

    /// Adds a figure; the first of a name stays.
    pub(super) fn add(&mut self, name: &str, placed: Placed) {
        self.placed.entry(name.to_owned()).or_insert(placed);
    }

    /// A figure by its name; `None` when it could not be worked out.
    pub fn get(&self, name: &str) -> Option<&Placed> {
        self.placed.get(name)
    }

    /// The sheet's box.
    pub const fn sheet(&self) -> Rect {
        self.sheet
    }
}

impl Frames for Figures {
    fn frame(&self, figure: &str) -> Option<Rect> {
        if figure == SHEET_NAME { Some(self.sheet) } else { self.placed.get(figure)?.frame }
    }
}

/// A figure before it is placed.
pub(super) struct Made {
    /// What it looks like, in its own frame or, where `in_place`, on the sheet.
    pub drawing: Arc<Drawing>,
    /// The pieces.
    pub puzzle: Option<Arc<PuzzleLayout>>,
}

impl Made {
    /// A figure that is only a drawing.
    pub fn of(drawing: Drawing) -> Self {
        Self { drawing: Arc::new(drawing), puzzle: None }
    }
}
