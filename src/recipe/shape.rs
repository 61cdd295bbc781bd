//! Bodies of shapes: primitives, other figures, and what is made of them.

use super::placing::{Direction, Written, named};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{
    ANGLE, DISTANCE, Fields, Kind, LENGTH, NodeSpec, Often, Reader, Slot, optional, repeated, required,
};
use crate::source::{Span, Spanned};
use crate::syntax::Node;
use crate::units::parse_unit;
use kurbo::{Affine, BezPath, SvgParseError};

pub(super) static BAD_PATH: Finding = Finding {
    rule: "recipe/bad-path",
    severity: Severity::Error,
    title: "path data cannot be read",
    explanation: "`path` takes SVG path data (`M 0 0 L 10 0 …`, SVG 2 chapter 9). Its numbers are in the unit that the node \
        states, x to the right and y down.",
    wrong: "shape \"wave\" { path \"0 0 L 10 0\" unit=\"mm\" }",
    right: "shape \"wave\" { path \"M 0 0 L 10 0\" unit=\"mm\" }",
};

pub(super) static TOO_FEW: Finding = Finding {
    rule: "recipe/too-few",
    severity: Severity::Error,
    title: "there is too little to make a shape of",
    explanation: "A line needs two points, a polygon three points or a number of sides, and `weld`, `subtract`, `overlap` and \
        `exclude` need something inside.",
    wrong: "shape \"tick\" { line { point right=\"5 mm\" } }",
    right: "shape \"tick\" { line { point; point right=\"5 mm\" } }",
};

const RIGHT: Slot = optional("right", DISTANCE, "how far to the right of the shape's own middle");
const LEFT: Slot = optional("left", DISTANCE, "how far to the left of it");
const UP: Slot = optional("up", DISTANCE, "how far above it");
const DOWN: Slot = optional("down", DISTANCE, "how far below it");
const TURN_LEFT: Slot = optional("turn-left", ANGLE, "turned anticlockwise by this angle about its own middle");
const TURN_RIGHT: Slot = optional("turn-right", ANGLE, "turned clockwise by this angle about its own middle");

static CIRCLE: NodeSpec = NodeSpec {
    name: "circle",
    about: "A circle.",
    arguments: &[required("diameter", LENGTH, "its diameter")],
    properties: &[RIGHT, LEFT, UP, DOWN],
    children: &[],
    example: "circle \"18 mm\" right=\"4 mm\"",
};

static ELLIPSE: NodeSpec = NodeSpec {
    name: "ellipse",
    about: "An ellipse.",
    arguments: &[
        required("width", LENGTH, "from left to right"),
        required("height", LENGTH, "from top to bottom"),
    ],
    properties: &[RIGHT, LEFT, UP, DOWN, TURN_LEFT, TURN_RIGHT],
    children: &[],
    example: "ellipse \"30 mm\" \"20 mm\"",
};

static RECTANGLE: NodeSpec = NodeSpec {
    name: "rectangle",
    about: "A rectangle, with rounded corners if wanted.",
    arguments: &[
        required("width", LENGTH, "from left to right"),
        required("height", LENGTH, "from top to bottom"),
    ],
    properties: &[
        optional("corner", DISTANCE, "the radius of its corners"),
        RIGHT,
        LEFT,
        UP,
        DOWN,
        TURN_LEFT,
        TURN_RIGHT,
    ],
    children: &[],
    example: "rectangle \"8.5 in\" \"11 in\" corner=\"5 mm\"",
};

static POINT: NodeSpec = NodeSpec {
    name: "point",
    about: "A point, seen from the shape's own middle.",
    arguments: &[],
    properties: &[RIGHT, LEFT, UP, DOWN],
    children: &[],
    example: "point right=\"10 mm\" up=\"5 mm\"",
};

static POLYGON: NodeSpec = NodeSpec {
    name: "polygon",
    about: "A polygon: regular, by its number of sides and the circle its corners lie on (one corner at the top), or \
        through the points it holds.",
    arguments: &[],
    properties: &[
        optional("sides", Kind::Count(3, 360), "the number of sides of a regular polygon"),
        optional("diameter", LENGTH, "the diameter of the circle through its corners"),
        RIGHT,
        LEFT,
        UP,
        DOWN,
        TURN_LEFT,
        TURN_RIGHT,
    ],
    children: &[(&POINT, Often::Any)],
    example: "polygon sides=6 diameter=\"20 mm\"",
};

static STAR: NodeSpec = NodeSpec {
    name: "star",
    about: "A star, one tip at the top.",
    arguments: &[],
    properties: &[
        required("points", Kind::Count(3, 360), "the number of its tips"),
        required("outer", LENGTH, "the diameter of the circle through its tips"),
        required("inner", LENGTH, "the diameter of the circle through its notches"),
        RIGHT,
        LEFT,
        UP,
        DOWN,
        TURN_LEFT,
        TURN_RIGHT,
    ],
    children: &[],
    example: "star points=12 outer=\"26 mm\" inner=\"16 mm\"",
};

static PATH: NodeSpec = NodeSpec {
    name: "path",
    about: "SVG path data. Closed parts are areas, parts left open are lines.",
    arguments: &[required("data", Kind::Verbatim, "SVG path data, x to the right and y down")],
    properties: &[
        required("unit", Kind::Verbatim, "the unit of its numbers"),
        optional("width", LENGTH, "the drawn width of its lines, if they are to be engraved"),
        RIGHT,
        LEFT,
        UP,
        DOWN,
        TURN_LEFT,
        TURN_RIGHT,
    ],
    children: &[],
    example: "path \"M 0 0 C 5 -8 15 -8 20 0 Z\" unit=\"mm\"",
};

static LINE: NodeSpec = NodeSpec {
    name: "line",
    about: "An open line through points.",
    arguments: &[],
    properties: &[optional("width", LENGTH, "its drawn width, if it is to be engraved")],
    children: &[(&POINT, Often::Any)],
    example: "line { point; point right=\"20 mm\" }",
};

static USED_FIGURE: NodeSpec = NodeSpec {
    name: "figure",
    about: "Another figure, where it lies on the sheet.",
    arguments: &[repeated("name", Kind::NameOf("figure"), "the figure")],
    properties: &[],
    children: &[],
    example: "figure \"board\"",
};

static WELD: NodeSpec = NodeSpec {
    name: "weld",
    about: "Everything inside it as one outline, inner lines gone.",
    arguments: &[],
    properties: &[],
    children: &BODY,
    example: "weld {\n    circle \"18 mm\"\n    star points=12 outer=\"26 mm\" inner=\"16 mm\"\n}",
};

static SUBTRACT: NodeSpec = NodeSpec {
    name: "subtract",
    about: "The first thing inside it, less all the others.",
    arguments: &[],
    properties: &[],
    children: &BODY,
    example: "subtract {\n    circle \"30 mm\"\n    circle \"24 mm\"\n}",
};

static OVERLAP: NodeSpec = NodeSpec {
    name: "overlap",
    about: "What all the things inside it have in common.",
    arguments: &[],
    properties: &[],
    children: &BODY,
    example: "overlap {\n    circle \"30 mm\"\n    circle \"30 mm\" right=\"10 mm\"\n}",
};

static EXCLUDE: NodeSpec = NodeSpec {
    name: "exclude",
    about: "What an odd number of the things inside it cover.",
    arguments: &[],
    properties: &[],
    children: &BODY,
    example: "exclude {\n    circle \"30 mm\"\n    circle \"30 mm\" right=\"10 mm\"\n}",
};

/// What may stand in the body of a shape or board.
/// A static, so that its parts can refer back to it.
pub static BODY: [(&NodeSpec, Often); 12] = [
    (&CIRCLE, Often::Any),
    (&ELLIPSE, Often::Any),
    (&RECTANGLE, Often::Any),
    (&POLYGON, Often::Any),
    (&STAR, Often::Any),
    (&PATH, Often::Any),
    (&LINE, Often::Any),
    (&USED_FIGURE, Often::Any),
    (&WELD, Often::Any),
    (&SUBTRACT, Often::Any),
    (&OVERLAP, Often::Any),
    (&EXCLUDE, Often::Any),
];

/// One thing in a body.
#[derive(Clone, Debug)]
pub enum Item {
    /// Drawn here.
    Drawn(Box<Drawn>),
    /// Another figure, where it lies on the sheet.
    Figure(Spanned<String>),
    /// Made of others.
    Made {
        /// How.
        how: Combine,
        /// Of what.
        items: Vec<Item>,
        /// Where it is written.
        span: Span,
    },
}

/// Something drawn in the recipe.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// What.
    pub primitive: Primitive,
    /// Where, seen from the shape's own middle.
    pub position: Position,
    /// Where it is written.
    pub span: Span,
}

/// How areas are combined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Combine {
    /// Union.
    Weld,
    /// The first less the others.
    Subtract,
    /// Intersection.
    Overlap,
    /// Symmetric difference.
    Exclude,
}

impl Combine {
    /// The word of the recipe.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Weld => "weld",
            Self::Subtract => "subtract",
            Self::Overlap => "overlap",
            Self::Exclude => "exclude",
        }
    }
}

/// Where a primitive lies, seen from the shape's own middle.
#[derive(Clone, Debug, Default)]
pub struct Position {
    /// Shifts.
    pub shifts: Vec<(Direction, Written)>,
    /// A turn about its own middle, and whether it goes with the clock.
    pub turn: Option<(Written, bool)>,
}

/// A basic form about its own middle.
#[derive(Clone, Debug)]
pub enum Primitive {
    /// Circle by diameter.
    Circle(Written),
    /// Ellipse by width and height.
    Ellipse(Written, Written),
    /// Rectangle by width, height and corner radius.
    Rectangle(Written, Written, Option<Written>),
    /// Regular polygon by number of sides and diameter through the corners.
    Regular(u32, Written),
    /// Polygon through points.
    Polygon(Vec<Position>),
    /// Star by number of tips, outer and inner diameter.
    Star(u32, Written, Written),
    /// SVG path data, already in millimetres; the drawn width of its lines.
    Path(BezPath, Option<Written>),
    /// Open line through points; its drawn width.
    Line(Vec<Position>, Option<Written>),
}

impl Item {
    /// Adds the figures that it refers to.
    pub(super) fn figures(&self, names: &mut Vec<Spanned<String>>) {
        match self {
            Self::Figure(name) => names.push(name.clone()),
            Self::Made { items, .. } => items.iter().for_each(|i| i.figures(names)),
            Self::Drawn(drawn) => {
                drawn.primitive.lengths().into_iter().for_each(|w| named(w, names));
                drawn.position.lengths().for_each(|w| named(w, names));
            }
        }
    }

    /// Where it is written.
    pub fn span(&self) -> Span {
        match self {
            Self::Drawn(drawn) => drawn.span,
            Self::Made { span, .. } => *span,
            Self::Figure(name) => name.span,
        }
    }
}

impl Position {
    fn take(fields: &Fields) -> Self {
        let shifts =
            Direction::ALL.into_iter().filter_map(|(word, d)| Some((d, fields.quantity(word)?))).collect();
        Self { shifts, turn: None }
    }

    fn take_turned(fields: &Fields) -> Self {
        let left = fields.quantity("turn-left").map(|w| (w, false));
        let turn = left.or_else(|| fields.quantity("turn-right").map(|w| (w, true)));
        Self { turn, ..Self::take(fields) }
    }

    fn lengths(&self) -> impl Iterator<Item = &Written> {
        self.shifts.iter().map(|(_, w)| w).chain(self.turn.as_ref().map(|(w, _)| w))
    }
}

impl Primitive {
    fn lengths(&self) -> Vec<&Written> {
        match self {
            Self::Circle(d) | Self::Regular(_, d) => vec![d],
            Self::Ellipse(w, h) | Self::Star(_, w, h) => vec![w, h],
            Self::Rectangle(w, h, corner) => [Some(w), Some(h), corner.as_ref()].into_iter().flatten().collect(),
            Self::Polygon(points) => points.iter().flat_map(Position::lengths).collect(),
            Self::Path(_, width) => width.iter().collect(),
            Self::Line(points, width) => points.iter().flat_map(Position::lengths).chain(width).collect(),
        }
    }
}

/// Decodes the body of a shape or board.
pub(super) fn body(fields: &Fields, reader: &mut Reader) -> Vec<Item> {
    let children: Vec<_> = written(fields).collect();
    children.into_iter().flat_map(|(spec, node)| item(spec, node, reader)).collect()
}

/// What is written to be drawn, whether it can be read or not: of what cannot, the reason is told where it stands.
pub(super) fn written<'n>(fields: &Fields<'n>) -> impl Iterator<Item = (&'static NodeSpec, &'n Node)> {
    fields.children().filter(|(spec, _)| BODY.iter().any(|(s, _)| s.name == spec.name))
}

fn item(spec: &'static NodeSpec, node: &Node, reader: &mut Reader) -> Vec<Item> {
    let fields = reader.read(node, spec);
    let how = match spec.name {
        "weld" => Combine::Weld,
        "subtract" => Combine::Subtract,
        "overlap" => Combine::Overlap,
        "exclude" => Combine::Exclude,
        "figure" => return fields.names("name").into_iter().map(Item::Figure).collect(),
        _ => return drawn(spec.name, &fields, reader).into_iter().collect(),
    };
    let items = body(&fields, reader);
    if items.is_empty() {
        if fields.is_whole() && written(&fields).next().is_none() {
            let message = format!("`{}` holds nothing", spec.name);
            too_few(
                reader,
                fields.head(),
                &message,
                "write shapes between its braces, such as `circle \"18 mm\"`",
            );
        }
        return Vec::new();
    }
    vec![Item::Made { how, items, span: fields.head() }]
}

fn too_few(reader: &mut Reader, span: Span, message: &str, repair: &str) {
    let diagnostic = Diagnostic::new(&TOO_FEW, message.to_owned()).at(span, "too little to make a shape of");
    reader.sink.push(diagnostic.repair(repair));
}

fn drawn(word: &str, fields: &Fields, reader: &mut Reader) -> Option<Item> {
    let position = match word {
        "line" => Position::default(),
        "circle" => Position::take(fields),
        _ => Position::take_turned(fields),
    };
    let primitive = match word {
        "circle" => Primitive::Circle(fields.quantity("diameter")?),
        "ellipse" => Primitive::Ellipse(fields.quantity("width")?, fields.quantity("height")?),
        "rectangle" => {
            Primitive::Rectangle(fields.quantity("width")?, fields.quantity("height")?, fields.quantity("corner"))
        }
        "star" => Primitive::Star(fields.count("points")?, fields.quantity("outer")?, fields.quantity("inner")?),
        "polygon" => polygon(fields, reader)?,
        "path" => Primitive::Path(path(fields, reader)?, fields.quantity("width")),
        _ => {
            let points = points(fields, reader);
            if points.len() < 2 {
                let repair = "add a `point`; one without values lies in the shape's own middle";
                too_few(reader, fields.head(), "a line needs two points or more", repair);
                return None;
            }
            Primitive::Line(points, fields.quantity("width"))
        }
    };
    Some(Item::Drawn(Box::new(Drawn { primitive, position, span: fields.head() })))
}

fn points(fields: &Fields, reader: &mut Reader) -> Vec<Position> {
    let nodes: Vec<_> = fields.children_of(&POINT).collect();
    nodes.into_iter().map(|n| Position::take(&reader.read(n, &POINT))).collect()
}

fn polygon(fields: &Fields, reader: &mut Reader) -> Option<Primitive> {
    let points = points(fields, reader);
    match (fields.count("sides"), fields.quantity("diameter"), points.len()) {
        (Some(sides), Some(diameter), 0) => Some(Primitive::Regular(sides, diameter)),
        (None, None, 3..) => Some(Primitive::Polygon(points)),
        _ => {
            if fields.is_whole() {
                let message = "a polygon needs `sides` and `diameter`, or three points or more";
                too_few(
                    reader,
                    fields.head(),
                    message,
                    "write `polygon sides=6 diameter=\"20 mm\"`, or add points",
                );
            }
            None
        }
    }
}

/// What is wrong with path data, in words.
fn path_fault(error: &SvgParseError) -> String {
    match error {
        SvgParseError::Wrong => "a number is expected where none stands".to_owned(),
        SvgParseError::UnexpectedEof => "it ends in the middle of a command".to_owned(),
        SvgParseError::UnknownCommand(letter) => format!("`{letter}` is no path command"),
        SvgParseError::UninitializedPath => "it does not start with `M`".to_owned(),
        other => other.to_string().to_lowercase(),
    }
}

fn path(fields: &Fields, reader: &mut Reader) -> Option<BezPath> {
    let (data, unit) = (fields.text("data")?, fields.text("unit")?);
    let scale = match parse_unit(&unit.text) {
        Ok(found) if found.dimension == crate::units::Dimension::Length => {
            found.size.0 as f64 / found.size.1 as f64
        }
        _ => {
            let message = format!("`{}` is no unit of length", unit.text);
            reader.sink.push(
                Diagnostic::new(&BAD_PATH, message)
                    .at(unit.span, "expected `mm`, `in`, `pt` …")
                    .because("the numbers of the path would have no size"),
            );
            return None;
        }
    };
    match BezPath::from_svg(&data.text) {
        Ok(path) if !path.elements().is_empty() && path.is_finite() => Some(Affine::scale(scale) * path),
        Ok(_) => {
            reader.sink.push(
                Diagnostic::new(&BAD_PATH, "this path is empty or not finite".to_owned())
                    .at(data.span, "nothing to draw"),
            );
            None
        }
        Err(error) => {
            reader.sink.push(
                Diagnostic::new(&BAD_PATH, format!("this path cannot be read: {}", path_fault(&error)))
                    .at(data.span, "expected SVG path data")
                    .repair("start with `M x y`, then `L`, `C`, `A` … and `Z` to close"),
            );
            None
        }
    }
}
