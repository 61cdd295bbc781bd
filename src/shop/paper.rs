//! `paper`: what job sheets and proofs are printed on.

use crate::schema::{Choice, Kind, NodeSpec, Reader, required};
use crate::syntax::Node;
use crate::units::Mm;

static PAPERS: &[Choice] = &[
    Choice { word: "a4", about: "210 mm by 297 mm (ISO 216)" },
    Choice { word: "letter", about: "8.5 in by 11 in (ANSI/ASME Y14.1, size A)" },
];

/// `paper`, in a shop file or in a recipe.
pub static PAPER: NodeSpec = NodeSpec {
    name: "paper",
    about: "The paper that job sheets and proofs are printed on; `a4` where nothing is written. A recipe's own goes before the \
        shop's.",
    arguments: &[required("size", Kind::Word(PAPERS), "its size")],
    properties: &[],
    children: &[],
    example: "paper \"letter\"",
};

/// A paper to print on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 × 11 in.
    Letter,
}

impl Paper {
    /// Width of the upright page.
    pub const fn width(self) -> Mm {
        match self {
            Self::A4 => Mm::new(210.0),
            Self::Letter => Mm::new(215.9),
        }
    }

    /// Height of the upright page.
    pub const fn height(self) -> Mm {
        match self {
            Self::A4 => Mm::new(297.0),
            Self::Letter => Mm::new(279.4),
        }
    }
}

/// Decodes a `paper`.
pub fn decode_paper(node: &Node, reader: &mut Reader) -> Option<Paper> {
    Some(match reader.read(node, &PAPER).word("size")? {
        "letter" => Paper::Letter,
        _ => Paper::A4,
    })
}
