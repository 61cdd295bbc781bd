//! `mend`: what of an artwork is put right before it is burned.

use crate::mending::{MendKind, Mends};
use crate::schema::{Fields, Kind, LENGTH, NodeSpec, Reader, optional};
use crate::source::Span;
use crate::units::Mm;

/// `mend`.
pub static MEND: NodeSpec = NodeSpec {
    name: "mend",
    about: "Puts an artwork right at the size it is burned at. Each fault is mended only if it is named, up to the length that \
        is given; what was changed is told. Alone, without any property, it is the safe set, measured in the machine's spot: \
        `gaps` up to two spots, `doubled` within a quarter of the spot, `loops` up to four spots round, `specks` smaller than \
        the spot, and `nodes` within 0.01 mm. They take effect in this order: stray, specks, doubled, gaps, loops, crossings, \
        thin, nodes.",
    arguments: &[],
    properties: &[
        optional(
            "gaps",
            LENGTH,
            "joins ends of lines that lie so near to each other or to a line, by a straight bridge",
        )
        .fixed(),
        optional(
            "doubled",
            LENGTH,
            "keeps one of the lines that run so near to each other, where they are equally wide",
        )
        .fixed(),
        optional("loops", LENGTH, "cuts off loops of lines that cross themselves, up to so long all round")
            .fixed(),
        optional("specks", LENGTH, "drops dots, pinholes and single short lines smaller than this both ways")
            .fixed(),
        optional(
            "stray",
            LENGTH,
            "drops small parts that lie farther than this from all others, before it is sized",
        )
        .fixed(),
        optional("thin", LENGTH, "engraves lines that are drawn thinner than this as wide as this").fixed(),
        optional("nodes", LENGTH, "draws outlines and lines with fewer nodes, within this of where they were")
            .fixed(),
        optional(
            "crossings",
            Kind::Flag,
            "turns closed lines that cross themselves into the outline of what they enclose",
        ),
    ],
    children: &[],
    example: "mend gaps=\"0.2 mm\" specks=\"0.3 mm\"",
};

/// What is to be mended.
#[derive(Clone, Debug)]
pub struct Mend {
    /// The mends that are named, and where; none of them stands for the safe set.
    pub named: Vec<(MendKind, Mm, Span)>,
    /// Whether any property was written.
    pub is_safe_set: bool,
    /// Where it is written.
    pub head: Span,
}

impl Mend {
    /// What is to be mended on a machine with this spot.
    pub fn mends(&self, spot: Mm) -> Mends {
        if self.is_safe_set {
            Mends::safe(spot)
        } else {
            self.named.iter().map(|(kind, up_to, _)| (*kind, *up_to)).collect()
        }
    }

    /// Where a kind of mend is written, and whether it is named there.
    pub fn written(&self, kind: MendKind) -> (Span, bool) {
        let named = self.named.iter().find(|(k, ..)| *k == kind);
        named.map_or((self.head, false), |(_, _, span)| (*span, true))
    }
}

/// Takes the `mend` among a node's children.
pub(super) fn take(fields: &Fields, reader: &mut Reader) -> Option<Mend> {
    let node = fields.children_of(&MEND).next()?;
    let own = reader.read(node, &MEND);
    let mut named = Vec::new();
    for kind in MendKind::ALL {
        let up_to = match kind {
            MendKind::Crossings => own.flag(kind.word()).then_some(Mm::ZERO),
            _ => own.known(kind.word()).map(Mm::new),
        };
        named.extend(up_to.map(|up_to| (kind, up_to, own.span_of(kind.word()))));
    }
    let is_safe_set =
        MEND.properties.iter().all(|slot| !node.properties.iter().any(|p| p.name.value == slot.name));
    own.is_whole().then(|| Mend { named, is_safe_set, head: own.head() })
}
