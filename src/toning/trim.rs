//! Plain borders are found.

/// Rows and columns whose luminance varies by less than this share of full light are border.
const PLAIN: u16 = (0.03 * 65_535.0) as u16;

/// The box without plain borders: left, top, right and bottom in pixels, the last two beyond the last pixel. A picture
/// that is plain all over is left whole.
pub fn trim(samples: &[u16], width: usize, height: usize) -> (usize, usize, usize, usize) {
    let range = |values: &mut dyn Iterator<Item = u16>| {
        let (low, high) = values.fold((u16::MAX, 0), |(low, high), v| (low.min(v), high.max(v)));
        high.saturating_sub(low)
    };
    let is_busy_row = |y: &usize| range(&mut samples[y * width..][..width].iter().copied()) > PLAIN;
    let rows = ((0..height).find(is_busy_row), (0..height).rfind(is_busy_row));
    let (Some(top), Some(bottom)) = rows else { return (0, 0, width, height) };
    let is_busy_column = |x: &usize| range(&mut (top..=bottom).map(|y| samples[y * width + x])) > PLAIN;
    let columns = ((0..width).find(is_busy_column), (0..width).rfind(is_busy_column));
    let (Some(left), Some(right)) = columns else { return (0, top, width, bottom + 1) };
    (left, top, right + 1, bottom + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_white_border_goes_and_the_picture_stays() {
        let inside = |x: usize, y: usize| (3..9).contains(&x) && (2..7).contains(&y);
        let samples: Vec<u16> = (0..10)
            .flat_map(|y| (0..12).map(move |x| if inside(x, y) { ((x * y) % 7 * 9000) as u16 } else { 65_000 }))
            .collect();
        assert_eq!(trim(&samples, 12, 10), (3, 2, 9, 7));
        assert_eq!(trim(&[500; 20], 5, 4), (0, 0, 5, 4));
    }
}
