//! Every pixel given to the nearest area.
//!
//! The distance transform of Felzenszwalb and Huttenlocher, 2012 (from memory), which also tells whose foot the lowest
//! parabola is: first along columns, then along rows.

use rayon::prelude::*;

/// No area.
const NONE: u32 = 0;

/// Fills the pixels of label 0 with the label of the nearest pixel (Euclidean, between middles) that has one; of two at the
/// same distance, with that of the one farther left, or else farther up. Nothing changes when there is none at all.
pub(in crate::tracing) fn nearest_labels(labels: &[u32], width: usize) -> Vec<u32> {
    if width == 0 {
        return Vec::new();
    }
    let (away, labels) = along_columns(labels, width);
    let mut found = vec![NONE; labels.len()];
    let rows = found.par_chunks_mut(width).zip(away.par_chunks(width)).zip(labels.par_chunks(width));
    rows.for_each(|((found, away), labels)| along_row(away, labels, found));
    found
}

/// How far the nearest pixel with a label is in the same column, and that label.
fn along_columns(labels: &[u32], width: usize) -> (Vec<u32>, Vec<u32>) {
    let mut labels = labels.to_vec();
    let mut away: Vec<u32> = labels.iter().map(|&l| if l == NONE { u32::MAX } else { 0 }).collect();
    for i in width..labels.len() {
        let above = away[i - width].saturating_add(1);
        if above < away[i] {
            (away[i], labels[i]) = (above, labels[i - width]);
        }
    }
    for i in (0..labels.len().saturating_sub(width)).rev() {
        let below = away[i + width].saturating_add(1);
        if below < away[i] {
            (away[i], labels[i]) = (below, labels[i + width]);
        }
    }
    (away, labels)
}

/// A parabola of the lower envelope of a row: where it stands, its height there, and from where it is the lowest.
struct Parabola {
    foot: usize,
    height: f64,
    from: f64,
}

fn along_row(away: &[u32], labels: &[u32], found: &mut [u32]) {
    let mut envelope: Vec<Parabola> = Vec::new();
    for (foot, &a) in away.iter().enumerate().filter(|(foot, _)| labels[*foot] != NONE) {
        let height = f64::from(a) * f64::from(a);
        let meets = |p: &Parabola| {
            let (q_at, p_at) = (foot as f64, p.foot as f64);
            ((height + q_at * q_at) - (p.height + p_at * p_at)) / (2.0 * (q_at - p_at))
        };
        while envelope.last().is_some_and(|p| meets(p) <= p.from) {
            envelope.pop();
        }
        let from = envelope.last().map_or(f64::NEG_INFINITY, meets);
        envelope.push(Parabola { foot, height, from });
    }
    let mut k = 0;
    for (x, label) in found.iter_mut().enumerate() {
        while k + 1 < envelope.len() && envelope[k + 1].from < x as f64 {
            k += 1;
        }
        *label = envelope.get(k).map_or(NONE, |p| labels[p.foot]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_those_of_a_search() {
        let (width, height) = (29_usize, 23_usize);
        let labels: Vec<u32> =
            (0..width * height).map(|i| if (i * 7919 + i / 3) % 37 == 0 { i as u32 + 1 } else { 0 }).collect();
        let found = nearest_labels(&labels, width);
        let off = |i: usize, j: usize| {
            let (dx, dy) = ((i % width).abs_diff(j % width), (i / width).abs_diff(j / width));
            dx * dx + dy * dy
        };
        for (i, &label) in found.iter().enumerate() {
            let least = (0..labels.len()).filter(|&j| labels[j] != 0).map(|j| off(i, j)).min().unwrap();
            // Each label of this picture is its pixel's number, so the label tells where it comes from.
            assert_eq!(off(i, label as usize - 1), least, "pixel {i}");
        }
        assert_eq!(nearest_labels(&[0; 12], 4), [0; 12]);
    }
}
