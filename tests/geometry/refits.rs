//! Offsets of real outlines with fewer nodes: how many, how far they stray, and what it costs.
//!
//! The deviation is measured by GEOS (discrete Hausdorff distance, densified) between the chords and the fitted curve,
//! itself drawn with chords far finer than the tolerance.

use super::oracle::{self, chords};
use geos::{CapStyle, Geom, JoinStyle};
use kerfbook::geometry::{Region, simplified, subpaths};
use kerfbook::units::Mm;
use kurbo::{BezPath, PathSeg, Point, Shape};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// What a fit and the flattening before it may stray together.
const TOLERANCE: Mm = Mm::new(0.010);

/// What the fit alone may stray from its chords: the flattening has used up 0.002 mm. Besides, the measure's own step.
const MOST: f64 = 0.008 + 2e-4;

/// Files of each large set that are tried, spread evenly: all of them take hours.
const SAMPLES: usize = 60;

const DISTANCES: [f64; 4] = [1.778, 0.25, -0.05, -0.5];

/// The Hausdorff distance of two closed paths by GEOS.
fn hausdorff(a: &BezPath, b: &BezPath) -> f64 {
    let (a, b) = (oracle::lines(&chords(a, 1e-4)), oracle::lines(&chords(b, 1e-4)));
    a.hausdorff_distance_densify(&b, 0.5).expect("a distance")
}

fn count(path: &BezPath) -> usize {
    path.segments().count()
}

/// The turns at joins, in radians, that are neither smooth nor a corner of the chords nearby.
fn kinks(fit: &BezPath, before: &BezPath) -> usize {
    let corners: Vec<Point> = before.elements().iter().filter_map(kurbo::PathEl::end_point).collect();
    let ends = |s: &PathSeg| {
        let c = s.to_cubic();
        if let PathSeg::Line(l) = s { (l.p1 - l.p0, l.p1 - l.p0) } else { (c.p1 - c.p0, c.p3 - c.p2) }
    };
    let contours = subpaths(fit);
    let joins = contours.iter().flat_map(|contour| {
        let segments: Vec<PathSeg> = contour.segments().collect();
        let next: Vec<PathSeg> = segments.iter().cycle().skip(1).take(segments.len()).copied().collect();
        segments.into_iter().zip(next)
    });
    joins
        .filter(|(a, b)| {
            let (u, v) = (ends(a).1, ends(b).0);
            let turn = libm::atan2(u.cross(v), u.dot(v)).abs();
            // Corners are vertices of the chords; joins within an arc need not be.
            turn > 0.01 && !corners.contains(&b.to_cubic().p0)
        })
        .count()
}

/// Ratios of many figures, told as a median and a ninth decile.
#[derive(Default)]
struct Ratios(Vec<f64>);

impl Ratios {
    fn at(&mut self, share: f64) -> f64 {
        self.0.sort_by(f64::total_cmp);
        self.0[((self.0.len() - 1) as f64 * share) as usize]
    }
}

/// What refitting the offsets of a set of outlines came to.
#[derive(Default)]
struct Tally {
    fewer: Ratios,
    of_artwork: Ratios,
    worst: (f64, String),
    kinks: usize,
    offset: Duration,
    fit: Duration,
}

impl Tally {
    fn take(&mut self, name: &str, artwork: usize, region: &Region, by: f64) {
        // Chords of another library, so that nothing of what is fitted has been fitted before.
        let start = Instant::now();
        let grown = oracle::of_region(region).buffer_with_style(by, 48, CapStyle::Round, JoinStyle::Round, 5.0);
        self.offset += start.elapsed();
        let moved = oracle::path_of(&grown.expect("a buffer"));
        if moved.is_empty() {
            return;
        }
        let start = Instant::now();
        let fit = simplified(&moved, TOLERANCE);
        self.fit += start.elapsed();
        assert!(count(&fit) <= count(&moved), "{name} by {by}");
        assert_eq!(subpaths(&fit).len(), subpaths(&moved).len(), "{name} by {by}");
        let parts = subpaths(&fit).into_iter().zip(subpaths(&moved));
        let strays = parts.map(|(a, b)| hausdorff(&a, &b)).fold(0.0, f64::max);
        assert!(strays <= MOST, "{name} by {by}: {strays}");
        if strays > self.worst.0 {
            self.worst = (strays, format!("{name} by {by}"));
        }
        self.kinks += kinks(&fit, &moved);
        self.fewer.0.push(count(&moved) as f64 / count(&fit) as f64);
        self.of_artwork.0.push(count(&fit) as f64 / artwork as f64);
    }

    fn say(&mut self, title: &str) {
        println!(
            "{title}: {} offsets, {:.1} times fewer nodes (first decile {:.1}), {:.2} of the artwork's (ninth {:.2}); \
             at most {:.4} mm astray ({}); time of fit over offset {:.2}",
            self.fewer.0.len(),
            self.fewer.at(0.5),
            self.fewer.at(0.1),
            self.of_artwork.at(0.5),
            self.of_artwork.at(0.9),
            self.worst.0,
            self.worst.1,
            self.fit.as_secs_f64() / self.offset.as_secs_f64(),
        );
    }
}

#[test]
fn refitted_offsets_keep_to_their_chords() {
    for by in DISTANCES {
        let mut tally = Tally::default();
        for outline in oracle::outlines() {
            let region = Region::from_path(&outline.path, outline.rule).expect("finite");
            tally.take(outline.name, count(&outline.path), &region, by);
        }
        tally.say(&format!("refit by {by}"));
        assert!(tally.fewer.at(0.5) >= 7.0 && tally.of_artwork.at(0.5) <= 1.5);
        assert_eq!(tally.kinks, 0);
    }
}

/// The files of a folder whose paths are plain fills.
fn artwork(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "svg") {
                files.push(path);
            }
        }
    }
    files.sort();
    files
}

/// All path data of a file, scaled to a frame of 48 mm.
fn outline_of(file: &Path) -> Option<BezPath> {
    let text = std::fs::read_to_string(file).ok()?;
    let document = roxmltree::Document::parse(&text).ok()?;
    let data = document.descendants().filter(|n| n.has_tag_name("path")).filter_map(|n| n.attribute("d"));
    let paths = data.filter_map(|d| BezPath::from_svg(d).ok());
    let path = BezPath::from_vec(paths.flat_map(IntoIterator::into_iter).collect());
    let bounds = path.bounding_box();
    let size = bounds.width().max(bounds.height());
    (size > 0.0 && size.is_finite()).then(|| kurbo::Affine::scale(48.0 / size) * path)
}

#[test]
fn refitted_offsets_of_the_large_sets_keep_to_their_chords() {
    let Some(sets) = std::env::var_os("KERFBOOK_CORPORA") else {
        println!("skipped: set not fetched");
        return;
    };
    for set in ["svg/pictograms", "svg/emblems", "svg/flat-colour"] {
        let files = artwork(&Path::new(&sets).join(set));
        assert!(!files.is_empty(), "{set}");
        let every = files.len().div_ceil(SAMPLES);
        let mut tally = Tally::default();
        for (i, file) in files.iter().step_by(every).enumerate() {
            let Some(path) = outline_of(file) else { continue };
            let Ok(region) = Region::from_path(&path, kerfbook::geometry::FillRule::NonZero) else { continue };
            tally.take(&file.display().to_string(), count(&path), &region, DISTANCES[i % 4]);
        }
        tally.say(set);
        println!("{set}: {} joins that are neither smooth nor corners of the chords", tally.kinks);
    }
}

#[test]
fn simplifying_never_adds_segments_and_keeps_what_it_cannot_better() {
    let (mut given, mut kept) = (0, 0);
    for outline in oracle::outlines() {
        let simple = simplified(&outline.path, TOLERANCE);
        assert!(count(&simple) <= count(&outline.path), "{}", outline.name);
        given += count(&outline.path);
        kept += count(&simple);
        let parts: Vec<BezPath> = subpaths(&simple);
        assert_eq!(parts.len(), subpaths(&outline.path).len());
        for (a, b) in parts.iter().zip(subpaths(&outline.path)) {
            if a != &b {
                let strays = hausdorff(a, &b);
                assert!(strays <= TOLERANCE.get() + 2e-4, "{}: {strays}", outline.name);
            }
        }
        // Once is enough: what is simple stays as it is, or nearly.
        assert!(count(&simplified(&simple, TOLERANCE)) <= count(&simple));
    }
    println!("simplified: {given} segments became {kept}");
    // Too small a tolerance to do anything with.
    let path = &oracle::outlines()[0].path;
    assert_eq!(&simplified(path, Mm::new(0.003)), path);
}

#[test]
fn a_polyline_of_a_circle_becomes_a_circle_again() {
    let circle = kurbo::Circle::new((20.0, 30.0), 12.0);
    let simple = simplified(&chords(&circle.to_path(1e-6), 0.002), TOLERANCE);
    assert_eq!(count(&simple), 4);
    assert!(hausdorff(&simple, &circle.to_path(1e-6)) <= TOLERANCE.get());
    // An open one stays open, and ends where it ended.
    let open = BezPath::from_svg("M0 0C10 0 20 5 25 20S40 60 60 50").expect("path data");
    let simple = simplified(&chords(&open, 0.002), TOLERANCE);
    assert!(count(&simple) <= 8 && !simple.to_svg().contains('Z'), "{}", simple.to_svg());
    let last = simple.elements().last().and_then(kurbo::PathEl::end_point);
    assert_eq!(last, Some(Point::new(60.0, 50.0)));
}
