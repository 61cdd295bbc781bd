//! A two-dimensional spectrum, small enough to be checked by eye.

/// The fast Fourier transform of Cooley and Tukey (1965), in place; the length is a power of two.
fn transform(re: &mut [f64], im: &mut [f64]) {
    let n = re.len();
    let mut j = 0;
    for i in 1..n {
        let mut bit = n >> 1;
        while j & bit != 0 {
            j ^= bit;
            bit >>= 1;
        }
        j |= bit;
        if i < j {
            re.swap(i, j);
            im.swap(i, j);
        }
    }
    let mut length = 2;
    while length <= n {
        let angle = -std::f64::consts::TAU / length as f64;
        for start in (0..n).step_by(length) {
            for k in 0..length / 2 {
                let (sin, cos) = libm::sincos(angle * k as f64);
                let (a, b) = (start + k, start + k + length / 2);
                let (x, y) = (re[b] * cos - im[b] * sin, re[b] * sin + im[b] * cos);
                (re[b], im[b]) = (re[a] - x, im[a] - y);
                (re[a], im[a]) = (re[a] + x, im[a] + y);
            }
        }
        length *= 2;
    }
}

/// Power of every frequency of a square picture whose mean is taken away first.
pub fn power(values: &[f64], side: usize) -> Vec<f64> {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let mut re: Vec<f64> = values.iter().map(|v| v - mean).collect();
    let mut im = vec![0.0; re.len()];
    for y in 0..side {
        transform(&mut re[y * side..][..side], &mut im[y * side..][..side]);
    }
    for x in 0..side {
        let mut column: (Vec<f64>, Vec<f64>) = (0..side).map(|y| (re[y * side + x], im[y * side + x])).unzip();
        transform(&mut column.0, &mut column.1);
        for y in 0..side {
            re[y * side + x] = column.0[y];
            im[y * side + x] = column.1[y];
        }
    }
    re.iter().zip(&im).map(|(a, b)| a * a + b * b).collect()
}

/// Distance of a frequency from zero, in bins.
pub fn radius(index: usize, side: usize) -> f64 {
    let fold = |k: usize| k.min(side - k) as f64;
    fold(index % side).hypot(fold(index / side))
}

#[test]
fn a_wave_has_one_frequency() {
    let side = 32;
    let wave: Vec<f64> = (0..side * side)
        .map(|i| libm::cos(std::f64::consts::TAU * (3 * (i % side) + 5 * (i / side)) as f64 / side as f64))
        .collect();
    let power = power(&wave, side);
    let strong: Vec<usize> = (0..power.len()).filter(|i| power[*i] > 1.0).collect();
    assert_eq!(strong, [5 * side + 3, 27 * side + 29]);
    assert!((radius(5 * side + 3, side) - 34.0_f64.sqrt()).abs() < 1e-12);
}
