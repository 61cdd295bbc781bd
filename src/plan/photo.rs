//! From a photo on the sheet and a setting to the dots that are burned.

use super::dots::{Dots, Grid, inside, luminance};
use super::model::ResolvedSetting;
use super::setting::Bench;
use crate::cache::{Cache, MadeFrom};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::figures::{Placed, PlacedPhoto};
use crate::raster::Bitmap;
use crate::recipe::{Figure, FigureKind, OperationNode, Photo, Recipe};
use crate::shop::{OperationKind, Stock, ToneCard};
use crate::source::Span;
use crate::toning::{Dither, Screen, StockTones, Tone, ToneCurve, coverage, dither, fade};
use crate::units::Mm;
use crate::units::number::fixed;
use std::sync::Arc;

pub(super) static NOT_ENGRAVED: Finding = Finding {
    rule: "photo/not-engraved",
    severity: Severity::Error,
    title: "a photo is to be cut or scored",
    explanation: "A photo is made of dots and can only be engraved. To cut along its edge, cut a shape of the same size.",
    wrong: "run \"separate\" { cut \"portrait\" setting=\"through\" }",
    right: "run \"picture\" { engrave \"portrait\" setting=\"dark\" }",
};

pub(super) static NOT_ALONE: Finding = Finding {
    rule: "photo/not-alone",
    severity: Severity::Error,
    title: "a photo is engraved together with other figures",
    explanation: "A photo is burned in dots and everything else in whole rows, so a photo has an `engrave` of its own. \
        It may use the same setting, in the same run.",
    wrong: "run \"picture\" { engrave \"portrait\" \"date\" setting=\"dark\" }",
    right: "run \"picture\" { engrave \"portrait\" setting=\"dark\"; engrave \"date\" setting=\"dark\" }",
};

pub(super) static TOO_MANY_DOTS: Finding = Finding {
    rule: "photo/too-many-dots",
    severity: Severity::Error,
    title: "a photo has more dots than can be worked on",
    explanation: "Photos of up to 40 million dots are worked on: 600 × 600 mm at ten rows a millimetre. More is usually a slip in \
        the interval, and would burn for days.",
    wrong: "photo \"wall\" file=\"art/wall.jpg\" { size width=\"600 mm\" }\nrun \"picture\" { engrave \"wall\" interval=\"0.02 mm\" }",
    right: "photo \"wall\" file=\"art/wall.jpg\" { size width=\"600 mm\" }\nrun \"picture\" { engrave \"wall\" interval=\"0.1 mm\" }",
};

pub(super) static DOTS_TOO_FINE: Finding = Finding {
    rule: "photo/dots-too-fine",
    severity: Severity::Error,
    title: "the dots of a photo are finer than anything that can be burned",
    explanation: "`dot-pitch` is at least a quarter of the spot: finer dots lie within one spot and only cost time. `period` of a \
        halftone is at least two line intervals: a tone is the share of the dots in a square as wide as the period, and a \
        square of one dot knows only black and bare.",
    wrong: "photo \"portrait\" file=\"art/portrait.jpg\" dot-pitch=\"0.001 mm\" { size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/portrait.jpg\" dot-pitch=\"0.1 mm\" { size width=\"80 mm\" }",
};

pub(super) static NO_TONE_CARD: Finding = Finding {
    rule: "photo/no-tone-card",
    severity: Severity::Advice,
    title: "no tone card was measured for a photo",
    explanation: "Burned dots run together, and a photo comes out darker than it is. How much is measured on a card of patches \
        from 0 % to 100 % of dots, burned with the setting and the dither of the photo. Without one, dots are taken to be as \
        large as their place: darkness is the share of dots.",
    wrong: "run \"picture\" { engrave \"portrait\" setting=\"dark\" }",
    right: "tone-card \"birch-dots\" machine=\"bench-diode\" stock=\"birch-3\" setting=\"dark\" dither=\"floyd-steinberg\" { … }",
};

pub(super) static OTHER_TONE_CARD: Finding = Finding {
    rule: "photo/other-tone-card",
    severity: Severity::Warning,
    title: "the tone card was measured for something else",
    explanation: "How far dots run together depends on the dither, the interval, the speed and the power. A card that was \
        burned with others says nothing of this photo, so it is not used, and darkness is taken to be the share of dots.",
    wrong: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\"; dither \"halftone\" }",
    right: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\"; dither \"floyd-steinberg\" }",
};

pub(super) static TONES_ASSUMED: Finding = Finding {
    rule: "photo/stock-tones-assumed",
    severity: Severity::Advice,
    title: "how light the stock is was not measured",
    explanation: "A photo is toned between the bare and the burned stock. Where the shop does not say how light these are, 80 % \
        and 28 % of white are taken, about those of birch plywood (common practice, no source).",
    wrong: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3 mm\"",
    right: "stock \"birch-3\" material=\"birch plywood\" thickness=\"3 mm\" bare=\"78 %\" burned=\"24 %\"",
};

pub(super) static OTHER_WAY: Finding = Finding {
    rule: "photo/burns-the-other-way",
    severity: Severity::Warning,
    title: "a photo will come out as a negative",
    explanation: "On most stocks the beam leaves a dark mark, on slate, anodised or painted metal and black acrylic a light one. \
        The shop says which for this stock, and the photo's `invert` says the opposite.",
    wrong: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\"; tone invert=#true }",
    right: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\" }",
};

/// More dots than this are refused.
const MOST_DOTS: f64 = 40e6;

/// A dot pitch is at least so many spots.
const LEAST_PITCH: f64 = 0.25;

/// The period of a halftone is at least so many line intervals.
const LEAST_PERIOD: f64 = 2.0;

/// A halftone's dots are so many line intervals apart where the recipe says nothing.
const USUAL_PERIOD: f64 = 8.0;

/// Luminance of bare and burned stock where the shop says nothing.
const USUAL_TONES: (f32, f32) = (0.80, 0.28);

/// What the photos of an operation are made from.
#[derive(Clone, Copy)]
pub(super) struct On<'a> {
    pub recipe: &'a Recipe,
    pub bench: &'a Bench<'a>,
    pub cache: &'a Cache,
}

/// Whether an operation may burn the figures that it names: a photo is engraved, and alone.
pub(super) fn may_burn(node: &OperationNode, placed: &[&Placed], sink: &mut Sink) -> bool {
    let Some(index) = placed.iter().position(|p| p.photo.is_some()) else { return true };
    let name = &node.figures[index];
    match node.kind {
        OperationKind::Cut | OperationKind::Score => {
            sink.push(
                Diagnostic::new(
                    &NOT_ENGRAVED,
                    format!("`{}` is a photo, which cannot be {}", name.value, done(node.kind)),
                )
                .at(name.span, "made of dots")
                .because("a photo has no lines that the beam could follow")
                .repair(format!("`engrave \"{}\"`, or {} a shape of the same size", name.value, node.kind)),
            );
            false
        }
        OperationKind::Engrave if placed.len() > 1 => {
            sink.push(
                Diagnostic::new(
                    &NOT_ALONE,
                    format!("the photo `{}` is engraved together with other figures", name.value),
                )
                .at(name.span, "needs an `engrave` of its own")
                .because("a photo is burned in dots, and the others in whole rows")
                .repair(format!("write `engrave \"{}\"` in a line of its own, with the same setting", name.value)),
            );
            false
        }
        OperationKind::Engrave | OperationKind::Guide => true,
    }
}

const fn done(kind: OperationKind) -> &'static str {
    if matches!(kind, OperationKind::Cut) { "cut" } else { "scored" }
}

/// What was worked out of a photo.
struct Worked {
    bitmap: Arc<Bitmap>,
    coverage: f64,
    contrast: f64,
}

/// The dots of a photo. `None` when it has too many, which is reported.
pub(super) fn dots(
    node: &OperationNode,
    placed: &Placed,
    setting: &ResolvedSetting,
    on: On,
    sink: &mut Sink,
) -> Option<Dots> {
    let (photo, figure) = (placed.photo.as_ref()?, on.recipe.figure(&node.figures[0].value)?);
    let FigureKind::Photo(written) = &figure.kind else { return None };
    let interval = setting.interval.unwrap_or(on.bench.machine.spot);
    let pitch = photo.source.dot_pitch.unwrap_or(interval);
    let region = placed.drawing.ink.clone();
    let area = region.bounds()?;
    if let Some(finding) = too_fine(written, photo, interval, on.bench.machine.spot) {
        sink.push(finding);
        return None;
    }
    if area.area() / (interval.get() * pitch.get()) > MOST_DOTS {
        sink.push(too_many(node, figure, interval, pitch, area.area()));
        return None;
    }
    let grid = Grid::over(area, interval, pitch);
    let method = method(written, photo, interval, pitch);
    let card = tone_card(written, setting, node, figure, on.bench, sink);
    let stock = stock_tones(written, figure, on.bench.stock, sink);
    let curve = card.and_then(|card| {
        let share = |p: crate::units::Percent| p.get() / 100.0;
        ToneCurve::of_wedge(&card.patches.iter().map(|p| (share(p.0), share(p.1))).collect::<Vec<_>>())
    });
    let tone = Tone {
        clip: written.tone.levels.then_some(written.tone.clip as f32),
        gamma: written.tone.gamma as f32,
        local_contrast: written.tone.local_contrast as f32,
        sharpen: written.tone.sharpen as f32,
        invert: written.tone.invert,
    };
    let feather = photo.source.vignette.as_ref().map_or(Mm::ZERO, |v| v.1);
    let key = region.contours().iter().fold(MadeFrom::kind("dots"), MadeFrom::path).text(&photo.source.hash);
    let key =
        key.shown(&(photo.source.crop, photo.to_pixels(), grid, method, &tone, stock, feather)).shown(&curve);
    let worked = on.cache.keep(key, || {
        let inside = inside(&region, &grid);
        let light = lit(photo, &grid);
        let toned = coverage(light, &tone, stock, curve.as_ref(), |i| inside[i]);
        let mut wanted = toned.coverage;
        let faded = fade(grid.columns, grid.rows, feather / interval, pitch / interval, |i| inside[i]);
        wanted.values.iter_mut().zip(&faded.values).for_each(|(value, share)| *value *= share);
        let bitmap = dither(&wanted, &method);
        let room = inside.iter().filter(|i| **i).count().max(1);
        Worked {
            coverage: bitmap.count() as f64 / room as f64,
            contrast: f64::from(toned.found.range()),
            bitmap: Arc::new(bitmap),
        }
    });
    let [a, b, c, d, _, _] = photo.to_pixels().as_coeffs();
    Some(Dots {
        figure: figure.name.value.clone(),
        bitmap: Arc::clone(&worked.bitmap),
        bounds: grid.bounds,
        interval,
        pitch,
        region,
        dither: method.word(),
        period: matches!(method, Dither::Halftone(_)).then(|| period(photo, interval)),
        coverage: worked.coverage,
        pixels_per_mm: a.hypot(c).min(b.hypot(d)),
        contrast: worked.contrast,
        tone_card: card.map(|c| c.name.clone()),
    })
}

fn lit(photo: &PlacedPhoto, grid: &Grid) -> crate::raster::Plane {
    match photo.source.picture.as_ref() {
        Some(picture) => luminance(photo, &picture.luminance_samples(), (picture.width, picture.height), grid),
        None => crate::raster::Plane::new(grid.columns, grid.rows),
    }
}

fn period(photo: &PlacedPhoto, interval: Mm) -> Mm {
    photo.source.period.unwrap_or(interval * USUAL_PERIOD)
}

fn method(written: &Photo, photo: &PlacedPhoto, interval: Mm, pitch: Mm) -> Dither {
    match written.dither.method {
        "stucki" => Dither::Stucki,
        "jarvis-judice-ninke" => Dither::JarvisJudiceNinke,
        "blue-noise" => Dither::BlueNoise,
        "halftone" => Dither::Halftone(Screen {
            period: period(photo, interval) / interval,
            angle: written.dither.angle.to_radians(),
            stretch: pitch / interval,
        }),
        _ => Dither::FloydSteinberg,
    }
}

/// The tone card that was burned with exactly these numbers and this dither; says so where there is none.
fn tone_card<'a>(
    written: &Photo,
    setting: &ResolvedSetting,
    node: &OperationNode,
    figure: &Figure,
    bench: &Bench<'a>,
    sink: &mut Sink,
) -> Option<&'a ToneCard> {
    let is_here = |c: &&ToneCard| c.machine == bench.machine.name && c.stock == bench.stock.name;
    let here: Vec<&ToneCard> = bench.shop.tone_cards.iter().filter(is_here).collect();
    let dither = written.dither.method;
    let is_as_measured = setting.overridden.iter().all(|word| *word == "air") && node.shade.is_none();
    let fits = |c: &&&ToneCard| c.setting == setting.name && c.dither == dither && is_as_measured;
    if let Some(card) = here.iter().find(fits) {
        return Some(card);
    }
    let name = &figure.name.value;
    let plain = "dots run together, and how far is not known: the photo may come out darker than it looks";
    let Some(other) = here.iter().min_by_key(|c| (c.setting != setting.name, c.dither != dither)) else {
        sink.push(
            Diagnostic::new(&NO_TONE_CARD, format!("no tone card was measured for the photo `{name}`"))
                .at(node.head, format!("setting `{}`, dither `{dither}`", setting.name))
                .because(plain)
                .repair("burn patches of 0 % to 100 % with this setting and dither, and add a `tone-card` to the shop file"),
        );
        return None;
    };
    let differs = if other.dither != dither {
        format!("it was measured with dither `{}`, and the photo uses `{dither}`", other.dither)
    } else if other.setting != setting.name {
        format!("it was measured with setting `{}`, and the photo uses `{}`", other.setting, setting.name)
    } else {
        let words: Vec<String> = setting.overridden.iter().map(|w| format!("`{w}`")).collect();
        if words.is_empty() {
            "`shade` gives another power".to_owned()
        } else {
            format!("{} is written in place", words.join(" and "))
        }
    };
    sink.push(
        Diagnostic::new(&OTHER_TONE_CARD, format!("the tone card `{}` is not for the photo `{name}`", other.name))
            .at(node.head, differs)
            .also(other.span, "this card")
            .because(plain)
            .repair("use what the card was measured with, or burn a card with these numbers"),
    );
    None
}

fn stock_tones(written: &Photo, figure: &Figure, stock: &Stock, sink: &mut Sink) -> StockTones {
    let invert = written.tone.invert;
    let Some((bare, burned)) = stock.tones else {
        sink.push(
            Diagnostic::new(
                &TONES_ASSUMED,
                format!("how light `{}` is, bare and burned, was not measured", stock.name),
            )
            .at(figure.head, "toned for 80 % and 28 % of white")
            .also(stock.span, "says neither `bare` nor `burned`")
            .because("the middle tones may come out lighter or darker than they look")
            .repair("add `bare=\"…\" burned=\"…\"` to the stock, read from a photograph beside a grey card"),
        );
        let (light, dark) = USUAL_TONES;
        return if invert {
            StockTones { bare: dark, burned: light }
        } else {
            StockTones { bare: light, burned: dark }
        };
    };
    let burns_light = burned > bare;
    if burns_light != invert {
        let (mark, repair) =
            if burns_light { ("light", "add `tone invert=#true`") } else { ("dark", "leave out `invert`") };
        sink.push(
            Diagnostic::new(&OTHER_WAY, format!("the photo `{}` will come out as a negative", figure.name.value))
                .at(figure.head, if invert { "burns what is light" } else { "burns what is dark" })
                .also(
                    stock.span,
                    format!("goes from {bare} to {burned} of white when it is burned: a {mark} mark"),
                )
                .because("light and dark change places")
                .repair(repair),
        );
    }
    StockTones { bare: (bare.get() / 100.0) as f32, burned: (burned.get() / 100.0) as f32 }
}

/// What is wrong with dots that are finer than can be burned.
fn too_fine(written: &Photo, photo: &PlacedPhoto, interval: Mm, spot: Mm) -> Option<Diagnostic> {
    let refused = |message: String, label: String, at: Span, least: Mm, name: &str| {
        Diagnostic::new(&DOTS_TOO_FINE, message)
            .at(at, label)
            .because("it takes as long as it looks and shows nothing more")
            .repair(format!("write `{name}=\"{} mm\"` or more", fixed((least.get() * 1000.0).ceil() / 1000.0, 3)))
    };
    let source = &photo.source;
    if let (Some(pitch), Some(at)) = (source.dot_pitch, &written.dot_pitch)
        && pitch < spot * LEAST_PITCH
    {
        let least = spot * LEAST_PITCH;
        let message = format!("`dot-pitch` has to be {least} or more, a quarter of the spot, but it is {pitch}");
        return Some(refused(message, format!("the spot is {spot} wide"), at.span, least, "dot-pitch"));
    }
    let (period, at) = (source.period?, written.dither.period.as_ref()?);
    let least = interval * LEAST_PERIOD;
    let message = format!("`period` has to be {least} or more, two line intervals, but it is {period}");
    (written.dither.method == "halftone" && period < least)
        .then(|| refused(message, format!("rows are {interval} apart"), at.span, least, "period"))
}

fn too_many(node: &OperationNode, figure: &Figure, interval: Mm, pitch: Mm, area: f64) -> Diagnostic {
    let millions = fixed(area / (interval.get() * pitch.get()) / 1e6, 0);
    let finest = if pitch < interval { "`dot-pitch`" } else { "the interval" };
    Diagnostic::new(&TOO_MANY_DOTS, format!("the photo `{}` comes to {millions} million dots", figure.name.value))
        .at(node.head, format!("rows {interval} apart, dots {pitch} apart"))
        .because("it cannot be worked on, and would burn for days")
        .repair(format!("make {finest} larger or the photo smaller; at most 40 million dots are worked on"))
}
