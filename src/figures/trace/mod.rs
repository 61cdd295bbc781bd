//! `trace` figures: a picture read and traced once, sized, and freed of specks.

mod findings;
mod pieces;

use super::bench::{Bench, geometry_failure, positive};
use super::graph::movement_of;
use super::placed::{Figures, Made, Traced};
use crate::cache::MadeFrom;
use crate::diagnostics::Sink;
use crate::geometry::{Drawing, FillRule, Line, Pen, Region};
use crate::intake::picture::{Picture, PictureRequest, read_picture};
use crate::recipe::{Figure, Reading, TraceOf};
use crate::tracing::{self, Ink, Loose, Paper, Stroke};
use crate::units::{Mm, Percent};
use findings::Failure;
pub use findings::RULES;
use kurbo::{Affine, BezPath, Point, Shape};
pub use pieces::traced_pieces;
use std::sync::Arc;

/// Pictures with more pixels are halved: more say nothing that could be burned.
const MOST_PIXELS: usize = 20_000_000;

/// A pixel this many times as wide as the spot shows.
const COARSE: f64 = 3.0;

/// Strokes of which a tenth is more than this many times as wide as half of them are at most are no strokes.
const SOLIDS: f64 = 1.6;

/// Ink this many times as wide as the seams usually are is no line; where seams meet it is at most 1.5 times as wide.
const WIDEST_SEAM: f64 = 2.5;

/// When more than this share of the lines parts nothing, the drawing was not made of seams, or is open all over.
const NEARLY_ALL: f64 = 0.75;

/// What was read in a picture, before it has a size. Lengths are pixels of the picture that was traced.
struct Read {
    paper: Paper,
    threshold: f32,
    /// How often the picture was halved.
    halved: u32,
    found: Found,
}

/// What was found, in pixels.
#[derive(Default)]
struct Found {
    /// Outlines, or the middles of strokes with their width.
    paths: Vec<(BezPath, Option<f64>)>,
    /// The middles of specks and pinholes that were left out.
    specks: Vec<Point>,
    /// The middles of round spots that were left out of lines.
    dots: Vec<Point>,
    /// What is known of seams.
    seams: Option<Parted>,
    /// The width of lines: what half of them, and what nine in ten do not exceed.
    widths: Option<(f64, f64)>,
}

/// What seams part.
struct Parted {
    /// The areas, what lies about the drawing among them.
    areas: usize,
    /// Lines that part nothing.
    loose: Vec<Loose>,
    /// How long the seams are.
    length: f64,
    /// Where the ink is widest, and how wide.
    widest: Option<(Point, f64)>,
}

/// Traces a picture.
pub(super) fn make(
    trace: &TraceOf,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Made> {
    if figure.placing.size.is_none() {
        sink.push(findings::no_size(trace, figure));
        return None;
    }
    let read = read(trace, bench, sink);
    match read.as_ref().as_ref()? {
        Ok(read) => Sizing { read, trace, figure, figures }.made(bench, sink),
        Err(failure) => {
            sink.push(findings::said(failure, trace));
            None
        }
    }
}

/// What is drawn on the picture; `None` inside when it could not be read.
fn read(trace: &TraceOf, bench: Bench, sink: &mut Sink) -> Arc<Option<Result<Read, Failure>>> {
    let Some(file) = bench.read(&trace.file, sink) else { return Arc::new(None) };
    let made_from = MadeFrom::kind("trace")
        .text(&file.hash)
        .text(&trace.file.text)
        .text(trace.reading.word())
        .number(trace.threshold.unwrap_or(-1.0))
        .number(least_area(trace));
    let request = PictureRequest { file: &trace.file.text, bytes: &file.bytes, node: trace.file.span };
    bench.cache.keep_with(made_from, trace.file.span, sink, |sink| {
        read_picture(&request, sink).map(|picture| traced(&picture, trace))
    })
}

/// What goes round less than this (square pixels) is left out before the size is known: nothing that can be drawn, where the
/// recipe says what a speck is.
fn least_area(trace: &TraceOf) -> f64 {
    if trace.specks.is_some() { 0.0 } else { tracing::NOISE }
}

fn traced(picture: &Picture, trace: &TraceOf) -> Result<Read, Failure> {
    let mut plane = picture.coded();
    let mut halved = 0;
    while plane.width * plane.height > MOST_PIXELS {
        plane = plane.halved();
        halved += 1;
    }
    let threshold = trace.threshold.map(|percent| (percent / 100.0) as f32);
    let ink = tracing::ink(plane, threshold).map_err(Failure::NoContrast)?;
    let found = found(&ink, trace.reading, least_area(trace)).ok_or(Failure::TooMuch)?;
    Ok(Read { paper: ink.paper, threshold: ink.threshold, halved, found })
}

fn found(ink: &Ink, reading: Reading, least_area: f64) -> Option<Found> {
    // Grain is told by its outlines, whichever way it is read.
    let outlines = tracing::outlines(ink, least_area)?;
    let strokes = |strokes: Vec<Stroke>| strokes.into_iter().map(|s| (s.path, Some(s.width))).collect();
    Some(match reading {
        Reading::Outlines => Found {
            paths: outlines.paths.into_iter().map(|path| (path, None)).collect(),
            specks: outlines.specks,
            ..Found::default()
        },
        Reading::CentreLines => {
            let lines = tracing::centre_lines(ink, 0.0);
            Found {
                paths: strokes(lines.strokes),
                specks: lines.specks,
                dots: lines.dots.iter().map(|d| d.middle).collect(),
                widths: Some(lines.widths),
                ..Found::default()
            }
        }
        Reading::Seams => {
            let seams = tracing::seams(ink, 0.0, true);
            Found {
                widths: (!seams.strokes.is_empty()).then_some((seams.width, seams.width)),
                paths: strokes(seams.strokes),
                seams: Some(Parted {
                    areas: seams.regions,
                    loose: seams.loose,
                    length: seams.length,
                    widest: seams.widest,
                }),
                ..Found::default()
            }
        }
    })
}

impl Parted {
    /// The share of the lines, by their length, that part nothing.
    fn share_lost(&self) -> f64 {
        let lost: f64 = self.loose.iter().map(|l| l.length).sum();
        if lost > 0.0 { lost / (lost + self.length) } else { 0.0 }
    }
}

/// What gives a traced picture its size.
struct Sizing<'a> {
    read: &'a Read,
    trace: &'a TraceOf,
    figure: &'a Figure,
    figures: &'a Figures,
}

type Kept<'a> = Vec<&'a (BezPath, Option<f64>)>;

impl Sizing<'_> {
    /// The drawing without specks. It is given in pixels, as if they were millimetres: placing sizes it.
    fn made(&self, bench: Bench, sink: &mut Sink) -> Option<Made> {
        let found = &self.read.found;
        let mut kept: Kept = found.paths.iter().collect();
        let mut drawing = self.drawing(&kept, sink)?;
        let mut specks = found.specks.clone();
        if let Some(least) = &self.trace.specks {
            let least = positive(least, self.figures, sink)?;
            // A speck in a corner of the paper would count as a part of the drawing: the size is looked at twice.
            for _ in 0..2 {
                specks.extend(self.drop_specks(&mut kept, &drawing, least, sink)?);
                drawing = self.drawing(&kept, sink)?;
            }
        }
        if drawing.is_empty() {
            sink.push(findings::nothing(self.trace, specks.len(), found.seams.as_ref()));
            return None;
        }
        if let Some(lost) = found.seams.as_ref().map(Parted::share_lost).filter(|share| *share > NEARLY_ALL) {
            sink.push(findings::seams_lost(self.trace, lost));
            return None;
        }
        let movement = movement_of(self.figure, &drawing, None, self.figures, sink)?;
        self.tell(&specks, movement, bench, sink);
        let pixel = pixel(movement);
        let traced = Traced {
            reading: self.trace.reading.word(),
            paper: self.read.paper.word(),
            threshold: Percent::new(f64::from(self.read.threshold) * 100.0),
            pixel,
            specks: specks.len(),
            areas: found.seams.as_ref().map(|s| s.areas),
            line_width: found.widths.map(|w| pixel * w.0),
        };
        Some(Made { trace: Some(traced), ..Made::of(drawing) })
    }

    fn drawing(&self, kept: &Kept, sink: &mut Sink) -> Option<Drawing> {
        let (lines, outlines): (Vec<_>, Vec<_>) = kept.iter().copied().partition(|(_, width)| width.is_some());
        let whole: BezPath = outlines.iter().flat_map(|(p, _)| p.elements().iter().copied()).collect();
        let ink = Region::from_path(&whole, FillRule::EvenOdd)
            .map_err(|error| sink.push(geometry_failure(error, self.figure.head)))
            .ok()?;
        let line = |(path, width): &(BezPath, Option<f64>)| Line {
            path: path.clone(),
            width: width.map(Mm::new),
            pen: Pen::default(),
        };
        Some(Drawing { lines: lines.into_iter().map(line).collect(), ..Drawing::of_region(ink) })
    }

    /// Drops what is smaller than `least` on the piece; gives the middles of what was dropped.
    fn drop_specks(&self, kept: &mut Kept, drawing: &Drawing, least: Mm, sink: &mut Sink) -> Option<Vec<Point>> {
        if drawing.bounds().is_none() {
            return Some(Vec::new());
        }
        let pixel = pixel(movement_of(self.figure, drawing, None, self.figures, sink)?);
        let mut dropped = Vec::new();
        kept.retain(|(path, width)| {
            let frame = path.bounding_box();
            let is_speck = (frame.width().max(frame.height()) + width.unwrap_or(0.0)) * pixel.get() < least.get();
            dropped.extend(is_speck.then(|| frame.center()));
            !is_speck
        });
        Some(dropped)
    }

    fn tell(&self, specks: &[Point], movement: Affine, bench: Bench, sink: &mut Sink) {
        let (found, pixel) = (&self.read.found, pixel(movement));
        let on_sheet = |places: &[Point]| places.iter().map(|p| movement * *p).collect::<Vec<_>>();
        let trace = self.trace;
        if self.read.halved > 0 {
            sink.push(findings::halved(trace, self.read.halved));
        }
        if !specks.is_empty() {
            sink.push(findings::specks_left_out(trace, &on_sheet(specks), pixel));
        }
        if !found.dots.is_empty() {
            sink.push(findings::dots_left_out(trace, &on_sheet(&found.dots)));
        }
        if let Some((usual, widest)) = found.widths.filter(|(usual, widest)| *widest > SOLIDS * usual) {
            sink.push(findings::holds_solids(trace, (pixel * usual, pixel * widest)));
        }
        if let (Some(parted), Some((usual, _))) = (&found.seams, found.widths) {
            self.tell_of_seams(parted, usual, movement, sink);
        }
        let spot = bench.recipe.chosen_machine().map(|m| m.spot);
        if let Some(spot) = spot.filter(|s| pixel.get() > COARSE * s.get()) {
            sink.push(findings::coarse(trace, pixel, spot));
        }
    }

    fn tell_of_seams(&self, parted: &Parted, usual: f64, movement: Affine, sink: &mut Sink) {
        let (trace, pixel) = (self.trace, pixel(movement));
        let places: Vec<Point> = parted.loose.iter().map(|l| movement * l.at).collect();
        if !places.is_empty() {
            sink.push(findings::loose_lines(trace, &places));
        }
        if let Some((at, widest)) = parted.widest.filter(|(_, widest)| *widest > WIDEST_SEAM * usual) {
            sink.push(findings::seams_hold_solids(trace, movement * at, (pixel * usual, pixel * widest)));
        }
    }
}

/// How wide a pixel becomes on the piece.
fn pixel(movement: Affine) -> Mm {
    Mm::new(movement.determinant().abs().sqrt())
}
