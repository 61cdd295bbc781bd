//! What every figure needs while it is worked out.

use super::placed::Figures;
use crate::cache::Cache;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::geometry::GeometryError;
use crate::layout::{Frames, LayoutProblem};
use crate::recipe::Recipe;
use crate::schema::{Expression, Measures, Side};
use crate::source::{FileBytes, Files, Sources, Span, Spanned};
use crate::units::Mm;

pub(super) static NO_FRAME: Finding = Finding {
    rule: "figure/no-size",
    severity: Severity::Error,
    title: "a size cannot be worked out",
    explanation: "With the sizes of this job the calculation divides by zero, or it asks for the box of a figure with \
        nothing in it.",
    wrong: "board { circle \"95 mm\" }\nshape \"bar\" { rectangle \"2 mm\" \"4 mm * (9 mm / ({board.width} - {board.height}))\" }",
    right: "board { circle \"95 mm\" }\nshape \"bar\" { rectangle \"2 mm\" \"4 mm * (9 mm / {board.width})\" }",
};

pub(super) static NOT_POSITIVE: Finding = Finding {
    rule: "figure/not-positive",
    severity: Severity::Error,
    title: "a size that is calculated comes out as zero or less",
    explanation: "The calculation is right as it is written, but with the sizes of this job nothing is left.",
    wrong: "shape \"bar\" { rectangle \"{board.width} - 12 in\" \"1 mm\" }",
    right: "shape \"bar\" { rectangle \"{board.width} - 1 in\" \"1 mm\" }",
};

pub(super) static MARGIN_TOO_WIDE: Finding = Finding {
    rule: "figure/margin-too-wide",
    severity: Severity::Error,
    title: "a margin leaves nothing",
    explanation: "`size within` takes the margin off all four sides of the other figure's box.",
    wrong: "size within=\"board\" margin=\"8 in\"",
    right: "size within=\"board\" margin=\"1 in\"",
};

pub(super) static NO_EXTENT: Finding = Finding {
    rule: "figure/no-extent",
    severity: Severity::Error,
    title: "a figure without width or height is to get one",
    explanation: "A level line has no height and an upright one no width; no factor can give it one.",
    wrong: "shape \"rule\" { line { point; point right=\"20 mm\" }\n    size height=\"5 mm\" }",
    right: "shape \"rule\" { line { point; point right=\"20 mm\" }\n    size width=\"50 mm\" }",
};

pub(super) static TOO_MUCH: Finding = Finding {
    rule: "figure/beyond-measure",
    severity: Severity::Error,
    title: "a figure is too large or too detailed to be worked on",
    explanation: "Coordinates beyond ten metres, numbers that are not finite and outlines of millions of segments are \
        refused, because nothing sensible could be burned from them in bounded time.",
    wrong: "artwork \"map\" file=\"art/map.svg\" { size width=\"90 m\" }",
    right: "artwork \"map\" file=\"art/map.svg\" { size width=\"90 mm\" }",
};

/// What every figure needs while it is worked out: the recipe, the files, and the figures already done.
#[derive(Clone, Copy)]
pub struct Bench<'a> {
    /// The recipe.
    pub recipe: &'a Recipe,
    /// Where files are read.
    pub files: &'a dyn Files,
    /// The texts, for paths relative to them.
    pub sources: &'a Sources,
    /// What was worked out before.
    pub cache: &'a Cache,
}

impl Bench<'_> {
    /// Reads a file that stands at `path` in the text `from`; reports it when that fails.
    pub(super) fn read(&self, file: &crate::schema::TextValue, sink: &mut Sink) -> Option<FileBytes> {
        let read = match self.sources.get(file.from).path.as_deref() {
            Some(from) => self.files.read(&file.text, Some(from)),
            // A `--set` value was named by the user of the command, relative to where it runs.
            None => self.files.open_named(std::path::Path::new(&file.text)),
        };
        match read {
            Ok(bytes) => Some(bytes),
            Err(error) => {
                sink.push(crate::recipe::read_failure(&error, &file.text, Some(file.span)));
                None
            }
        }
    }
}

/// Measures figures, for lengths that are calculated from them.
pub struct Sizes<'a>(pub &'a Figures);

impl Measures for Sizes<'_> {
    fn measure(&self, figure: &str, side: Side) -> Option<Mm> {
        let frame = self.0.frame(figure)?;
        Some(Mm::new(if side == Side::Width { frame.width() } else { frame.height() }))
    }
}

/// The value of a length that has to be above zero.
pub(super) fn positive(written: &Spanned<Expression>, figures: &Figures, sink: &mut Sink) -> Option<Mm> {
    let value = written.value.length(&Sizes(figures));
    if value.is_some_and(|v| v.get() > 0.0) {
        return value;
    }
    sink.push(not_positive(value, written.span));
    None
}

/// The value of a length that may be zero or negative.
pub(super) fn any_length(written: &Spanned<Expression>, figures: &Figures, sink: &mut Sink) -> Option<Mm> {
    let value = written.value.length(&Sizes(figures));
    if value.is_none() {
        sink.push(not_positive(value, written.span));
    }
    value
}

fn not_positive(value: Option<Mm>, span: Span) -> Diagnostic {
    match value {
        Some(value) => Diagnostic::new(&NOT_POSITIVE, format!("this comes to {value}, which leaves nothing"))
            .at(span, "has to come out above zero")
            .because("there would be nothing to burn")
            .repair("take less away, or make the figure larger that it counts from"),
        None => Diagnostic::new(&NO_FRAME, "this cannot be worked out".to_owned())
            .at(span, "it divides by zero, or a figure in it has no size")
            .because("there would be nothing to burn")
            .repair("look at the sizes of its figures with `inspect`"),
    }
}

/// The finding for a figure that cannot be placed.
pub(super) fn layout_failure(problem: LayoutProblem) -> Diagnostic {
    match problem {
        LayoutProblem::NoFrame(name) => Diagnostic::new(&NO_FRAME, format!("`{}` has no size", name.value))
            .at(name.span, "there is nothing in it"),
        LayoutProblem::NotPositive { length, span } => not_positive(length, span),
        LayoutProblem::MarginTooWide { left, span } => {
            Diagnostic::new(&MARGIN_TOO_WIDE, "this margin leaves nothing".to_owned())
                .at(span, format!("it is kept on all sides, so that {left} would be left"))
                .because("there would be nothing to burn")
                .repair("make the margin smaller")
        }
        LayoutProblem::NoExtent(span) => {
            Diagnostic::new(&NO_EXTENT, "this figure has no extent in that direction".to_owned())
                .at(span, "cannot be scaled to a size")
                .because("a straight line stays as thin as it is, however it is scaled")
                .repair("give its other side: `width` for a level line, `height` for an upright one")
        }
    }
}

/// The finding for geometry that is refused.
pub fn geometry_failure(error: GeometryError, span: Span) -> Diagnostic {
    let slip = "look for a slip in its sizes: a unit, a decimal point, a calculation";
    let (what, repair) = match error {
        GeometryError::NotFinite => ("a coordinate of it is not a finite number", slip),
        GeometryError::TooFar => ("it reaches farther than ten metres", slip),
        GeometryError::TooMany => (
            "it has more segments, or its lines cross each other more often, than can be worked on",
            "draw it with fewer lines; a hatched area is engraved as one area, in rows of the machine",
        ),
    };
    Diagnostic::new(&TOO_MUCH, format!("what is drawn here is refused: {what}"))
        .at(span, "too large or too detailed")
        .because("nothing sensible could be burned from it")
        .repair(repair)
}
