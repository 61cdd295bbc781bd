//! How far pixels lie from the nearest pixel of a kind.

use super::Plane;

/// A distance that no picture reaches, squared.
const FAR: f64 = 1e12;

/// The distance of every pixel's middle from the middle of the nearest pixel that is not set (Euclidean, in pixels);
/// zero where a pixel is not set. What lies beyond the border counts as not set.
///
/// Felzenszwalb and Huttenlocher, Distance transforms of sampled functions, 2012 (from memory): lower envelopes of
/// parabolas, along columns and then along rows.
pub fn distance_inside(set: &[bool], width: usize, height: usize) -> Plane {
    let mut squared: Vec<f64> = set.iter().map(|&s| if s { FAR } else { 0.0 }).collect();
    let mut envelope = Envelope::for_lines_of(width.max(height) + 2);
    let mut line = Vec::new();
    for x in 0..width {
        line.clear();
        line.push(0.0);
        line.extend((0..height).map(|y| squared[y * width + x]));
        line.push(0.0);
        let found = envelope.lowest(&line);
        (0..height).for_each(|y| squared[y * width + x] = found[y + 1]);
    }
    for row in squared.chunks_exact_mut(width.max(1)) {
        line.clear();
        line.push(0.0);
        line.extend_from_slice(row);
        line.push(0.0);
        row.copy_from_slice(&envelope.lowest(&line)[1..=width]);
    }
    Plane { width, height, values: squared.into_iter().map(|d| d.sqrt() as f32).collect() }
}

/// Room for the lower envelope of the parabolas of one line.
struct Envelope {
    /// Where the parabolas of the envelope stand.
    feet: Vec<usize>,
    /// From where each is the lowest.
    from: Vec<f64>,
    found: Vec<f64>,
}

impl Envelope {
    fn for_lines_of(count: usize) -> Self {
        Self { feet: vec![0; count], from: vec![0.0; count + 1], found: vec![0.0; count] }
    }

    /// The least of `line[i] + (i - at)²` for every place of the line.
    fn lowest(&mut self, line: &[f64]) -> &[f64] {
        let meets = |p: usize, q: usize| {
            let (p_at, q_at) = (p as f64, q as f64);
            ((line[q] + q_at * q_at) - (line[p] + p_at * p_at)) / (2.0 * (q_at - p_at))
        };
        let mut last = 0;
        self.feet[0] = 0;
        self.from[0] = f64::NEG_INFINITY;
        for q in 1..line.len() {
            let mut from = meets(self.feet[last], q);
            while from <= self.from[last] {
                last -= 1;
                from = meets(self.feet[last], q);
            }
            last += 1;
            self.feet[last] = q;
            self.from[last] = from;
        }
        let mut k = 0;
        for (at, found) in self.found[..line.len()].iter_mut().enumerate() {
            while k < last && self.from[k + 1] < at as f64 {
                k += 1;
            }
            let away = at as f64 - self.feet[k] as f64;
            *found = line[self.feet[k]] + away * away;
        }
        &self.found[..line.len()]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_are_those_of_a_search() {
        let (width, height) = (23, 17);
        let set: Vec<bool> = (0..width * height).map(|i| (i * 7919 + i / 5) % 11 != 0).collect();
        let found = distance_inside(&set, width, height);
        for y in 0..height {
            for x in 0..width {
                let mut least = f64::INFINITY;
                for v in -1..=height.cast_signed() {
                    for u in -1..=width.cast_signed() {
                        let inside = u >= 0 && v >= 0 && u < width.cast_signed() && v < height.cast_signed();
                        if !inside || !set[v.cast_unsigned() * width + u.cast_unsigned()] {
                            let (dx, dy) = (u - x.cast_signed(), v - y.cast_signed());
                            least = least.min(((dx * dx + dy * dy) as f64).sqrt());
                        }
                    }
                }
                assert!((f64::from(found.at(x, y)) - least).abs() < 1e-4, "{x} {y}");
            }
        }
    }
}
