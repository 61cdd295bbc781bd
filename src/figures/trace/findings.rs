//! What is said of traced pictures.

use crate::diagnostics::{Diagnostic, Finding, Severity, counted};
use crate::recipe::{Figure, TraceOf};
use crate::tracing::NoContrast;
use crate::units::Mm;
use crate::units::number::fixed;

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
    explanation: "A centre line stands for a stroke of the pen, of about one width. Where the ink widens to an area, the middle of         it says little: the widest tenth of the strokes is more than 1.6 times as wide as half of them are at most. Trace the         outlines, or draw areas and lines in two pictures.",
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
    explanation: "A seam is a line between two areas. A line that ends in the middle of an area parts nothing: cut, it would only         weaken the piece. Often a gap in the drawing leaves it open; close the gap, or lower the `threshold` so that a faint         line counts as drawn.",
    wrong: "trace \"seams\" file=\"art/seams-with-a-gap.png\" as=\"seams\" { size within=\"board\" }",
    right: "trace \"seams\" file=\"art/seams-closed.png\" as=\"seams\" { size within=\"board\" }",
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

pub(super) fn nothing(trace: &TraceOf, left_out: usize) -> Diagnostic {
    let label = match left_out {
        0 => "holds no ink".to_owned(),
        count => format!("{} too small to be kept", counted(count, "thing is", "things are")),
    };
    let place = trace.specks.as_ref().map_or(trace.file.span, |s| s.span);
    Diagnostic::new(&NOTHING_TRACED, format!("nothing of `{}` is left to burn", trace.file.text))
        .at(if left_out > 0 { place } else { trace.file.span }, label)
        .because("there would be nothing to burn")
        .repair("look at the picture; make `specks` smaller, or the `threshold` lower")
}

pub(super) fn specks_left_out(trace: &TraceOf, count: usize) -> Diagnostic {
    let specks = counted(count, "speck", "specks");
    Diagnostic::new(&SPECKS, format!("{specks} of `{}` left out", trace.file.text))
        .at(trace.file.span, "dots and pinholes of a few pixels")
        .because("they are not burned")
        .repair("look at the preview; if dots are missing, say what a speck is with `specks=\"…\"`, or scan the drawing larger")
}

pub(super) fn coarse(trace: &TraceOf, pixel: Mm, spot: Mm) -> Diagnostic {
    let times = fixed((pixel.get() / spot.get()).ceil(), 0);
    Diagnostic::new(&COARSE_PIXELS, format!("a pixel of `{}` becomes {pixel} wide", trace.file.text))
        .at(trace.file.span, format!("the beam is {spot} wide"))
        .because("corners are rounded by about a pixel, and tips and gaps thinner than one are lost")
        .repair(format!("scan or draw it about {times} times as large in pixels, or make it smaller on the piece"))
}

pub(super) fn holds_solids(trace: &TraceOf, (usual, widest): (Mm, Mm)) -> Diagnostic {
    Diagnostic::new(&HOLDS_SOLIDS, format!("`{}` holds more than lines", trace.file.text))
        .at(trace.file.span, format!("half of it is up to {usual} wide on the piece, a tenth more than {widest}"))
        .because("of its solids only a line along their middle would be burned")
        .repair("trace it `as=\"outlines\"`, or draw lines and solids in two pictures")
}

pub(super) fn dots_left_out(trace: &TraceOf, count: usize) -> Diagnostic {
    let dots = counted(count, "dot is", "dots are");
    Diagnostic::new(&DOTS, format!("{dots} left out of the lines of `{}`", trace.file.text))
        .at(trace.file.span, "a round spot has no middle line")
        .because("they are not burned")
        .repair("trace the picture a second time `as=\"outlines\"` if they are meant, and engrave that")
}

pub(super) fn loose_lines(trace: &TraceOf, count: usize) -> Diagnostic {
    let lines = counted(count, "line of", "lines of");
    let part = if count == 1 { "parts" } else { "part" };
    Diagnostic::new(&LOOSE_LINES, format!("{lines} `{}` {part} nothing", trace.file.text))
        .at(trace.file.span, "ends inside an area")
        .because("left out: cut, it would weaken the piece; or a gap in the drawing keeps two pieces together")
        .repair("look at the preview for a seam that is missing, and close its gap in the drawing or lower the `threshold`")
}
