//! The direction in which every seam leaves its corners.
//!
//! Seams that go on through each other share one tangent, so that a stroke runs on without a kink. On the
//! outline, seams divide the angle there into equal parts: one alone stands square to it.

use super::chance::{Chance, wave_sign};
use super::character::LatticeStyle;
use super::graph::{Graph, Side};
use super::rings::Rings;
use kurbo::Vec2;

/// The least angle at which two seams cross, degrees: sharper tips break off.
const SHARPEST_CROSSING: f64 = 66.0;
/// Two seams go on through each other at a corner when they meet straighter than this: cosine of 180° - 55°.
pub(super) const STRAIGHT: f64 = -0.573_576_436_351_046;
/// A seam that ends on another one may lean by this from square to it, degrees, towards its chord.
const LEAN_AT_END: f64 = 20.0;

/// Sets the tangents of all seams of a graph whose seams are straight.
pub(super) fn set_tangents(graph: &mut Graph, rings: &Rings, style: LatticeStyle, chance: Chance) {
    for (node, fan) in graph.fans().into_iter().enumerate() {
        let seams: Vec<Side> = fan.into_iter().filter(|s| graph.edges[s.edge].is_seam()).collect();
        let angles = match graph.nodes[node].place {
            Some(place) => on_outline(graph, &seams, rings.tangents(place)),
            None => inside(graph, &seams, node, style, chance),
        };
        for (side, angle) in angles {
            let (sine, cosine) = libm::sincos(angle.to_radians());
            // The angles of an outline that runs along an axis are exact, their sines only nearly so.
            let clean = |v: f64| if v.abs() < 1e-12 { 0.0 } else { v };
            let leaving = Vec2::new(clean(cosine), clean(sine));
            let edge = &mut graph.edges[side.edge];
            edge.tangents[usize::from(!side.forwards)] = if side.forwards { leaving } else { -leaving };
        }
    }
}

/// The angles of seams that end on the outline, which arrives and leaves with these tangents.
fn on_outline(graph: &Graph, seams: &[Side], [arriving, leaving]: [Vec2; 2]) -> Vec<(Side, f64)> {
    let start = degrees(leaving);
    let opening = (degrees(-arriving) - start).rem_euclid(360.0);
    let from_start = |side: &Side| (degrees(graph.leaving(*side)) - start).rem_euclid(360.0);
    let mut ordered = seams.to_vec();
    ordered.sort_by(|a, b| from_start(a).total_cmp(&from_start(b)));
    let part = opening / (seams.len() as f64 + 1.0);
    ordered.into_iter().enumerate().map(|(k, side)| (side, start + part * (k as f64 + 1.0))).collect()
}

/// The angles of seams at a corner inside the board.
fn inside(graph: &Graph, seams: &[Side], node: usize, style: LatticeStyle, chance: Chance) -> Vec<(Side, f64)> {
    let key = graph.nodes[node].key;
    let mut draws = chance.draws(key, 1);
    let turn = if style.wave { wave_sign(key) } else { 1.0 } * style.turn.draw(&mut draws);
    let mut throughs: Vec<(Side, Side, f64)> = through_pairs(graph, seams)
        .into_iter()
        .map(|(a, b)| (a, b, chord(graph, a, b) + turn + style.bend * draws.either_way()))
        .collect();
    if let [(_, _, first), (_, _, second)] = &mut throughs[..] {
        open_crossing(first, second);
    }
    let ends = seams.iter().filter(|s| throughs.iter().all(|t| t.0 != **s && t.1 != **s));
    let ends: Vec<(Side, f64)> = ends.map(|&s| (s, end_angle(graph, s, throughs.first().map(|t| t.2)))).collect();
    throughs.into_iter().flat_map(|(a, b, angle)| [(a, angle + 180.0), (b, angle)]).chain(ends).collect()
}

/// The pairs of seams that go on through each other, in the order of their angles where there are four.
fn through_pairs(graph: &Graph, seams: &[Side]) -> Vec<(Side, Side)> {
    if let [a, b, c, d] = *seams {
        return vec![(a, c), (b, d)];
    }
    let mut pairs: Vec<(f64, Side, Side)> = Vec::new();
    for (k, &a) in seams.iter().enumerate() {
        pairs.extend(seams[k + 1..].iter().map(|&b| (graph.leaving(a).dot(graph.leaving(b)), a, b)));
    }
    pairs.retain(|p| p.0 < STRAIGHT);
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found: Vec<(Side, Side)> = Vec::new();
    for (_, a, b) in pairs {
        if found.iter().all(|&(c, d)| ![c, d].contains(&a) && ![c, d].contains(&b)) {
            found.push((a, b));
        }
    }
    found
}

/// The angle from the far end of one seam to the far end of another one.
fn chord(graph: &Graph, from: Side, to: Side) -> f64 {
    let far = |side: Side| graph.nodes[graph.edges[side.edge].ends[usize::from(side.forwards)]].at;
    degrees(far(to) - far(from))
}

/// Pushes two crossing directions apart, both alike, until they cross widely enough.
fn open_crossing(first: &mut f64, second: &mut f64) {
    let off_square = (*second - *first - 90.0 + 180.0).rem_euclid(360.0) - 180.0;
    let slack = 90.0 - SHARPEST_CROSSING;
    let excess = off_square - off_square.clamp(-slack, slack);
    *first += excess / 2.0;
    *second -= excess / 2.0;
}

/// The angle of a seam that ends inside the board: nearly square to the one that runs through, if there is one.
fn end_angle(graph: &Graph, side: Side, through: Option<f64>) -> f64 {
    let own = degrees(graph.leaving(side));
    let Some(through) = through else { return own };
    let beside = (own - through).rem_euclid(360.0);
    let square = if beside < 180.0 { 90.0 } else { 270.0 };
    through + square + (beside - square).clamp(-LEAN_AT_END, LEAN_AT_END)
}

/// The angle of a direction, degrees from x towards y; exact along the axes.
pub(super) fn degrees(direction: Vec2) -> f64 {
    libm::atan2(direction.y, direction.x).to_degrees()
}
