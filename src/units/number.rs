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
    let mut text = String::new();
    push_thousandths(&mut text, millimetres);
    text
}

/// Adds a number with at most three decimals to a text, as [`coordinate`] writes it.
///
/// Files hold hundreds of thousands of them, so this counts in whole thousandths.
pub fn push_thousandths(text: &mut String, value: f64) {
    let scaled = value * 1000.0;
    // A half that may only be one because of the multiplication is left to the exact way.
    let is_tie = (scaled.abs().fract() - 0.5).abs() < 1e-3;
    if !scaled.is_finite() || scaled.abs() > 1e12 || is_tie {
        text.push_str(&fixed(value, 3));
        return;
    }
    let (whole, rest) = (scaled.abs().round() as u64 / 1000, scaled.abs().round() as u64 % 1000);
    if scaled.round() < 0.0 {
        text.push('-');
    }
    push_digits(text, whole, 1);
    if rest > 0 {
        text.push('.');
        let (digits, rest) = if rest.is_multiple_of(100) {
            (1, rest / 100)
        } else if rest.is_multiple_of(10) {
            (2, rest / 10)
        } else {
            (3, rest)
        };
        push_digits(text, rest, digits);
    }
}

/// Adds a whole number, with zeros in front up to so many digits.
fn push_digits(text: &mut String, number: u64, least: usize) {
    let mut digits = [b'0'; 20];
    let (mut at, mut rest) = (digits.len(), number);
    while rest > 0 || digits.len() - at < least {
        at -= 1;
        digits[at] = b'0' + (rest % 10) as u8;
        rest /= 10;
    }
    text.extend(digits[at..].iter().map(|&digit| char::from(digit)));
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

    #[test]
    fn whole_thousandths_are_written_as_the_exact_way_writes_them() {
        let steps = (0..20_000).map(|i| f64::from(i - 10_000) * 0.000_517_3);
        let edges = [0.0, -0.0, 0.0005, -0.0005, 0.0004, 2.0005, 1.0015, 999.9996, -0.1, 12.05, 1e9, 1e300];
        for value in steps.chain(edges).chain([f64::NAN, f64::INFINITY]) {
            assert_eq!(coordinate(value), fixed(value, 3), "{value}");
        }
    }
}
