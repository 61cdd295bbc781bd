//! The motion that makes the largest of many distances least.
//!
//! Small motions change every distance nearly evenly, so this is a linear programme in three unknowns. Its dual has four
//! equations, and is solved by the simplex method on bases of four rows (Dantzig 1951; for this problem it is the exchange
//! of Stiefel, "Über diskrete und lineare Tschebyscheff-Approximationen", 1959).

/// A distance: what it is now, and by how much each unknown changes it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row {
    /// Its value; both signs count.
    pub value: f64,
    /// Its change with each unknown.
    pub change: [f64; 3],
}

/// No unknown goes farther than about this (mm): larger motions are none that a hand would call a fit.
const FARTHEST: f64 = 1e3;
/// Distances nearer to the largest than this count as largest, mm.
const PRECISION: f64 = 1e-7;
/// More exchanges than a sound problem takes.
const EXCHANGES: usize = 100;

/// One column of the basis: a row with its sign.
type Column = [f64; 4];

/// The unknowns for which the largest of all distances is least, and how large that is.
pub(super) fn least_maximum(rows: &[Row]) -> ([f64; 3], f64) {
    // Four bounds that no answer touches start it: together they hold any motion, each costs too much to stay.
    let mut columns: [Column; 4] =
        [[1.0, 0.0, 0.0, 1.0], [0.0, 1.0, 0.0, 1.0], [0.0, 0.0, 1.0, 1.0], [-1.0, -1.0, -1.0, 1.0]];
    let mut costs = [-FARTHEST; 4];
    let mut answer = ([0.0; 3], 0.0);
    for _ in 0..EXCHANGES {
        let Some([y, _]) = solve(transposed(columns), [costs, [0.0; 4]]) else { break };
        answer = ([-y[0], -y[1], -y[2]], y[3]);
        let distance = |row: &Row| row.value + (0..3).map(|k| row.change[k] * answer.0[k]).sum::<f64>();
        let farther = |best: (f64, usize), (k, row): (usize, &Row)| {
            let d = distance(row);
            if d.abs() > best.0.abs() { (d, k) } else { best }
        };
        let (worst, entering) = rows.iter().enumerate().fold((0.0, 0), farther);
        if worst.abs() <= answer.1 + PRECISION {
            break;
        }
        let sign = worst.signum();
        let [a, b, c] = rows[entering].change;
        let column = [sign * a, sign * b, sign * c, 1.0];
        let Some([shares, weights]) = solve(columns, [[0.0, 0.0, 0.0, 1.0], column]) else { break };
        let ratio = |k: usize| shares[k].max(0.0) / weights[k];
        let leaving = (0..4).filter(|&k| weights[k] > 1e-12).min_by(|&a, &b| ratio(a).total_cmp(&ratio(b)));
        let Some(leaving) = leaving else { break };
        (columns[leaving], costs[leaving]) = (column, sign * rows[entering].value);
    }
    answer
}

fn transposed(m: [Column; 4]) -> [Column; 4] {
    std::array::from_fn(|i| std::array::from_fn(|j| m[j][i]))
}

/// Solves four equations, given by columns, for two right sides; `None` when they depend on each other.
fn solve(columns: [Column; 4], right: [Column; 2]) -> Option<[Column; 2]> {
    let mut rows: [[f64; 6]; 4] =
        std::array::from_fn(|i| std::array::from_fn(|j| if j < 4 { columns[j][i] } else { right[j - 4][i] }));
    for step in 0..4 {
        let pivot = (step..4).max_by(|&a, &b| rows[a][step].abs().total_cmp(&rows[b][step].abs()))?;
        rows.swap(step, pivot);
        let top = rows[step];
        if top[step].abs() < 1e-14 {
            return None;
        }
        for (index, row) in rows.iter_mut().enumerate().filter(|(index, _)| *index != step) {
            let factor = row[step] / top[step];
            debug_assert!(index != step);
            row.iter_mut().zip(top).for_each(|(value, above)| *value -= factor * above);
        }
    }
    Some([4, 5].map(|j| std::array::from_fn(|i| rows[i][j] / rows[i][i])))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(value: f64, change: [f64; 3]) -> Row {
        Row { value, change }
    }

    #[test]
    fn the_best_constant_is_the_middle() {
        let rows = [1.0, 7.0, 3.0, -2.0].map(|v| row(v, [1.0, 0.0, 0.0]));
        let ([x, ..], most) = least_maximum(&rows);
        assert!((x + 2.5).abs() < 1e-9 && (most - 4.5).abs() < 1e-9, "{x} {most}");
    }

    #[test]
    fn the_best_parabola_for_a_cubic_is_what_chebyshev_found() {
        // Among all cubics x³ + ax² + bx + c on [-1, 1] the polynomial T3/4 = x³ - 3x/4 strays least from 0, by 1/4
        // (Chebyshev 1854; any textbook on approximation).
        let rows: Vec<Row> =
            (0..=2000).map(|k| f64::from(k) / 1000.0 - 1.0).map(|x| row(x * x * x, [x * x, x, 1.0])).collect();
        let ([a, b, c], most) = least_maximum(&rows);
        assert!((most - 0.25).abs() < 1e-6, "{most}");
        assert!(a.abs() < 1e-5 && (b + 0.75).abs() < 1e-5 && c.abs() < 1e-5, "{a} {b} {c}");
    }

    #[test]
    fn rows_that_say_the_same_do_no_harm() {
        let rows = [row(2.0, [1.0, 0.0, 0.0]); 50];
        let (_, most) = least_maximum(&rows);
        assert!(most.abs() < 1e-9, "{most}");
        assert_eq!(least_maximum(&[row(0.0, [0.0; 3])]).1.max(0.0), 0.0);
    }
}
