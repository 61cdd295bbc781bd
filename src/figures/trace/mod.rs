//! `trace` figures: a picture read and traced once, sized, and freed of specks.

mod findings;

use super::bench::{Bench, geometry_failure, positive};
use super::graph::movement_of;
use super::placed::{Figures, Made, Traced};
use crate::cache::MadeFrom;
use crate::diagnostics::Sink;
use crate::geometry::{Drawing, FillRule, Line, Pen, Region};
use crate::intake::picture::{Picture, PictureRequest, read_picture};
use crate::recipe::{Figure, Reading, TraceOf};
use crate::tracing::{self, Ink, Paper, Stroke};
use crate::units::{Mm, Percent};
use findings::Failure;
pub use findings::RULES;
use kurbo::{BezPath, Shape};
use std::sync::Arc;

/// Pictures with more pixels are halved: more say nothing that could be burned.
const MOST_PIXELS: usize = 20_000_000;

/// A pixel this many times as wide as the spot shows.
const COARSE: f64 = 3.0;

/// Strokes of which a tenth is more than this many times as wide as half of them are at most are no strokes.
const SOLIDS: f64 = 1.6;

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
    specks: usize,
    dots: usize,
    /// Lines that part nothing.
    loose: usize,
    /// The areas that seams part, what lies about the drawing among them.
    areas: Option<usize>,
    /// The width of lines: what half of them, and what nine in ten do not exceed.
    widths: Option<(f64, f64)>,
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
    let ink = tracing::ink(&plane, threshold).map_err(Failure::NoContrast)?;
    drop(plane);
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
            specks: outlines.specks.len(),
            ..Found::default()
        },
        Reading::CentreLines => {
            let lines = tracing::centre_lines(ink, 0.0);
            Found {
                paths: strokes(lines.strokes),
                specks: lines.specks.len(),
                dots: lines.dots.len(),
                widths: Some(lines.widths),
                ..Found::default()
            }
        }
        Reading::Seams => {
            let seams = tracing::seams(ink, 0.0, true);
            let mut widths: Vec<f64> = seams.strokes.iter().map(|s| s.width).collect();
            widths.sort_by(f64::total_cmp);
            let usual = widths.get(widths.len() / 2).copied();
            Found {
                paths: strokes(seams.strokes),
                loose: seams.loose,
                areas: Some(seams.regions),
                widths: usual.map(|w| (w, w)),
                ..Found::default()
            }
        }
    })
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
        let mut specks = found.specks;
        if let Some(least) = &self.trace.specks {
            let least = positive(least, self.figures, sink)?;
            // A speck in a corner of the paper would count as a part of the drawing: the size is looked at twice.
            for _ in 0..2 {
                let before = kept.len();
                self.without_specks(&mut kept, &drawing, least, sink)?;
                specks += before - kept.len();
                drawing = self.drawing(&kept, sink)?;
            }
        }
        if drawing.is_empty() {
            sink.push(findings::nothing(self.trace, specks));
            return None;
        }
        let pixel = self.pixel(&drawing, sink)?;
        self.tell(specks, pixel, bench, sink);
        let traced = Traced {
            reading: self.trace.reading.word(),
            paper: self.read.paper.word(),
            threshold: Percent::new(f64::from(self.read.threshold) * 100.0),
            pixel,
            specks,
            areas: found.areas,
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

    fn without_specks(&self, kept: &mut Kept, drawing: &Drawing, least: Mm, sink: &mut Sink) -> Option<()> {
        let pixel = self.pixel(drawing, sink)?;
        kept.retain(|(path, width)| {
            let frame = path.bounding_box();
            (frame.width().max(frame.height()) + width.unwrap_or(0.0)) * pixel.get() >= least.get()
        });
        Some(())
    }

    /// How wide a pixel becomes on the piece.
    fn pixel(&self, drawing: &Drawing, sink: &mut Sink) -> Option<Mm> {
        if drawing.bounds().is_none() {
            return Some(Mm::ZERO);
        }
        let movement = movement_of(self.figure, drawing, None, self.figures, sink)?;
        Some(Mm::new(movement.determinant().abs().sqrt()))
    }

    fn tell(&self, specks: usize, pixel: Mm, bench: Bench, sink: &mut Sink) {
        let (trace, found) = (self.trace, &self.read.found);
        if self.read.halved > 0 {
            sink.push(findings::halved(trace, self.read.halved));
        }
        if specks > 0 {
            sink.push(findings::specks_left_out(trace, specks));
        }
        if found.dots > 0 {
            sink.push(findings::dots_left_out(trace, found.dots));
        }
        if found.loose > 0 {
            sink.push(findings::loose_lines(trace, found.loose));
        }
        if let Some((usual, widest)) = found.widths.filter(|(usual, widest)| *widest > SOLIDS * usual) {
            sink.push(findings::holds_solids(trace, (pixel * usual, pixel * widest)));
        }
        let machine = bench.recipe.machine.as_ref();
        let machines = &bench.recipe.shop.machines;
        let spot = machines.iter().find(|m| machine.is_some_and(|n| n.value == m.name)).map(|m| m.spot);
        if let Some(spot) = spot.filter(|s| pixel.get() > COARSE * s.get()) {
            sink.push(findings::coarse(trace, pixel, spot));
        }
    }
}
