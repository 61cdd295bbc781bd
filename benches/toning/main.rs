//! Photos raced against the `image` crate on one photo: resampling with the same filter, and dithering.
//!
//! `cargo bench --bench toning` prints our time and the ratio to theirs, in processor time, round by round (`race`). Theirs
//! dithers by the kernel of Floyd and Steinberg in 8-bit codes and nothing else, so each of our dithers is held against
//! that, and our whole chain, which tones as well, against theirs of resampling and dithering. A bar stands where the design
//! set one: diffusion no slower than the design's share of a compiled reference.

#[path = "../geometry/race.rs"]
mod race;

use image::imageops::{BiLevel, FilterType, dither as their_dither, resize};
use image::{GrayImage, ImageBuffer, Luma};
use kerfbook::raster::Plane;
use kerfbook::toning::{Box2, Dither, Screen, StockTones, Tone, coverage, dither, resample};
use race::{Outcome, race};

/// The photo is laid out so many times across and down: as many pixels as a camera gives.
const TIMES: (usize, usize) = (12, 10);

/// Dots across and down: 120 × 83 mm at ten a millimetre.
const DOTS: (usize, usize) = (1200, 833);

/// What a recipe asks for that says nothing.
const USUAL: Tone = Tone { clip: Some(0.005), gamma: 1.0, local_contrast: 0.4, sharpen: 0.8, invert: false };

const STOCK: StockTones = StockTones { bare: 0.8, burned: 0.28 };

fn main() {
    let (samples, size) = photo();
    let all = Box2 { left: 0.0, top: 0.0, width: size.0 as f64, height: size.1 as f64 };
    let ours = || resample(&samples, size, all, DOTS);
    let picture: ImageBuffer<Luma<u16>, Vec<u16>> =
        ImageBuffer::from_raw(size.0 as u32, size.1 as u32, samples.clone()).expect("as many samples as pixels");
    let theirs = || resize(&picture, DOTS.0 as u32, DOTS.1 as u32, FilterType::Lanczos3);
    println!(
        "{} x {} pixels to {} x {} dots; processor time, median of the rounds",
        size.0, size.1, DOTS.0, DOTS.1
    );
    row("resample (Lanczos)", race(ours, theirs), None);

    let toned = |plane: Plane| coverage(plane, &USUAL, STOCK, None, |_| true).coverage;
    let wanted = toned(ours());
    let codes = wanted.values.iter().map(|v| 255 - (v * 255.0).round() as u8).collect();
    let grey = GrayImage::from_raw(DOTS.0 as u32, DOTS.1 as u32, codes).expect("as many codes as dots");
    let reference = || dithered(grey.clone());
    let screen = Screen { period: 8.0, angle: std::f64::consts::FRAC_PI_4, stretch: 1.0 };
    let methods = [
        (Dither::FloydSteinberg, Some(3.0)),
        (Dither::Stucki, None),
        (Dither::JarvisJudiceNinke, None),
        (Dither::BlueNoise, Some(1.0)),
        (Dither::Halftone(screen), None),
    ];
    for (how, bar) in methods {
        row(how.word(), race(|| dither(&wanted, &how), reference), bar);
    }
    let chain = || dither(&toned(ours()), &Dither::FloydSteinberg);
    let their_chain = || {
        let small = theirs();
        dithered(ImageBuffer::from_fn(small.width(), small.height(), |x, y| {
            Luma([(small.get_pixel(x, y).0[0] / 257) as u8])
        }))
    };
    row("whole chain", race(chain, their_chain), Some(1.0));
}

fn dithered(mut picture: GrayImage) -> GrayImage {
    their_dither(&mut picture, &BiLevel);
    picture
}

/// Luminance of a photo as large as a camera's, in 65535ths.
fn photo() -> (Vec<u16>, (usize, usize)) {
    let bytes = include_bytes!("../../tests/cases/shared/photos/portrait.png");
    let tile = image::load_from_memory(bytes).expect("a picture").to_luma16();
    let (width, height) = (tile.width() as usize, tile.height() as usize);
    let size = (width * TIMES.0, height * TIMES.1);
    // Mirrored by turns, so that no edge runs where two of them meet.
    let folded =
        |at: usize, side: usize| if (at / side).is_multiple_of(2) { at % side } else { side - 1 - at % side };
    let pixel =
        |i: usize| tile.get_pixel(folded(i % size.0, width) as u32, folded(i / size.0, height) as u32).0[0];
    ((0..size.0 * size.1).map(pixel).collect(), size)
}

fn row(what: &str, found: Outcome, bar: Option<f64>) {
    let bar = bar.map_or_else(String::new, |bar| format!("  (bar {bar})"));
    println!("{what:24} {:8.1} ms  {:5.2} times theirs{bar}", found.ours, found.ratio);
}
