//! What is burned against what a viewer shows: our ink and lines drawn again, beside resvg's picture of the file.
//!
//! Both pictures are reduced to black and white without smoothing, on the page of the file, and the share of the ink that
//! differs is counted. A viewer's pixel is ink up to the luminance at which a colour counts as white (0.8).

use super::svg::read;
use super::svg_corpora::drawings;
use kerfbook::geometry::Region;
use kerfbook::intake::SvgArtwork;
use kurbo::Rect;
use resvg::{tiny_skia, usvg};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Pixels along the longer side of the page.
const PIXELS: f64 = 1000.0;
/// The luminance over which a colour counts as white.
const NEAR_WHITE: f64 = 0.8;
/// The luminance of half grey: between black and white it leaves edges where they are, also those that resvg smooths
/// because it paints patterns as pixels.
const HALF: f64 = 0.214;
/// Files looked at in each folder; all with `KERFBOOK_CORPORA_ALL`.
const SAMPLE: usize = 25;

/// Black and white, row by row.
struct Bits {
    width: u32,
    height: u32,
    ink: Vec<bool>,
}

fn options() -> usvg::Options<'static> {
    usvg::Options {
        shape_rendering: usvg::ShapeRendering::CrispEdges,
        image_href_resolver: usvg::ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..usvg::Options::default()
    }
}

fn drawn(tree: &usvg::Tree, white: f64) -> Option<Bits> {
    let (w, h) = (f64::from(tree.size().width()), f64::from(tree.size().height()));
    let scale = PIXELS / w.max(h);
    let mut pixmap = tiny_skia::Pixmap::new((w * scale).round() as u32, (h * scale).round() as u32)?;
    pixmap.fill(tiny_skia::Color::WHITE);
    let transform = tiny_skia::Transform::from_scale(scale as f32, scale as f32);
    resvg::render(tree, transform, &mut pixmap.as_mut());
    let linear = |c: u8| {
        let c = f64::from(c) / 255.0;
        if c <= 0.04045 { c / 12.92 } else { libm::pow((c + 0.055) / 1.055, 2.4) }
    };
    let is_ink = |p: &tiny_skia::PremultipliedColorU8| {
        0.2126 * linear(p.red()) + 0.7152 * linear(p.green()) + 0.0722 * linear(p.blue()) <= white
    };
    Some(Bits {
        width: pixmap.width(),
        height: pixmap.height(),
        ink: pixmap.pixels().iter().map(is_ink).collect(),
    })
}

/// Our drawing as black areas on its page.
fn redrawn(artwork: &SvgArtwork, page: Rect) -> String {
    let drawing = &artwork.drawing;
    let strokes = Region::from_strokes(&drawing.lines).unwrap_or_default();
    let mut d = String::new();
    for contour in drawing.ink.contours() {
        let _ = write!(d, "{}", contour.to_svg());
    }
    let mut bands = String::new();
    for contour in strokes.contours() {
        let _ = write!(bands, "{}", contour.to_svg());
    }
    format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='{0}mm' height='{1}mm' viewBox='0 0 {0} {1}'><path d='{d}'/><path d='{bands}'/></svg>",
        page.width(),
        page.height()
    )
}

/// The share of the ink that differs, whether soft paint is in it, and both pictures.
type Compared = (f64, bool, Bits, Bits);

/// Compares, or says what there is to compare in its place.
fn compared(bytes: &[u8], white: f64) -> Result<Compared, &'static str> {
    let (artwork, said) = read(bytes, &[], &[]);
    let artwork = artwork.ok_or("refused here")?;
    let page = artwork.page.ok_or("no page")?;
    let original = usvg::Tree::from_data(bytes, &options()).map_err(|_| "refused by the viewer")?;
    let px = 96.0 / 25.4;
    let fits = |a: f64, b: f32| (a * px - f64::from(b)).abs() < 0.01 * f64::from(b);
    if !(fits(page.width(), original.size().width()) && fits(page.height(), original.size().height())) {
        return Err("another page in the viewer");
    }
    let ours = usvg::Tree::from_str(&redrawn(&artwork, page), &options()).map_err(|_| "ours refused")?;
    let size = "a page without pixels";
    let (shown, ours) = (drawn(&original, white).ok_or(size)?, drawn(&ours, white).ok_or(size)?);
    if (shown.width, shown.height) != (ours.width, ours.height) {
        return Err("another page in the viewer");
    }
    let ink = shown.ink.iter().filter(|i| **i).count().max(1);
    let differs = shown.ink.iter().zip(&ours.ink).filter(|(a, b)| a != b).count();
    let soft = ["gradient", "translucent", "filter", "artwork/mask", "artwork/pattern"];
    let is_soft = said.iter().any(|s| soft.iter().any(|rule| s.contains(rule)));
    Ok((differs as f64 / ink as f64, is_soft, shown, ours))
}

/// The same for any file at all: some keep resvg busy for minutes, and are left to themselves.
fn compared_in_time(bytes: Vec<u8>) -> Result<Compared, &'static str> {
    let (send, receive) = std::sync::mpsc::channel();
    std::thread::spawn(move || send.send(compared(&bytes, NEAR_WHITE)));
    receive.recv_timeout(std::time::Duration::from_secs(20)).unwrap_or(Err("a viewer that takes too long"))
}

/// Red is only in the viewer's picture, blue only in ours.
fn show(file: &Path, shown: &Bits, ours: &Bits) {
    let mut pixmap = tiny_skia::Pixmap::new(shown.width, shown.height).unwrap();
    for ((pixel, a), b) in pixmap.pixels_mut().iter_mut().zip(&shown.ink).zip(&ours.ink) {
        let (r, g, b) = match (a, b) {
            (true, true) => (0, 0, 0),
            (true, false) => (220, 0, 0),
            (false, true) => (0, 0, 220),
            (false, false) => (255, 255, 255),
        };
        *pixel = tiny_skia::ColorU8::from_rgba(r, g, b, 255).premultiply();
    }
    pixmap.save_png(file).unwrap();
}

const PAGE: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='80mm' viewBox='0 0 100 80'>";

/// One feature each, drawn by us, with shapes that show when it goes wrong.
const FEATURES: &[(&str, &str)] = &[
    (
        "markers on a line that is not drawn itself",
        "<marker id='m' markerWidth='12' markerHeight='12' refX='6' refY='6'><path d='M0 0h12v6h-12z'/></marker><path fill='none' marker-mid='url(#m)' d='M10 20H40L70 60H90'/>",
    ),
    (
        "luminance mask of flat shapes",
        "<mask id='m' maskUnits='userSpaceOnUse' x='0' y='0' width='100' height='80'><rect x='10' y='10' width='60' height='50' fill='white'/><circle cx='40' cy='35' r='15'/><path d='M35 30h10v10h-10z' fill='#fff'/></mask><rect width='100' height='80' fill='navy' mask='url(#m)'/>",
    ),
    (
        "mask in units of the box, on a group, with an inherited fill",
        "<g fill='#fff'><mask id='m' maskContentUnits='objectBoundingBox'><rect width='.5' height='1'/></mask></g><g mask='url(#m)'><circle cx='30' cy='40' r='20'/><rect x='60' y='20' width='30' height='40'/></g>",
    ),
    (
        "alpha mask",
        "<mask id='m' style='mask-type:alpha'><circle cx='50' cy='40' r='30'/></mask><rect x='10' y='10' width='50' height='60' mask='url(#m)'/>",
    ),
    (
        "mask in a mask",
        "<mask id='a'><rect width='100' height='40' fill='white'/></mask><mask id='m' mask='url(#a)'><circle cx='50' cy='40' r='30' fill='white'/></mask><rect width='100' height='80' mask='url(#m)'/>",
    ),
    (
        "pattern in units of the user",
        "<pattern id='p' patternUnits='userSpaceOnUse' x='3' y='2' width='10' height='8' patternTransform='rotate(20)'><circle cx='5' cy='4' r='3'/><path d='M0 0H4' stroke='black' stroke-width='2'/></pattern><ellipse cx='50' cy='40' rx='45' ry='30' fill='url(#p)'/>",
    ),
    (
        "pattern in units of the box, with a view box and white in it",
        "<rect width='100' height='40' fill='#333'/><pattern id='p' width='.2' height='.25' viewBox='0 0 20 20'><rect width='20' height='20' fill='white'/><path d='M0 0L20 20V0Z' fill='teal'/></pattern><rect x='10' y='10' width='80' height='60' fill='url(#p)'/>",
    ),
    (
        "pattern that takes its tile from another, on a stroke",
        "<pattern id='q' patternUnits='userSpaceOnUse' width='4' height='4'><rect width='2' height='4'/></pattern><pattern id='p' href='#q' patternTransform='rotate(45)'/><circle cx='50' cy='40' r='25' fill='none' stroke='url(#p)' stroke-width='12'/>",
    ),
    (
        "nested drawings are clipped, sliced and shown beyond their edge",
        "<svg x='5' y='5' width='40' height='30' viewBox='0 0 10 10' preserveAspectRatio='xMidYMid slice'><circle cx='5' cy='5' r='6'/></svg><svg x='55' y='5' width='40' height='30'><circle cx='0' cy='15' r='12'/></svg><svg x='55' y='45' width='30' height='20' overflow='visible'><circle cx='0' cy='15' r='12'/></svg>",
    ),
    (
        "symbols are clipped",
        "<symbol id='s' viewBox='0 0 10 10' preserveAspectRatio='none'><circle cx='10' cy='5' r='5'/></symbol><use href='#s' x='10' y='10' width='60' height='40'/>",
    ),
    (
        "markers",
        "<marker id='m' viewBox='0 0 10 10' refX='5' refY='5' markerWidth='4' markerHeight='4' orient='auto-start-reverse'><path d='M0 0L10 5L0 10Z'/></marker><marker id='d' markerWidth='3' markerHeight='3' refX='1.5' refY='1.5'><circle cx='1.5' cy='1.5' r='1.5' fill='#444'/></marker><path d='M15 60L40 20L60 50L85 15' fill='none' stroke='black' stroke-width='3' marker-start='url(#m)' marker-mid='url(#d)' marker-end='url(#m)'/>",
    ),
    (
        "the first child of a switch that fits",
        "<switch><g requiredExtensions='urn:other'><rect width='100' height='80'/></g><g systemLanguage='en'><circle cx='50' cy='40' r='20'/></g><rect x='10' width='9' height='9'/></switch>",
    ),
    (
        "dashes with an offset, caps and corners",
        "<path d='M10 20H90V60H10Z' fill='none' stroke='black' stroke-width='4' stroke-dasharray='12 5 3' stroke-dashoffset='4'/><path d='M20 40H80' stroke='black' stroke-width='6' stroke-dasharray='0 9' stroke-linecap='round'/>",
    ),
    (
        "stroke beneath fill",
        "<path d='M20 20H80V60H20Z' fill='white' stroke='black' stroke-width='12' paint-order='stroke'/><path d='M40 30H60V50H40Z' fill='white' stroke='black' stroke-width='4'/>",
    ),
    (
        "clip paths in clip paths, with a rule",
        "<clipPath id='a'><path clip-rule='evenodd' d='M10 10H90V70H10ZM30 25H70V55H30Z'/></clipPath><clipPath id='b' clip-path='url(#a)'><circle cx='50' cy='40' r='38'/></clipPath><rect width='100' height='80' clip-path='url(#b)'/>",
    ),
    (
        "white over dark, dark over white",
        "<rect x='10' y='10' width='80' height='60' fill='#222'/><circle cx='50' cy='40' r='25' fill='white'/><circle cx='50' cy='40' r='12' fill='#a00'/><path d='M10 40H90' stroke='white' stroke-width='5'/>",
    ),
    (
        "style sheets, inheritance and currentColor",
        "<style>.a{fill:none;stroke:currentColor;stroke-width:5} g .b{fill:#123 !important}</style><g color='maroon'><path class='a' d='M10 10L90 70'/><rect class='b' fill='white' x='50' y='10' width='30' height='20'/></g>",
    ),
];

/// Half a hundredth of the ink: rounding along the edges at ten pixels a millimetre.
const TOLERATED: f64 = 0.005;

#[test]
fn every_feature_looks_as_a_viewer_shows_it() {
    let mut wrong = Vec::new();
    for (name, body) in FEATURES {
        let (share, _, shown, ours) = compared(format!("{PAGE}{body}</svg>").as_bytes(), HALF).expect(name);
        if let Some(folder) = std::env::var_os("KERFBOOK_SHOW") {
            show(&PathBuf::from(folder).join(format!("{}.png", name.replace([' ', ','], "-"))), &shown, &ours);
        }
        let ink = shown.ink.iter().filter(|i| **i).count();
        // The viewer paints tiles as pixels and turns those.
        let tolerated = if name.starts_with("pattern") { 4.0 * TOLERATED } else { TOLERATED };
        if share > tolerated || ink < 1000 {
            wrong.push(format!("{name}: {share:.4} of {ink} pixels"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

fn percentile(sorted: &[f64], share: f64) -> f64 {
    sorted.get(((sorted.len() as f64 - 1.0) * share).round() as usize).copied().unwrap_or_default()
}

#[test]
fn real_drawings_look_as_a_viewer_shows_them() {
    let Some(root) = std::env::var_os("KERFBOOK_CORPORA").map(PathBuf::from) else {
        println!("skipped: set not fetched");
        return;
    };
    let all = std::env::var_os("KERFBOOK_CORPORA_ALL").is_some();
    let sample = std::env::var("KERFBOOK_SAMPLE").ok().and_then(|s| s.parse().ok()).unwrap_or(SAMPLE);
    let mut folders: Vec<PathBuf> =
        std::fs::read_dir(root.join("svg")).unwrap().map(|e| e.unwrap().path()).collect();
    folders.sort();
    let (mut hard, mut soft, mut worst) = (Vec::new(), Vec::new(), Vec::new());
    for folder in folders {
        let mut files = Vec::new();
        drawings(&folder, &mut files);
        let step = if all { 1 } else { files.len().div_ceil(sample).max(1) };
        let (mut own, mut left_out) = (Vec::new(), BTreeMap::<&str, usize>::new());
        for file in files.iter().step_by(step) {
            let bytes = std::fs::read(file).unwrap();
            let (share, is_soft) = match compared_in_time(bytes) {
                Ok((share, is_soft, ..)) => (share, is_soft),
                Err(why) => {
                    *left_out.entry(why).or_default() += 1;
                    continue;
                }
            };
            own.push(share);
            if is_soft {
                soft.push(share);
            } else {
                hard.push(share);
            }
            worst.push((share, is_soft, file.clone()));
        }
        own.sort_by(f64::total_cmp);
        let name = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
        println!(
            "{name}: {} compared, left out {left_out:?}, median {:.5}, 99th {:.5}",
            own.len(),
            percentile(&own, 0.5),
            percentile(&own, 0.99)
        );
    }
    for (name, list) in [("flat", &mut hard), ("soft", &mut soft)] {
        list.sort_by(f64::total_cmp);
        println!(
            "{name}: {} files, median {:.5}, 99th {:.5}",
            list.len(),
            percentile(list, 0.5),
            percentile(list, 0.99)
        );
    }
    worst.sort_by(|a, b| (a.1, b.0).partial_cmp(&(b.1, a.0)).unwrap());
    for (share, is_soft, file) in
        worst.iter().filter(|w| !w.1).take(20).chain(worst.iter().filter(|w| w.1).take(10))
    {
        println!("{share:.4} soft={is_soft} {}", file.display());
        if let Some(folder) = std::env::var_os("KERFBOOK_SHOW")
            && let Ok((_, _, shown, ours)) = compared_in_time(std::fs::read(file).unwrap())
        {
            let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
            show(&PathBuf::from(folder).join(format!("{share:07.4}-{name}.png")), &shown, &ours);
        }
    }
    // Gates far above what is measured, so that only a fault trips them.
    assert!(hard.len() < 50 || percentile(&hard, 0.5) < 0.01, "the median differs");
}
