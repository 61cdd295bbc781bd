//! `fixture`: a corner cut from scrap that sheets are pushed into.

use super::allow::ALLOW;
use super::placing::Written;
use crate::schema::{Choice, Fields, Kind, LENGTH, NodeSpec, Often, defaulted, required};

static CORNERS: &[Choice] = &[
    Choice { word: "left-top", about: "the left top corner of the sheet" },
    Choice { word: "right-top", about: "the right top corner of the sheet" },
    Choice { word: "left-bottom", about: "the left bottom corner of the sheet" },
    Choice { word: "right-bottom", about: "the right bottom corner of the sheet" },
];

/// `fixture`.
pub static FIXTURE: NodeSpec = NodeSpec {
    name: "fixture",
    about: "An inside corner, cut from scrap that stays on the bed: every sheet that is pushed into it afterwards lies where \
        the page lies, so that both sides and a whole series fall into register. It is the path of the beam, half the kerf \
        within the page, so that the edges of what is left lie on the edges of the page. Cut it in a run of its own with \
        `sheet=\"scrap\"`, from scrap of the same stock, whose kerf counts, before all others, and start every run from the page: a run that is started from what it burns \
        goes wherever the head is put.",
    arguments: &[required("name", Kind::NewName, "its name")],
    properties: &[
        defaulted("corner", Kind::Word(CORNERS), "left-top", "the corner of the sheet that lies in it"),
        defaulted(
            "arm",
            LENGTH,
            "80 mm",
            "how far it is cut along each edge of the sheet; the scrap ends before that",
        ),
        defaulted("width", LENGTH, "20 mm", "how much scrap is left beside those edges"),
    ],
    children: &[(&ALLOW, Often::Any)],
    example: "fixture \"stop\" corner=\"left-top\" arm=\"80 mm\" width=\"20 mm\"",
};

/// A corner of the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetCorner {
    /// Left top.
    LeftTop,
    /// Right top.
    RightTop,
    /// Left bottom.
    LeftBottom,
    /// Right bottom.
    RightBottom,
}

impl SheetCorner {
    const ALL: [Self; 4] = [Self::LeftTop, Self::RightTop, Self::LeftBottom, Self::RightBottom];

    /// The recipe word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::LeftTop => "left-top",
            Self::RightTop => "right-top",
            Self::LeftBottom => "left-bottom",
            Self::RightBottom => "right-bottom",
        }
    }

    /// Whether it lies on the left edge.
    pub const fn is_left(self) -> bool {
        matches!(self, Self::LeftTop | Self::LeftBottom)
    }

    /// Whether it lies on the top edge.
    pub const fn is_top(self) -> bool {
        matches!(self, Self::LeftTop | Self::RightTop)
    }
}

/// A corner cut from scrap.
#[derive(Clone, Debug)]
pub struct FixtureOf {
    /// The corner of the sheet that lies in it.
    pub corner: SheetCorner,
    /// How far it is cut along each edge.
    pub arm: Written,
    /// How much scrap is left beside those edges.
    pub width: Written,
}

/// Decodes what is particular to `fixture`.
pub(super) fn decode(fields: &Fields) -> Option<FixtureOf> {
    let word = fields.word("corner")?;
    Some(FixtureOf {
        corner: SheetCorner::ALL.into_iter().find(|c| c.word() == word)?,
        arm: fields.quantity("arm")?,
        width: fields.quantity("width")?,
    })
}
