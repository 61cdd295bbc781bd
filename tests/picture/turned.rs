//! Pictures that a camera noted as turned, and that a recipe mirrors and turns, come out of a build the right way up.
//!
//! `image` turns the same scene; what is compared are the dots of the run file, read back.

use super::encoded;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, GrayImage, ImageEncoder, ImageFormat, Luma};
use kerfbook::cache::Cache;
use kerfbook::driver::{Request, build, project_root};
use kerfbook::source::DiskFiles;
use roxmltree::Document;
use std::fmt::Write;
use std::fs;
use std::path::Path;

const SHOP: &str = concat!(
    include_str!("../fixtures/machine.kdl"),
    r#"stock "birch" material="birch plywood" thickness="3 mm" kerf="0.16 mm" bare="80 %" burned="28 %"
setting "dark" machine="bench" stock="birch" operation="engrave" speed="120 mm/s" power="62 %" interval="0.1 mm"
"#
);

/// What a recipe says and what `image` does for it. A recipe mirrors first, whichever is written first.
const MOVEMENTS: [(&str, &[Turn]); 8] = [
    ("", &[]),
    ("turn right=\"90 deg\"", &[DynamicImage::rotate90]),
    ("turn left=\"90 deg\"", &[DynamicImage::rotate270]),
    ("turn left=\"180 deg\"", &[DynamicImage::rotate180]),
    ("mirror \"left-right\"", &[DynamicImage::fliph]),
    ("mirror \"top-bottom\"", &[DynamicImage::flipv]),
    ("turn right=\"90 deg\"; mirror \"left-right\"", &[DynamicImage::fliph, DynamicImage::rotate90]),
    ("mirror \"top-bottom\"; turn right=\"90 deg\"", &[DynamicImage::flipv, DynamicImage::rotate90]),
];

type Turn = fn(&DynamicImage) -> DynamicImage;

/// Wider than high, and with another tone in each quarter.
fn scene() -> DynamicImage {
    let tone = |x: u32, y: u32| Luma([[[20_u8, 90], [160, 230]][usize::from(y >= 40)][usize::from(x >= 60)]]);
    DynamicImage::ImageLuma8(GrayImage::from_fn(120, 80, tone))
}

/// The scene as a camera would store it that notes an orientation (EXIF 2.3, 4.6.4): JPEG or PNG by turns.
fn stored(value: u8) -> (String, Vec<u8>) {
    let noted = Orientation::from_exif(value).unwrap();
    let undone = match noted {
        Orientation::Rotate90 => Orientation::Rotate270,
        Orientation::Rotate270 => Orientation::Rotate90,
        itself => itself,
    };
    let mut picture = scene();
    picture.apply_orientation(undone);
    // A TIFF header and one entry: tag 0x0112, SHORT.
    let mut exif = b"MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    exif.extend([value, 0, 0, 0, 0, 0, 0]);
    let (size, pixels, grey) =
        ((picture.width(), picture.height()), picture.as_bytes(), image::ExtendedColorType::L8);
    let mut bytes = Vec::new();
    if value.is_multiple_of(2) {
        let mut encoder = PngEncoder::new(&mut bytes);
        encoder.set_exif_metadata(exif).unwrap();
        encoder.write_image(pixels, size.0, size.1, grey).unwrap();
        return (format!("scene-{value}.png"), bytes);
    }
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, 95);
    encoder.set_exif_metadata(exif).unwrap();
    encoder.write_image(pixels, size.0, size.1, grey).unwrap();
    (format!("scene-{value}.jpg"), bytes)
}

/// A recipe that engraves photos (file, movement), each on its own.
fn recipe(photos: &[(String, &str)]) -> String {
    let mut text =
        "recipe \"All ways up\" language=1\nuse \"bench.shop.kdl\"\nmachine \"bench\"\nstock \"birch\"\n\
        sheet \"200 mm\" \"200 mm\"\nboard { rectangle \"180 mm\" \"180 mm\" }\n"
            .to_owned();
    let mut run = "run \"all\" {\n".to_owned();
    for (i, (file, movement)) in photos.iter().enumerate() {
        let (right, down) = (2 + i % 8 * 21, 2 + i / 8 * 40);
        write!(
            text,
            "photo \"p{i}\" file=\"{file}\" {{\n    size width=\"18 mm\"\n    \
             tone levels=#false local-contrast=\"0 %\" sharpen=\"0 %\"\n    {movement}\n    \
             place left=\"board\" top=\"board\" right=\"{right} mm\" down=\"{down} mm\"\n}}\n"
        )
        .unwrap();
        writeln!(run, "    engrave \"p{i}\" setting=\"dark\"").unwrap();
    }
    text + &run + "}\n"
}

/// The dots of each photo of a build, in the order of their names; burned is black.
fn dots(folder: &Path, count: usize) -> Vec<GrayImage> {
    let recipe = folder.join("ways.recipe.kdl");
    let files = DiskFiles::new(&project_root(&recipe), &[]);
    let (built, made) = build(&Request { recipe, ..Request::default() }, &files, &Cache::default());
    let said: Vec<&str> = built.findings.iter().map(|f| f.message.as_str()).collect();
    let made = made.unwrap().unwrap_or_else(|| panic!("{said:?}"));
    let run = made.iter().find(|f| f.path == "01-all.svg").unwrap();
    let text = std::str::from_utf8(&run.bytes).unwrap();
    let document = Document::parse(text).unwrap();
    let picture = |i: usize| {
        let name = format!("p{i}");
        let group = document.descendants().find(|n| n.attribute("data-figures") == Some(name.as_str())).unwrap();
        let href = group.descendants().find_map(|n| n.attribute("href")).unwrap();
        let bytes = STANDARD.decode(href.strip_prefix("data:image/png;base64,").unwrap()).unwrap();
        image::load_from_memory_with_format(&bytes, ImageFormat::Png).unwrap().to_luma8()
    };
    (0..count).map(picture).collect()
}

/// Mean grey of the inner part of each quarter, row by row.
fn quarters(picture: &GrayImage) -> [f64; 4] {
    let (w, h) = picture.dimensions();
    [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(right, down)| {
        let within = |side: u32, second: u32| side * (1 + 4 * second) / 8..side * (3 + 4 * second) / 8;
        let (mut sum, mut count) = (0.0, 0.0);
        for y in within(h, down) {
            for x in within(w, right) {
                sum += f64::from(picture.get_pixel(x, y).0[0]);
                count += 1.0;
            }
        }
        sum / count
    })
}

#[test]
fn every_way_up_comes_out_of_a_build_as_it_should() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("bench.shop.kdl"), SHOP).unwrap();
    fs::write(folder.path().join("scene.png"), encoded(&scene(), ImageFormat::Png)).unwrap();
    let mut photos: Vec<(String, &str)> = Vec::new();
    let mut expected = Vec::new();
    for value in 1..=8 {
        let (name, bytes) = stored(value);
        fs::write(folder.path().join(&name), bytes).unwrap();
        photos.push((name, ""));
        expected.push(scene());
    }
    for (k, (movement, turns)) in MOVEMENTS.into_iter().enumerate() {
        // What the recipe says counts from the scene as one sees it, whatever the camera noted.
        let file = if k % 2 == 0 { "scene.png" } else { "scene-6.png" };
        photos.push((file.to_owned(), movement));
        expected.push(turns.iter().fold(scene(), |scene, turn| turn(&scene)));
    }
    fs::write(folder.path().join("ways.recipe.kdl"), recipe(&photos)).unwrap();
    for ((found, expected), (file, movement)) in
        dots(folder.path(), photos.len()).iter().zip(&expected).zip(&photos)
    {
        assert_eq!(
            found.width() > found.height(),
            expected.width() > expected.height(),
            "{file} {movement}: {:?}",
            found.dimensions()
        );
        let (found, expected) = (quarters(found), quarters(&expected.to_luma8()));
        for i in 0..4 {
            for j in (0..4).filter(|&j| expected[i] > expected[j]) {
                assert!(found[i] > found[j] + 20.0, "{file} {movement}: {found:.0?} for {expected:.0?}");
            }
        }
    }
}
