//! Which lattice for which board.

use super::chance::Chance;
use super::draft::Draft;
use super::floors::Floors;
use super::grid::{Grid, too_small};
use super::lattice::LatticeMaker;
use super::ring::Ring;
use super::shaped::Shaped;
use super::{Lattice, PuzzleError, PuzzleRequest};
use kurbo::Size;

/// More pieces than this are only cut from rectangles: fitting a lattice to an outline takes its time.
const MOST_SHAPED: usize = 1000;

/// The drafts for a board, the one to prefer first.
pub(super) struct Drafts {
    /// All have the pieces that were asked for.
    pub drafts: Vec<Draft>,
    /// The length that knobs are measured by, mm.
    pub size: f64,
}

/// Drafts for a request; never none.
pub(super) fn drafts(
    request: &PuzzleRequest,
    ring: &Ring,
    chance: Chance,
    floors: Floors,
) -> Result<Drafts, PuzzleError> {
    let stray = request.knob.lattice().stray;
    if is_rectangular(ring, chance) {
        let grid = Grid::choose(request.lattice, ring.bounds().size(), floors.cell)?;
        let size = grid.cell_size(ring.bounds().size());
        if let Some(draft) = (LatticeMaker { ring, grid, stray: stray * size, chance }).make() {
            return Ok(Drafts { drafts: vec![draft], size });
        }
    }
    shaped(request.lattice, &Shaped { ring, stray, chance }, floors)
}

/// Whether seams could end squarely on all four sides of the board's box, corners left out.
fn is_rectangular(ring: &Ring, chance: Chance) -> bool {
    // A circle touches its box in the middle of each side, so the quarters are looked at too.
    let grid = Grid { rows: 4, columns: 4 };
    (LatticeMaker { ring, grid, stray: 0.0, chance }).make().is_some()
}

/// Drafts for an outline that is no rectangle.
fn shaped(lattice: Lattice, shaped: &Shaped, floors: Floors) -> Result<Drafts, PuzzleError> {
    let bounds = shaped.ring.bounds().size();
    let (pieces, size) = match lattice {
        Lattice::Pieces(n) => (n, (shaped.ring.area() / n.max(1) as f64).sqrt()),
        Lattice::Grid { rows, columns } => {
            let grid = Grid { rows: rows.max(1), columns: columns.max(1) };
            (rows.saturating_mul(columns), grid.cell_size(bounds))
        }
    };
    if pieces < 2 {
        return Err(PuzzleError::NoSuchGrid { pieces, below: None, above: Some(2) });
    }
    if size < floors.cell {
        return Err(too_small(size, shaped.ring.area(), floors.cell));
    }
    if pieces > MOST_SHAPED {
        return Err(PuzzleError::TooManyForOutline { pieces, most: MOST_SHAPED });
    }
    let drafts = match lattice {
        Lattice::Pieces(n) => shaped.with_pieces(n),
        Lattice::Grid { rows, columns } => {
            shaped.with_cells(Size::new(bounds.width / columns as f64, bounds.height / rows as f64))
        }
    };
    if drafts.is_empty() { Err(PuzzleError::NoLatticeForOutline { pieces }) } else { Ok(Drafts { drafts, size }) }
}
