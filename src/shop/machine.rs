//! `machine`: one laser.

use super::model::{LaserKind, Machine, OperationKind, StartPoint};
use crate::schema::{Choice, Fields, Kind, LENGTH, NodeSpec, Often, Reader, SPEED, defaulted, optional, required};
use crate::syntax::Node;
use crate::units::{Dimension, Mm, MmPerSecond, MmPerSecond2, Watts};
use std::collections::BTreeMap;

static LASER_KINDS: &[Choice] = &[
    Choice { word: "diode", about: "laser diode, visible or near infrared" },
    Choice { word: "co2", about: "carbon dioxide tube, 10.6 µm" },
    Choice { word: "fibre", about: "fibre laser, about 1.06 µm" },
];

static START_POINTS: &[Choice] = &[
    Choice { word: "centre", about: "the middle of the box around all that the run burns" },
    Choice { word: "left-top", about: "the left top corner of that box" },
    Choice { word: "right-top", about: "the right top corner of that box" },
    Choice { word: "left-bottom", about: "the left bottom corner of that box" },
    Choice { word: "right-bottom", about: "the right bottom corner of that box" },
    Choice { word: "page", about: "the sheet's own corner: the page is kept whatever is burned on it" },
];

/// Speed units in which a shop may want its speeds printed.
static SPEED_UNITS: &[Choice] = &[
    Choice { word: "mm/s", about: "millimetres a second" },
    Choice { word: "mm/min", about: "millimetres a minute" },
    Choice { word: "in/s", about: "inches a second" },
    Choice { word: "in/min", about: "inches a minute" },
];

static LASER: NodeSpec = NodeSpec {
    name: "laser",
    about: "How the beam is made. Values are on the machine's label or in its manual.",
    arguments: &[required("kind", Kind::Word(LASER_KINDS), "how the beam is made")],
    properties: &[
        required("wavelength", LENGTH, "the wavelength of the beam").fixed(),
        required(
            "power",
            Kind::Quantity { dimension: Dimension::Power, zero: false },
            "the optical power at 100 %",
        ),
    ],
    children: &[],
    example: "laser \"diode\" wavelength=\"450 nm\" power=\"10 W\"",
};

static BED: NodeSpec = NodeSpec {
    name: "bed",
    about: "The area that the head can reach.",
    arguments: &[
        required("width", LENGTH, "from left to right").fixed(),
        required("height", LENGTH, "from back to front").fixed(),
    ],
    properties: &[],
    children: &[],
    example: "bed \"410 mm\" \"400 mm\"",
};

static SPOT: NodeSpec = NodeSpec {
    name: "spot",
    about: "The focused spot: its diameter as measured on a burned line, the wider side where it is not round.",
    arguments: &[required("diameter", LENGTH, "the diameter of the spot").fixed()],
    properties: &[],
    children: &[],
    example: "spot \"0.08 mm\"",
};

static MOTION: NodeSpec = NodeSpec {
    name: "motion",
    about: "How the head moves; the time estimate rests on it.",
    arguments: &[],
    properties: &[
        required("top", SPEED, "the fastest speed that may be asked for"),
        optional("travel", SPEED, "the speed of moves with the beam off; `top` if left out"),
        required(
            "acceleration",
            Kind::Quantity { dimension: Dimension::Acceleration, zero: false },
            "how quickly the head speeds up",
        ),
    ],
    children: &[],
    example: "motion top=\"400 mm/s\" travel=\"300 mm/s\" acceleration=\"3000 mm/s2\"",
};

static START: NodeSpec = NodeSpec {
    name: "start",
    about: "The point of a job that is put under the head before the start.",
    arguments: &[required("point", Kind::Word(START_POINTS), "which point")],
    properties: &[],
    children: &[],
    example: "start \"centre\"",
};

static FOCUS: NodeSpec = NodeSpec {
    name: "focus",
    about: "How the focus is set and how far it may be off.",
    arguments: &[],
    properties: &[
        optional("gauge", Kind::Text, "how the height is set, for the person at the bench"),
        optional("depth", LENGTH, "how far the focus may be off in all before cuts fail, as measured").fixed(),
    ],
    children: &[],
    example: "focus gauge=\"6 mm block under the nozzle\" depth=\"1.5 mm\"",
};

static COLOURS: NodeSpec = NodeSpec {
    name: "colours",
    about: "Stroke colours pinned for the program that will read the SVG files.",
    arguments: &[],
    properties: &[
        optional("engrave", Kind::Colour, "for engraved areas"),
        optional("score", Kind::Colour, "for scored lines"),
        optional("cut", Kind::Colour, "for cuts"),
        optional("guide", Kind::Colour, "for guides"),
    ],
    children: &[],
    example: "colours engrave=\"#4b3621\" score=\"#0072b2\" cut=\"#d55e00\"",
};

/// `machine` in a shop file.
pub static MACHINE: NodeSpec = NodeSpec {
    name: "machine",
    about: "One laser machine, as its manual and the shop's own measurements describe it.",
    arguments: &[required("name", Kind::NewName, "its name in recipes")],
    properties: &[
        defaulted("about", Kind::Text, "", "what it is, for people"),
        defaulted("air-assist", Kind::Flag, "#false", "whether it has air assist"),
        defaulted("enclosed", Kind::Flag, "#false", "whether lid and panels enclose the beam"),
        defaulted("speed-unit", Kind::Word(SPEED_UNITS), "mm/s", "the unit in which the shop says speeds"),
    ],
    children: &[
        (&LASER, Often::Once),
        (&BED, Often::Once),
        (&SPOT, Often::Once),
        (&MOTION, Often::Once),
        (&START, Often::AtMostOnce),
        (&FOCUS, Often::AtMostOnce),
        (&COLOURS, Often::AtMostOnce),
    ],
    example: "machine \"bench-diode\" about=\"10 W diode on the long bench\" air-assist=#true {\n    \
        laser \"diode\" wavelength=\"450 nm\" power=\"10 W\"\n    bed \"410 mm\" \"400 mm\"\n    spot \"0.08 mm\"\n    \
        motion top=\"400 mm/s\" acceleration=\"3000 mm/s2\"\n    start \"centre\"\n}",
};

/// Decodes a `machine` of a shop file.
pub(super) fn decode(node: &Node, reader: &mut Reader) -> Option<Machine> {
    let fields = reader.read(node, &MACHINE);
    let name = fields.name("name")?;
    let mut machine = Machine {
        name: name.value,
        about: fields.text("about")?.text,
        kind: LaserKind::Diode,
        wavelength: Mm::ZERO,
        power: Watts::ZERO,
        bed_width: Mm::ZERO,
        bed_height: Mm::ZERO,
        spot: Mm::ZERO,
        focus_depth: None,
        top_speed: MmPerSecond::ZERO,
        travel_speed: MmPerSecond::ZERO,
        acceleration: MmPerSecond2::ZERO,
        start: StartPoint::Centre,
        focus_gauge: None,
        air_assist: fields.flag("air-assist"),
        enclosed: fields.flag("enclosed"),
        speed_unit: fields.word("speed-unit")?.to_owned(),
        colours: BTreeMap::new(),
        span: name.span,
    };
    let mut is_whole = fields.is_whole();
    for (spec, child) in fields.children() {
        let part = reader.read(child, spec);
        is_whole &= part.is_whole() && fill(&mut machine, spec.name, &part).is_some();
    }
    is_whole.then_some(machine)
}

/// Takes what one child says of the machine.
fn fill(machine: &mut Machine, word: &str, part: &Fields) -> Option<()> {
    match word {
        "laser" => {
            machine.kind = match part.word("kind")? {
                "co2" => LaserKind::CarbonDioxide,
                "fibre" => LaserKind::Fibre,
                _ => LaserKind::Diode,
            };
            machine.wavelength = Mm::new(part.known("wavelength")?);
            machine.power = Watts::new(part.known("power")?);
        }
        "bed" => {
            machine.bed_width = Mm::new(part.known("width")?);
            machine.bed_height = Mm::new(part.known("height")?);
        }
        "spot" => machine.spot = Mm::new(part.known("diameter")?),
        "motion" => {
            machine.top_speed = MmPerSecond::new(part.known("top")?);
            machine.travel_speed = part.known("travel").map_or(machine.top_speed, MmPerSecond::new);
            machine.acceleration = MmPerSecond2::new(part.known("acceleration")?);
        }
        "start" => machine.start = start_point(part.word("point")?),
        "focus" => {
            machine.focus_gauge = part.text("gauge").map(|t| t.text);
            machine.focus_depth = part.known("depth").map(Mm::new);
        }
        _ => {
            for kind in OperationKind::ALL {
                if let Some(colour) = part.text(kind.word()) {
                    machine.colours.insert(kind, colour.text);
                }
            }
        }
    }
    Some(())
}

fn start_point(word: &str) -> StartPoint {
    use StartPoint::{Centre, LeftBottom, LeftTop, Page, RightBottom, RightTop};
    [Centre, LeftTop, RightTop, LeftBottom, RightBottom, Page]
        .into_iter()
        .find(|p| p.word() == word)
        .unwrap_or(Centre)
}
