//! Floats to text: fixed decimals, no exponent, no `-0`, the same bytes on every machine.

/// Writes `value` with at most `decimals` decimals: trailing zeros and a lone sign are dropped.
///
/// A value that is not finite never reaches an output (geometry refuses it at the border), so it is
/// written as `0` here rather than making a file unreadable.
pub fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let mut text = format!("{value:.decimals$}");
    if text.contains('.') {
        let kept = text.trim_end_matches('0').trim_end_matches('.').len();
        text.truncate(kept);
    }
    if text == "-0" { "0".to_owned() } else { text }
}

/// Writes a length or coordinate for a file a machine reads: micrometre steps (three decimals in mm).
///
/// A micrometre is a fiftieth of the finest spot a workshop laser makes, so the rounding is invisible.
pub fn coordinate(millimetres: f64) -> String {
    fixed(millimetres, 3)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_cut_and_zero_has_no_sign() {
        assert_eq!(fixed(1.25, 3), "1.25");
        assert_eq!(fixed(-0.0001, 3), "0");
        assert_eq!(fixed(100.0, 0), "100");
        assert_eq!(fixed(2.0005, 3), "2.001");
        assert_eq!(fixed(f64::NAN, 3), "0");
    }
}
