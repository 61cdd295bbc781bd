//! `lettering` figures: a text set in a font or in strokes, its findings pointed at the recipe.

mod findings;
mod line;

pub(super) use findings::{
    AXIS_RANGE, BAD_FONT, BRIDGE_BURNS, BRIDGE_TOO_WIDE, CANNOT_SET, COLLIDE, FANNED_OUT, MISSING_GLYPH,
    NO_SUCH_AXIS, NO_SUCH_FEATURE,
};

use super::bench::{Bench, any_length, positive};
use super::placed::{Figures, Made};
use crate::cache::MadeFrom;
use crate::diagnostics::Sink;
use crate::geometry::{Drawing, Region};
use crate::intake::lettering::{
    self as set, Align, Along, Arc as Circle, AxisSetting, FeatureSetting, FontFile, LetteringRequest,
    LetteringSize, StrokeFace, Typeface,
};
use crate::recipe::{ArcSide, Figure, Lettering, LetteringFace};
use crate::source::{FileBytes, Spanned};
use crate::units::{Mm, Percent};

/// Sets a lettering.
pub(super) fn make(
    lettering: &Lettering,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Made> {
    let lengths = Lengths::of(lettering, figures, sink)?;
    let bridge = match &lettering.stencil {
        None => None,
        Some(written) => {
            let kerf = bench.recipe.kerf_along(&figure.name.value);
            Some(bridge_width(Spanned::new(positive(written, figures, sink)?, written.span), kerf, sink)?)
        }
    };
    let files = Files::read(lettering, bench, sink)?;
    let drawing = set_text(lettering, &lettering.text.text, &lengths, &files, bench, sink)?.drawing;
    match bridge {
        None => Some(Made::of(drawing)),
        Some(bridge) => stencil(&drawing, &bridge, lettering, bench, sink).map(Made::of),
    }
}

/// Another text in the face of a lettering, on one straight line that starts at x = 0; its size is left to the caller.
pub(super) fn one_line(
    lettering: &Lettering,
    text: &str,
    bench: Bench,
    sink: &mut Sink,
) -> Option<set::Lettering> {
    let files = Files::read(lettering, bench, sink)?;
    let size = LetteringSize::Height(ONE_LINE);
    let lengths = Lengths { size, tracking: Mm::ZERO, arc: None, along: None };
    set_text(lettering, text, &lengths, &files, bench, sink)
}

/// The height that such a line is set in: large, so that nothing is lost to rounding when it is made smaller.
const ONE_LINE: Mm = Mm::new(100.0);

/// The lengths of a lettering, worked out.
struct Lengths {
    size: LetteringSize,
    tracking: Mm,
    arc: Option<Circle>,
    along: Option<Along>,
}

impl Lengths {
    fn of(lettering: &Lettering, figures: &Figures, sink: &mut Sink) -> Option<Self> {
        let size = match (&lettering.height, &lettering.width) {
            (Some(height), _) => LetteringSize::Height(positive(height, figures, sink)?),
            (None, width) => LetteringSize::Width(positive(width.as_ref()?, figures, sink)?),
        };
        let tracking = lettering.tracking.as_ref().map_or(Some(Mm::ZERO), |t| any_length(t, figures, sink))?;
        let arc = match &lettering.arc {
            None => None,
            Some(arc) => {
                let side = match arc.side {
                    ArcSide::Over => set::ArcSide::OverTop,
                    ArcSide::Under => set::ArcSide::UnderBottom,
                };
                Some(Circle { radius: positive(&arc.radius, figures, sink)?, side })
            }
        };
        let along = match &lettering.along {
            None => None,
            Some(along) => Some(line::of(along, figures, sink)?),
        };
        Some(Self { size, tracking, arc, along })
    }
}

/// The font files of a lettering; none for strokes.
struct Files {
    first: Option<FileBytes>,
    fallbacks: Vec<FileBytes>,
}

impl Files {
    fn read(lettering: &Lettering, bench: Bench, sink: &mut Sink) -> Option<Self> {
        let first = match &lettering.face {
            LetteringFace::Font(file, _) => Some(bench.read(file, sink)),
            LetteringFace::Strokes(..) => None,
        };
        // All are read before one that cannot be is the end of it, so that each is reported.
        let fallbacks: Vec<_> = lettering.fallbacks.iter().map(|f| bench.read(&f.file, sink)).collect();
        Some(Self {
            first: first.map_or(Some(None), |f| f.map(Some))?,
            fallbacks: fallbacks.into_iter().collect::<Option<_>>()?,
        })
    }
}

/// The text as it is set, taken from the cache where nothing of it has changed.
fn set_text(
    lettering: &Lettering,
    text: &str,
    lengths: &Lengths,
    files: &Files,
    bench: Bench,
    sink: &mut Sink,
) -> Option<set::Lettering> {
    let axes: Vec<AxisSetting> =
        lettering.axes.iter().map(|a| AxisSetting { tag: a.tag.value, value: a.value }).collect();
    let features: Vec<FeatureSetting> =
        lettering.features.iter().map(|f| FeatureSetting { tag: f.tag.value, value: f.value }).collect();
    let fallbacks: Vec<FontFile> = lettering
        .fallbacks
        .iter()
        .zip(&files.fallbacks)
        .map(|(f, read)| FontFile { bytes: &read.bytes, name: &f.file.text, face: f.face })
        .collect();
    let request = LetteringRequest {
        text,
        typeface: typeface(&lettering.face, files.first.as_ref())?,
        fallbacks: &fallbacks,
        axes: &axes,
        features: &features,
        size: lengths.size,
        tracking: lengths.tracking,
        arc: lengths.arc,
        along: lengths.along.as_ref(),
        align: match lettering.align {
            "left" => Align::Left,
            "right" => Align::Right,
            _ => Align::Centre,
        },
        line_spacing: Percent::new(lettering.leading * 100.0),
    };
    let result = bench.cache.keep(made_from(&request, files, lettering), || set::set(&request));
    match result.as_ref() {
        Ok(done) if done.missing.is_empty() => {
            done.clamped.iter().for_each(|axis| sink.push(findings::clamped(axis, lettering)));
            let bent = [findings::turned(&done.turns, lettering), findings::collided(&done.collisions, lettering)];
            for finding in bent.into_iter().flatten() {
                sink.push(finding);
            }
            Some(done.clone())
        }
        Ok(done) => {
            sink.push(findings::missing(&done.missing, lettering));
            None
        }
        Err(error) => {
            sink.push(findings::failure(error, lettering));
            None
        }
    }
}

fn typeface<'a>(face: &'a LetteringFace, read: Option<&'a FileBytes>) -> Option<Typeface<'a>> {
    Some(match face {
        LetteringFace::Font(file, face) => {
            Typeface::Font(FontFile { bytes: &read?.bytes, name: &file.text, face: *face })
        }
        LetteringFace::Strokes(word, _) => Typeface::Strokes(match *word {
            "roman" => StrokeFace::Roman,
            "script" => StrokeFace::Script,
            _ => StrokeFace::Plain,
        }),
    })
}

/// Everything that a setting depends on; of the files their contents, and their names for messages.
fn made_from(request: &LetteringRequest, files: &Files, lettering: &Lettering) -> MadeFrom {
    let mut key = MadeFrom::kind("lettering").text(request.text).shown(&lettering.align);
    key = match (&request.typeface, &files.first) {
        (Typeface::Font(font), Some(read)) => key.text(&read.hash).text(font.name).shown(&font.face),
        (face, _) => key.shown(face),
    };
    for (font, read) in request.fallbacks.iter().zip(&files.fallbacks) {
        key = key.text(&read.hash).text(font.name).shown(&font.face);
    }
    key = key.shown(&(request.axes, request.features, request.size, request.tracking, request.arc));
    key = key.number(request.line_spacing.get());
    match request.along {
        None => key,
        Some(along) => key.path(&along.path).shown(&(along.gap, along.hanging, along.shift)),
    }
}

/// The width of the bridges, refused when the beam leaves nothing of it.
fn bridge_width(bridge: Spanned<Mm>, kerf: Option<Mm>, sink: &mut Sink) -> Option<Spanned<Mm>> {
    match kerf {
        Some(kerf) if bridge.value <= kerf => {
            sink.push(findings::burns_away(bridge.value, kerf, bridge.span));
            None
        }
        _ => Some(bridge),
    }
}

fn stencil(
    drawing: &Drawing,
    bridge: &Spanned<Mm>,
    lettering: &Lettering,
    bench: Bench,
    sink: &mut Sink,
) -> Option<Drawing> {
    let made_from = MadeFrom::kind("stencil").path(&drawing.ink.to_path()).number(bridge.value.get());
    let bridged = bench.cache.keep(made_from, || set::bridge(&drawing.ink, bridge.value));
    if let Some(finding) = findings::too_narrow(&bridged.narrow, bridge, lettering) {
        sink.push(finding);
        return None;
    }
    let ink: Region = bridged.ink.clone();
    Some(Drawing { ink, ..drawing.clone() })
}
