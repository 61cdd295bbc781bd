//! One side of a sheet on its pages: what has to be on paper, and what it is called.

use super::picture::Picture;
use super::tiling::{Tile, Tiling};
use super::{AROUND, MOST_PAGES};
use crate::cache::Cache;
use crate::plan::{Laid, Lay, Operation, Plan, Run};
use kurbo::{BezPath, Rect, Size};

/// A side that is burned, and the pages it takes.
pub(super) struct Side<'a> {
    pub plan: &'a Plan,
    lay: Lay,
    pub picture: Picture,
    pub tiling: Tiling,
    /// The tiles that are printed: those with something on them.
    pub printed: Vec<Tile>,
    /// Where the sheet lies, in mm on the page of its runs.
    pub sheet: Rect,
}

impl<'a> Side<'a> {
    pub fn of(plan: &'a Plan, lay: Lay, cache: &Cache) -> Self {
        let picture = Picture::of(plan, lay, cache);
        let sheet = Rect::new(0.0, 0.0, plan.sheet.width.get(), plan.sheet.height.get());
        let sheet = lay.movement().transform_rect_bbox(sheet);
        let tiling = tiling(plan, &picture, sheet);
        let is_empty = picture.bounds().is_none();
        let printed = if MOST_PAGES < tiling.count() {
            Vec::new()
        } else {
            tiling.tiles().filter(|tile| is_empty || picture.touches(tile.shown)).collect()
        };
        Self { plan, lay, picture, tiling, printed, sheet }
    }

    /// What is burned on it, with its run.
    pub fn operations(&self) -> impl Iterator<Item = (&'a Run, &'a Operation)> {
        self.plan.on_side(self.lay)
    }

    /// The outline of the finished piece where it lies on this side.
    pub fn board(&self) -> Option<BezPath> {
        let board = self.plan.board.as_ref().filter(|_| self.lay.on == Laid::Sheet(1))?;
        Some(self.lay.movement() * board.to_path())
    }

    /// Whether it is scrap, on which the sheet will lie later.
    pub fn is_scrap(&self) -> bool {
        self.lay.on == Laid::Scrap
    }

    /// What it is called: `Sheet 2 of 3`, `Sheet, back up, turned left-right`, `Scrap`.
    pub fn name(&self) -> String {
        let sheets = self.plan.runs.iter().filter_map(|run| run.lay.on.sheet()).max().unwrap_or(1);
        let sheet = match self.lay.on {
            Laid::Scrap => "Scrap".to_owned(),
            Laid::Sheet(_) if sheets == 1 => "Sheet".to_owned(),
            Laid::Sheet(number) => format!("Sheet {number} of {sheets}"),
        };
        let is_turned = self.plan.runs.iter().any(|run| run.lay.on == self.lay.on && run.lay.turned.is_some());
        match self.lay.turned {
            Some(turned) => format!("{sheet}, back up, turned {}", turned.over.word()),
            None if is_turned => format!("{sheet}, face up"),
            None => sheet,
        }
    }
}

/// The pages for all that is drawn; the bare rest of the sheet is shown where that takes no page more.
fn tiling(plan: &Plan, picture: &Picture, sheet: Rect) -> Tiling {
    let paper = Size::new(plan.paper.width().get(), plan.paper.height().get());
    let drawn = picture.bounds().unwrap_or(sheet).inflate(AROUND, AROUND);
    let [least, whole] = [drawn, drawn.union(sheet.inflate(AROUND, AROUND))].map(|what| Tiling::of(what, paper));
    if whole.count() <= least.count() { whole } else { least }
}
