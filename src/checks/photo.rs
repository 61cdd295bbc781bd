//! Photos that will not come out as they look.

use super::Job;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::plan::{Burn, Dots, Operation};
use crate::source::Span;
use crate::units::Mm;
use crate::units::number::fixed;
use std::collections::BTreeMap;

pub(super) static TOO_FEW_PIXELS: Finding = Finding {
    rule: "photo/too-few-pixels",
    severity: Severity::Warning,
    title: "a photo has too few pixels for its size",
    explanation: "A photo shows all that the laser can draw when it has a pixel or more for every line interval. With fewer it \
        comes out soft: the missing ones are smoothed over, not made up. Use a larger picture, or a smaller size.",
    wrong: "photo \"portrait\" file=\"art/thumbnail-120px.jpg\" { size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/portrait-2000px.jpg\" { size width=\"80 mm\" }",
};

pub(super) static FINER_THAN_SPOT: Finding = Finding {
    rule: "photo/dots-finer-than-spot",
    severity: Severity::Warning,
    title: "the dots of a photo lie nearer to each other than the spot is wide",
    explanation: "Dots nearer than the spot burn into each other: light tones grow dark and detail is lost that was paid for \
        with time. Use an interval of the spot's width or more, or a halftone whose dots are four spots or more apart.",
    wrong: "run \"picture\" { engrave \"portrait\" interval=\"0.05 mm\" }",
    right: "run \"picture\" { engrave \"portrait\" interval=\"0.1 mm\" }",
};

pub(super) static TWO_INTERVALS: Finding = Finding {
    rule: "photo/two-intervals",
    severity: Severity::Warning,
    title: "a photo is engraved twice with different intervals",
    explanation: "Each interval gives dots of its own, and the two sets do not fall onto each other: the second burning fills \
        the gaps of the first, and tones grow dark. Burn it once, or both times with the same interval.",
    wrong: "run \"picture\" { engrave \"portrait\" interval=\"0.1 mm\"; engrave \"portrait\" interval=\"0.2 mm\" }",
    right: "run \"picture\" { engrave \"portrait\" interval=\"0.1 mm\" }",
};

pub(super) static FLAT: Finding = Finding {
    rule: "photo/nearly-flat",
    severity: Severity::Warning,
    title: "a photo has hardly any contrast",
    explanation: "The lightest and the darkest of the picture are less than 15 of 100 steps of lightness apart. `levels` pulls \
        them apart, and with them the noise of the camera; without it nothing much can be seen.",
    wrong: "photo \"fog\" file=\"art/fog.jpg\" { size width=\"80 mm\" }",
    right: "photo \"heron\" file=\"art/heron.jpg\" { size width=\"80 mm\" }",
};

pub(super) static ONE_TONE: Finding = Finding {
    rule: "photo/one-tone",
    severity: Severity::Warning,
    title: "a photo comes out all dark or all bare",
    explanation: "After toning, more than 97 of 100 dots are burned, or fewer than 3. Look at the preview: `gamma`, `invert` or \
        the crop are probably not what was meant.",
    wrong: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\"; tone gamma=9 }",
    right: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\"; tone gamma=1.2 }",
};

/// Fewer pixels than this a line interval are seen.
const ENOUGH_PIXELS: f64 = 0.9;

/// Dots nearer than this share of the spot are worth a word.
const NEAR_DOTS: f64 = 0.95;

/// So many spots apart, halftone dots stay apart.
const HALFTONE_SPOTS: f64 = 4.0;

/// Less lightness between dark and light is hardly any contrast.
const LEAST_CONTRAST: f64 = 0.15;

/// A photo burned to less than this share, or to more than the rest, is of one tone.
const LEAST_TONE: f64 = 0.03;

/// Looks at every photo that is burned.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let mut intervals: BTreeMap<&str, (Mm, Span)> = BTreeMap::new();
    for (_, operation) in job.burning() {
        let Burn::Dots(dots) = &operation.burn else { continue };
        let at = job.recipe.figure(&dots.figure).map_or(operation.span, |f| f.head);
        sink.append(of_one(job, operation, dots, at));
        let first = *intervals.entry(&dots.figure).or_insert((dots.interval, operation.span));
        if first.0 != dots.interval {
            sink.push(two_intervals(dots, operation, first));
        }
    }
}

fn of_one(job: &Job, operation: &Operation, dots: &Dots, at: Span) -> Sink {
    let mut sink = Sink::new();
    let spot = job.plan.machine.spot;
    if dots.pixels_per_mm * dots.interval.get() < ENOUGH_PIXELS {
        sink.push(too_few(operation, dots, at));
    }
    let stays_apart = dots.period.is_some_and(|period| period >= spot * HALFTONE_SPOTS);
    if dots.interval.min(dots.pitch) < spot * NEAR_DOTS && !stays_apart {
        sink.push(
            Diagnostic::new(
                &FINER_THAN_SPOT,
                format!(
                    "the dots of `{}` are {} apart, and the spot is {spot} wide",
                    dots.figure,
                    dots.interval.min(dots.pitch)
                ),
            )
            .at(operation.span, "dots burn into each other")
            .also(job.plan.machine.span, "this spot")
            .because("light tones grow dark, and the finest detail is lost")
            .repair(format!(
                "use an interval of {spot} or more, or `dither \"halftone\" period=\"{}\"`",
                spot * HALFTONE_SPOTS
            )),
        );
    }
    if dots.contrast < LEAST_CONTRAST {
        sink.push(
            Diagnostic::new(
                &FLAT,
                format!(
                    "`{}` reaches over {} of 100 steps of lightness",
                    dots.figure,
                    fixed(dots.contrast * 100.0, 0)
                ),
            )
            .at(at, "hardly any contrast")
            .because("noise is burned as strongly as the picture")
            .repair("choose another picture, or raise its contrast with care before it is used"),
        );
    } else if !(LEAST_TONE..=1.0 - LEAST_TONE).contains(&dots.coverage) {
        let what = if dots.coverage < 0.5 { "bare" } else { "dark" };
        sink.push(
            Diagnostic::new(&ONE_TONE, format!("`{}` comes out nearly all {what}", dots.figure))
                .at(at, format!("{} of 100 dots are burned", fixed(dots.coverage * 100.0, 1)))
                .because("next to nothing can be seen of it")
                .repair("look at `gamma`, `invert` and the crop, and at the preview"),
        );
    }
    sink
}

fn too_few(operation: &Operation, dots: &Dots, at: Span) -> Diagnostic {
    let (had, wanted) = (dots.pixels_per_mm, 1.0 / dots.interval.get());
    let good = |length: f64| fixed(length * had / wanted, 0);
    let (width, height) =
        (dots.region.bounds().unwrap_or_default().width(), dots.region.bounds().unwrap_or_default().height());
    Diagnostic::new(
        &TOO_FEW_PIXELS,
        format!(
            "`{}` has {} pixels on a millimetre, and {} rows are burned there",
            dots.figure,
            fixed(had, 1),
            fixed(wanted, 1)
        ),
    )
    .at(at, format!("good for {} × {} mm at this interval", good(width), good(height)))
    .also(operation.span, format!("rows {} apart", dots.interval))
    .because("it comes out soft")
    .repair("use a picture with more pixels, a smaller size, or a larger interval")
}

fn two_intervals(dots: &Dots, operation: &Operation, first: (Mm, Span)) -> Diagnostic {
    Diagnostic::new(&TWO_INTERVALS, format!("`{}` is engraved with two different intervals", dots.figure))
        .at(operation.span, format!("rows {} apart", dots.interval))
        .also(first.1, format!("rows {} apart", first.0))
        .because("the second burning fills the gaps of the first, and tones grow dark")
        .repair("burn it once, or both times with the same interval")
}
