//! The picture as it stands on paper, a few centimetres wide: large ones at half the size.

use super::view::View;

/// A longest side, in pixels, that is printed as it is.
const LARGEST: u32 = 1000;

fn is_halved(view: &View) -> bool {
    view.width.max(view.height) > LARGEST
}

/// Width and height on paper, in pixels. A last row or column without a neighbour is left out.
pub(super) fn size(view: &View) -> (u32, u32) {
    // A picture that is one pixel wide stays so.
    if is_halved(view) { ((view.width / 2).max(1), (view.height / 2).max(1)) } else { (view.width, view.height) }
}

/// The pixels of a strip, three bytes each, as they are printed.
pub(super) fn pixels(painted: Vec<u8>, view: &View) -> Vec<u8> {
    if !is_halved(view) {
        return painted;
    }
    let (stride, width, height) = (view.width as usize * 3, size(view).0 as usize, view.height as usize);
    let rows: Vec<&[u8]> = painted.chunks_exact(stride).collect();
    // Strips start at even rows, so pairs never lie in two of them.
    let pairs = rows.chunks(2).filter(|pair| pair.len() == 2 || height == 1);
    let mut halved = Vec::with_capacity(painted.len() / 4 + stride);
    for pair in pairs {
        let (upper, lower) = (pair[0], pair[pair.len() - 1]);
        for x in 0..width {
            let (left, right) = (6 * x, if stride > 3 { 6 * x + 3 } else { 6 * x });
            let mean = |i: usize| {
                let sum = [upper[left + i], upper[right + i], lower[left + i], lower[right + i]].map(u16::from);
                ((sum.iter().sum::<u16>() + 2) / 4) as u8
            };
            halved.extend([0, 1, 2].map(mean));
        }
    }
    halved
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Rect;

    fn view(width: u32, height: u32) -> View {
        View { piece: Rect::ZERO, shown: Rect::ZERO, scale: 1.0, width, height }
    }

    #[test]
    fn there_are_as_many_pixels_as_the_size_says() {
        for (width, height) in [(1200, 1), (1, 1200), (1201, 3), (1200, 900), (900, 900), (3, 1)] {
            let view = view(width, height);
            let (w, h) = size(&view);
            let printed = pixels(vec![7; (width * height * 3) as usize], &view);
            assert_eq!(printed.len(), (w * h * 3) as usize, "{width} x {height}");
            assert!(printed.iter().all(|&p| p == 7));
        }
    }
}
