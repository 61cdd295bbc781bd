//! One bit a pixel.

/// A picture of dots: burned or not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bitmap {
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Rows of bytes, the leftmost pixel in the highest bit; what is left of a row's last byte is zero.
    bytes: Vec<u8>,
}

impl Bitmap {
    /// Without a dot.
    pub fn new(width: usize, height: usize) -> Self {
        Self { width, height, bytes: vec![0; width.div_ceil(8) * height] }
    }

    /// Bytes in a row.
    pub const fn stride(&self) -> usize {
        self.width.div_ceil(8)
    }

    /// A row, packed.
    pub fn row(&self, y: usize) -> &[u8] {
        &self.bytes[y * self.stride()..][..self.stride()]
    }

    /// All rows, packed, one after the other.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Whether a pixel is set.
    pub fn get(&self, x: usize, y: usize) -> bool {
        self.row(y)[x / 8] & (0x80 >> (x % 8)) != 0
    }

    /// Sets a pixel.
    pub fn set(&mut self, x: usize, y: usize) {
        let stride = self.stride();
        self.bytes[y * stride + x / 8] |= 0x80 >> (x % 8);
    }

    /// Fills row by row, with one answer for each pixel.
    pub fn filled(width: usize, height: usize, mut is_set: impl FnMut(usize, usize) -> bool) -> Self {
        let mut bitmap = Self::new(width, height);
        for y in 0..height {
            for x in 0..width {
                if is_set(x, y) {
                    bitmap.set(x, y);
                }
            }
        }
        bitmap
    }

    /// The same seen from behind: left and right have changed places.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        Self::filled(self.width, self.height, |x, y| self.get(self.width - 1 - x, y))
    }

    /// The same with top and bottom in each other's place.
    #[must_use]
    pub fn upside_down(&self) -> Self {
        let bytes = (0..self.height).rev().flat_map(|y| self.row(y)).copied().collect();
        Self { bytes, ..*self }
    }

    /// How many pixels are set.
    pub fn count(&self) -> usize {
        self.bytes.iter().map(|b| b.count_ones() as usize).sum()
    }

    /// The runs of pixels that are set in a row, each from its first pixel to the one after its last.
    pub fn runs(&self, y: usize) -> impl Iterator<Item = (usize, usize)> + '_ {
        let next = move |from: usize, is_set: bool| (from..self.width).find(|&x| self.get(x, y) == is_set);
        let mut at = 0;
        std::iter::from_fn(move || {
            let from = next(at, true)?;
            at = next(from, false).unwrap_or(self.width);
            Some((from, at))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dots_change_places_when_the_picture_is_turned_over() {
        let bitmap = Bitmap::filled(11, 3, |x, y| (x, y) == (2, 0));
        let at = |b: &Bitmap| (0..3).find_map(|y| b.runs(y).next().map(|r| (r.0, y)));
        assert_eq!((at(&bitmap.mirrored()), at(&bitmap.upside_down())), (Some((8, 0)), Some((2, 2))));
        assert_eq!(bitmap.mirrored().mirrored(), bitmap);
    }

    #[test]
    fn a_row_tells_where_its_dots_lie() {
        let bitmap = Bitmap::filled(21, 2, |x, y| y == 1 && matches!(x, 3 | 4 | 9 | 20));
        assert_eq!(bitmap.runs(0).count(), 0);
        assert_eq!(bitmap.runs(1).collect::<Vec<_>>(), [(3, 5), (9, 10), (20, 21)]);
        assert_eq!((bitmap.count(), bitmap.get(9, 1), bitmap.get(10, 1)), (4, true, false));
    }
}
