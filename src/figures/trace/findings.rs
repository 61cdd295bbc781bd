//! What is said of traced pictures.

use super::Parted;
use crate::diagnostics::{ArtworkPlace, Diagnostic, Finding, Severity, counted};
use crate::recipe::{Figure, TraceOf};
use crate::source::Span;
use crate::tracing::{NOISE, NoContrast};
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::Point;

pub(super) static NO_SIZE: Finding = Finding {
    rule: "trace/no-size",
    severity: Severity::Error,
    title: "a traced picture does not say how large it becomes",
    explanation: "Pixels have no size. The dots per inch that some files state are those of a scanner, a screen or nothing at \
        all, so they are never believed. Say the size of what is drawn in the recipe.",
    wrong: "trace \"seams\" file=\"art/seams.png\"",
    right: "trace \"seams\" file=\"art/seams.png\" { size within=\"board\" }",
};

pub(super) static NO_CONTRAST: Finding = Finding {
    rule: "trace/no-contrast",
    severity: Severity::Error,
    title: "ink and paper of a picture cannot be told apart",
    explanation: "What is drawn has to be clearly darker than the paper: by about a sixth of the way from white to black, \
        where an edge runs. A pencil sketch under a lamp or a very pale scan has less. Scan it darker, or draw it over in \
        ink; `threshold` says what counts as ink when you know better.",
    wrong: "trace \"sketch\" file=\"art/pale-pencil.jpg\" { size width=\"80 mm\" }",
    right: "trace \"sketch\" file=\"art/inked.png\" { size width=\"80 mm\" }",
};

pub(super) static NOTHING_TRACED: Finding = Finding {
    rule: "trace/nothing-traced",
    severity: Severity::Error,
    title: "nothing of a picture is left to burn",
    explanation: "All that counts as drawn was smaller than a few pixels, or than `specks`, or the threshold leaves no ink.",
    wrong: "trace \"seams\" file=\"art/seams.png\" specks=\"90 mm\" { size width=\"80 mm\" }",
    right: "trace \"seams\" file=\"art/seams.png\" specks=\"0.5 mm\" { size width=\"80 mm\" }",
};

pub(super) static TOO_MUCH: Finding = Finding {
    rule: "trace/too-much",
    severity: Severity::Error,
    title: "a picture has more edges than a drawing",
    explanation: "Grain, hatching and photos have an edge at every few pixels. Millions of outlines cannot be burned in a \
        bounded time, and would look like noise. A photo is engraved as dots with `photo`.",
    wrong: "trace \"wall\" file=\"art/gravel.jpg\" { size width=\"200 mm\" }",
    right: "trace \"wall\" file=\"art/wall-drawing.png\" { size width=\"200 mm\" }",
};

pub(super) static HALVED: Finding = Finding {
    rule: "trace/halved",
    severity: Severity::Advice,
    title: "a picture was halved before it was traced",
    explanation: "Edges are found to a part of a pixel, so more than twenty million pixels say nothing that could be burned; \
        they are averaged, four to one. Scanning at 300 dots an inch is plenty.",
    wrong: "trace \"seams\" file=\"art/scan-1200-dpi.png\" { size width=\"200 mm\" }",
    right: "trace \"seams\" file=\"art/scan-300-dpi.png\" { size width=\"200 mm\" }",
};

pub(super) static SPECKS: Finding = Finding {
    rule: "trace/specks-left-out",
    severity: Severity::Advice,
    title: "specks of a traced picture were left out",
    explanation: "Dust and noise leave dots and pinholes of a few pixels; what goes round less than four square pixels, or is \
        smaller than `specks` says, is not burned. Look at the preview if the drawing has dots that are meant.",
    wrong: "trace \"seams\" file=\"art/dusty.png\" { size width=\"80 mm\" }",
    right: "trace \"seams\" file=\"art/cleaned.png\" { size width=\"80 mm\" }",
};

pub(super) static COARSE_PIXELS: Finding = Finding {
    rule: "trace/coarse-pixels",
    severity: Severity::Warning,
    title: "a traced picture is too small for its size",
    explanation: "A pixel becomes more than three times as wide as the beam. Smooth edges still come out smooth, but corners \
        are rounded by a pixel or so, and tips and gaps thinner than a pixel are lost.",
    wrong: "trace \"seams\" file=\"art/thumbnail-90px.png\" { size width=\"200 mm\" }",
    right: "trace \"seams\" file=\"art/scan-2400px.png\" { size width=\"200 mm\" }",
};

pub(super) static HOLDS_SOLIDS: Finding = Finding {
    rule: "trace/holds-solids",
    severity: Severity::Warning,
    title: "a drawing traced as lines holds solids",
    explanation: "A centre line or a seam stands for a stroke of the pen, of about one width. Where the ink widens to an area, \
        the middle of it says little. Of centre lines it is told when the widest tenth of the strokes is more than 1.6 times \
        as wide as half of them are at most; of seams, when ink is more than 2.5 times as wide as they are. Trace the \
        outlines, or draw areas and lines in two pictures.",
    wrong: "trace \"crab\" file=\"art/crab-with-black-claws.png\" as=\"centre-lines\" { size width=\"60 mm\" }",
    right: "trace \"crab\" file=\"art/crab-with-black-claws.png\" { size width=\"60 mm\" }",
};

pub(super) static DOTS: Finding = Finding {
    rule: "trace/dots-left-out",
    severity: Severity::Warning,
    title: "dots of a drawing traced as lines were left out",
    explanation: "A round spot has no middle line. Eyes, full stops and the dots of letters are not burned by a trace of \
        centre lines; trace them as outlines, from a second picture if need be.",
    wrong: "trace \"crab\" file=\"art/crab-with-eyes.png\" as=\"centre-lines\" { size width=\"60 mm\" }",
    right: "trace \"crab\" file=\"art/crab-with-eyes.png\" { size width=\"60 mm\" }",
};

pub(super) static LOOSE_LINES: Finding = Finding {
    rule: "trace/loose-lines",
    severity: Severity::Warning,
    title: "lines that part nothing were left out of seams",
    explanation: "A seam is a line between two areas. A line that ends in the middle of an area parts nothing: cut, it would only \
        weaken the piece. Often a gap in the drawing leaves it open; close the gap, or lower the `threshold` so that a faint \
        line counts as drawn.",
    wrong: "trace \"seams\" file=\"art/seams-with-a-gap.png\" as=\"seams\" { size within=\"board\" }",
    right: "trace \"seams\" file=\"art/seams-closed.png\" as=\"seams\" { size within=\"board\" }",
};

pub(super) static SEAMS_LOST: Finding = Finding {
    rule: "trace/seams-lost",
    severity: Severity::Error,
    title: "nearly all lines of a drawing traced as seams part nothing",
    explanation: "More than three quarters of the lines end in the open, or have the same area on both sides, and would be left \
        out. Either the drawing is none of seams, and wants `centre-lines`, or its frame has a gap through which all areas \
        are one.",
    wrong: "trace \"fern\" file=\"art/fern.png\" as=\"seams\" { size width=\"60 mm\" }",
    right: "trace \"fern\" file=\"art/fern.png\" as=\"centre-lines\" { size width=\"60 mm\" }",
};

/// The rules about traced pictures.
pub static RULES: &[&Finding] = &[
    &NO_SIZE,
    &NO_CONTRAST,
    &NOTHING_TRACED,
    &TOO_MUCH,
    &HALVED,
    &SPECKS,
    &COARSE_PIXELS,
    &HOLDS_SOLIDS,
    &DOTS,
    &LOOSE_LINES,
    &SEAMS_LOST,
];

/// Why a picture gave nothing.
pub(super) enum Failure {
    NoContrast(NoContrast),
    TooMuch,
}

pub(super) fn no_size(trace: &TraceOf, figure: &Figure) -> Diagnostic {
    Diagnostic::new(&NO_SIZE, format!("`{}` consists of pixels, which have no size", trace.file.text))
        .at(figure.head, "needs a size")
        .because("how large it is on the stock would be a guess")
        .repair("add `size width=\"…\"` or `size within=\"board\"` inside it")
}

pub(super) fn said(failure: &Failure, trace: &TraceOf) -> Diagnostic {
    let file = &trace.file.text;
    match failure {
        Failure::NoContrast(NoContrast { difference }) => {
            let percent = fixed(f64::from(*difference) * 100.0, 0);
            Diagnostic::new(&NO_CONTRAST, format!("ink and paper of `{file}` cannot be told apart"))
                .at(trace.file.span, format!("they differ by {percent} % where an edge runs; at least 15 % are needed"))
                .because("stains and shadows would be burned with the drawing, or in place of it")
                .repair("scan it darker or draw it over in ink; or write `threshold=\"…\"` if you know what counts as ink")
        }
        Failure::TooMuch => Diagnostic::new(&TOO_MUCH, format!("`{file}` has more edges than a drawing"))
            .at(trace.file.span, "looks like a photo or a grain")
            .because("it would be burned for days, as noise")
            .repair("use `photo` to engrave it as dots, or soften the picture in an editor"),
    }
}

pub(super) fn halved(trace: &TraceOf, times: u32) -> Diagnostic {
    let factor = 1_u32 << times;
    Diagnostic::new(&HALVED, format!("`{}` was made {factor} times smaller before it was traced", trace.file.text))
        .at(trace.file.span, "has more pixels than say anything")
        .because("nothing that the beam could show is lost")
        .repair("scan at 300 dots an inch")
}

/// Nothing is left; `seams` is what is known of them where the picture was read for seams.
pub(super) fn nothing(trace: &TraceOf, left_out: usize, seams: Option<&Parted>) -> Diagnostic {
    let message = format!("nothing of `{}` is left to burn", trace.file.text);
    let nothing = |at: Span, label: String| {
        Diagnostic::new(&NOTHING_TRACED, message.clone()).at(at, label).because("there would be nothing to burn")
    };
    let parts_nothing = seams.filter(|s| left_out == 0 && s.widest.is_some());
    match (parts_nothing, left_out) {
        (Some(seams), _) if seams.loose.is_empty() => {
            nothing(trace.file.span, "holds solids, and no lines between areas".to_owned())
                .repair("trace it `as=\"outlines\"`")
        }
        (Some(seams), _) => {
            let lines = counted(seams.loose.len(), "line that parts", "lines that part");
            nothing(trace.file.span, format!("holds {lines} nothing, and no seam"))
                .repair("trace it `as=\"centre-lines\"`, or close the gaps in its lines")
        }
        (None, 0) => nothing(trace.file.span, "holds no ink".to_owned())
            .repair("look at the picture; make the `threshold` lower"),
        (None, count) => {
            let place = trace.specks.as_ref().map_or(trace.file.span, |s| s.span);
            nothing(place, format!("{} too small to be kept", counted(count, "thing is", "things are")))
                .repair("look at the picture; make `specks` smaller, or the `threshold` lower")
        }
    }
}

/// At most so many places of a finding are named.
const MOST_NAMED: usize = 3;

/// A finding at the first of some places of the picture.
fn at_places(diagnostic: Diagnostic, trace: &TraceOf, places: &[Point]) -> Diagnostic {
    let place = |at: &Point| ArtworkPlace {
        file: trace.file.text.clone(),
        figure: None,
        element: None,
        position: None,
        at: Some(*at),
    };
    places.iter().take(MOST_NAMED).map(place).fold(diagnostic, Diagnostic::in_artwork)
}

pub(super) fn specks_left_out(trace: &TraceOf, places: &[Point], pixel: Mm) -> Diagnostic {
    let specks = counted(places.len(), "speck", "specks");
    let label = if trace.specks.is_some() {
        "smaller than `specks` says".to_owned()
    } else {
        let area = fixed(NOISE * pixel.get() * pixel.get(), 3);
        format!("dots and pinholes of less than {} square pixels, {area} mm² on the piece", fixed(NOISE, 0))
    };
    let diagnostic = Diagnostic::new(&SPECKS, format!("{specks} of `{}` left out", trace.file.text))
        .at(trace.file.span, label)
        .because("they are not burned")
        .repair("look at the preview; if dots are missing, say what a speck is with `specks=\"…\"`, or scan the drawing larger");
    at_places(diagnostic, trace, places)
}

/// A picture that would have to be more than so many times as large is not scanned again, but another one.
const MOST_TIMES: f64 = 20.0;

pub(super) fn coarse(trace: &TraceOf, pixel: Mm, spot: Mm) -> Diagnostic {
    let times = (pixel.get() / spot.get()).ceil();
    let repair = if times <= MOST_TIMES {
        let times = fixed(times, 0);
        format!("scan or draw it about {times} times as large in pixels, or make it smaller on the piece")
    } else {
        "draw it anew with far more pixels, or look for a slip in its `size`".to_owned()
    };
    Diagnostic::new(
        &COARSE_PIXELS,
        format!("a pixel of `{}` becomes {} mm wide", trace.file.text, fixed(pixel.get(), 2)),
    )
    .at(trace.file.span, format!("the beam is {spot} wide"))
    .because("corners are rounded by about a pixel, and tips and gaps thinner than one are lost")
    .repair(repair)
}

pub(super) fn holds_solids(trace: &TraceOf, (usual, widest): (Mm, Mm)) -> Diagnostic {
    Diagnostic::new(&HOLDS_SOLIDS, format!("`{}` holds more than lines", trace.file.text))
        .at(trace.file.span, format!("half of it is up to {usual} wide on the piece, a tenth more than {widest}"))
        .because("of its solids only a line along their middle would be burned")
        .repair("trace it `as=\"outlines\"`, or draw lines and solids in two pictures")
}

/// Ink wider than lines, at a place.
pub(super) fn seams_hold_solids(trace: &TraceOf, at: Point, (usual, widest): (Mm, Mm)) -> Diagnostic {
    let (usual, widest) = (fixed(usual.get(), 2), fixed(widest.get(), 2));
    let diagnostic = Diagnostic::new(&HOLDS_SOLIDS, format!("`{}` holds more than seams", trace.file.text))
        .at(trace.file.span, format!("its lines are {usual} mm wide on the piece, and ink is up to {widest} mm"))
        .because("of a solid at most a line along its middle is burned, and one inside an area is left out")
        .repair("draw solids in a picture of their own, and trace that `as=\"outlines\"`");
    at_places(diagnostic, trace, &[at])
}

pub(super) fn dots_left_out(trace: &TraceOf, places: &[Point]) -> Diagnostic {
    let dots = counted(places.len(), "dot is", "dots are");
    let diagnostic = Diagnostic::new(&DOTS, format!("{dots} left out of the lines of `{}`", trace.file.text))
        .at(trace.file.span, "a round spot has no middle line")
        .because("they are not burned")
        .repair("trace the picture a second time `as=\"outlines\"` if they are meant, and engrave that");
    at_places(diagnostic, trace, places)
}

pub(super) fn loose_lines(trace: &TraceOf, places: &[Point]) -> Diagnostic {
    let lines = counted(places.len(), "line of", "lines of");
    let part = if places.len() == 1 { "parts" } else { "part" };
    let diagnostic = Diagnostic::new(&LOOSE_LINES, format!("{lines} `{}` {part} nothing", trace.file.text))
        .at(trace.file.span, "ends inside an area")
        .because("left out: cut, it would weaken the piece; or a gap in the drawing keeps two pieces together")
        .repair("look at the preview for a seam that is missing, and close its gap in the drawing or lower the `threshold`");
    at_places(diagnostic, trace, places)
}

pub(super) fn seams_lost(trace: &TraceOf, share: f64) -> Diagnostic {
    let percent = fixed(100.0 * share, 0);
    Diagnostic::new(&SEAMS_LOST, format!("nearly all lines of `{}` part nothing", trace.file.text))
        .at(trace.file.span, format!("{percent} % of their length has the same area on both sides"))
        .because("nearly nothing of the drawing would be burned")
        .repair("trace it `as=\"centre-lines\"` if it is no drawing of seams; else close the gaps in its frame and lines")
}
