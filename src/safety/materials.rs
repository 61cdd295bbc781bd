//! The table of materials: what is refused, what is allowed on conditions, what is known.

/// What the table says of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Verdict {
    /// Never: what it does.
    Refused(&'static str),
    /// Only with these conditions on the sheet.
    Caution(&'static [&'static str]),
    /// Plain stock of the trade.
    Known,
}

/// One row.
#[derive(Clone, Copy, Debug)]
pub(super) struct Material {
    /// The name that is printed.
    pub name: &'static str,
    /// The words it is known by, lower case, `-` as a space.
    pub aliases: &'static [&'static str],
    /// Words whose presence takes the name away from this row (`anodised` from bare metal).
    pub unless: &'static [&'static str],
    /// What is said of it.
    pub verdict: Verdict,
    /// Whether it is marked only, and never cut.
    pub only_marked: bool,
    /// Short names of the sources, comma-separated.
    pub source: &'static str,
}

const fn refused(
    name: &'static str,
    aliases: &'static [&'static str],
    why: &'static str,
    source: &'static str,
) -> Material {
    Material { name, aliases, unless: &[], verdict: Verdict::Refused(why), only_marked: false, source }
}

const fn caution(
    name: &'static str,
    aliases: &'static [&'static str],
    conditions: &'static [&'static str],
    source: &'static str,
) -> Material {
    Material { name, aliases, unless: &[], verdict: Verdict::Caution(conditions), only_marked: false, source }
}

const fn known(name: &'static str, aliases: &'static [&'static str]) -> Material {
    Material { name, aliases, unless: &[], verdict: Verdict::Known, only_marked: false, source: "practice" }
}

impl Material {
    /// The same row, silent where one of `words` stands beside its name.
    const fn unless(self, words: &'static [&'static str]) -> Self {
        Self { unless: words, ..self }
    }

    /// The same row of a material that a small laser marks and does not cut.
    const fn only_marked(self) -> Self {
        Self { only_marked: true, ..self }
    }
}

const HALOGEN: &str = "gives off hydrogen chloride (58 % of PVC by mass can leave as it), with vinyl chloride and \
     benzene; it eats lungs and machine";
const CYANIDE: &str = "can give off hydrogen cyanide and other poisons";
const UNNAMED: &str = "its composition is not declared: what nobody can name does not go in";

/// Refused rows come first; within a verdict the order is that of the list printed for people.
pub(super) static MATERIALS: &[Material] = &[
    refused(
        "PVC, vinyl or another chlorinated plastic",
        &[
            "pvc",
            "vinyl",
            "polyvinyl chloride",
            "polyvinylchloride",
            "pvdc",
            "polyvinylidene chloride",
            "neoprene",
            "polychloroprene",
            "vinyl record",
            "pleather",
            "faux leather",
            "fake leather",
            "imitation leather",
            "artificial leather",
            "synthetic leather",
            "vegan leather",
            "leatherette",
            "chlorinated",
        ],
        HALOGEN,
        "HSE13, NIOSH76, EJC09, AIHA, UIC, UT",
    ),
    refused(
        "PTFE or another fluoropolymer",
        &["ptfe", "teflon", "pvdf", "fep", "fluoropolymer", "polytetrafluoroethylene"],
        "gives off carbonyl fluoride and other fluorine poisons",
        "AIHAJ68, NIOSH77, UT",
    ),
    refused(
        "polycarbonate",
        &["polycarbonate", "lexan", "pc sheet", "pc plastic"],
        "takes the beam up badly: it chars, flames and hardly cuts",
        "UIC, UT, KSU",
    ),
    refused(
        "ABS",
        &["abs", "abs plastic", "acrylonitrile butadiene styrene", "acrylonitrile"],
        "melts and flames; gives off styrene and cyanide-like products",
        "HSE13, UT, KSU",
    ),
    refused(
        "polyethylene or polypropylene foam",
        &[
            "hdpe",
            "polyethylene",
            "milk bottle",
            "milk bottle plastic",
            "polypropylene foam",
            "pp foam",
            "polyethylene foam",
            "epe foam",
            "epp foam",
        ],
        "melts and drips while it burns",
        "UIC, KSU",
    ),
    refused(
        "polystyrene or foam core",
        &[
            "polystyrene",
            "styrofoam",
            "styrene",
            "xps",
            "eps",
            "foam core",
            "foamcore",
            "foam board",
            "foamboard",
            "depron",
        ],
        "lights at once and melts; gives off styrene and aldehydes",
        "HSE13, UIC, UT",
    ),
    refused(
        "epoxy, fibreglass, circuit board or coated carbon fibre",
        &[
            "epoxy",
            "fibreglass",
            "fiberglass",
            "glass fibre",
            "glass fiber",
            "gfrp",
            "grp",
            "fr4",
            "fr 4",
            "pcb",
            "circuit board",
            "carbon fibre",
            "carbon fiber",
            "cfrp",
            "g10",
        ],
        "the resin’s fume is poisonous and the glass does not cut",
        "KSU, UT",
    ),
    refused(
        "leather that is not vegetable-tanned",
        &["leather", "chrome tanned", "chrome leather", "suede", "nubuck"],
        "chrome-tanned or unknown leather: heat can turn its chromium into the hexavalent form",
        "UIC",
    )
    .unless(&["vegetable", "veg"]),
    refused(
        "polyurethane, nylon or other synthetic cloth, synthetic rubber",
        &[
            "polyurethane",
            "pu leather",
            "pu foam",
            "nylon",
            "polyamide",
            "polyester cloth",
            "polyester fabric",
            "polyester felt",
            "polyester fleece",
            "synthetic cloth",
            "synthetic fabric",
            "synthetic felt",
            "acrylic felt",
            "acrylic yarn",
            "fleece",
            "spandex",
            "elastane",
            "synthetic rubber",
            "nitrile",
            "rubber",
        ],
        CYANIDE,
        "UT",
    )
    .unless(&["laser"]),
    refused("wool or wool felt", &["wool", "felt"], CYANIDE, "UT"),
    refused(
        "acetal",
        &["acetal", "pom", "polyoxymethylene", "polyacetal"],
        "gives off formaldehyde; only the responsible person may decide otherwise",
        "HSE13",
    ),
    refused(
        "treated or painted wood",
        &[
            "pressure treated",
            "treated wood",
            "treated timber",
            "treated pine",
            "preserved wood",
            "creosote",
            "creosoted",
            "fire retarded",
            "fire retardant",
            "flame retardant",
            "lead paint",
            "lead painted",
            "painted wood",
            "painted timber",
            "unknown paint",
            "old paint",
            "railway sleeper",
            "pallet wood",
            "cca",
        ],
        "metals and halogens from the treatment go up in the smoke",
        "practice",
    ),
    refused(
        "galvanised metal",
        &["galvanised", "galvanized", "zinc plated", "zinc coated"],
        "gives off zinc fume",
        "practice",
    ),
    refused(
        "bare, shiny or mirrored metal",
        &[
            "mirror",
            "mirrored",
            "polished metal",
            "bare metal",
            "steel",
            "stainless",
            "aluminium",
            "aluminum",
            "brass",
            "copper",
            "silver",
            "chrome plated",
            "foil",
            "metal",
        ],
        "sends the beam back to the lens, the lid or a person",
        "practice",
    )
    .unless(&["anodised", "anodized", "coated", "lacquered", "birch", "maple", "beech", "fir"]),
    refused(
        "magnesium",
        &["magnesium"],
        "burns, and cannot be put out with what stands by the machine",
        "practice",
    ),
    refused(
        "a battery, a sealed or pressurised item, or pyrotechnics",
        &[
            "battery",
            "batteries",
            "aerosol",
            "pressurised",
            "pressurized",
            "sealed container",
            "firework",
            "gunpowder",
        ],
        "can burst or explode",
        "practice",
    ),
    refused(
        "a plastic, foam or adhesive of unknown make",
        &[
            "unknown",
            "undeclared",
            "unidentified",
            "unlabelled",
            "unlabeled",
            "mystery",
            "scrap",
            "plastic",
            "foam",
            "resin",
            "adhesive film",
            "sticker",
            "tape",
        ],
        UNNAMED,
        "Ottawa, UMD, UT",
    )
    .unless(&["masking", "transfer"]),
    caution(
        "acrylic",
        &["acrylic", "pmma", "perspex", "plexiglass", "plexiglas", "polymethyl methacrylate"],
        &[
            "Acrylic burns with a steady flame: watch it without a break, air assist on",
            "Strong extraction for methyl methacrylate and fine particles; keep it running after the cut",
            "Raise the sheet off a flat bed so that flame and heat do not gather under it",
        ],
        "Munoz, SDS",
    ),
    caution(
        "plywood, fibreboard or veneered board",
        &[
            "plywood",
            "ply",
            "mdf",
            "hdf",
            "hardboard",
            "fibreboard",
            "fiberboard",
            "particle board",
            "chipboard",
            "veneered",
            "veneer",
            "laminated wood",
            "blockboard",
        ],
        &[
            "Glue resin and dust give off formaldehyde: ask for laser-grade, low-emission board",
            "Hidden voids and knots flare: watch each cut to its end; measure the thickness of this very sheet",
        ],
        "CCA, practice",
    ),
    caution(
        "card or paper",
        &[
            "card",
            "cardboard",
            "cardstock",
            "card stock",
            "paper",
            "paperboard",
            "corrugated",
            "greyboard",
            "kraft",
        ],
        &["Lights easily, corrugated card above all: low power, single sheets, no stacks"],
        "UVA",
    ),
    caution(
        "cork, laminate or masked stock",
        &["cork", "laminate", "masking tape", "transfer tape", "engraving laminate", "veneer tape"],
        &["The glue or backing must be declared by its supplier; if it is not, do not burn it"],
        "UT",
    ),
    caution(
        "vegetable-tanned leather",
        &["vegetable tanned leather", "vegetable tanned", "veg tan leather", "veg tan", "veg tanned leather"],
        &["Safety data sheet at hand, and a small watched test by a trained person first"],
        "UIC",
    ),
    caution(
        "rubber sold for lasers",
        &["laser rubber", "laser safe rubber", "stamp rubber"],
        &["Safety data sheet at hand, and a small watched test by a trained person first"],
        "practice",
    ),
    caution(
        "anodised or coated metal",
        &[
            "anodised aluminium",
            "anodized aluminum",
            "anodised",
            "anodized",
            "coated metal",
            "coated aluminium",
            "coated aluminum",
            "coated steel",
            "lacquered brass",
        ],
        &["Mark only, never cut; keep the beam on the coating, off bare metal"],
        "practice",
    )
    .only_marked(),
    caution(
        "tropical, oily or spalted wood",
        &[
            "tropical",
            "tropical hardwood",
            "teak",
            "rosewood",
            "cocobolo",
            "ebony",
            "wenge",
            "padauk",
            "ipe",
            "zebrawood",
            "sapele",
            "mahogany",
            "iroko",
            "spalted",
            "olive wood",
        ],
        &["Dust and smoke irritate and oils flare: strong extraction, small test first"],
        "UIC, practice",
    ),
    caution(
        "glass, stone or ceramic",
        &["glass", "slate", "stone", "marble", "granite", "ceramic", "tile", "porcelain"],
        &["Mark only; splinters fly and heat can crack it: eyewear when unloading"],
        "practice",
    )
    .only_marked(),
    caution(
        "wood of unnamed species",
        &["wood", "timber", "hardwood", "softwood", "solid wood"],
        &["Name the species, and be sure that it is neither treated nor painted"],
        "practice",
    )
    .unless(&[
        "basswood", "lime", "linden", "birch", "maple", "cherry", "walnut", "alder", "beech", "ash", "poplar",
        "pine", "spruce", "fir", "cedar", "oak", "balsa", "pear", "apple",
    ]),
    known("basswood or lime", &["basswood", "lime", "limewood", "linden"]),
    known(
        "a plain temperate wood",
        &[
            "birch",
            "maple",
            "cherry",
            "walnut",
            "alder",
            "beech",
            "ash",
            "poplar",
            "pine",
            "spruce",
            "fir",
            "cedar",
            "oak",
            "balsa",
            "pear",
            "apple",
            "pearwood",
            "applewood",
            "bamboo",
        ],
    ),
    known("plain cotton or linen cloth", &["cotton", "linen", "denim", "hemp"]),
];
