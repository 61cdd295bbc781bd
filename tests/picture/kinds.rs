//! Every kind of PNG, JPEG and WebP gives the grey that the standards say.

use super::{encoded, read};
use image::{DynamicImage, ImageFormat, Luma, Rgb};
use kerfbook::raster::Plane;

fn mean(plane: &Plane) -> f64 {
    plane.values.iter().map(|&v| f64::from(v)).sum::<f64>() / plane.values.len() as f64
}

/// Files of `PngSuite` (Willem van Schaik; free to use, copy, modify and distribute; see the notice beside them), and
/// the mean of their codes, alpha over white, gamma to sRGB (`NumPy` on the unpacked rows; the eight-bit ones checked with Pillow 13.0; run once for this test).
const SUITE: &[(&str, f64)] = &[
    ("basn0g01", 0.488_281),
    ("ibasn0g01", 0.488_281),
    ("basn0g02", 0.612_127),
    ("ibasn0g02", 0.500_000),
    ("basn0g04", 0.684_908),
    ("ibasn0g04", 0.466_667),
    ("basn0g08", 0.687_261),
    ("ibasn0g08", 0.498_070),
    ("basn0g16", 0.747_460),
    ("ibasn0g16", 0.564_123),
    ("basn2c08", 0.844_487),
    ("ibasn2c08", 0.750_000),
    ("basn2c16", 0.653_962),
    ("ibasn2c16", 0.476_309),
    ("basn3p01", 0.791_747),
    ("ibasn3p01", 0.654_940),
    ("basn3p02", 0.481_950),
    ("ibasn3p02", 0.481_950),
    ("basn3p04", 0.659_653),
    ("ibasn3p04", 0.598_960),
    ("basn3p08", 0.624_339),
    ("ibasn3p08", 0.523_877),
    ("basn4a08", 0.841_202),
    ("ibasn4a08", 0.750_003),
    ("basn4a16", 0.894_373),
    ("ibasn4a16", 0.840_126),
    ("basn6a08", 0.868_764),
    ("ibasn6a08", 0.824_218),
    ("basn6a16", 0.866_457),
    ("ibasn6a16", 0.838_104),
    ("ftbbn0g04", 0.802_559),
    ("iftbbn0g04", 0.673_372),
    ("ftbbn2c16", 0.774_729),
    ("iftbbn2c16", 0.676_608),
    ("ftbbn3p08", 0.774_142),
    ("iftbbn3p08", 0.676_356),
];

#[test]
fn types_of_png_agree_with_a_reference_reader() {
    for (name, expected) in SUITE {
        let path = format!("{}/tests/fixtures/picture/{name}.png", env!("CARGO_MANIFEST_DIR"));
        let (picture, said) = read(name, &std::fs::read(path).unwrap());
        let got = mean(&picture.unwrap_or_else(|| panic!("{name}: {said:?}")).coded());
        assert!((got - expected).abs() < 2e-5, "{name}: {got} {expected}");
    }
}

#[test]
fn sixteen_bits_are_exact() {
    let values: Vec<u16> = (0..=255).flat_map(|i: u16| [i * 257, i * 256 + 1]).collect();
    let picture = image::ImageBuffer::<Luma<u16>, _>::from_raw(16, 32, values.clone()).unwrap();
    let bytes = encoded(&DynamicImage::ImageLuma16(picture), ImageFormat::Png);
    let coded = read("a.png", &bytes).0.unwrap().coded();
    let back: Vec<u16> = coded.values.iter().map(|v| (v * 65_535.0).round() as u16).collect();
    assert_eq!(back, values[..512]);
}

#[test]
fn luminance_is_weighed_in_light_and_grey_in_codes() {
    // (222, 184, 135): Y 0.515598 (ITU-R BT.709 on IEC 61966-2-1, value of colour-science, CHECKS R2), and the mean of
    // the codes with the same weights is 188.54.
    let picture = DynamicImage::ImageRgb8(image::RgbImage::from_pixel(4, 4, Rgb([222, 184, 135])));
    let read = read("a.png", &encoded(&picture, ImageFormat::Png)).0.unwrap();
    assert!((mean(&read.luminance()) - 0.515_598).abs() < 2e-5);
    assert!((mean(&read.coded()) * 255.0 - 188.54).abs() < 0.01);
}

#[test]
fn transparency_lies_over_white() {
    let half = image::RgbaImage::from_pixel(4, 4, image::Rgba([0, 0, 0, 128]));
    let (picture, said) = read("a.png", &encoded(&DynamicImage::ImageRgba8(half), ImageFormat::Png));
    // Source over white in codes: 0 * 128/255 + 1 * 127/255 (Porter and Duff 1984).
    assert!((mean(&picture.unwrap().coded()) - 127.0 / 255.0).abs() < 1e-4);
    assert!(said[0].starts_with("picture/over-white"), "{said:?}");
}

#[test]
fn a_file_is_read_by_its_content() {
    let picture = DynamicImage::ImageRgb8(image::RgbImage::from_pixel(16, 16, Rgb([90, 90, 90])));
    let (read_it, said) = read("portrait.png", &encoded(&picture, ImageFormat::Jpeg));
    assert!((mean(&read_it.unwrap().coded()) * 255.0 - 90.0).abs() < 1.5);
    assert_eq!(said, ["picture/name-differs: `portrait.png` is really a JPEG"]);
}
