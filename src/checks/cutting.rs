//! What cuts make of the sheet: which figures are cut, and what is kept between their closed lines.
//!
//! Nobody says which side of a cut is the piece and which the waste. Closed lines that lie in each other take turns:
//! inside the outermost one is material that is kept, inside the next an opening, inside that again a loose island.

use super::Job;
use crate::cache::MadeFrom;
use crate::geometry::{FillRule, Region, is_closed, subpaths};
use crate::plan::{Operation, Run};
use crate::recipe::Figure;
use crate::shop::OperationKind;
use crate::units::Mm;
use kurbo::{BezPath, Point};
use std::collections::BTreeSet;
use std::sync::Arc;

/// More parts than this are not compared with each other.
const MOST_PARTS: usize = 2_000;

/// A figure that is cut.
pub(super) struct CutFigure<'a> {
    /// Its name.
    pub name: &'a str,
    /// The run in which it is cut first.
    pub run: &'a Run,
    /// The operation that cuts it first.
    pub operation: &'a Operation,
    /// Its lines, each one subpath.
    pub lines: Vec<BezPath>,
}

impl CutFigure<'_> {
    /// Its lines that end where they start.
    pub fn closed(&self) -> impl Iterator<Item = &BezPath> {
        self.lines.iter().filter(|l| is_closed(l))
    }
}

/// The figures that are cut, puzzles left out, each once, in the order in which they are.
pub(super) fn cut_figures<'a>(job: &Job<'a>) -> Vec<CutFigure<'a>> {
    cut(job, false)
}

/// The seams that are cut, each figure once.
pub(super) fn cut_seams<'a>(job: &Job<'a>) -> Vec<CutFigure<'a>> {
    cut(job, true)
}

fn cut<'a>(job: &Job<'a>, seams: bool) -> Vec<CutFigure<'a>> {
    let mut done = BTreeSet::new();
    let cuts = job.burning().filter(|(_, o)| o.kind == OperationKind::Cut);
    let named = cuts.flat_map(|(run, o)| o.figures.iter().map(move |name| (run, o, name.as_str())));
    let is_seams = |name: &str| job.recipe.figure(name).is_some_and(Figure::is_seams);
    named
        .filter(|(.., name)| is_seams(name) == seams && done.insert(*name))
        .filter_map(|(run, operation, name)| {
            let drawing = &job.figures.get(name)?.drawing;
            let outlines = drawing.ink.contours().iter().chain(drawing.lines.iter().map(|l| &l.path));
            let lines = outlines.flat_map(subpaths).filter(|l| l.segments().next().is_some()).collect();
            Some(CutFigure { name, run, operation, lines })
        })
        .collect()
}

/// What is kept between the closed lines of cuts.
#[derive(Debug, Default)]
pub(super) struct Kept {
    /// What hangs together with the sheet or comes loose as a piece.
    pub pieces: Region,
    /// What lies loose in the openings of pieces.
    pub islands: Vec<Region>,
}

/// What the cuts keep; worked out once for all checks.
pub(super) fn kept(job: &Job, figures: &[CutFigure]) -> Arc<Kept> {
    let lines: Vec<&BezPath> = figures.iter().flat_map(CutFigure::closed).collect();
    let made_from = lines.iter().fold(MadeFrom::kind("kept by cuts"), |key, line| key.path(line));
    job.cache.keep(made_from, || kept_between(&lines))
}

fn kept_between(lines: &[&BezPath]) -> Kept {
    let all = BezPath::from_vec(lines.iter().flat_map(|l| l.elements().iter().copied()).collect());
    let Ok(kept) = Region::from_path(&all, FillRule::EvenOdd) else { return Kept::default() };
    let parts = kept.parts();
    if parts.len() > MOST_PARTS {
        return Kept { pieces: kept, islands: Vec::new() };
    }
    let whole: Vec<Region> = parts.iter().map(Region::without_holes).collect();
    let in_another = |i: usize| {
        let (Some(bounds), Some(at)) = (parts[i].bounds(), parts[i].interior_point()) else { return false };
        let holds = |other: &Region| {
            other.bounds().is_some_and(|b| b.area() > bounds.area() && b.union(bounds) == b)
                && other.contains(at.0)
        };
        (0..whole.len()).any(|k| k != i && holds(&whole[k]))
    };
    let (islands, pieces): (Vec<usize>, Vec<usize>) = (0..parts.len()).partition(|&i| in_another(i));
    let contours = pieces.iter().flat_map(|&i| parts[i].contours().iter().cloned()).collect();
    let islands = islands.into_iter().map(|i| parts[i].clone()).collect();
    Kept { pieces: Region::from_clean_contours(contours), islands }
}

/// Things found at places, sorted by the figure that is nearest; in the order of the figures.
pub(super) fn by_figure<T>(
    job: &Job,
    figures: &[CutFigure],
    found: Vec<T>,
    at: impl Fn(&T) -> Point,
) -> Vec<(usize, Vec<T>)> {
    let names: Vec<String> = figures.iter().map(|f| f.name.to_owned()).collect();
    let mut sorted: Vec<(usize, Vec<T>)> = (0..figures.len()).map(|i| (i, Vec::new())).collect();
    for thing in found {
        let name = job.figure_at(&names, at(&thing));
        if let Some(index) = figures.iter().position(|f| Some(f.name) == name) {
            sorted[index].1.push(thing);
        }
    }
    sorted.retain(|(_, things)| !things.is_empty());
    sorted
}

/// The width of the widest cut: its kerf as measured, or at least the spot where none was measured.
pub(super) fn cut_width(job: &Job) -> Mm {
    let measured = job.burning().filter_map(|(_, o)| o.setting.as_ref()?.kerf);
    measured.reduce(Mm::max).or(job.plan.stock.kerf).unwrap_or(job.plan.machine.spot)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Circle, Rect, Shape};

    #[test]
    fn closed_cuts_take_turns() {
        // A board, a window in it, a disc in the window with a hole in it, and a second hole in the board.
        let board = Rect::new(0.0, 0.0, 100.0, 60.0).to_path(0.1);
        let circle = |x: f64, r: f64| Circle::new((x, 30.0), r).to_path(1e-3);
        let lines = [board, circle(30.0, 20.0), circle(30.0, 10.0), circle(30.0, 4.0), circle(80.0, 10.0)];
        let kept = kept_between(&lines.iter().collect::<Vec<_>>());
        let disc = |r: f64| std::f64::consts::PI * r * r;
        assert!((kept.pieces.area().get() - (6000.0 - disc(20.0) - disc(10.0))).abs() < 0.3);
        let [island] = &kept.islands[..] else { panic!("{:?}", kept.islands) };
        assert!((island.area().get() - (disc(10.0) - disc(4.0))).abs() < 0.3);
    }

    #[test]
    fn parts_beside_each_other_are_no_islands() {
        let circle = |x: f64| Circle::new((x, 0.0), 10.0).to_path(1e-3);
        let lines = [circle(0.0), circle(30.0), circle(5.0)];
        assert!(kept_between(&lines.iter().collect::<Vec<_>>()).islands.is_empty());
        assert!(kept_between(&[]).pieces.is_empty());
    }
}
