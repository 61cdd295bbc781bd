//! `photo`: a picture that is engraved in dots.

use super::allow::ALLOW;
use super::placing::{MIRROR, PLACE, SIZE, TURN, Written};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::schema::{
    Choice, DISTANCE, Fields, Kind, LENGTH, NodeSpec, Often, Reader, TextValue, defaulted, optional, required,
};
use crate::shop::DITHERS;
use crate::source::{Span, Spanned};
use crate::syntax::Node;
use crate::units::Dimension;

pub(super) static NO_HALFTONE: Finding = Finding {
    rule: "photo/no-halftone",
    severity: Severity::Warning,
    title: "a photo that is no halftone is given the numbers of one",
    explanation: "`period` and `angle` say how far apart the dots of a halftone are and how their rows run. All other methods \
        put dots wherever the picture wants them, one at most in each place of a row: these numbers change nothing there.",
    wrong: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\"; dither \"stucki\" period=\"0.8 mm\" }",
    right: "photo \"portrait\" file=\"art/portrait.jpg\" { size width=\"80 mm\"; dither \"halftone\" period=\"0.8 mm\" }",
};

pub(super) static NOTHING_LEFT: Finding = Finding {
    rule: "photo/crop-leaves-nothing",
    severity: Severity::Error,
    title: "a crop leaves nothing of a photo",
    explanation: "`left` and `right` together, and `top` and `bottom` together, have to leave something of the picture.",
    wrong: "photo \"portrait\" file=\"art/portrait.jpg\" { crop left=\"60 %\" right=\"50 %\"; size width=\"80 mm\" }",
    right: "photo \"portrait\" file=\"art/portrait.jpg\" { crop left=\"20 %\" right=\"10 %\"; size width=\"80 mm\" }",
};

const SHARE: Kind = Kind::Quantity { dimension: Dimension::Percent, zero: true };

static CROP: NodeSpec = NodeSpec {
    name: "crop",
    about: "Cuts away borders of the picture, in hundredths of its width and height.",
    arguments: &[],
    properties: &[
        defaulted("trim", Kind::Flag, "#false", "first cuts away borders of one plain tone, as of a scan"),
        defaulted("left", SHARE, "0 %", "what is cut away on the left").fixed(),
        defaulted("right", SHARE, "0 %", "what is cut away on the right").fixed(),
        defaulted("top", SHARE, "0 %", "what is cut away at the top").fixed(),
        defaulted("bottom", SHARE, "0 %", "what is cut away at the bottom").fixed(),
    ],
    children: &[],
    example: "crop trim=#true left=\"10 %\"",
};

static HOW: &[Choice] = &[
    Choice { word: "cover", about: "the picture fills it; what sticks out is cut away" },
    Choice { word: "contain", about: "the whole picture lies in it, smaller in one direction" },
];

static FIT: NodeSpec = NodeSpec {
    name: "fit",
    about: "The width and height that the picture is fitted to, and which part of it stays in view.",
    arguments: &[required("width", LENGTH, "width"), required("height", LENGTH, "height")],
    properties: &[
        defaulted("how", Kind::Word(HOW), "cover", "what happens when the proportions differ"),
        defaulted("across", SHARE, "50 %", "the point that stays in view, from the left of the picture")
            .within("0 %", "100 %"),
        defaulted("down", SHARE, "40 %", "the point that stays in view, from the top of the picture")
            .within("0 %", "100 %"),
    ],
    children: &[],
    example: "fit \"80 mm\" \"100 mm\" down=\"35 %\"",
};

static TONE: NodeSpec = NodeSpec {
    name: "tone",
    about: "How light and dark are set, in this order: levels, local contrast, gamma, sharpening.",
    arguments: &[],
    properties: &[
        defaulted(
            "levels",
            Kind::Flag,
            "#true",
            "whether the darkest becomes as dark and the lightest as light as can be",
        ),
        defaulted(
            "clip",
            SHARE,
            "0.5 %",
            "the share of the picture that becomes all dark, and all light, by `levels`",
        )
        .within("0 %", "49 %"),
        defaulted("local-contrast", SHARE, "40 %", "how far contrast is evened out between parts of the picture")
            .within("0 %", "100 %"),
        defaulted(
            "gamma",
            Kind::Quantity { dimension: Dimension::Number, zero: false },
            "1",
            "exponent of lightness: above 1 the middle tones grow darker, below 1 lighter",
        )
        .within("0.1", "10"),
        defaulted("sharpen", SHARE, "80 %", "how much edges are sharpened (unsharp mask)").within("0 %", "500 %"),
        defaulted(
            "invert",
            Kind::Flag,
            "#false",
            "burns what is light: for stocks on which the beam leaves a light mark",
        ),
    ],
    children: &[],
    example: "tone local-contrast=\"30 %\" gamma=0.9",
};

static DITHER: NodeSpec = NodeSpec {
    name: "dither",
    about: "How tones become dots.",
    arguments: &[required("method", Kind::Word(DITHERS), "the method")],
    properties: &[
        optional(
            "period",
            LENGTH,
            "of a halftone: the distance between dots, 2 line intervals or more; 8 line intervals if left out",
        ),
        defaulted(
            "angle",
            Kind::Signed(Dimension::Angle),
            "45 deg",
            "of a halftone: the angle of the rows of dots",
        )
        .fixed(),
    ],
    children: &[],
    example: "dither \"halftone\" period=\"0.8 mm\" angle=\"45 deg\"",
};

static VIGNETTE: NodeSpec = NodeSpec {
    name: "vignette",
    about: "Burns the photo only within another figure, and lets it fade out towards the edge.",
    arguments: &[],
    properties: &[
        required("within", Kind::NameOf("figure"), "the figure"),
        defaulted("feather", DISTANCE, "5 mm", "the width of the edge in which it fades out"),
    ],
    children: &[],
    example: "vignette within=\"oval\" feather=\"5 mm\"",
};

/// `photo`.
pub static PHOTO: NodeSpec = NodeSpec {
    name: "photo",
    about: "A picture, engraved in dots: cropped, toned for the stock and made into dots at exactly one a line interval of \
        the setting it is engraved with. Its size comes from `fit` or `size`, never from the file.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        required("file", Kind::Path, "the picture: PNG, JPEG or WebP; or, with `element`, an SVG that holds it"),
        optional("element", Kind::Verbatim, "a CSS selector for a picture that is embedded in an SVG"),
        optional(
            "dot-pitch",
            LENGTH,
            "the distance of dots along a row, a quarter of the spot or more; the line interval if left out",
        ),
    ],
    children: &[
        (&CROP, Often::AtMostOnce),
        (&FIT, Often::AtMostOnce),
        (&TONE, Often::AtMostOnce),
        (&DITHER, Often::AtMostOnce),
        (&VIGNETTE, Often::AtMostOnce),
        (&SIZE, Often::AtMostOnce),
        (&TURN, Often::AtMostOnce),
        (&MIRROR, Often::Any),
        (&PLACE, Often::AtMostOnce),
        (&ALLOW, Often::Any),
    ],
    example: "photo \"portrait\" file=\"{picture}\" {\n    fit \"80 mm\" \"100 mm\"\n    tone gamma=0.9\n    \
        vignette within=\"oval\" feather=\"5 mm\"\n    place centre=\"board\"\n}",
};

/// A picture that is engraved in dots.
#[derive(Clone, Debug)]
pub struct Photo {
    /// The file.
    pub file: TextValue,
    /// The selector of a picture inside that file.
    pub element: Option<TextValue>,
    /// What is cut away.
    pub crop: Crop,
    /// What it is fitted to.
    pub fit: Option<Fit>,
    /// How it is toned.
    pub tone: PhotoTone,
    /// How it becomes dots.
    pub dither: PhotoDither,
    /// Where it fades out.
    pub vignette: Option<Vignette>,
    /// Distance of dots along a row.
    pub dot_pitch: Option<Written>,
}

/// What is cut away of a picture, as shares of its width and height.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Crop {
    /// Whether plain borders go first.
    pub trim: bool,
    /// Share of the width.
    pub left: f64,
    /// Share of the width.
    pub right: f64,
    /// Share of the height.
    pub top: f64,
    /// Share of the height.
    pub bottom: f64,
}

/// What a picture is fitted to.
#[derive(Clone, Debug)]
pub struct Fit {
    /// Width.
    pub width: Written,
    /// Height.
    pub height: Written,
    /// Whether the picture fills it; else it lies in it.
    pub covers: bool,
    /// The point that stays in view, as shares of width and height.
    pub focus: (f64, f64),
}

/// How a picture is toned; shares from 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PhotoTone {
    /// Whether levels are stretched.
    pub levels: bool,
    /// The share that is cut off at either end then.
    pub clip: f64,
    /// Share of local contrast.
    pub local_contrast: f64,
    /// Exponent of lightness.
    pub gamma: f64,
    /// Amount of sharpening.
    pub sharpen: f64,
    /// Whether what is light is burned.
    pub invert: bool,
}

/// How tones become dots.
#[derive(Clone, Debug)]
pub struct PhotoDither {
    /// The recipe word of the method.
    pub method: &'static str,
    /// Distance between halftone dots.
    pub period: Option<Written>,
    /// Angle of halftone dots, in degrees.
    pub angle: f64,
    /// Where it is written; the photo's head when it is not.
    pub span: Span,
}

/// Where a photo fades out.
#[derive(Clone, Debug)]
pub struct Vignette {
    /// The figure it is burned within.
    pub within: Spanned<String>,
    /// Width of the fading edge.
    pub feather: Written,
}

impl Photo {
    /// The lengths in it that may be calculated.
    pub fn lengths(&self) -> impl Iterator<Item = &Written> {
        let fit = self.fit.iter().flat_map(|f| [&f.width, &f.height]);
        let vignette = self.vignette.iter().map(|v| &v.feather);
        fit.chain(vignette).chain(&self.dither.period).chain(&self.dot_pitch)
    }
}

/// Decodes what is particular to `photo`.
pub(super) fn decode(fields: &Fields, reader: &mut Reader) -> Option<Photo> {
    let child = |spec: &'static NodeSpec| fields.children_of(spec).next();
    let (crop_node, fit_node, tone_node, dither_node) = (child(&CROP), child(&FIT), child(&TONE), child(&DITHER));
    let vignette_node = child(&VIGNETTE);
    let crop = match crop_node {
        Some(node) => crop(&reader.read(node, &CROP), reader)?,
        None => Crop::default(),
    };
    let fit = match fit_node {
        Some(node) => Some(fit(&reader.read(node, &FIT))?),
        None => None,
    };
    let tone = match tone_node {
        Some(node) => tone(&reader.read(node, &TONE))?,
        None => AS_USUAL,
    };
    let dither = match dither_node {
        Some(node) => dither(node, reader)?,
        None => PhotoDither { method: "floyd-steinberg", period: None, angle: 45.0, span: fields.head() },
    };
    let vignette = match vignette_node {
        Some(node) => {
            let fields = reader.read(node, &VIGNETTE);
            Some(Vignette { within: fields.name("within")?, feather: fields.quantity("feather")? })
        }
        None => None,
    };
    Some(Photo {
        file: fields.text("file")?,
        element: fields.text("element"),
        crop,
        fit,
        tone,
        dither,
        vignette,
        dot_pitch: fields.quantity("dot-pitch"),
    })
}

/// What `tone` means when it is not written: the defaults of its properties.
const AS_USUAL: PhotoTone =
    PhotoTone { levels: true, clip: 0.005, local_contrast: 0.4, gamma: 1.0, sharpen: 0.8, invert: false };

fn crop(fields: &Fields, reader: &mut Reader) -> Option<Crop> {
    let share = |side| Some(fields.known(side)? / 100.0);
    let crop = Crop {
        trim: fields.flag("trim"),
        left: share("left")?,
        right: share("right")?,
        top: share("top")?,
        bottom: share("bottom")?,
    };
    if crop.left + crop.right >= 1.0 || crop.top + crop.bottom >= 1.0 {
        reader.sink.push(
            Diagnostic::new(&NOTHING_LEFT, "this crop leaves nothing of the photo".to_owned())
                .at(fields.head(), "cuts all of it away")
                .because("there would be nothing to burn")
                .repair("cut away less; the two sides together have to stay below 100 %"),
        );
        return None;
    }
    Some(crop)
}

fn fit(fields: &Fields) -> Option<Fit> {
    Some(Fit {
        width: fields.quantity("width")?,
        height: fields.quantity("height")?,
        covers: fields.word("how")? == "cover",
        focus: (fields.known("across")? / 100.0, fields.known("down")? / 100.0),
    })
}

fn tone(fields: &Fields) -> Option<PhotoTone> {
    Some(PhotoTone {
        levels: fields.flag("levels"),
        clip: fields.known("clip")? / 100.0,
        local_contrast: fields.known("local-contrast")? / 100.0,
        gamma: fields.known("gamma")?,
        sharpen: fields.known("sharpen")? / 100.0,
        invert: fields.flag("invert"),
    })
}

fn dither(node: &Node, reader: &mut Reader) -> Option<PhotoDither> {
    let fields = reader.read(node, &DITHER);
    let method = fields.word("method")?;
    let of_halftone = node.properties.iter().filter(|p| matches!(p.name.value.as_str(), "period" | "angle"));
    for property in of_halftone.filter(|_| method != "halftone") {
        let name = &property.name.value;
        reader.sink.push(
            Diagnostic::new(&NO_HALFTONE, format!("`{name}` does nothing with the method `{method}`"))
                .at(property.span, "is of a halftone only")
                .because("the photo comes out as if it were not written")
                .repair(format!("leave `{name}` out, or write `dither \"halftone\"`")),
        );
    }
    Some(PhotoDither {
        method,
        period: fields.quantity("period"),
        angle: fields.known("angle")?,
        span: fields.head(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tones_as_usual_are_the_defaults_that_are_documented() {
        let default = |name: &str| {
            let slot = TONE.properties.iter().find(|s| s.name == name).unwrap();
            let crate::schema::Need::Default(text) = slot.need else { panic!("{name} has a default") };
            text
        };
        assert_eq!(default("levels"), format!("#{}", AS_USUAL.levels));
        assert_eq!(default("clip"), format!("{} %", AS_USUAL.clip * 100.0));
        assert_eq!(default("local-contrast"), format!("{} %", AS_USUAL.local_contrast * 100.0));
        assert_eq!(default("gamma"), format!("{}", AS_USUAL.gamma));
        assert_eq!(default("sharpen"), format!("{} %", AS_USUAL.sharpen * 100.0));
        assert_eq!(default("invert"), format!("#{}", AS_USUAL.invert));
    }
}
