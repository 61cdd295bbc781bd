//! A lattice for any outline: many are tried, the most even one with the right number of pieces is taken.

use super::chance::Chance;
use super::clip::LooseLattice;
use super::draft::Draft;
use super::graph::Graph;
use super::merge::merge;
use super::relax::Relaxer;
use super::ring::Ring;
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
/// How many of the best lattices are worked out in full.
const FULL_TRIES: usize = 24;
/// How many of those must succeed before the best is taken.
const ENOUGH: usize = 3;
/// Pieces more compact than this are all alike good; a disc has 1, a square 0.79, an even triangle 0.6.
const COMPACT: f64 = 0.65;

/// Where lattices come from.
pub(super) struct Shaped<'a> {
    /// The board's outline.
    pub ring: &'a Ring,
    /// How far a corner strays, as a share of a cell each way.
    pub stray: f64,
    /// Where chance comes from.
    pub chance: Chance,
}

/// A lattice and how uneven it is.
struct Candidate {
    lattice: LooseLattice,
    unevenness: f64,
}

impl Shaped<'_> {
    /// Drafts with exactly `pieces` pieces, the most even one first.
    pub(super) fn with_pieces(&self, pieces: usize) -> Vec<Draft> {
        let cell = self.ring.area() / pieces as f64;
        let most = pieces + LEAST_SPARE.max((SPARE * pieces as f64) as usize);
        let mut candidates: Vec<Candidate> = Vec::new();
        for size in SIZES {
            for (x, y) in PHASES.iter().flat_map(|&x| PHASES.iter().map(move |&y| (x, y))) {
                let side = size * cell.sqrt();
                let lattice = self.lattice(Size::new(side, side), Vec2::new(x, y));
                let Some((draft, graph)) = self.merged(lattice, cell, None) else { continue };
                let count = graph.faces.len();
                if (pieces..=most).contains(&count) && !draft.seams.is_empty() {
                    let off = (count as f64 - pieces as f64 - 1.0).abs();
                    candidates.push(Candidate { lattice, unevenness: unevenness(&graph) + 0.04 * off });
                }
            }
        }
        candidates.sort_by(|a, b| a.unevenness.total_cmp(&b.unevenness));
        let full =
            |c: &Candidate| self.relaxed(c.lattice, cell, Some(pieces)).filter(|(_, g)| g.faces.len() == pieces);
        Self::best(candidates.iter().take(FULL_TRIES).filter_map(full).take(ENOUGH))
    }

    /// Drafts for given cells, with as many pieces as are left once slivers are joined.
    pub(super) fn with_cells(&self, cell: Size) -> Vec<Draft> {
        let mut shifts: Vec<Vec2> =
            SHIFTS.iter().flat_map(|&x| SHIFTS.iter().map(move |&y| Vec2::new(x, y))).collect();
        shifts.sort_by(|a, b| a.hypot2().total_cmp(&b.hypot2()));
        let full = |&shift: &Vec2| self.relaxed(self.lattice(cell, shift), cell.area(), None);
        Self::best(shifts.iter().filter_map(full).take(ENOUGH))
    }

    fn lattice(&self, cell: Size, phase: Vec2) -> LooseLattice {
        LooseLattice { cell, phase, stray: self.stray * cell.area().sqrt() }
    }

    fn best(found: impl IntoIterator<Item = (Draft, Graph)>) -> Vec<Draft> {
        let mut found: Vec<(Draft, Graph)> = found.into_iter().collect();
        found.sort_by(|a, b| unevenness(&a.1).total_cmp(&unevenness(&b.1)));
        found.into_iter().map(|(draft, _)| draft).collect()
    }

    /// The lattice cut off at the outline, with its slivers joined.
    fn merged(&self, lattice: LooseLattice, cell: f64, most: Option<usize>) -> Option<(Draft, Graph)> {
        let mut draft = lattice.clip(self.ring, self.chance);
        if !draft.take_out(&vec![false; draft.seams.len()]) {
            return None;
        }
        let graph = draft.graph(self.ring)?;
        let (removed, _) = merge(&graph, cell, most);
        if !draft.take_out(&removed[..draft.seams.len()]) {
            return None;
        }
        let graph = draft.graph(self.ring)?;
        Some((draft, graph))
    }

    fn relaxed(&self, lattice: LooseLattice, cell: f64, most: Option<usize>) -> Option<(Draft, Graph)> {
        let (draft, _) = self.merged(lattice, cell, most)?;
        let relaxer = Relaxer::new(&draft, self.ring, cell)?;
        let draft = relaxer.relax(draft)?;
        let graph = draft.graph(self.ring)?;
        Some((draft, graph))
    }
}

/// The spread of the pieces' areas over their mean, and penalties for outliers and for a thin piece.
fn unevenness(graph: &Graph) -> f64 {
    let areas: Vec<f64> = graph.faces.iter().map(|sides| graph.area(sides)).collect();
    let mean = areas.iter().sum::<f64>() / areas.len().max(1) as f64;
    let spread = areas.iter().map(|a| (a / mean - 1.0).powi(2)).sum::<f64>() / areas.len().max(1) as f64;
    let largest = areas.iter().copied().fold(0.0, f64::max) / mean;
    let smallest = areas.iter().copied().fold(f64::INFINITY, f64::min) / mean;
    let compactness = graph.faces.iter().zip(&areas).map(|(sides, area)| {
        let perimeter = graph.perimeter(sides);
        4.0 * std::f64::consts::PI * area / (perimeter * perimeter)
    });
    let thinnest = compactness.fold(f64::INFINITY, f64::min);
    spread.sqrt()
        + 0.15 * (largest - 1.6).max(0.0)
        + 0.3 * (0.6 - smallest).max(0.0)
        + 0.8 * (COMPACT - thinnest).max(0.0)
}
