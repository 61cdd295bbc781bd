//! Drawn strokes of known middles, traced back from pixels.

use super::figures::{self, Figure};
use super::pictures::{Look, stroked};
use kerfbook::raster::Plane;
use kerfbook::tracing::{self, CentreLines};
use kurbo::{BezPath, ParamCurve, ParamCurveArclen, ParamCurveNearest, Point, Shape};

/// How far traced lines lie from the drawn ones, in pixels.
#[derive(Debug)]
pub struct Off {
    /// On average along the traced ones.
    pub mean: f64,
    /// The farthest, both ways (Hausdorff).
    pub most: f64,
}

/// Places along paths, a quarter pixel apart.
fn places(paths: &[BezPath]) -> Vec<Point> {
    let mut places = Vec::new();
    for segment in paths.iter().flat_map(BezPath::segments) {
        let steps = (segment.arclen(1e-2) * 4.0).ceil().max(1.0) as usize;
        places.extend((0..=steps).map(|k| segment.eval(k as f64 / steps as f64)));
    }
    places
}

/// How far places lie from paths.
fn distances(places: &[Point], paths: &[BezPath]) -> Vec<f64> {
    let segments: Vec<_> = paths.iter().flat_map(BezPath::segments).map(|s| (s.bounding_box(), s)).collect();
    let nearest = |p: &Point| {
        let mut least = f64::INFINITY;
        for (frame, segment) in &segments {
            let (dx, dy) =
                ((frame.x0 - p.x).max(p.x - frame.x1).max(0.0), (frame.y0 - p.y).max(p.y - frame.y1).max(0.0));
            if dx * dx + dy * dy < least {
                least = least.min(segment.nearest(*p, 1e-3).distance_sq);
            }
        }
        least.sqrt()
    };
    places.iter().map(nearest).collect()
}

pub fn off(truth: &[BezPath], found: &[BezPath]) -> Off {
    let forth = distances(&places(found), truth);
    let back = distances(&places(truth), found);
    let most = forth.iter().chain(&back).copied().fold(0.0, f64::max);
    Off { mean: forth.iter().sum::<f64>() / forth.len() as f64, most }
}

/// What was drawn and what was found, into the folder that `KERFBOOK_OVERLAYS` names, to be looked at.
pub fn overlay(name: &str, truth: &[BezPath], found: &[BezPath], pen: f64, (width, height): (u32, u32)) {
    let Ok(dir) = std::env::var("KERFBOOK_OVERLAYS") else { return };
    let d = |paths: &[BezPath]| paths.iter().map(BezPath::to_svg).collect::<Vec<_>>().join(" ");
    let (truth, found) = (d(truth), d(found));
    let svg = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {width} {height}' fill='none' \
         stroke-linecap='round' stroke-linejoin='round'><rect width='100%' height='100%' fill='white'/>\
         <path d='{truth}' stroke='#ccc' stroke-width='{pen}'/><path d='{truth}' stroke='#090' stroke-width='.4'/>\
         <path d='{found}' stroke='#d00' stroke-width='.4'/></svg>"
    );
    std::fs::write(std::path::Path::new(&dir).join(format!("{name}.svg")), svg).unwrap();
}

pub fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn traced(figure: &Figure, width: f64, look: Look) -> CentreLines {
    let picture = stroked(&figure.strokes, width, figure.size, look);
    let ink = tracing::ink(picture, None).expect("ink on paper");
    tracing::centre_lines(&ink, 0.0)
}

fn paths(found: &CentreLines) -> Vec<BezPath> {
    found.strokes.iter().map(|s| s.path.clone()).collect()
}

#[test]
fn strokes_of_six_pixels_are_found() {
    for look in [Look::Grey, Look::Scan] {
        let mut all = Vec::new();
        for figure in figures::strokes() {
            let found = traced(&figure, 6.0, look);
            let off = off(&figure.strokes, &paths(&found));
            let width = median(found.strokes.iter().map(|s| s.width).collect());
            println!(
                "{look:?} {:>12}: mean {:.3} most {:.2} strokes {}/{} width {width:.2} nodes {}",
                figure.name,
                off.mean,
                off.most,
                found.strokes.len(),
                figure.strokes.len(),
                paths(&found).iter().map(|p| p.segments().count()).sum::<usize>()
            );
            overlay(&format!("{}-{look:?}", figure.name), &figure.strokes, &paths(&found), 6.0, figure.size);
            all.push((figure, off, found.strokes.len(), width));
        }
        let mean = all.iter().map(|a| a.1.mean).sum::<f64>() / all.len() as f64;
        let most = median(all.iter().map(|a| a.1.most).collect());
        println!("{look:?}: mean {mean:.4}, Hausdorff median {most:.3}, {} figures", all.len());
        assert!(mean <= 0.1 && most <= 0.8, "{look:?}: mean {mean}, Hausdorff median {most}");
        for (figure, _, count, width) in &all {
            assert_eq!(*count, figure.strokes.len(), "{look:?} {}", figure.name);
            assert!((width / 6.0 - 1.0).abs() <= 0.05, "{look:?} {}: {width} px wide", figure.name);
        }
    }
}

#[test]
fn no_picture_makes_it_panic() {
    let plane = |width: usize, height: usize, value: &dyn Fn(usize) -> f32| Plane {
        width,
        height,
        values: (0..width * height).map(value).collect(),
    };
    let hash = |i: usize| ((i * 2_654_435_761) >> 7) % 1000;
    let pictures = [
        plane(0, 0, &|_| 0.0),
        plane(1, 1, &|_| 0.0),
        plane(1, 1, &|_| 1.0),
        plane(40, 1, &|i| (i % 3) as f32),
        plane(1, 40, &|_| 0.0),
        plane(60, 60, &|_| 0.0),
        plane(60, 60, &|_| 1.0),
        plane(64, 64, &|i| ((i % 64 + i / 64) % 2) as f32),
        plane(64, 64, &|i| ((i % 64) % 2) as f32),
        plane(64, 64, &|i| ((i % 64) % 3).min(1) as f32),
        plane(200, 150, &|i| f32::from(u8::from(hash(i) > 500))),
        plane(200, 150, &|i| f32::from(u8::from(hash(i) > 800))),
        plane(200, 150, &|i| f32::from(u8::from(hash(i) > 200))),
        plane(200, 150, &|i| hash(i) as f32 / 999.0),
    ];
    for (k, picture) in pictures.iter().enumerate() {
        let ink = tracing::Ink { plane: picture.clone(), threshold: 0.5, paper: tracing::Paper::Grey };
        for paper in [tracing::Paper::Grey, tracing::Paper::Scan, tracing::Paper::BlackAndWhite] {
            let ink = tracing::Ink { paper, ..ink.clone() };
            let found = tracing::centre_lines(&ink, 0.0);
            let finite = |s: &tracing::Stroke| s.path.is_finite() && s.width.is_finite();
            assert!(found.strokes.iter().all(finite), "picture {k}");
            assert_eq!(format!("{found:?}"), format!("{:?}", tracing::centre_lines(&ink, 0.0)));
        }
    }
}
