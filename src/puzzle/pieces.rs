//! Faces to numbered pieces.

use super::PuzzlePiece;
use super::company::company;
use super::graph::{Graph, Side};
use super::pole::largest_circle;
use crate::geometry::Region;
use crate::units::Mm;
use kurbo::{BezPath, PathSeg, Point, Shape};
use rayon::prelude::*;

/// Faces whose middles lie less than this below the highest one, in cells, stand in one row with it.
const ROW_HEIGHT: f64 = 0.5;

/// The row and column (from 0) of every face, told from the middle of its box while its sides are straight.
pub(super) fn cells(graph: &Graph, size: f64) -> Vec<(usize, usize)> {
    let middle = |face: usize| outline(graph, &graph.faces[face]).bounding_box().center();
    let mut faces: Vec<(Point, usize)> = (0..graph.faces.len()).map(|f| (middle(f), f)).collect();
    faces.sort_by(|a, b| a.0.y.total_cmp(&b.0.y));
    let mut cells = vec![(0, 0); faces.len()];
    let (mut row, mut rest) = (0, &mut faces[..]);
    while let Some(top) = rest.first().map(|f| f.0.y) {
        let count = rest.iter().take_while(|f| f.0.y < top + ROW_HEIGHT * size).count();
        let (of_row, below) = rest.split_at_mut(count);
        of_row.sort_by(|a, b| a.0.x.total_cmp(&b.0.x));
        for (column, (_, face)) in of_row.iter().enumerate() {
            cells[*face] = (row, column);
        }
        (row, rest) = (row + 1, below);
    }
    cells
}

/// The number of the piece, from 1, that every face becomes: row by row from the left top.
pub(super) fn numbers(cells: &[(usize, usize)]) -> Vec<usize> {
    let mut numbers = vec![0; cells.len()];
    order(cells).into_iter().enumerate().for_each(|(index, face)| numbers[face] = index + 1);
    numbers
}

fn order(cells: &[(usize, usize)]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..cells.len()).collect();
    order.sort_by_key(|&face| cells[face]);
    order
}

/// The pieces in the order of their numbers.
pub(super) fn pieces(graph: &Graph, cells: &[(usize, usize)], numbers: &[usize]) -> Vec<PuzzlePiece> {
    let piece = |(index, face): (usize, usize)| {
        let sides = &graph.faces[face];
        let (middle, room) = largest_circle(&segments(graph, sides));
        let company = company(graph, face);
        let mut neighbours: Vec<usize> = company.faces.iter().map(|&f| numbers[f]).collect();
        neighbours.sort_unstable();
        PuzzlePiece {
            number: index + 1,
            is_whimsy: graph.is_whimsy(face),
            row: cells[face].0 + 1,
            column: cells[face].1 + 1,
            outline: Region::from_clean_contours(vec![outline(graph, sides)]),
            middle,
            room: Mm::new(room),
            neighbours,
            knobs: company.knobs,
            sockets: company.sockets,
        }
    };
    order(cells).into_par_iter().enumerate().map(piece).collect()
}

fn segments(graph: &Graph, sides: &[Side]) -> Vec<PathSeg> {
    sides.iter().flat_map(|&s| graph.walk(s)).collect()
}

fn outline(graph: &Graph, sides: &[Side]) -> BezPath {
    let mut path = BezPath::from_path_segments(segments(graph, sides).into_iter());
    path.close_path();
    // There are as many as pieces: no more room than they fill.
    BezPath::from_vec(path.elements().to_vec())
}
