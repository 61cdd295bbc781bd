//! A lattice for any outline: many are tried, the most even one with the right number of pieces is taken.

use super::chance::Chance;
use super::clip::LooseLattice;
use super::draft::Draft;
use super::graph::{Graph, Side};
use super::merge::merge;
use super::relax::Relaxer;
use super::rings::{Rings, Role};
use kurbo::{Size, Vec2};

/// Cell sizes that are tried, as shares of the size that would fill the board exactly.
const SIZES: [f64; 6] = [0.86, 0.9, 0.94, 0.97, 1.0, 1.03];
/// Where the first line is put, in cells.
const PHASES: [f64; 4] = [0.0, 0.25, 0.5, 0.75];
/// How far a lattice with given rows and columns may be shifted, in cells, where it does not fit as it is.
const SHIFTS: [f64; 5] = [0.0, -0.08, 0.08, -0.16, 0.16];
/// How many more pieces than asked for a lattice may have before the smallest are joined.
const SPARE: f64 = 0.2;
const LEAST_SPARE: usize = 4;
/// On a rectangle: the longest cell, over its width; the fewest and the most cells, over those that would fill the board
/// exactly; how many grids are tried.
const LONGEST_CELL: f64 = 1.5;
const FEWEST_CELLS: f64 = 0.85;
const MOST_CELLS: f64 = 1.5;
const MOST_GRIDS: usize = 48;
/// How many of the best lattices are worked out in full.
const FULL_TRIES: usize = 24;
/// How many of those must succeed before the best is taken.
const ENOUGH: usize = 3;
/// Pieces more compact than this are all alike good; a disc has 1, a square 0.79, an even triangle 0.6.
const COMPACT: f64 = 0.65;

/// Where lattices come from.
pub(super) struct Shaped<'a> {
    /// The board's outline.
    pub rings: &'a Rings,
    /// How far a corner strays, as a share of a cell each way.
    pub stray: f64,
    /// Where chance comes from.
    pub chance: Chance,
    /// Whether the outline is a rectangle.
    pub is_rectangular: bool,
}

/// A lattice and how uneven it is.
struct Candidate {
    lattice: LooseLattice,
    unevenness: f64,
}

impl Shaped<'_> {
    /// Drafts with exactly `pieces` pieces, the most even one first.
    pub(super) fn with_pieces(&self, pieces: usize) -> Vec<Draft> {
        let cell = self.rings.area() / pieces.saturating_sub(self.rings.count(Role::Whimsy)).max(1) as f64;
        let most = pieces + LEAST_SPARE.max((SPARE * pieces as f64) as usize);
        let mut candidates: Vec<Candidate> = Vec::new();
        for lattice in self.lattices(cell) {
            let Some((draft, graph)) = self.merged(lattice, cell, None) else { continue };
            let count = graph.faces.len();
            if (pieces..=most).contains(&count) && !draft.seams.is_empty() {
                let off = (count as f64 - pieces as f64 - 1.0).abs();
                candidates.push(Candidate { lattice, unevenness: unevenness(&graph) + 0.04 * off });
            }
        }
        candidates.sort_by(|a, b| a.unevenness.total_cmp(&b.unevenness));
        let full =
            |c: &Candidate| self.relaxed(c.lattice, cell, Some(pieces)).filter(|(_, g)| g.faces.len() == pieces);
        Self::best(candidates.iter().take(FULL_TRIES).filter_map(full).take(ENOUGH))
    }

    /// The lattices that are tried for cells of this area, mm².
    fn lattices(&self, cell: f64) -> Vec<LooseLattice> {
        let mut found = if self.is_rectangular { self.filling(cell) } else { Vec::new() };
        for size in SIZES {
            for (x, y) in PHASES.iter().flat_map(|&x| PHASES.iter().map(move |&y| (x, y))) {
                let side = size * cell.sqrt();
                found.push(self.lattice(Size::new(side, side), Vec2::new(x, y)));
            }
        }
        found
    }

    /// Lattices of whole cells that fill the board's box, the squarest first.
    fn filling(&self, cell: f64) -> Vec<LooseLattice> {
        let Size { width, height } = self.rings.bounds().size();
        let wanted = width * height / cell;
        let columns = (wanted * width / height).sqrt();
        let range = |n: f64| ((n / LONGEST_CELL).floor().max(1.0) as usize)..=((n * LONGEST_CELL).ceil() as usize);
        let mut grids: Vec<(f64, Size)> = Vec::new();
        for c in range(columns) {
            for r in range(wanted / columns) {
                let size = Size::new(width / c as f64, height / r as f64);
                let (fill, long) = ((c * r) as f64 / wanted, size.max_side() / size.min_side());
                if (FEWEST_CELLS..=MOST_CELLS).contains(&fill) && long <= LONGEST_CELL {
                    grids.push((long - 1.0 + (fill - 1.0).abs(), size));
                }
            }
        }
        grids.sort_by(|a, b| a.0.total_cmp(&b.0));
        grids.truncate(MOST_GRIDS);
        let filling = |(_, size)| LooseLattice { fills_box: true, ..self.lattice(size, Vec2::ZERO) };
        grids.into_iter().map(filling).collect()
    }

    /// Drafts for given cells, with as many pieces as are left once slivers are joined.
    pub(super) fn with_cells(&self, cell: Size) -> Vec<Draft> {
        let mut shifts: Vec<Vec2> =
            SHIFTS.iter().flat_map(|&x| SHIFTS.iter().map(move |&y| Vec2::new(x, y))).collect();
        shifts.sort_by(|a, b| a.hypot2().total_cmp(&b.hypot2()));
        let filling = LooseLattice { fills_box: true, ..self.lattice(cell, Vec2::ZERO) };
        let loose = shifts.iter().map(|&shift| self.lattice(cell, shift));
        let lattices = self.is_rectangular.then_some(filling).into_iter().chain(loose);
        Self::best(lattices.filter_map(|l| self.relaxed(l, cell.area(), None)).take(ENOUGH))
    }

    fn lattice(&self, cell: Size, phase: Vec2) -> LooseLattice {
        LooseLattice { cell, phase, stray: self.stray * cell.area().sqrt(), fills_box: false }
    }

    fn best(found: impl IntoIterator<Item = (Draft, Graph)>) -> Vec<Draft> {
        let mut found: Vec<(Draft, Graph)> = found.into_iter().collect();
        found.sort_by(|a, b| unevenness(&a.1).total_cmp(&unevenness(&b.1)));
        found.into_iter().map(|(draft, _)| draft).collect()
    }

    /// The lattice cut off at the outline, with its slivers joined.
    fn merged(&self, lattice: LooseLattice, cell: f64, most: Option<usize>) -> Option<(Draft, Graph)> {
        let mut draft = lattice.clip(self.rings, self.chance);
        if !draft.take_out(&vec![false; draft.seams.len()]) {
            return None;
        }
        let graph = draft.graph(self.rings)?;
        let (removed, _) = merge(&graph, cell, most);
        if !draft.take_out(&removed[..draft.seams.len()]) {
            return None;
        }
        let graph = draft.graph(self.rings)?;
        Some((draft, graph))
    }

    fn relaxed(&self, lattice: LooseLattice, cell: f64, most: Option<usize>) -> Option<(Draft, Graph)> {
        let (draft, _) = self.merged(lattice, cell, most)?;
        let relaxer = Relaxer::new(&draft, self.rings, cell)?;
        let draft = relaxer.relax(draft)?;
        let graph = draft.graph(self.rings)?;
        Some((draft, graph))
    }
}

/// The spread of the pieces' areas over their mean, and penalties for outliers and for a thin piece.
fn unevenness(graph: &Graph) -> f64 {
    let cells: Vec<&Vec<Side>> =
        (0..graph.faces.len()).filter(|&f| !graph.is_whimsy(f)).map(|f| &graph.faces[f]).collect();
    let areas: Vec<f64> = cells.iter().map(|sides| graph.area(sides)).collect();
    let mean = areas.iter().sum::<f64>() / areas.len().max(1) as f64;
    let spread = areas.iter().map(|a| (a / mean - 1.0).powi(2)).sum::<f64>() / areas.len().max(1) as f64;
    let largest = areas.iter().copied().fold(0.0, f64::max) / mean;
    let smallest = areas.iter().copied().fold(f64::INFINITY, f64::min) / mean;
    let compactness = cells.iter().zip(&areas).map(|(sides, area)| {
        let perimeter = graph.perimeter(sides);
        4.0 * std::f64::consts::PI * area / (perimeter * perimeter)
    });
    let thinnest = compactness.fold(f64::INFINITY, f64::min);
    spread.sqrt()
        + 0.15 * (largest - 1.6).max(0.0)
        + 0.3 * (0.6 - smallest).max(0.0)
        + 0.8 * (COMPACT - thinnest).max(0.0)
}
