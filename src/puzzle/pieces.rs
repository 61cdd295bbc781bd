//! Faces to numbered pieces.

use super::graph::{Graph, Side};
use super::grid::Grid;
use super::pole::largest_circle;
use super::{PuzzleError, PuzzlePiece};
use crate::geometry::Region;
use crate::units::Mm;
use kurbo::{BezPath, PathSeg, Rect, Shape};

/// The row and column (from 0) of every face, told from the middle of its box while its sides are straight.
pub(super) fn cells(graph: &Graph, grid: Grid, board: Rect) -> Result<Vec<(usize, usize)>, PuzzleError> {
    let cell = grid.cell(board.size());
    let of = |sides: &Vec<Side>| {
        let middle = outline(graph, sides).bounding_box().center() - board.origin();
        ((middle.y / cell.height) as usize, (middle.x / cell.width) as usize)
    };
    let cells: Vec<_> = graph.faces.iter().map(of).collect();
    let mut sorted = cells.clone();
    sorted.sort_unstable();
    let all = (0..grid.rows).flat_map(|row| (0..grid.columns).map(move |column| (row, column)));
    if sorted.into_iter().eq(all) {
        Ok(cells)
    } else {
        Err(PuzzleError::Unproven { what: "every cell of the lattice is one piece" })
    }
}

/// The pieces, row by row from the left top.
pub(super) fn pieces(graph: &Graph, cells: &[(usize, usize)]) -> Vec<PuzzlePiece> {
    let mut order: Vec<usize> = (0..cells.len()).collect();
    order.sort_by_key(|&face| cells[face]);
    let piece = |(index, face): (usize, usize)| {
        let sides = &graph.faces[face];
        let (middle, room) = largest_circle(&segments(graph, sides));
        PuzzlePiece {
            number: index + 1,
            row: cells[face].0 + 1,
            column: cells[face].1 + 1,
            outline: Region::from_clean_contours(vec![outline(graph, sides)]),
            middle,
            room: Mm::new(room),
        }
    };
    order.into_iter().enumerate().map(piece).collect()
}

fn segments(graph: &Graph, sides: &[Side]) -> Vec<PathSeg> {
    sides.iter().flat_map(|&s| graph.walk(s)).collect()
}

fn outline(graph: &Graph, sides: &[Side]) -> BezPath {
    let mut path = BezPath::from_path_segments(segments(graph, sides).into_iter());
    path.close_path();
    path
}
