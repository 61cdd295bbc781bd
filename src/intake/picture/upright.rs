//! Pictures are turned as their cameras noted.

use super::{Note, Picture, TURNED};
use image::metadata::Orientation;

/// Turns a picture as an EXIF block says; what cannot be read says nothing.
pub(super) fn upright(picture: Picture, exif: Option<&[u8]>, notes: &mut Vec<Note>) -> Picture {
    let orientation = exif.and_then(Orientation::from_exif_chunk).unwrap_or(Orientation::NoTransforms);
    let what = match orientation {
        Orientation::NoTransforms => return picture,
        Orientation::Rotate90 => "turned to the right by 90 deg",
        Orientation::Rotate180 => "turned by 180 deg",
        Orientation::Rotate270 => "turned to the left by 90 deg",
        Orientation::FlipHorizontal => "mirrored left to right",
        Orientation::FlipVertical => "mirrored top to bottom",
        Orientation::Rotate90FlipH | Orientation::Rotate270FlipH => "turned on its side and mirrored",
    };
    notes.push(Note {
        finding: &TURNED,
        message: format!("was {what}, as its camera noted"),
        consequence: "width and height count as one sees them",
        repair: "nothing needs to be done; save it upright to make this go away",
    });
    turned(picture, orientation)
}

fn turned(picture: Picture, orientation: Orientation) -> Picture {
    let (w, h) = (picture.width, picture.height);
    let on_its_side = matches!(
        orientation,
        Orientation::Rotate90 | Orientation::Rotate270 | Orientation::Rotate90FlipH | Orientation::Rotate270FlipH
    );
    let size = if on_its_side { (h, w) } else { (w, h) };
    // Where the pixel at x, y of the turned picture comes from.
    let from = move |x: usize, y: usize| match orientation {
        Orientation::NoTransforms => (x, y),
        Orientation::FlipHorizontal => (w - 1 - x, y),
        Orientation::Rotate180 => (w - 1 - x, h - 1 - y),
        Orientation::FlipVertical => (x, h - 1 - y),
        Orientation::Rotate90FlipH => (y, x),
        Orientation::Rotate90 => (y, h - 1 - x),
        Orientation::Rotate270FlipH => (w - 1 - y, h - 1 - x),
        Orientation::Rotate270 => (w - 1 - y, x),
    };
    picture.rearranged(size, |samples| {
        let mut out = Vec::with_capacity(samples.len());
        for y in 0..size.1 {
            out.extend((0..size.0).map(|x| {
                let (x, y) = from(x, y);
                samples[y * w + x]
            }));
        }
        out
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// EXIF with nothing but an orientation: TIFF header, one directory entry (tag 0x0112, SHORT).
    fn exif(value: u8) -> Vec<u8> {
        let mut block = b"MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
        block.extend([value, 0, 0, 0, 0, 0, 0]);
        block
    }

    #[test]
    fn all_eight_orientations_come_out_upright() {
        // EXIF 2.3, 4.6.4: which side of the scene the first row and the first column of the file are. The scene is
        // an L: rows "ab", "cd", "ef".
        let scene = [b'a', b'b', b'c', b'd', b'e', b'f'];
        let stored: [(u8, (usize, usize), &[u8; 6]); 8] = [
            (1, (2, 3), b"abcdef"), // top, left
            (2, (2, 3), b"badcfe"), // top, right
            (3, (2, 3), b"fedcba"), // bottom, right
            (4, (2, 3), b"efcdab"), // bottom, left
            (5, (3, 2), b"acebdf"), // left, top
            (6, (3, 2), b"bdface"), // right, top
            (7, (3, 2), b"fdbeca"), // right, bottom
            (8, (3, 2), b"ecafdb"), // left, bottom
        ];
        for (value, (width, height), pixels) in stored {
            let picture = Picture::of_grey(width, height, pixels.iter().map(|&p| u16::from(p)).collect());
            let mut notes = Vec::new();
            let got = upright(picture, Some(&exif(value)), &mut notes);
            let expected = Picture::of_grey(2, 3, scene.iter().map(|&p| u16::from(p)).collect());
            assert_eq!(got, expected, "orientation {value}");
            assert_eq!(notes.is_empty(), value == 1);
        }
    }
}
