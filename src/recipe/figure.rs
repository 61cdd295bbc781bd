//! Figures: everything that has a name and a geometry.

use super::allow::{ALLOW, Allow};
use super::artwork::{self, ARTWORK, Artwork};
use super::derived::{self, OFFSET, OffsetOf, PUZZLE, PuzzleOf, REGISTER, RegisterMarks};
use super::fixture::{self, FIXTURE, FixtureOf};
use super::inlay::{self, INLAY, InlayOf};
use super::lettering::{self, LETTERING, Lettering};
use super::numbers::{self, NUMBERS, NumbersOf};
use super::photo::{self, PHOTO, Photo};
use super::placing::{MIRROR, PLACE, Placing, SIZE, TURN, named};
use super::shape::{self, BODY, Item};
use super::trace::{self, Reading, TRACE, TraceOf};
use super::tray::{self, TRAY, TrayOf};
use crate::schema::{Kind, NodeSpec, Often, Reader, required};
use crate::source::{Span, Spanned};
use crate::syntax::Node;

/// The name under which the finished outline is known.
pub const BOARD_NAME: &str = "board";

const fn with_placing<const N: usize>(placing: bool) -> [(&'static NodeSpec, Often); N] {
    let mut all = [(&SIZE, Often::AtMostOnce); N];
    let mut i = 0;
    while i < BODY.len() {
        all[i] = BODY[i];
        i += 1;
    }
    if placing {
        all[i] = (&SIZE, Often::AtMostOnce);
        all[i + 1] = (&TURN, Often::AtMostOnce);
        all[i + 2] = (&MIRROR, Often::Any);
        i += 3;
    }
    all[i] = (&PLACE, Often::AtMostOnce);
    all[i + 1] = (&ALLOW, Often::Any);
    all
}

static SHAPE_CHILDREN: [(&NodeSpec, Often); BODY.len() + 5] = with_placing(true);

/// `shape`.
pub static SHAPE: NodeSpec = NodeSpec {
    name: "shape",
    about: "A figure drawn in the recipe. Positions in its body count from its own middle, which lies on the middle of \
        the board until `place` moves it; areas side by side in it are welded.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[],
    children: &SHAPE_CHILDREN,
    example: "shape \"sun\" {\n    weld {\n        circle \"18 mm\"\n        star points=12 outer=\"26 mm\" inner=\"16 mm\"\n    }\n    \
        place left=\"board\" top=\"board\" right=\"15 mm\" down=\"15 mm\"\n}",
};

/// `board`.
pub static BOARD: NodeSpec = NodeSpec {
    name: "board",
    about: "The finished outline. It lies in the middle of the sheet until `place` moves it.",
    arguments: &[],
    properties: &[],
    children: &SHAPE_CHILDREN,
    example: "board { rectangle \"8.5 in\" \"11 in\" corner=\"5 mm\" }",
};

/// A figure.
#[derive(Clone, Debug)]
pub struct Figure {
    /// Its name.
    pub name: Spanned<String>,
    /// The recipe word it is made with.
    pub word: &'static str,
    /// What it is made of.
    pub kind: FigureKind,
    /// How it gets its size and place.
    pub placing: Placing,
    /// What is underlined when the whole is meant.
    pub head: Span,
}

/// What a figure is made of.
#[derive(Clone, Debug)]
pub enum FigureKind {
    /// A drawing from a file.
    Artwork(Artwork),
    /// A text in a font.
    Lettering(Box<Lettering>),
    /// A picture in dots.
    Photo(Box<Photo>),
    /// A drawing on paper, as curves.
    Trace(TraceOf),
    /// Drawn in the recipe; the board too.
    Shape(Vec<Item>),
    /// The outline at a distance from another figure.
    Offset(OffsetOf),
    /// The insert or the pocket of another figure.
    Inlay(InlayOf),
    /// The seams of a puzzle.
    Puzzle(PuzzleOf),
    /// Corner marks in the waste.
    Register(RegisterMarks),
    /// The numbers of the pieces of a puzzle.
    Numbers(NumbersOf),
    /// The frame or the backing board of another figure.
    Tray(TrayOf),
    /// A corner cut from scrap.
    Fixture(FixtureOf),
}

impl Figure {
    /// Whether it is the finished outline.
    pub fn is_board(&self) -> bool {
        self.word == "board"
    }

    /// Whether it is the seams of a puzzle, grown or drawn: lines that part pieces, and are meant to run through pictures.
    pub const fn is_seams(&self) -> bool {
        match &self.kind {
            FigureKind::Puzzle(_) => true,
            FigureKind::Trace(trace) => matches!(trace.reading, Reading::Seams),
            _ => false,
        }
    }

    /// Whether it lies where the figure it is made from lies, and is not placed itself.
    pub fn is_in_place(&self) -> bool {
        match &self.kind {
            FigureKind::Offset(_)
            | FigureKind::Puzzle(_)
            | FigureKind::Register(_)
            | FigureKind::Numbers(_)
            | FigureKind::Fixture(_) => true,
            FigureKind::Lettering(lettering) => lettering.along.is_some(),
            FigureKind::Inlay(_) | FigureKind::Tray(_) => self.placing.is_none(),
            _ => false,
        }
    }

    /// The figure whose outline it is made from, or of whose pieces.
    pub fn made_from(&self) -> Option<&str> {
        match &self.kind {
            FigureKind::Offset(offset) => Some(&offset.of.value),
            FigureKind::Inlay(inlay) => Some(&inlay.of.value),
            FigureKind::Puzzle(puzzle) => Some(&puzzle.of.value),
            FigureKind::Numbers(numbers) => Some(&numbers.of.value),
            FigureKind::Tray(tray) => Some(&tray.of.value),
            _ => None,
        }
    }

    /// The figures that it refers to, each with the place of the reference.
    pub fn references(&self) -> Vec<Spanned<String>> {
        let mut names = self.placing.figures();
        match &self.kind {
            FigureKind::Artwork(_) => {}
            FigureKind::Trace(trace) => trace.lengths().for_each(|w| named(w, &mut names)),
            FigureKind::Lettering(lettering) => {
                names.extend(lettering.along.iter().map(|a| a.figure.clone()));
                lettering.lengths().for_each(|w| named(w, &mut names));
            }
            FigureKind::Photo(photo) => {
                photo.lengths().for_each(|w| named(w, &mut names));
                names.extend(photo.vignette.iter().map(|v| v.within.clone()));
            }
            FigureKind::Shape(items) => items.iter().for_each(|i| i.figures(&mut names)),
            FigureKind::Offset(offset) => {
                names.push(offset.of.clone());
                named(&offset.by, &mut names);
            }
            FigureKind::Inlay(inlay) => {
                names.push(inlay.of.clone());
                inlay.lengths().for_each(|w| named(w, &mut names));
            }
            FigureKind::Puzzle(puzzle) => {
                names.push(puzzle.of.clone());
                names.extend(puzzle.whimsies.iter().cloned());
                named(&puzzle.clearance, &mut names);
            }
            FigureKind::Register(marks) => {
                names.push(marks.around.clone());
                named(&marks.gap, &mut names);
                named(&marks.arm, &mut names);
            }
            FigureKind::Numbers(numbers) => {
                names.push(numbers.of.clone());
                named(&numbers.height, &mut names);
            }
            FigureKind::Tray(tray) => {
                names.push(tray.of.clone());
                named(&tray.wall, &mut names);
                named(&tray.gap, &mut names);
            }
            FigureKind::Fixture(fixture) => {
                named(&fixture.arm, &mut names);
                named(&fixture.width, &mut names);
            }
        }
        names
    }
}

/// The nodes that are figures, to be listed among a recipe's children.
pub const FIGURES: [(&NodeSpec, Often); 13] = [
    (&BOARD, Often::AtMostOnce),
    (&ARTWORK, Often::Any),
    (&LETTERING, Often::Any),
    (&PHOTO, Often::Any),
    (&TRACE, Often::Any),
    (&SHAPE, Often::Any),
    (&OFFSET, Often::Any),
    (&INLAY, Often::Any),
    (&PUZZLE, Often::Any),
    (&REGISTER, Often::Any),
    (&NUMBERS, Often::Any),
    (&TRAY, Often::Any),
    (&FIXTURE, Often::Any),
];

/// Decodes a figure and the `allow`s in it.
pub(super) fn decode(
    spec: &'static NodeSpec,
    node: &Node,
    reader: &mut Reader,
    allows: &mut Vec<Allow>,
) -> Option<Figure> {
    let fields = reader.read(node, spec);
    allows.extend(super::allow::take(&fields, reader));
    let name = match spec.name {
        "board" => Spanned::new(BOARD_NAME.to_owned(), node.name.span),
        _ => fields.name("name")?,
    };
    let kind = match spec.name {
        "artwork" => FigureKind::Artwork(artwork::decode(&fields, reader)?),
        "lettering" => FigureKind::Lettering(Box::new(lettering::decode(&fields, reader)?)),
        "photo" => FigureKind::Photo(Box::new(photo::decode(&fields, reader)?)),
        "trace" => FigureKind::Trace(trace::decode(&fields)?),
        "offset" => FigureKind::Offset(derived::offset(&fields)?),
        "inlay" => FigureKind::Inlay(inlay::decode(&fields, reader)?),
        "puzzle" => FigureKind::Puzzle(derived::puzzle(&fields, reader)?),
        "register" => FigureKind::Register(derived::register(&fields)?),
        "numbers" => FigureKind::Numbers(numbers::decode(&fields, reader)?),
        "tray" => FigureKind::Tray(tray::decode(&fields)?),
        "fixture" => FigureKind::Fixture(fixture::decode(&fields)?),
        _ => FigureKind::Shape(shape_body(&fields, reader)?),
    };
    let placing = Placing::take(&fields, reader);
    Some(Figure { name, word: spec.name, kind, placing, head: fields.head() })
}

fn shape_body(fields: &crate::schema::Fields, reader: &mut Reader) -> Option<Vec<Item>> {
    let items = shape::body(fields, reader);
    if items.is_empty() && fields.is_whole() && shape::written(fields).next().is_none() {
        reader.sink.push(
            crate::diagnostics::Diagnostic::new(&shape::TOO_FEW, "this shape holds nothing".to_owned())
                .at(fields.head(), "expected something to draw in it")
                .repair("add `rectangle \"100 mm\" \"60 mm\"`, `circle \"18 mm\"` …"),
        );
    }
    (!items.is_empty()).then_some(items)
}
