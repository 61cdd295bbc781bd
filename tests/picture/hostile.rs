//! Files that are no picture, half a picture, or one that would use up the computer.

use super::{encoded, read};
use image::{DynamicImage, ImageFormat, RgbImage};
use std::time::Instant;

/// A picture in which every row differs.
fn slopes() -> DynamicImage {
    let pixel = |x: u32, y: u32| image::Rgb([(x * 3) as u8, (y * 2 + x) as u8, ((x * y) % 251) as u8]);
    DynamicImage::ImageRgb8(RgbImage::from_fn(160, 120, pixel))
}

fn refused(file: &str, bytes: &[u8], rule: &str) -> String {
    let (picture, said) = read(file, bytes);
    assert!(picture.is_none() && said.len() == 1 && said[0].starts_with(rule), "{file}: {said:?}");
    said[0].clone()
}

#[test]
fn what_is_no_picture_is_named() {
    for (bytes, what) in [
        (&b""[..], "empty"),
        (b" \n\n", "empty"),
        (b"<!DOCTYPE html><html><body>404</body></html>", "a web page"),
        (b"<?xml version=\"1.0\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\"/>", "an SVG drawing"),
        (b"GIF89a\x01\0\x01\0", "a GIF picture"),
        (b"II*\0\x08\0\0\0", "a TIFF picture"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", "a HEIC"),
        (b"\x89PNG\n\x1a\n\0\0\0\rIHDR", "changed on the way"),
        (b"hello", "no picture"),
    ] {
        assert!(refused("a.png", bytes, "picture/not-a-picture").contains(what), "{what}");
    }
}

#[test]
fn half_a_file_is_no_picture() {
    let picture = slopes();
    for (file, format) in
        [("a.png", ImageFormat::Png), ("a.jpg", ImageFormat::Jpeg), ("a.webp", ImageFormat::WebP)]
    {
        let bytes = encoded(&picture, format);
        assert!(read(file, &bytes).0.is_some(), "{file}");
        for share in [10, 30, 50, 70, 90, 98] {
            let half = &bytes[..bytes.len() * share / 100];
            refused(file, half, "picture/broken");
        }
    }
}

#[test]
fn a_jpeg_cut_in_half_says_at_which_row() {
    let bytes = encoded(&slopes(), ImageFormat::Jpeg);
    let said = refused("a.jpg", &bytes[..bytes.len() / 2], "picture/broken");
    let row: u32 = said.split("about row ").nth(1).and_then(|s| s.split(' ').next()?.parse().ok()).unwrap();
    // The second half of the bytes holds the second half of the rows, more or less: a block row is 8 or 16 high.
    assert!((30..=90).contains(&row), "{said}");
}

#[test]
fn a_changed_byte_in_a_png_is_found() {
    let mut bytes = encoded(&slopes(), ImageFormat::Png);
    let middle = bytes.len() / 2;
    bytes[middle] ^= 0x10;
    refused("a.png", &bytes, "picture/broken");
}

/// A PNG that claims a size and holds next to nothing.
fn bomb(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, 1, 1);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.write_header().unwrap().write_image_data(&[0]).unwrap();
    bytes[16..20].copy_from_slice(&width.to_be_bytes());
    bytes[20..24].copy_from_slice(&height.to_be_bytes());
    // The checksum of the header (PNG, third edition, annex D).
    let mut crc = flate2::Crc::new();
    crc.update(&bytes[12..29]);
    bytes[29..33].copy_from_slice(&crc.sum().to_be_bytes());
    bytes
}

#[test]
fn a_size_is_not_believed() {
    for (width, height) in [(30_000, 40_000), (0x7fff_ffff, 0x7fff_ffff), (0x7fff_ffff, 1)] {
        let start = Instant::now();
        let said = refused("bomb.png", &bomb(width, height), "picture/too-many-pixels");
        assert!(said.contains(&format!("{width} × {height}")), "{said}");
        assert!(start.elapsed().as_secs() < 2);
    }
    refused("none.png", &bomb(0, 5), "picture/broken");
}

/// A JPEG whose start of frame is changed: its marker and its bits a sample.
fn with_frame(marker: u8, bits: u8) -> Vec<u8> {
    let mut bytes = encoded(&slopes(), ImageFormat::Jpeg);
    let at = bytes.windows(2).position(|w| w == [0xff, 0xc0]).unwrap();
    bytes[at + 1] = marker;
    bytes[at + 4] = bits;
    bytes
}

#[test]
fn variants_of_jpeg_that_are_not_read_are_named() {
    // ITU-T T.81, table B.1: SOF9 is arithmetic, SOF3 lossless, SOF5 hierarchical.
    for (marker, bits, what) in
        [(0xc9, 8, "arithmetic coding"), (0xc3, 8, "lossless"), (0xc5, 8, "hierarchical"), (0xc1, 12, "12 bits")]
    {
        let said = refused("a.jpg", &with_frame(marker, bits), "picture/variant-not-read");
        assert!(said.contains(what), "{said}");
    }
}

#[test]
fn a_fully_transparent_picture_is_refused() {
    let clear = DynamicImage::ImageRgba8(image::RgbaImage::new(8, 8));
    refused("a.png", &encoded(&clear, ImageFormat::Png), "picture/fully-transparent");
}

#[test]
fn no_change_of_a_byte_makes_the_reader_fail() {
    for format in [ImageFormat::Png, ImageFormat::Jpeg, ImageFormat::WebP] {
        let whole = encoded(&slopes().thumbnail(24, 24), format);
        for at in (0..whole.len()).step_by(whole.len() / 60) {
            for bits in [0x01, 0x80, 0xff] {
                let mut bytes = whole.clone();
                bytes[at] ^= bits;
                let (_, said) = read("a.png", &bytes);
                assert!(said.iter().all(|line| !line.contains("reader-failed")), "{format:?} {at}: {said:?}");
            }
        }
    }
}
