//! Which pieces a piece meets, and whose knobs go into whose sockets.

use super::graph::{Graph, Side};
use kurbo::{ParamCurve, PathSeg};

/// Points of a curve that are looked at.
const SAMPLES: u32 = 8;

/// What a face meets.
pub(super) struct Company {
    /// The faces beside it, each once, in their order.
    pub faces: Vec<usize>,
    /// How many of its seams have its own knob.
    pub knobs: usize,
    /// How many have the knob of the other piece, in a socket of its own.
    pub sockets: usize,
}

/// The company of a face.
pub(super) fn company(graph: &Graph, face: usize) -> Company {
    let seams = || graph.faces[face].iter().filter(|s| graph.edges[s.edge].is_seam());
    let other = |side: &Side| graph.edges[side.edge].faces[usize::from(side.forwards)];
    let mut faces: Vec<usize> = graph.faces[face].iter().filter_map(other).collect();
    faces.sort_unstable();
    faces.dedup();
    let knobs = seams().filter(|&&s| has_knob(&graph.walk(s))).count();
    Company { faces, knobs, sockets: seams().count() - knobs }
}

/// Whether a seam, walked with its piece on the side of positive angles, has the knob of that piece: the head is the
/// part of a seam that lies farthest from the straight way between its ends.
fn has_knob(seam: &[PathSeg]) -> bool {
    let (Some(first), Some(last)) = (seam.first(), seam.last()) else { return false };
    let (start, chord) = (first.start(), last.end() - first.start());
    let points = seam.iter().flat_map(|s| (0..=SAMPLES).map(|k| s.eval(f64::from(k) / f64::from(SAMPLES))));
    let offsets = points.map(|p| chord.cross(p - start));
    offsets.max_by(|a, b| a.abs().total_cmp(&b.abs())).is_some_and(|farthest| farthest < 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::BezPath;

    #[test]
    fn a_bulge_away_from_the_piece_is_its_knob() {
        // The upper side of a piece that lies below it, walked from left to right: with y down, to positive angles.
        let side = |d: &str| BezPath::from_svg(d).unwrap().segments().collect::<Vec<_>>();
        assert!(has_knob(&side("M0 0 L8 1 C8 -8 12 -8 12 1 L20 0")));
        assert!(!has_knob(&side("M0 0 L8 -1 C8 8 12 8 12 -1 L20 0")));
    }
}
