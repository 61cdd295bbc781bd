//! `mirror`, `turn`, `size` and `place`: how a figure gets its size and place on the sheet.
//!
//! They always take effect in this order, in whichever order they are written: mirror, turn, size, place.
//! So what is sized is what is seen, and a turned picture still fits the box it was sized for.

use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{
    ANGLE, Choice, DISTANCE, Expression, Fields, Kind, LENGTH, NodeSpec, Reader, defaulted, optional, required,
};
use crate::source::{Span, Spanned};
use crate::syntax::Node;
use kurbo::{Affine, Point};

pub(super) static CONTRADICTION: Finding = Finding {
    rule: "recipe/contradiction",
    severity: Severity::Error,
    title: "two values of one node contradict each other",
    explanation: "A figure cannot touch the left and the right edge of another by one move, or be turned both ways. \
        Say which of the two is meant.",
    wrong: "place left=\"board\" right-of=\"sun\"",
    right: "place left=\"board\" right=\"15 mm\"",
};

/// `size`.
pub static SIZE: NodeSpec = NodeSpec {
    name: "size",
    about: "Scales a figure, proportions kept. With `within` it becomes as large as fits the box of another figure less \
        a margin; with width or height it gets that size; with both it fits into that box unless `stretch` is on.",
    arguments: &[],
    properties: &[
        optional("width", LENGTH, "its width"),
        optional("height", LENGTH, "its height"),
        optional("within", Kind::NameOf("figure"), "the figure whose box it has to fit"),
        optional("margin", DISTANCE, "the distance kept from that box on all sides"),
        defaulted("stretch", Kind::Flag, "#false", "give up proportions and fill the box"),
    ],
    children: &[],
    example: "size within=\"board\" margin=\"12 mm\"",
};

/// `turn`.
pub static TURN: NodeSpec = NodeSpec {
    name: "turn",
    about: "Turns a figure about the middle of its box.",
    arguments: &[],
    properties: &[
        optional("left", ANGLE, "anticlockwise by this angle"),
        optional("right", ANGLE, "clockwise by this angle"),
    ],
    children: &[],
    example: "turn left=\"30 deg\"",
};

static AXES: &[Choice] = &[
    Choice { word: "left-right", about: "left and right change places" },
    Choice { word: "top-bottom", about: "top and bottom change places" },
];

/// `mirror`.
pub static MIRROR: NodeSpec = NodeSpec {
    name: "mirror",
    about: "Mirrors a figure about the middle of its box.",
    arguments: &[required("sides", Kind::Word(AXES), "which sides change places")],
    properties: &[],
    children: &[],
    example: "mirror \"left-right\"",
};

/// `place`.
pub static PLACE: NodeSpec = NodeSpec {
    name: "place",
    about: "Puts a figure on the sheet. First its box is set against the box of another figure (`centre`, an edge, or \
        beside it), then it is shifted. `left` and `right` take the name of a figure, to touch its edge from inside, \
        or a length, to be shifted by. Without an edge for a direction the middles meet there; without any figure \
        that of the board is used.",
    arguments: &[],
    properties: &[
        optional("centre", Kind::NameOf("figure"), "the figure whose middle it gets"),
        optional(
            "left",
            Kind::NameOrLength("figure"),
            "the figure whose left edge it touches from inside, or a shift to the left",
        ),
        optional(
            "right",
            Kind::NameOrLength("figure"),
            "the figure whose right edge it touches from inside, or a shift to the right",
        ),
        optional("top", Kind::NameOf("figure"), "the figure whose top edge it touches from inside"),
        optional("bottom", Kind::NameOf("figure"), "the figure whose bottom edge it touches from inside"),
        optional("above", Kind::NameOf("figure"), "the figure it stands on top of"),
        optional("below", Kind::NameOf("figure"), "the figure it hangs under"),
        optional("left-of", Kind::NameOf("figure"), "the figure it stands to the left of"),
        optional("right-of", Kind::NameOf("figure"), "the figure it stands to the right of"),
        optional("up", DISTANCE, "a shift towards the top"),
        optional("down", DISTANCE, "a shift towards the bottom"),
    ],
    children: &[],
    example: "place centre=\"board\" bottom=\"board\" up=\"10 mm\"",
};

/// A written length, angle … and its place.
pub type Written = Spanned<Expression>;

/// How a figure gets its size and place.
#[derive(Clone, Debug, Default)]
pub struct Placing {
    /// Mirrored first.
    pub mirror: Vec<MirrorAxis>,
    /// Then turned.
    pub turn: Option<Turn>,
    /// Then sized.
    pub size: Option<Size>,
    /// Then placed.
    pub place: Option<Place>,
    /// The cell of a `repeat` on whose middle it rests without `place`, instead of the board's.
    pub home: Option<String>,
}

/// Which sides change places.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MirrorAxis {
    /// Left and right.
    LeftRight,
    /// Top and bottom.
    TopBottom,
}

impl MirrorAxis {
    /// The recipe word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::LeftRight => "left-right",
            Self::TopBottom => "top-bottom",
        }
    }

    /// Mirrors about the upright or level line through a point.
    pub fn about(self, middle: Point) -> Affine {
        let (x, y) = match self {
            Self::LeftRight => (-1.0, 1.0),
            Self::TopBottom => (1.0, -1.0),
        };
        Affine::new([x, 0.0, 0.0, y, middle.x * (1.0 - x), middle.y * (1.0 - y)])
    }
}

/// A turn about the middle of the box.
#[derive(Clone, Debug)]
pub struct Turn {
    /// The angle.
    pub by: Written,
    /// Whether it goes with the clock.
    pub clockwise: bool,
}

/// A wanted size.
#[derive(Clone, Debug)]
pub struct Size {
    /// Width.
    pub width: Option<Written>,
    /// Height.
    pub height: Option<Written>,
    /// The figure whose box it has to fit.
    pub within: Option<Spanned<String>>,
    /// Distance from that box.
    pub margin: Option<Written>,
    /// Whether proportions are given up.
    pub stretch: bool,
    /// Where it is written.
    pub span: Span,
}

/// A wanted place.
#[derive(Clone, Debug)]
pub struct Place {
    /// What it is set against; at most one per direction besides the centre.
    pub anchors: Vec<Anchor>,
    /// Shifts after that.
    pub shifts: Vec<(Direction, Written)>,
    /// Where it is written.
    pub span: Span,
}

/// One edge set against another figure.
#[derive(Clone, Debug)]
pub struct Anchor {
    /// How.
    pub side: AnchorSide,
    /// The other figure.
    pub figure: Spanned<String>,
}

/// How a box is set against another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AnchorSide {
    /// Middles meet.
    Centre,
    /// Left edges meet.
    Left,
    /// Right edges meet.
    Right,
    /// Top edges meet.
    Top,
    /// Bottom edges meet.
    Bottom,
    /// It stands on top of the other.
    Above,
    /// It hangs under the other.
    Below,
    /// It stands to the left of the other.
    LeftOf,
    /// It stands to the right of the other.
    RightOf,
}

impl AnchorSide {
    const ALL: [(&'static str, Self); 9] = [
        ("centre", Self::Centre),
        ("left", Self::Left),
        ("right", Self::Right),
        ("left-of", Self::LeftOf),
        ("right-of", Self::RightOf),
        ("top", Self::Top),
        ("bottom", Self::Bottom),
        ("above", Self::Above),
        ("below", Self::Below),
    ];

    /// Whether it settles the left-right direction.
    pub const fn is_horizontal(self) -> bool {
        matches!(self, Self::Left | Self::Right | Self::LeftOf | Self::RightOf)
    }

    /// Whether it settles the up-down direction.
    pub const fn is_vertical(self) -> bool {
        matches!(self, Self::Top | Self::Bottom | Self::Above | Self::Below)
    }
}

/// A direction on the sheet as it lies before the maker.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Towards the left.
    Left,
    /// Towards the right.
    Right,
    /// Towards the top.
    Up,
    /// Towards the bottom.
    Down,
}

impl Direction {
    pub(super) const ALL: [(&'static str, Self); 4] =
        [("left", Self::Left), ("right", Self::Right), ("up", Self::Up), ("down", Self::Down)];

    /// The unit step in sheet coordinates: x right, y down.
    pub const fn step(self) -> (f64, f64) {
        match self {
            Self::Left => (-1.0, 0.0),
            Self::Right => (1.0, 0.0),
            Self::Up => (0.0, -1.0),
            Self::Down => (0.0, 1.0),
        }
    }
}

impl Placing {
    /// Takes the placing nodes among a figure's children.
    pub(super) fn take(fields: &Fields, reader: &mut Reader) -> Self {
        let mut placing = Self::default();
        for (spec, node) in fields.children() {
            match spec.name {
                "size" => placing.size = size(node, reader),
                "turn" => placing.turn = turn(node, reader),
                "mirror" => placing.mirror.extend(mirror(node, reader)),
                "place" => placing.place = place(node, reader),
                _ => {}
            }
        }
        placing
    }

    /// Whether nothing of it is written.
    pub const fn is_none(&self) -> bool {
        self.mirror.is_empty() && self.turn.is_none() && self.size.is_none() && self.place.is_none()
    }

    /// The figures it refers to.
    pub fn figures(&self) -> Vec<Spanned<String>> {
        let mut names = Vec::new();
        if let Some(size) = &self.size {
            names.extend(size.within.clone());
            [&size.width, &size.height, &size.margin].into_iter().flatten().for_each(|w| named(w, &mut names));
        }
        if let Some(turn) = &self.turn {
            named(&turn.by, &mut names);
        }
        if let Some(place) = &self.place {
            names.extend(place.anchors.iter().map(|a| a.figure.clone()));
            place.shifts.iter().for_each(|(_, w)| named(w, &mut names));
        }
        names
    }
}

/// Adds the figures that a calculation names.
pub(super) fn named(written: &Written, names: &mut Vec<Spanned<String>>) {
    let figure = |(name, at): (&str, Option<Span>)| Spanned::new(name.to_owned(), at.unwrap_or(written.span));
    names.extend(written.value.figures().into_iter().map(figure));
}

fn contradiction(reader: &mut Reader, message: &str, first: Span, second: Span) {
    reader.sink.push(
        Diagnostic::new(&CONTRADICTION, message.to_owned())
            .at(second, "and this")
            .also(first, "this")
            .repair("keep one of them"),
    );
}

fn size(node: &Node, reader: &mut Reader) -> Option<Size> {
    let fields = reader.read(node, &SIZE);
    let size = Size {
        width: fields.quantity("width"),
        height: fields.quantity("height"),
        within: fields.name("within"),
        margin: fields.quantity("margin"),
        stretch: fields.flag("stretch"),
        span: fields.head(),
    };
    let sides = size.width.as_ref().or(size.height.as_ref());
    if let (Some(within), Some(side)) = (&size.within, sides) {
        contradiction(reader, "`within` gives the size already", within.span, side.span);
        return None;
    }
    if size.within.is_none() && sides.is_none() && fields.is_whole() {
        reader.sink.push(
            Diagnostic::new(&CONTRADICTION, "`size` says no size".to_owned())
                .at(fields.head(), "expected `width`, `height` or `within`")
                .repair("write `size width=\"80 mm\"`, or leave it out"),
        );
        return None;
    }
    fields.is_whole().then_some(size)
}

fn turn(node: &Node, reader: &mut Reader) -> Option<Turn> {
    let fields = reader.read(node, &TURN);
    match (fields.quantity("left"), fields.quantity("right")) {
        (Some(left), Some(right)) => {
            contradiction(reader, "it cannot be turned both ways", left.span, right.span);
            None
        }
        (Some(by), None) => Some(Turn { by, clockwise: false }),
        (None, Some(by)) => Some(Turn { by, clockwise: true }),
        (None, None) => {
            if fields.is_whole() {
                reader.sink.push(
                    Diagnostic::new(&CONTRADICTION, "`turn` says no angle".to_owned())
                        .at(fields.head(), "expected `left` or `right`")
                        .repair("write `turn left=\"30 deg\"`, or leave it out"),
                );
            }
            None
        }
    }
}

fn mirror(node: &Node, reader: &mut Reader) -> Option<MirrorAxis> {
    let fields = reader.read(node, &MIRROR);
    let word = fields.word("sides")?;
    Some(if word == "left-right" { MirrorAxis::LeftRight } else { MirrorAxis::TopBottom })
}

fn place(node: &Node, reader: &mut Reader) -> Option<Place> {
    let fields = reader.read(node, &PLACE);
    let anchors: Vec<Anchor> = AnchorSide::ALL
        .into_iter()
        .filter_map(|(word, side)| Some(Anchor { side, figure: fields.name(word)? }))
        .collect();
    let shifts = Direction::ALL.into_iter().filter_map(|(word, d)| Some((d, fields.quantity(word)?))).collect();
    for settles in [AnchorSide::is_horizontal, AnchorSide::is_vertical] {
        let mut same = anchors.iter().filter(|a| settles(a.side));
        if let (Some(first), Some(second)) = (same.next(), same.next()) {
            contradiction(reader, "two edges settle the same direction", first.figure.span, second.figure.span);
            return None;
        }
    }
    fields.is_whole().then(|| Place { anchors, shifts, span: fields.head() })
}
