//! Photos dithered and seen from afar: every dither gives the lightness that it was asked for.

use kerfbook::diagnostics::Sink;
use kerfbook::intake::{PictureRequest, read_picture};
use kerfbook::raster::Plane;
use kerfbook::source::{SourceId, Span};
use kerfbook::toning::{Box2, Dither, Screen, StockTones, Tone, coverage, dither, lightness_of, resample};
use std::path::{Path, PathBuf};

/// Dots across.
const DOTS: usize = 400;

/// The eye blurs this much (dots, deviation of a bell): 0.2 mm at ten dots a millimetre, a minute of arc at arm's length.
const EYE: f32 = 2.0;

/// Dots near the border, whose surroundings the eye sees and we do not.
const RIM: usize = 16;

/// Its dots are meant to be seen, and are gone at twice the distance.
const HALFTONE: Dither =
    Dither::Halftone(Screen { period: 8.0, angle: std::f64::consts::FRAC_PI_4, stretch: 1.0 });

/// How far off in L* (root of the mean square) each dither may be, and from how far it is looked at. The design's bar is 1 for
/// every photo; the default does better.
const MOST: [(Dither, f32, f64); 5] = [
    (Dither::FloydSteinberg, EYE, 0.5),
    (Dither::Stucki, EYE, 1.0),
    (Dither::JarvisJudiceNinke, EYE, 1.0),
    (Dither::BlueNoise, EYE, 1.0),
    (HALFTONE, 2.0 * EYE, 1.0),
];

/// Usual tones of a pale stock, bare and burned.
const STOCK: StockTones = StockTones { bare: 0.8, burned: 0.28 };

/// The coverage that a photo asks for, one value a dot.
fn wanted(file: &Path) -> Plane {
    let bytes = std::fs::read(file).unwrap().into();
    let request =
        PictureRequest { file: &file.to_string_lossy(), bytes: &bytes, node: Span::new(SourceId(0), 0, 0) };
    let picture = read_picture(&request, &mut Sink::new()).unwrap();
    let (width, height) = (picture.width, picture.height);
    let all = Box2 { left: 0.0, top: 0.0, width: width as f64, height: height as f64 };
    let light = resample(&picture.luminance_samples(), (width, height), all, (DOTS, DOTS * height / width));
    let plain = Tone { clip: Some(0.005), gamma: 1.0, local_contrast: 0.0, sharpen: 0.0, invert: false };
    coverage(light, &plain, STOCK, None, |_| true).coverage
}

/// L* of what is seen of a coverage by an eye that blurs so much (dots and ground add up by area: Murray 1936, Davies).
fn seen(coverage: &Plane, eye: f32) -> Plane {
    coverage.blurred(eye).map(|covered| 100.0 * lightness_of(STOCK.bare - (STOCK.bare - STOCK.burned) * covered))
}

/// How far two pictures differ, but for their rims (root of the mean square).
fn off(a: &Plane, b: &Plane) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0);
    for y in RIM..a.height - RIM {
        for (a, b) in a.row(y)[RIM..a.width - RIM].iter().zip(&b.row(y)[RIM..]) {
            sum += f64::from(a - b) * f64::from(a - b);
            count += 1.0;
        }
    }
    f64::sqrt(sum / count)
}

fn dots(wanted: &Plane, is_burned: impl Fn(usize, usize) -> bool) -> Plane {
    let at = |i: usize| f32::from(u8::from(is_burned(i % wanted.width, i / wanted.width)));
    Plane { values: (0..wanted.values.len()).map(at).collect(), ..*wanted }
}

/// How far off the dither of the `image` crate is, which works in whole codes: an outside measure of the kernel.
fn reference(wanted: &Plane) -> f64 {
    let codes = wanted.values.iter().map(|v| 255 - (v * 255.0).round() as u8).collect();
    let mut picture = image::GrayImage::from_raw(wanted.width as u32, wanted.height as u32, codes).unwrap();
    image::imageops::dither(&mut picture, &image::imageops::BiLevel);
    let burned = dots(wanted, |x, y| picture.get_pixel(x as u32, y as u32).0[0] == 0);
    off(&seen(&burned, EYE), &seen(wanted, EYE))
}

fn check(file: &Path) {
    let wanted = wanted(file);
    let reference = reference(&wanted);
    for (how, eye, most) in MOST {
        let bitmap = dither(&wanted, &how);
        let found = off(&seen(&dots(&wanted, |x, y| bitmap.get(x, y)), eye), &seen(&wanted, eye));
        println!("{}: {} {found:.2}, image {reference:.2}", file.display(), how.word());
        assert!(found <= most, "{}: {} is {found} off in L*", file.display(), how.word());
        // Shaking costs a little grain, and takes the textures away for it.
        let is_default = matches!(how, Dither::FloydSteinberg);
        assert!(!is_default || found <= 1.25 * reference, "{}: {found}, image {reference}", file.display());
    }
}

#[test]
fn a_portrait_is_seen_as_it_was_asked_for() {
    check(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases/shared/photos/portrait.png")));
}

#[test]
fn photos_are_seen_as_they_were_asked_for() {
    let Some(root) = std::env::var_os("KERFBOOK_CORPORA").map(PathBuf::from) else {
        eprintln!("skipped: set not fetched");
        return;
    };
    for file in ["photos-a/astronaut.png", "photos-a/chelsea.png", "photos-b/china.jpg"] {
        check(&root.join("raster").join(file));
    }
}
