//! `photo` figures: a picture read once, cropped and given a size.

use super::bench::{Bench, any_length, geometry_failure, positive};
use super::embedded::{is_drawing, picture_in, which_picture};
use super::placed::{Figures, Made};
use crate::cache::MadeFrom;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::{Drawing, FillRule, Region};
use crate::intake::{Picture, PictureRequest, read_picture};
use crate::recipe::{Crop, Figure, Photo, PhotoFit};
use crate::toning::{Box2, trim};
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{Affine, Rect, Shape};
use std::sync::Arc;

pub(super) static NO_SIZE: Finding = Finding {
    rule: "photo/no-size",
    severity: Severity::Error,
    title: "a photo has no size",
    explanation: "A picture consists of pixels and has no size of its own. The dots per inch that many files hold are what \
        some program put there (72, 96, 300) and say nothing of the piece, so they are never read. Say the size in the \
        recipe.",
    wrong: "photo \"portrait\" file=\"art/portrait.jpg\"",
    right: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\" }",
};

pub(super) static VIGNETTE_MISSES: Finding = Finding {
    rule: "photo/vignette-misses",
    severity: Severity::Error,
    title: "a vignette does not meet its photo",
    explanation: "A photo is burned only where it lies within its vignette. The two lie apart on the sheet, or the vignette \
        has no inside.",
    wrong: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"20 mm\"; vignette within=\"oval\"; place left=\"board\" }",
    right: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"20 mm\"; vignette within=\"oval\"; place centre=\"oval\" }",
};

pub(super) static SINGLE_PIXEL: Finding = Finding {
    rule: "photo/single-pixel",
    severity: Severity::Error,
    title: "a photo is only one pixel wide or high",
    explanation: "A picture of one pixel, or a crop that leaves one, is a place holder of some web page, or a slip of the crop: \
        there is nothing in it to be seen.",
    wrong: "photo \"portrait\" file=\"art/spacer-1x1.png\" { size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/portrait.png\" { size width=\"80 mm\" }",
};

/// A picture, cropped and sized, in a frame of its own: from (0, 0), x right, y down, in mm.
#[derive(Clone, Debug)]
pub struct PhotoSource {
    /// The picture.
    pub picture: Arc<Option<Picture>>,
    /// The file's hash, which tells pictures apart.
    pub hash: String,
    /// What is kept of it, in its pixels.
    pub crop: Box2,
    /// Width in the frame of its own.
    pub width: Mm,
    /// Height in the frame of its own.
    pub height: Mm,
    /// Distance of dots along a row, where it is not the line interval.
    pub dot_pitch: Option<Mm>,
    /// Distance between halftone dots.
    pub period: Option<Mm>,
    /// Where it is burned on the sheet, and the width of the edge in which it fades out.
    pub vignette: Option<(Region, Mm)>,
}

/// A photo on the sheet.
#[derive(Clone, Debug)]
pub struct PlacedPhoto {
    /// The photo.
    pub source: Arc<PhotoSource>,
    /// From the frame of its own to the sheet.
    pub movement: Affine,
}

impl PlacedPhoto {
    /// From the sheet to pixels of the picture.
    pub fn to_pixels(&self) -> Affine {
        let source = &self.source;
        let scale = Affine::scale_non_uniform(
            source.crop.width / source.width.get(),
            source.crop.height / source.height.get(),
        );
        Affine::translate((source.crop.left, source.crop.top)) * scale * self.movement.inverse()
    }
}

/// A photo has at least so many pixels across and down.
const LEAST_PIXELS: f64 = 2.0;

/// A photo without `size` is as wide as this (mm) until something else is said.
const ANY_WIDTH: f64 = 100.0;

/// Reads a photo and works out what is kept of it.
pub(super) fn make(
    photo: &Photo,
    figure: &Figure,
    bench: Bench,
    figures: &Figures,
    sink: &mut Sink,
) -> Option<Made> {
    if photo.fit.is_none() && figure.placing.size.is_none() {
        sink.push(no_size(photo, figure));
        return None;
    }
    let fit = match &photo.fit {
        Some(fit) => Some((positive(&fit.width, figures, sink)?, positive(&fit.height, figures, sink)?, fit)),
        None => None,
    };
    let optional = |written: &Option<_>, sink: &mut Sink| match written {
        Some(written) => positive(written, figures, sink).map(Some),
        None => Some(None),
    };
    let (dot_pitch, period) = (optional(&photo.dot_pitch, sink)?, optional(&photo.dither.period, sink)?);
    let vignette = match &photo.vignette {
        Some(vignette) => {
            let feather = any_length(&vignette.feather, figures, sink)?;
            let mask = figures.get(&vignette.within.value)?.drawing.ink.clone();
            Some((mask, feather))
        }
        None => None,
    };
    let file = bench.read(&photo.file, sink)?;
    if photo.element.is_none() && is_drawing(&file.bytes) {
        sink.push(which_picture(&file, &photo.file));
        return None;
    }
    let (file, name) = match &photo.element {
        Some(element) => {
            let inner = picture_in(&file, &photo.file, element, figure, sink)?;
            (inner, format!("{} {}", photo.file.text, element.text))
        }
        None => (file, photo.file.text.clone()),
    };
    let made_from = MadeFrom::kind("picture").text(&file.hash).text(&name);
    let picture: Arc<Option<Picture>> = bench.cache.keep_with(made_from, photo.file.span, sink, |sink| {
        read_picture(&PictureRequest { file: &name, bytes: &file.bytes, node: photo.file.span }, sink)
    });
    let read = picture.as_ref().as_ref()?;
    let kept = cropped(read, photo.crop);
    if kept.width < LEAST_PIXELS || kept.height < LEAST_PIXELS {
        sink.push(single_pixel(photo, read, kept));
        return None;
    }
    let (crop, (width, height)) = fitted(kept, fit);
    let frame = Rect::new(0.0, 0.0, width, height);
    let ink = Region::from_path(&frame.to_path(0.1), FillRule::NonZero)
        .map_err(|error| sink.push(geometry_failure(error, figure.head)))
        .ok()?;
    let source = PhotoSource {
        hash: file.hash,
        crop,
        width: Mm::new(width),
        height: Mm::new(height),
        dot_pitch,
        period,
        vignette,
        picture,
    };
    Some(Made { photo: Some(Arc::new(source)), ..Made::of(Drawing::of_region(ink)) })
}

/// What a photo covers on the sheet: its frame, as far as it lies within its vignette.
pub(super) fn within_vignette(
    photo: &Photo,
    source: &PhotoSource,
    frame: Drawing,
    sink: &mut Sink,
) -> Option<Drawing> {
    let (Some((mask, _)), Some(written)) = (&source.vignette, &photo.vignette) else { return Some(frame) };
    let ink = frame.ink.overlap(mask);
    if ink.is_empty() {
        sink.push(
            Diagnostic::new(
                &VIGNETTE_MISSES,
                format!("nothing of the photo lies within `{}`", written.within.value),
            )
            .at(written.within.span, "does not meet the photo")
            .because("nothing of it would be burned")
            .repair("place the photo and the figure of its vignette over each other"),
        );
        return None;
    }
    Some(Drawing::of_region(ink))
}

/// The part of a picture that a crop keeps.
fn cropped(picture: &Picture, crop: Crop) -> Box2 {
    let (left, top, right, bottom) = if crop.trim {
        trim(&picture.luminance_samples(), picture.width, picture.height)
    } else {
        (0, 0, picture.width, picture.height)
    };
    let (width, height) = ((right - left) as f64, (bottom - top) as f64);
    Box2 {
        left: left as f64 + crop.left * width,
        top: top as f64 + crop.top * height,
        width: width * (1.0 - crop.left - crop.right),
        height: height * (1.0 - crop.top - crop.bottom),
    }
}

/// The part that a fit keeps, and width and height in mm.
fn fitted(whole: Box2, fit: Option<(Mm, Mm, &PhotoFit)>) -> (Box2, (f64, f64)) {
    let ratio = whole.width / whole.height;
    let Some((width, height, fit)) = fit else { return (whole, (ANY_WIDTH, ANY_WIDTH / ratio)) };
    let (width, height) = (width.get(), height.get());
    let wanted = width / height;
    if !fit.covers {
        let size = if ratio > wanted { (width, width / ratio) } else { (height * ratio, height) };
        return (whole, size);
    }
    let (w, h) =
        if ratio > wanted { (whole.height * wanted, whole.height) } else { (whole.width, whole.width / wanted) };
    // The point in view comes as near to the middle as the picture reaches.
    let start =
        |from: f64, all: f64, kept: f64, focus: f64| from + (focus * all - kept / 2.0).clamp(0.0, all - kept);
    let kept = Box2 {
        left: start(whole.left, whole.width, w, fit.focus.0),
        top: start(whole.top, whole.height, h, fit.focus.1),
        width: w,
        height: h,
    };
    (kept, (width, height))
}

fn single_pixel(photo: &Photo, read: &Picture, kept: Box2) -> Diagnostic {
    let crop = if kept.width < read.width as f64 || kept.height < read.height as f64 {
        format!(
            "the crop leaves {} x {} of {} x {} pixels",
            fixed(kept.width, 1),
            fixed(kept.height, 1),
            read.width,
            read.height
        )
    } else {
        format!("has {} x {} pixels", read.width, read.height)
    };
    Diagnostic::new(
        &SINGLE_PIXEL,
        format!("nothing can be seen in `{}`: it is one pixel wide or high", photo.file.text),
    )
    .at(photo.file.span, crop)
    .because("one tone would be burned, or bands of it")
    .repair("use a larger picture, or crop less of it")
}

fn no_size(photo: &Photo, figure: &Figure) -> Diagnostic {
    Diagnostic::new(&NO_SIZE, format!("the photo `{}` has no size", figure.name.value))
        .at(figure.head, "needs a size")
        .also(photo.file.span, "pixels have none of their own")
        .because("how large it comes out would be a guess")
        .repair(format!(
            "add `size width=\"…\"`, `size within=\"board\" margin=\"…\"` or `fit \"{} mm\" \"… mm\"` inside it",
            fixed(ANY_WIDTH, 0)
        ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schema::Expression;
    use crate::source::{SourceId, Span, Spanned};

    fn fit(covers: bool, focus: (f64, f64)) -> PhotoFit {
        let any = || {
            Spanned::new(Expression::of(Expression::read_constant("1 mm").unwrap()), Span::new(SourceId(0), 0, 0))
        };
        PhotoFit { width: any(), height: any(), covers, focus }
    }

    #[test]
    fn a_fit_keeps_the_point_in_view() {
        let whole = Box2 { left: 0.0, top: 0.0, width: 300.0, height: 200.0 };
        let square = |focus| fitted(whole, Some((Mm::new(50.0), Mm::new(50.0), &fit(true, focus)))).0;
        assert_eq!(square((0.5, 0.4)), Box2 { left: 50.0, top: 0.0, width: 200.0, height: 200.0 });
        assert_eq!(square((0.0, 0.4)).left, 0.0);
        assert_eq!(square((0.9, 0.4)).left, 100.0);
        let (kept, size) = fitted(whole, Some((Mm::new(50.0), Mm::new(50.0), &fit(false, (0.5, 0.5)))));
        assert_eq!(kept, whole);
        assert!((size.0 - 50.0).abs() < 1e-9 && (size.1 - 100.0 / 3.0).abs() < 1e-9);
    }
}
