//! Dithers: kernels as published, tones kept, textures kept away.

use super::patch;
use super::spectrum::{power, radius};
use kerfbook::raster::{Bitmap, Plane};
use kerfbook::toning::{
    Border, Diffusion, Dither, FLOYD_STEINBERG, JARVIS_JUDICE_NINKE, Order, STUCKI, Screen, StockTones, Tone,
    coverage, dither, ranks,
};

const HALFTONE: Dither =
    Dither::Halftone(Screen { period: 8.0, angle: std::f64::consts::FRAC_PI_4, stretch: 1.0 });

const ALL: [Dither; 5] =
    [Dither::FloydSteinberg, Dither::Stucki, Dither::JarvisJudiceNinke, Dither::BlueNoise, HALFTONE];

fn mean(bitmap: &Bitmap) -> f64 {
    bitmap.count() as f64 / (bitmap.width * bitmap.height) as f64
}

#[test]
fn the_worked_example_of_floyd_and_steinberg() {
    // Floyd and Steinberg 1976, weights 7 3 5 1 (CHECKS R4, worked by hand): codes of 255, threshold 128, from the left,
    // what leaves the picture is lost.
    let as_published =
        Diffusion { kernel: FLOYD_STEINBERG, order: Order::Raster, border: Border::Loses, noise: 0.0 };
    let cases: [(usize, &[f32], &[u8]); 3] = [
        (3, &[100.0; 9], &[0, 1, 0, 0, 1, 0, 0, 0, 1]),
        (2, &[64.0; 4], &[0, 0, 0, 1]),
        (4, &[96.0, 128.0, 160.0, 192.0, 96.0, 128.0, 160.0, 192.0], &[0, 1, 0, 1, 0, 1, 1, 1]),
    ];
    for (width, codes, expected) in cases {
        let values: Vec<f32> = codes.iter().map(|c| c / 255.0).collect();
        let bitmap = as_published.dots(&Plane { width, height: codes.len() / width, values });
        let found: Vec<u8> = (0..codes.len()).map(|i| u8::from(bitmap.get(i % width, i / width))).collect();
        assert_eq!(found, expected);
    }
}

#[test]
fn kernels_give_all_of_an_error_away() {
    for kernel in [FLOYD_STEINBERG, STUCKI, JARVIS_JUDICE_NINKE] {
        assert!((kernel.iter().map(|k| k.2).sum::<f32>() - 1.0).abs() < 1e-6);
        assert!(kernel.iter().all(|k| k.1 > 0 || k.0 > 0), "only to what is not yet decided");
    }
}

#[test]
fn even_tones_keep_their_mean() {
    for how in ALL {
        for level in 0..=64_u8 {
            let value = f32::from(level) / 64.0;
            for side in [512, 600] {
                let found = mean(&dither(&patch(side, value), &how));
                // Dots at an angle never fill a patch evenly: a prototype of the same method missed by up to 0.0033.
                let most = if matches!(how, Dither::Halftone(_)) { 0.0035 } else { 0.002 };
                assert!((found - f64::from(value)).abs() <= most, "{} {level}/64 of {side}: {found}", how.word());
            }
        }
    }
}

#[test]
fn a_grey_ramp_keeps_its_mean_in_linear_light_through_the_whole_chain() {
    // On ideal stock (bare 1, burned 0) what is burned is the light that is missing (Murray-Davies 1936): 1 - Y.
    let plain = Tone { clip: None, gamma: 1.0, local_contrast: 0.0, sharpen: 0.0, invert: false };
    let ideal = StockTones { bare: 1.0, burned: 0.0 };
    let values: Vec<f32> = (0..400 * 100).map(|i| (i % 400) as f32 / 399.0).collect();
    let light = values.iter().map(|v| f64::from(*v)).sum::<f64>() / values.len() as f64;
    for how in ALL {
        let ramp = Plane { width: 400, height: 100, values: values.clone() };
        let toned = coverage(ramp, &plain, ideal, None, |_| true).coverage;
        let found = 1.0 - mean(&dither(&toned, &how));
        assert!((found / light - 1.0).abs() < 0.005, "{}: {found} {light}", how.word());
    }
}

/// Side of the parts whose spectra are averaged.
const PART: usize = 128;

/// The mean spectrum of sixteen parts of a patch (Bartlett 1948): noise averages out, texture stays.
fn mean_spectrum(bitmap: &Bitmap) -> Vec<f64> {
    let mut mean = vec![0.0; PART * PART];
    for part in 0..16 {
        let (left, top) = (part % 4 * PART, part / 4 * PART);
        let dot = |i: usize| f64::from(u8::from(bitmap.get(left + i % PART, top + i / PART)));
        let found = power(&(0..PART * PART).map(dot).collect::<Vec<_>>(), PART);
        mean.iter_mut().zip(found).for_each(|(sum, p)| *sum += p / 16.0);
    }
    mean
}

/// The strongest frequency over the mean of its ring: high where a texture is seen (worms, a grid).
fn peak(spectrum: &[f64]) -> f64 {
    let ring_of = |i: usize| radius(i, PART) as usize;
    let mut rings = vec![(0.0, 0.0); PART];
    for (i, p) in spectrum.iter().enumerate().skip(1) {
        let ring = &mut rings[ring_of(i)];
        *ring = (ring.0 + p, ring.1 + 1.0);
    }
    // The smallest rings and the corners beyond the last whole ring hold too few frequencies for a mean.
    let is_whole = |i: &usize| (4..PART / 2).contains(&ring_of(*i));
    let over_ring = |i: usize| spectrum[i] / (rings[ring_of(i)].0 / rings[ring_of(i)].1).max(1e-9);
    (1..spectrum.len()).filter(is_whole).map(over_ring).fold(0.0, f64::max)
}

/// Textures in even tones: the mean over some of them.
fn texture(dots: impl Fn(&Plane) -> Bitmap) -> f64 {
    let levels = [0.1_f32, 0.2, 0.3, 0.4, 0.6, 0.7, 0.8];
    levels.iter().map(|&level| peak(&mean_spectrum(&dots(&patch(4 * PART, level))))).sum::<f64>()
        / levels.len() as f64
}

#[test]
fn the_default_shows_no_texture() {
    let shaken = texture(|plane| dither(plane, &Dither::FloydSteinberg));
    let published = Diffusion { kernel: FLOYD_STEINBERG, order: Order::Raster, border: Border::Loses, noise: 0.0 };
    let unshaken = texture(|plane| published.dots(plane));
    println!("texture: {shaken:.1}, as published {unshaken:.1}");
    assert!(shaken <= 6.0, "{shaken}");
    assert!(unshaken > 3.0 * shaken, "the measure finds the textures of the published order: {unshaken}");
}

#[test]
fn the_order_of_blue_noise_is_a_permutation_without_low_frequencies() {
    let (ranks, side) = ranks();
    let mut sorted: Vec<u16> = ranks.to_vec();
    sorted.sort_unstable();
    assert!(sorted.iter().enumerate().all(|(i, r)| usize::from(*r) == i));
    // Ulichney 1993: below the principal frequency (the square root of the share of dots, here 1/4: half a cycle a
    // pixel) there is next to no power.
    let dots: Vec<f64> = ranks.iter().map(|r| f64::from(u8::from(usize::from(*r) < side * side / 4))).collect();
    let power = power(&dots, side);
    let mean_in = |from: f64, to: f64| {
        let ring: Vec<f64> =
            (1..power.len()).filter(|i| (from..to).contains(&radius(*i, side))).map(|i| power[i]).collect();
        ring.iter().sum::<f64>() / ring.len() as f64
    };
    let (low, all) = (mean_in(0.0, side as f64 / 8.0), mean_in(0.0, side as f64 / 2.0));
    assert!(low < 0.05 * all, "{low} {all}");
}

#[test]
fn what_is_bare_stays_bare_and_what_is_black_is_full() {
    for how in ALL {
        assert_eq!(mean(&dither(&patch(64, 0.0), &how)), 0.0, "{}", how.word());
        assert_eq!(mean(&dither(&patch(64, 1.0), &how)), 1.0, "{}", how.word());
    }
}

#[test]
fn halftone_dots_stand_at_their_distance() {
    // Period 8 at 0 degrees: in a pale tone the strongest frequency is 1/8 a pixel along a row or a column.
    let screen = Screen { period: 8.0, angle: 0.0, stretch: 1.0 };
    let bitmap = dither(&patch(128, 0.2), &Dither::Halftone(screen));
    let values: Vec<f64> = (0..128 * 128).map(|i| f64::from(u8::from(bitmap.get(i % 128, i / 128)))).collect();
    let power = power(&values, 128);
    let strongest = (1..power.len()).max_by(|a, b| power[*a].total_cmp(&power[*b])).unwrap();
    assert!([16, 112, 16 * 128, 112 * 128].contains(&strongest), "{strongest}");
}
