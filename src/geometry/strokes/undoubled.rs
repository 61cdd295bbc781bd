//! Lines that are left as they were drawn, but for the stretches that lie on another one.

use super::Once;
use super::covered::{self, left_over};
use super::line::{self, Line};
use crate::units::Mm;
use kurbo::{BezPath, ParamCurve, PathEl, PathSeg};

/// Lines of which nothing lies on another any more.
#[derive(Clone, Debug, Default)]
pub struct Undoubled {
    /// What is left, in the order it was given, each piece with the index of its line. A line that nothing was taken
    /// from comes back as it was.
    pub lines: Vec<(usize, BezPath)>,
    /// The stretches that were taken away, in the order of the lines that lost them.
    pub once: Vec<Once>,
    /// Their length together.
    pub saved: Mm,
}

/// Takes away every stretch of a line that runs along another one, or along itself, within `tolerance`. Of two such
/// lines the same one stays as in [`clean_up`](super::clean_up), but nothing is joined.
pub fn undoubled(lines: &[BezPath], tolerance: Mm) -> Undoubled {
    let given = line::in_order(lines);
    let covered = covered::covered(&given, tolerance.get());
    let mut left: Vec<Option<Vec<BezPath>>> = vec![None; lines.len()];
    for (line, dropped) in given.iter().zip(&covered.stretches).filter(|(_, d)| !d.is_empty()) {
        left[line.index] = Some(pieces(line, dropped));
    }
    let pieces = left.into_iter().enumerate().flat_map(|(index, left)| {
        let left = left.unwrap_or_else(|| vec![lines[index].clone()]);
        left.into_iter().map(move |path| (index, path))
    });
    let lines = pieces.collect();
    let mut once = covered.once;
    once.sort_by_key(|o| (o.dropped, o.kept));
    Undoubled { lines, once, saved: Mm::new(covered.saved) }
}

/// What is left of a line; what lies on both sides of the start of a closed one is one piece.
fn pieces(line: &Line, dropped: &[(f64, f64)]) -> Vec<BezPath> {
    let mut left: Vec<Vec<PathSeg>> =
        left_over(dropped, line).into_iter().map(|(from, to)| line.between(from, to).collect()).collect();
    let at_seam = |d: &(f64, f64)| d.0 <= 0.0 || d.1 >= line.length();
    if line.closed
        && left.len() > 1
        && !dropped.iter().any(at_seam)
        && let Some(mut last) = left.pop()
    {
        last.append(&mut left[0]);
        left[0] = last;
    }
    left.iter().map(|segments| path(segments)).collect()
}

fn path(segments: &[PathSeg]) -> BezPath {
    let start = segments.first().map(|s| PathEl::MoveTo(s.start()));
    start.into_iter().chain(segments.iter().map(PathSeg::as_path_el)).collect()
}
