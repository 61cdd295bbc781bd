//! Which lattice for which board.

use super::chance::Chance;
use super::character::Style;
use super::draft::Draft;
use super::floors::Floors;
use super::grid::{Grid, too_small};
use super::lattice::LatticeMaker;
use super::rings::{Rings, Role};
use super::shaped::Shaped;
use super::{Lattice, PuzzleError, PuzzleRequest};
use crate::units::Mm;
use kurbo::Size;

/// More pieces than this are only cut from rectangles: fitting a lattice to an outline takes its time.
const MOST_SHAPED: usize = 1000;
/// How near a whimsy may be to the outline, to a hole and to another whimsy, in cells. A judgement of this project: a piece
/// between them needs room for knobs.
const NEAREST_RING: f64 = 0.5;
/// How large, in cells, a hole has to be for the lines of most lattices to meet it.
const LEAST_HOLE: f64 = 0.7;
/// How far from the number asked for another one is looked for.
const FARTHEST: usize = 4;

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
    rings: &Rings,
    chance: Chance,
    floors: Floors,
) -> Result<Drafts, PuzzleError> {
    let stray = Style::of(request).lattice().stray;
    let is_rectangular = is_rectangular(rings, chance);
    let shaped = Shaped { rings, stray, chance, is_rectangular };
    if !is_rectangular || !rings.are_only_the_outline() {
        return nearest(request.lattice, &shaped, floors);
    }
    match Grid::choose(request.lattice, rings.bounds().size(), floors.cell) {
        Ok(grid) => on_grid(grid, &shaped).map_or_else(|| nearest(request.lattice, &shaped, floors), Ok),
        // No even grid has so many cells; an uneven lattice may come out at that number, else the next grid has to do.
        Err(PuzzleError::NoSuchGrid { pieces, below, above }) if pieces >= 2 => {
            let next = [below, above].into_iter().flatten().min_by_key(|n| n.abs_diff(pieces));
            exactly(request.lattice, &shaped, floors).or_else(|error| {
                let lattice = Lattice::Pieces(next.ok_or(error)?);
                let grid = Grid::choose(lattice, rings.bounds().size(), floors.cell)?;
                on_grid(grid, &shaped).ok_or(error)
            })
        }
        Err(error) => Err(error),
    }
}

/// The one draft that is plainly rows and columns.
fn on_grid(grid: Grid, shaped: &Shaped) -> Option<Drafts> {
    let size = grid.cell_size(shaped.rings.bounds().size());
    let stray = shaped.stray * size;
    let draft = LatticeMaker { rings: shaped.rings, grid, stray, chance: shaped.chance }.make()?;
    Some(Drafts { drafts: vec![draft], size })
}

/// Drafts with as many pieces as asked for, or else with the next number that comes out.
fn nearest(lattice: Lattice, shaped: &Shaped, floors: Floors) -> Result<Drafts, PuzzleError> {
    let exact = exactly(lattice, shaped, floors);
    let (Err(PuzzleError::NoLatticeForOutline { .. }), Lattice::Pieces(pieces)) = (&exact, lattice) else {
        return exact;
    };
    let others = (1..=FARTHEST).flat_map(|off| [pieces.checked_sub(off), pieces.checked_add(off)]).flatten();
    let found = others.map(|n| exactly(Lattice::Pieces(n), shaped, floors)).find(Result::is_ok);
    found.unwrap_or(exact)
}

/// Whether seams could end squarely on all four sides of the board's box, corners left out.
fn is_rectangular(rings: &Rings, chance: Chance) -> bool {
    // A circle touches its box in the middle of each side, so the quarters are looked at too.
    let grid = Grid { rows: 4, columns: 4 };
    (LatticeMaker { rings, grid, stray: 0.0, chance }).make().is_some()
}

/// Drafts from lattices that are cut off at the rings, with exactly as many pieces as asked for.
fn exactly(lattice: Lattice, shaped: &Shaped, floors: Floors) -> Result<Drafts, PuzzleError> {
    let bounds = shaped.rings.bounds().size();
    let whimsies = shaped.rings.count(Role::Whimsy);
    let (pieces, size) = match lattice {
        Lattice::Pieces(n) => (n, (shaped.rings.area() / n.saturating_sub(whimsies).max(1) as f64).sqrt()),
        Lattice::Grid { rows, columns } => {
            let grid = Grid { rows: rows.max(1), columns: columns.max(1) };
            (rows.saturating_mul(columns), grid.cell_size(bounds))
        }
    };
    // One whimsy alone would leave a board with a hole that no seam opens.
    if pieces < 2 + whimsies {
        return Err(PuzzleError::NoSuchGrid { pieces, below: None, above: Some(2 + whimsies) });
    }
    shaped.rings.keep_apart(NEAREST_RING * size.max(floors.cell))?;
    if size < floors.cell {
        return Err(too_small(size, shaped.rings.area(), floors.cell));
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
    if !drafts.is_empty() {
        return Ok(Drafts { drafts, size });
    }
    let least = LEAST_HOLE * size;
    Err(match shaped.rings.hole_below(least) {
        Some(at) => PuzzleError::HoleTooSmall { at, least: Mm::new(least) },
        None => PuzzleError::NoLatticeForOutline { pieces },
    })
}
