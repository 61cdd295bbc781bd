//! The tone curve: what has to be asked for so that a wanted darkness comes out.

use crate::shop::monotone_cubic;

/// Entries of a curve's table.
const ENTRIES: usize = 1024;

/// A darkness that grew by less than this between two patches has not grown.
const PLATEAU: f64 = 0.001;

/// From wanted to requested coverage.
#[derive(Clone, Debug, PartialEq)]
pub struct ToneCurve {
    table: Vec<f32>,
}

impl ToneCurve {
    /// The curve of a wedge: requested coverage and measured darkness of each patch, both from 0 to 1, coverage rising.
    ///
    /// `None` where the wedge hardly changes. Darkness that goes back is pooled (Ayer and others 1955), plateaus
    /// collapse to their first coverage, and a monotone cubic goes through what is left (Fritsch and Carlson 1980).
    pub fn of_wedge(patches: &[(f64, f64)]) -> Option<Self> {
        let (first, last) = (patches.first()?.1, patches.last()?.1);
        if last - first < 0.05 {
            return None;
        }
        let share = |d: f64| ((d - first) / (last - first)).clamp(0.0, 1.0);
        let pooled = pooled(patches.iter().map(|p| share(p.1)));
        let mut points = vec![(0.0, 0.0)];
        for (patch, darkness) in patches.iter().zip(pooled).skip(1) {
            if darkness > points[points.len() - 1].0 + PLATEAU {
                points.push((darkness, patch.0));
            }
        }
        points.last_mut()?.0 = 1.0;
        let entry = |i: usize| monotone_cubic(&points, i as f64 / (ENTRIES - 1) as f64);
        let table = (0..ENTRIES).map(|i| entry(i).map(|v| v.clamp(0.0, 1.0) as f32)).collect::<Option<_>>()?;
        Some(Self { table })
    }

    /// The coverage to ask for.
    pub fn requested(&self, wanted: f32) -> f32 {
        let place = wanted.clamp(0.0, 1.0) * (ENTRIES - 1) as f32;
        let i = (place as usize).min(ENTRIES - 2);
        self.table[i] + (self.table[i + 1] - self.table[i]) * (place - i as f32)
    }
}

/// Values that go back are replaced by the mean of their block: the nearest rising sequence in least squares.
fn pooled(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for value in values {
        blocks.push((value, 1));
        while let [.., (a, n), (b, m)] = blocks[..]
            && a > b
        {
            blocks.pop();
            let total = n + m;
            let end = blocks.len() - 1;
            blocks[end] = ((a * n as f64 + b * m as f64) / total as f64, total);
        }
    }
    blocks.into_iter().flat_map(|(value, n)| std::iter::repeat_n(value, n)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_goes_back_is_pooled() {
        // Ayer and others 1955; scikit-learn's isotonic_regression gives the same (1, 2.5, 2.5, 4 for 1, 3, 2, 4).
        assert_eq!(pooled([1.0, 3.0, 2.0, 4.0].into_iter()), [1.0, 2.5, 2.5, 4.0]);
        assert_eq!(pooled([3.0, 2.0, 1.0].into_iter()), [2.0, 2.0, 2.0]);
    }

    #[test]
    fn a_curve_turns_a_wedge_round() {
        // Dots that gain as in a Yule-Nielsen model, d = q^(1/1.7): to get d, ask for d^1.7 (closed form).
        let wedge: Vec<(f64, f64)> =
            (0..=10).map(|i| (f64::from(i) / 10.0, libm::pow(f64::from(i) / 10.0, 1.0 / 1.7))).collect();
        let curve = ToneCurve::of_wedge(&wedge).unwrap();
        for i in 0..=100 {
            let wanted = f64::from(i) / 100.0;
            let asked = f64::from(curve.requested(wanted as f32));
            assert!((asked - libm::pow(wanted, 1.7)).abs() < 0.012, "{wanted}: {asked}");
        }
    }

    #[test]
    fn agrees_with_a_reference_implementation() {
        // scipy.interpolate.PchipInterpolator over the normalised darkness, scipy 1.17.1, run once for this test.
        let darkness = [0.04, 0.17, 0.29, 0.41, 0.52, 0.62, 0.70, 0.78, 0.85, 0.90, 0.94];
        let wedge: Vec<(f64, f64)> = darkness.iter().enumerate().map(|(i, d)| (i as f64 / 10.0, *d)).collect();
        let curve = ToneCurve::of_wedge(&wedge).unwrap();
        for (wanted, asked) in
            [(0.05, 0.033_656), (0.25, 0.179_031), (0.5, 0.371_797), (0.75, 0.618_555), (0.97, 0.930_275)]
        {
            assert!((curve.requested(wanted) - asked).abs() < 2e-6, "{wanted}: {}", curve.requested(wanted));
        }
    }

    #[test]
    fn saturation_wastes_no_power_and_a_flat_wedge_is_none() {
        let curve = ToneCurve::of_wedge(&[(0.0, 0.1), (0.5, 0.9), (0.75, 0.9), (1.0, 0.9)]).unwrap();
        assert!((curve.requested(1.0) - 0.5).abs() < 1e-6);
        assert_eq!(ToneCurve::of_wedge(&[(0.0, 0.5), (1.0, 0.52)]), None);
    }
}
