//! Small least-squares problems.

/// The normal equations of a least-squares problem in `N` unknowns.
#[derive(Clone, Debug)]
pub struct LeastSquares<const N: usize> {
    matrix: [[f64; N]; N],
    right: [f64; N],
}

impl<const N: usize> Default for LeastSquares<N> {
    fn default() -> Self {
        Self::new()
    }
}

impl<const N: usize> LeastSquares<N> {
    /// A problem of which nothing is known yet.
    pub const fn new() -> Self {
        Self { matrix: [[0.0; N]; N], right: [0.0; N] }
    }

    /// Adds the equation `row · unknowns = value`.
    pub fn add(&mut self, row: [f64; N], value: f64) {
        for i in 0..N {
            for k in 0..=i {
                self.matrix[i][k] += row[i] * row[k];
            }
            self.right[i] += row[i] * value;
        }
    }

    /// Draws an unknown to a value, with the weight of as many equations that say so.
    pub fn draw(&mut self, unknown: usize, value: f64, weight: f64) {
        self.matrix[unknown][unknown] += weight;
        self.right[unknown] += weight * value;
    }

    /// The unknowns, by Cholesky's decomposition; slightly damped (Levenberg), so that one of which nothing is said is
    /// nothing.
    pub fn solve(&self) -> [f64; N] {
        let trace: f64 = (0..N).map(|i| self.matrix[i][i]).sum();
        let damping = 1e-6 * trace + 1e-300;
        let mut lower = [[0.0; N]; N];
        let mut found = [0.0; N];
        for i in 0..N {
            for k in 0..=i {
                let element = self.matrix[i][k] + if i == k { damping } else { 0.0 };
                let sum = element - (0..k).map(|m| lower[i][m] * lower[k][m]).sum::<f64>();
                lower[i][k] = if i == k { sum.max(damping * 1e-3).sqrt() } else { sum / lower[k][k] };
            }
            found[i] = (self.right[i] - (0..i).map(|m| lower[i][m] * found[m]).sum::<f64>()) / lower[i][i];
        }
        for i in (0..N).rev() {
            found[i] = (found[i] - (i + 1..N).map(|m| lower[m][i] * found[m]).sum::<f64>()) / lower[i][i];
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plane_is_found() {
        let mut system = LeastSquares::new();
        for (x, y) in [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (2.0, 3.0)] {
            system.add([1.0, x, y], 2.0 + 3.0 * x - y);
        }
        for (found, exact) in system.solve().into_iter().zip([2.0, 3.0, -1.0]) {
            assert!((found - exact).abs() < 1e-4, "{found} for {exact}");
        }
    }

    #[test]
    fn what_nothing_is_said_of_is_nothing() {
        let mut system = LeastSquares::new();
        system.draw(1, 5.0, 2.0);
        let found: [f64; 3] = system.solve();
        assert!((found[1] - 5.0).abs() < 1e-4 && found[0] == 0.0 && found[2] == 0.0, "{found:?}");
        assert_eq!(LeastSquares::new().solve(), [0.0; 4]);
    }
}
