//! A large run over real pictograms made of strokes.

use super::lines::{median, off, overlay};
use super::pictures::{Look, stroked};
use kerfbook::tracing;
use kurbo::{Affine, BezPath, PathEl, Shape};
use resvg::tiny_skia::PathSegment;
use resvg::usvg;
use std::path::{Path, PathBuf};

/// Pixels along the side of a picture.
const SIDE: u32 = 300;

/// Pictures looked at, spread evenly over the set.
const PICTURES: usize = 120;

/// The strokes of an SVG, in pixels of the picture; each subpath one.
fn strokes(file: &Path) -> Vec<BezPath> {
    let tree = usvg::Tree::from_data(&std::fs::read(file).unwrap(), &usvg::Options::default()).unwrap();
    let scale = f64::from(SIDE) / f64::from(tree.size().width());
    let mut strokes = Vec::new();
    collect(tree.root(), &mut strokes);
    strokes.iter().map(|s| Affine::scale(scale) * s.clone()).collect()
}

fn collect(group: &usvg::Group, strokes: &mut Vec<BezPath>) {
    for node in group.children() {
        match node {
            usvg::Node::Group(group) => collect(group, strokes),
            usvg::Node::Path(path) if path.stroke().is_some() => subpaths(path.data(), strokes),
            _ => {}
        }
    }
}

fn subpaths(path: &resvg::tiny_skia::Path, strokes: &mut Vec<BezPath>) {
    let p = |p: resvg::tiny_skia::Point| kurbo::Point::new(f64::from(p.x), f64::from(p.y));
    for segment in path.segments() {
        if let PathSegment::MoveTo(_) = segment {
            strokes.push(BezPath::new());
        }
        let element = match segment {
            PathSegment::MoveTo(a) => PathEl::MoveTo(p(a)),
            PathSegment::LineTo(a) => PathEl::LineTo(p(a)),
            PathSegment::QuadTo(a, b) => PathEl::QuadTo(p(a), p(b)),
            PathSegment::CubicTo(a, b, c) => PathEl::CurveTo(p(a), p(b), p(c)),
            PathSegment::Close => PathEl::ClosePath,
        };
        strokes.last_mut().expect("a path moves first").push(element);
    }
}

#[test]
fn line_icons_are_drawn_again() {
    let Some(root) = std::env::var_os("KERFBOOK_CORPORA").map(PathBuf::from) else {
        eprintln!("skipped: set not fetched");
        return;
    };
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(root.join("svg/line-icons/outline")).unwrap().map(|e| e.unwrap().path()).collect();
    files.sort();
    for look in [Look::Grey, Look::Scan] {
        let mut all = Vec::new();
        for file in files.iter().step_by(files.len() / PICTURES).take(PICTURES) {
            let drawn = strokes(file);
            let picture = stroked(&drawn, 6.0, (SIDE, SIDE), look);
            let found = tracing::centre_lines(&tracing::ink(picture, None).unwrap(), 0.0);
            // What is a spot on paper is found as one.
            let truth: Vec<BezPath> = drawn.into_iter().filter(|s| s.perimeter(1e-2) > 3.0).collect();
            let paths: Vec<BezPath> = found.strokes.iter().map(|s| s.path.clone()).collect();
            if truth.is_empty() || paths.is_empty() {
                println!("{look:?} {}: {} drawn, {} found", file.display(), truth.len(), paths.len());
                continue;
            }
            let name = file.file_stem().unwrap().to_string_lossy().into_owned();
            overlay(&format!("icon-{name}-{look:?}"), &truth, &paths, 6.0, (SIDE, SIDE));
            all.push((off(&truth, &paths), truth.len(), paths.len(), name));
        }
        let count = all.len() as f64;
        let mean = all.iter().map(|a| a.0.mean).sum::<f64>() / count;
        let most = median(all.iter().map(|a| a.0.most).collect());
        let drawn = all.iter().map(|a| a.1).sum::<usize>() as f64 / count;
        let found = all.iter().map(|a| a.2).sum::<usize>() as f64 / count;
        println!(
            "{look:?}: {count} icons, mean {mean:.3}, Hausdorff median {most:.2}, strokes {found:.2} of {drawn:.2}"
        );
        all.sort_by(|a, b| b.0.most.total_cmp(&a.0.most));
        all.iter()
            .take(12)
            .for_each(|(off, drawn, found, name)| println!("    {name}: {off:.2?} {found}/{drawn}"));
        println!("    p90 {:.2}", all[all.len() / 10].0.most);
        assert!(mean <= 0.1 && most <= 0.8, "{look:?}: mean {mean}, Hausdorff median {most}");
    }
}
