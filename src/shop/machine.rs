//! `machine`: one laser.

use super::model::{LaserKind, Machine, OperationKind, SpotFrom, StartPoint};
use super::optics::{self, Optics};
use super::price;
use crate::schema::{Choice, Fields, Kind, LENGTH, NodeSpec, Often, Reader, SPEED, defaulted, optional, required};
use crate::syntax::Node;
use crate::units::{Dimension, Mm, MmPerSecond, MmPerSecond2, Watts};
use std::collections::BTreeMap;

static LASER_KINDS: &[Choice] = &[
    Choice { word: "diode", about: "laser diode, visible or near infrared" },
    Choice { word: "co2", about: "carbon dioxide tube, 10.6 µm" },
    Choice { word: "fibre", about: "fibre laser, about 1.06 µm" },
];

/// The points that a run may be started from.
pub static START_POINTS: &[Choice] = &[
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
        optional(
            "corner",
            LENGTH,
            "how far the head leaves a sharp corner to pass it without a stop, from the controller's settings or \
                measured on a burned square; if left out, estimates stop at each corner over 30°",
        )
        .fixed(),
        optional(
            "run-up",
            LENGTH,
            "the run that the controller always takes beside each end of an engraved row; as long as speed and \
                acceleration ask for if left out",
        )
        .fixed(),
        defaulted("skips-gaps", Kind::Flag, "#false", "whether wide gaps in engraved rows are passed at `travel`"),
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
        optional("rayleigh", LENGTH, "how far from its narrowest place the beam is √2 times as wide, as measured")
            .fixed(),
    ],
    children: &[],
    example: "focus gauge=\"6 mm block under the nozzle\" depth=\"1.5 mm\"",
};

static OPTICS: NodeSpec = NodeSpec {
    name: "optics",
    about: "The lens and the beam on it, from their manuals: the spot is worked out from them where it was not measured, and so is \
        how quickly the beam widens away from its focus. What was measured is always used instead; of laser diodes, whose \
        spots are long and narrow, measure it.",
    arguments: &[],
    properties: &[
        required("focal", LENGTH, "the focal length of the lens").fixed(),
        required("beam", LENGTH, "the diameter of the beam where it meets the lens, not that of the lens").fixed(),
        defaulted(
            "quality",
            Kind::Quantity { dimension: Dimension::Number, zero: false },
            "1",
            "the quality of the beam, M²: 1 is the best there can be",
        )
        .within("1", "1000"),
    ],
    children: &[],
    example: "optics focal=\"50.8 mm\" beam=\"7 mm\" quality=\"1.3\"",
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
        optional("hourly", Kind::Text, "what an hour of running costs, with the three letters of the currency"),
        defaulted("speed-unit", Kind::Word(SPEED_UNITS), "mm/s", "the unit in which the shop says speeds"),
    ],
    children: &[
        (&LASER, Often::Once),
        (&BED, Often::Once),
        (&SPOT, Often::AtMostOnce),
        (&OPTICS, Often::AtMostOnce),
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
        spot_from: SpotFrom::Nothing,
        optics: None,
        rayleigh: None,
        focus_depth: None,
        top_speed: MmPerSecond::ZERO,
        travel_speed: MmPerSecond::ZERO,
        acceleration: MmPerSecond2::ZERO,
        corner: None,
        run_up: None,
        skips_gaps: false,
        hourly: price::price(&fields, "hourly", reader),
        start: StartPoint::Centre,
        focus_gauge: None,
        air_assist: fields.flag("air-assist"),
        enclosed: fields.flag("enclosed"),
        speed_unit: fields.word("speed-unit")?.to_owned(),
        colours: BTreeMap::new(),
        span: name.span,
    };
    let mut is_whole = fields.is_whole();
    let mut written = optics::Written::default();
    for (spec, child) in fields.children() {
        let part = reader.read(child, spec);
        is_whole &= part.is_whole() && fill(&mut machine, spec.name, &part).is_some();
        match spec.name {
            "spot" => written.spot = Some(part.head()),
            "optics" => written.optics = Some(part.head()),
            "focus" => written.rayleigh = machine.rayleigh.map(|_| part.span_of("rayleigh")),
            _ => {}
        }
    }
    if !is_whole {
        return None;
    }
    optics::complete(&mut machine, written, reader.sink);
    Some(machine)
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
            machine.corner = part.known("corner").map(Mm::new);
            machine.run_up = part.known("run-up").map(Mm::new);
            machine.skips_gaps = part.flag("skips-gaps");
        }
        "optics" => {
            machine.optics = Some(Optics {
                focal: Mm::new(part.known("focal")?),
                beam: Mm::new(part.known("beam")?),
                quality: part.known("quality")?,
            });
        }
        "start" => machine.start = StartPoint::from_word(part.word("point")?).unwrap_or(StartPoint::Centre),
        "focus" => {
            machine.focus_gauge = part.text("gauge").map(|t| t.text);
            machine.focus_depth = part.known("depth").map(Mm::new);
            machine.rayleigh = part.known("rayleigh").map(Mm::new);
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
