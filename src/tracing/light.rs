//! The paper's own brightness, taken away.

use crate::geometry::LeastSquares;
use crate::raster::Plane;
use rayon::prelude::*;

/// The paper is looked at in blocks of this share of the longer side.
const BLOCKS: usize = 16;

/// Pixels that are read along a side of a large block: more say no more of its brightness.
const READ: usize = 32;

/// A block whose brightness is less than this share of the paper's is all ink, and says nothing of the paper.
const INKED: f64 = 0.85;

/// The first guess of the paper: blocks of at least this share of the brightness that three in five blocks have.
const FIRST_GUESS: f64 = 0.8;

/// Rounds in which blocks of ink are left out and the paper is worked out anew.
const ROUNDS: usize = 5;

/// Paper is never taken for darker than this.
const DARKEST: f32 = 0.05;

/// Turns grey values as coded (0 black to 1 white) into how much ink lies on each pixel, from 0 to 1, as if the paper were
/// everywhere as bright as can be.
pub(super) fn over_even_paper(plane: &mut Plane) {
    let (width, height) = (plane.width, plane.height);
    let size = width.max(height).div_ceil(BLOCKS).max(8);
    let (across, down) = (width.div_ceil(size), height.div_ceil(size));
    let bright: Vec<f64> = (0..across * down).map(|i| brightness(plane, size, i % across, i / across)).collect();
    let mut blocks = Plane { width: across, height: down, values: paper_of_blocks(&bright, across, down) };
    if across > 2 && down > 2 {
        blocks.blur(0.8);
    }
    let wide = widened(&blocks, size, width);
    plane.values.par_chunks_exact_mut(width).enumerate().for_each(|(y, row)| {
        let place = (y as f64 + 0.5) / size as f64 - 0.5;
        let (share, above) = ((place - place.floor()) as f32, place.floor() as isize);
        let paper = |y: isize| wide.row(y.clamp(0, down.cast_signed() - 1).cast_unsigned());
        for ((value, upper), lower) in row.iter_mut().zip(paper(above)).zip(paper(above + 1)) {
            let paper = upper + (lower - upper) * share;
            *value = (1.0 - *value / paper.max(DARKEST)).clamp(0.0, 1.0);
        }
    });
}

/// Blocks of `size` pixels spread to one value a pixel across, row by row of blocks.
fn widened(blocks: &Plane, size: usize, width: usize) -> Plane {
    let mut wide = Plane::new(width, blocks.height);
    for (y, row) in wide.values.chunks_exact_mut(width).enumerate() {
        for (x, value) in row.iter_mut().enumerate() {
            *value = blocks.between((x as f64 + 0.5) / size as f64, y as f64 + 0.5);
        }
    }
    wide
}

/// The brightness that one pixel in ten of a block exceeds.
fn brightness(coded: &Plane, size: usize, column: usize, row: usize) -> f64 {
    let (x, y) = (column * size, row * size);
    let step = (size / READ).max(2);
    let rows = (y..(y + size).min(coded.height)).step_by(step);
    let mut values: Vec<f32> = rows
        .flat_map(|y| (x..(x + size).min(coded.width)).step_by(step).map(move |x| (x, y)))
        .map(|(x, y)| coded.at(x, y))
        .collect();
    let at = values.len() * 9 / 10;
    let (_, value, _) = values.select_nth_unstable_by(at, f32::total_cmp);
    f64::from(*value)
}

/// The paper's brightness in each block: as it is seen, or where a block is all ink, that of a surface of the second degree
/// through the others. Without the surface, a drawing with a large black area would lose it.
fn paper_of_blocks(bright: &[f64], across: usize, down: usize) -> Vec<f32> {
    let mut sorted = bright.to_vec();
    sorted.sort_by(f64::total_cmp);
    let usual = sorted[sorted.len() * 3 / 5];
    let mut kept: Vec<bool> = bright.iter().map(|&b| b >= FIRST_GUESS * usual).collect();
    let terms = |i: usize| {
        let x = (i % across) as f64 / across as f64 - 0.5;
        let y = (i / across) as f64 / down as f64 - 0.5;
        [1.0, x, y, x * x, x * y, y * y]
    };
    let mut surface = vec![usual; bright.len()];
    for _ in 0..ROUNDS {
        let mut system = LeastSquares::<6>::new();
        (0..bright.len()).filter(|&i| kept[i]).for_each(|i| system.add(terms(i), bright[i]));
        let found = system.solve();
        for (i, level) in surface.iter_mut().enumerate() {
            *level = terms(i).iter().zip(found).map(|(t, f)| t * f).sum::<f64>().clamp(0.3 * usual, 1.0);
        }
        kept = (0..bright.len()).map(|i| bright[i] >= INKED * surface[i]).collect();
    }
    (0..bright.len()).map(|i| if kept[i] { bright[i] } else { surface[i] } as f32).collect()
}
