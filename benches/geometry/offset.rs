//! Figures 2, 3 and 4: offsets of ordinary artwork, of an outline of a million corners, and where they lie.

use super::inputs;
use super::race::race;
use super::references::{Paths, Same, corners, flat_to, lines, point};
use super::table::{Extreme, Table};
use clipper2::{EndType, JoinType};
use geos::{CapStyle, Geom, Geometry, JoinStyle};
use kerfbook::geometry::{Corners, FillRule, Region};
use kerfbook::units::Mm;
use kurbo::{BezPath, Point};

/// A path may have a million elements, of which two are its start and its end.
const MILLION: usize = 999_990;

/// The offset (mm) of the outline of a million corners.
const FAR: f64 = 1.778;

pub fn rows(table: &mut Table) {
    for by in [1.778, -0.5] {
        table.race(2, &format!("offset of the artwork by {by} / GEOS"), 2.3, || {
            let all = inputs::artwork_of_each();
            race(|| each(all, |s| ours(&s.ours, by)), || each(all, |s| geos(&s.geos, by)))
        });
        table.race(2, &format!("offset of the artwork by {by} / Clipper2"), 1.5, || {
            let all = inputs::artwork_of_each();
            race(|| each(all, |s| ours(&s.ours, by)), || each(all, |s| clipper(&s.clipper, by)))
        });
    }
    table.race(3, "offset of a wave of 1 000 000 corners / GEOS", 1.0, || {
        let wave = Same::of(&inputs::wave(MILLION), FillRule::NonZero);
        race(|| ours(&wave.ours, FAR), || geos(&wave.geos, FAR))
    });
    table.number(3, "offset of a wave of 1 000 000 corners: peak in MB", 250.0, peak_in_a_child);
    // Beside every corner of the noise stands an arc that crosses those of all corners within twice the offset: some
    // hundred millions of crossings, which is what once did not end. What is asked of it is to end.
    table.race(3, "offset of a noisy outline of 100 000 corners / GEOS", 10.0, || {
        let noisy = Same::of(&inputs::noisy(100_000), FillRule::NonZero);
        race(|| ours(&noisy.ours, 5.0), || geos(&noisy.geos, 5.0))
    });
    for by in [1.778, 0.1, -0.05, -0.5] {
        table.range(4, &format!("offset of the artwork by {by}: error in mm"), -0.010..=0.010, || {
            error_range(inputs::artwork_of_each().iter().map(|s| &s.ours), by)
        });
    }
    for by in [1.778, 0.1, -0.05, -0.5] {
        table.range(4, &format!("offset of a dense outline by {by}: error in mm"), -0.010..=0.010, || {
            let wave = Region::from_path(&inputs::wave(100_000), FillRule::NonZero).expect("a sound wave");
            error_range([&wave].into_iter(), by)
        });
    }
}

fn each<T>(all: &[Same], work: impl Fn(&Same) -> T) -> Vec<T> {
    all.iter().map(work).collect()
}

fn ours(region: &Region, by: f64) -> Region {
    region.offset(Mm::new(by), Corners::Round)
}

/// With as many arc steps as keep within the kernel's tolerance.
fn geos(area: &Geometry, by: f64) -> Geometry {
    let steps = (std::f64::consts::FRAC_PI_2 / (0.012 / by.abs()).sqrt()).ceil() as i32;
    area.buffer_with_style(by, steps, CapStyle::Round, JoinStyle::Round, 5.0).expect("a buffer")
}

/// With the arcs that it makes of itself: chords within a five-hundredth of the distance.
fn clipper(area: &Paths, by: f64) -> Paths {
    area.inflate(by, JoinType::Round, EndType::Polygon, 2.0)
}

/// The least and the greatest of what the distance to the old outline, by GEOS, is more than it should be: at
/// every node of the new outlines and in the middle between two.
fn error_range<'a>(regions: impl Iterator<Item = &'a Region>, by: f64) -> (Extreme, Extreme) {
    let (mut least, mut greatest) = (Extreme::default(), Extreme::default());
    for (number, region) in regions.enumerate().filter(|(_, r)| !r.is_empty()) {
        let border = lines(region.contours().iter().map(around));
        let border = border.to_prepared_geom().expect("a prepared geometry");
        for contour in ours(region, by).contours() {
            for pair in around(contour).windows(2) {
                for at in [pair[0], pair[0].midpoint(pair[1])] {
                    let value = border.distance(&point(at)).expect("a distance") - by.abs();
                    let place = || format!("shape {number} at {:.3} {:.3}", at.x, at.y);
                    least.take(value < least.value, value, place);
                    greatest.take(value > greatest.value, value, place);
                }
            }
        }
    }
    (least, greatest)
}

/// The chords of a contour as points, the first again as the last.
fn around(contour: &BezPath) -> Vec<Point> {
    let mut points = corners(&flat_to(contour, 1e-4));
    points.push(points[0]);
    points
}

/// The word that makes this program measure memory instead.
const PEAK: &str = "--peak-of-a-million";

/// The greatest memory that a process of its own takes for the offset of a million corners.
fn peak_in_a_child() -> (f64, String) {
    let program = std::env::current_exe().expect("this program");
    let output = std::process::Command::new(program).arg(PEAK).output().expect("a child");
    let text = String::from_utf8(output.stdout).expect("two numbers");
    let peaks: Vec<f64> = text.split_whitespace().filter_map(|word| word.parse().ok()).collect();
    match peaks[..] {
        [cleaning, offset] => (offset, format!("cleaning up before it {cleaning:.0} MB")),
        _ => (f64::NAN, "not known here".to_owned()),
    }
}

/// In the child: prints the peaks of cleaning up and of the offset, in MB, and says whether it was meant.
pub fn is_child() -> bool {
    let meant = std::env::args().any(|a| a == PEAK);
    if meant {
        let wave = Region::from_path(&inputs::wave(MILLION), FillRule::NonZero).expect("a sound wave");
        let cleaning = peak();
        // Clears the peak that the system remembers (proc(5), "clear_refs").
        let _ = std::fs::write("/proc/self/clear_refs", "5");
        let moved = ours(&wave, FAR);
        if let (Some(cleaning), Some(offset), false) = (cleaning, peak(), moved.is_empty()) {
            println!("{cleaning} {offset}");
        }
    }
    meant
}

/// The most memory this process has had, in MB; known on Linux only.
fn peak() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    Some(line.trim().trim_end_matches("kB").trim().parse::<f64>().ok()? / 1024.0)
}
