//! What cannot be burned as the recipe asks.

use super::{LeadIns, Tabs};
use crate::diagnostics::{Diagnostic, Finding, Severity};
use crate::recipe::{OperationNode, Written};
use crate::source::{Span, Spanned};
use crate::units::Mm;
use crate::units::number::fixed;

pub(in crate::plan) static NOTHING_CLOSED: Finding = Finding {
    rule: "cut/nothing-closed",
    severity: Severity::Warning,
    title: "bridges, a lead-in or an overcut are asked for where no line is closed",
    explanation: "`tabs` hold what a closed line cuts out, `lead-in` begins a closed line in the waste beside it, and `overcut` \
        runs past the point where it closes. Open lines and the seams of a puzzle have material on both sides that is kept, \
        and end at other cuts.",
    wrong: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"\nrun \"out\" { cut \"pieces\" overcut=\"0.5 mm\" }",
    right: "puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\"\nrun \"out\" { cut \"pieces\"; cut \"board\" overcut=\"0.5 mm\" }",
};

pub(in crate::plan) static NO_ROOM_FOR_TABS: Finding = Finding {
    rule: "cut/no-room-for-tabs",
    severity: Severity::Warning,
    title: "an outline is too short for its bridges",
    explanation: "Between two bridges there has to be a cut of several times their width, and of 5 mm at least; else hardly \
        anything is cut, and the knife has no hold. What has no room for them is cut all round.",
    wrong: "shape \"bead\" { circle \"4 mm\" }\nrun \"out\" { cut \"bead\" tabs=4 }",
    right: "shape \"bead\" { circle \"4 mm\" }\nrun \"out\" { cut \"bead\" tabs=1 }",
};

pub(in crate::plan) static NO_ROOM_FOR_LEAD_IN: Finding = Finding {
    rule: "cut/no-room-for-lead-in",
    severity: Severity::Warning,
    title: "there is no room in the waste to begin a cut in",
    explanation: "A lead-in is a short cut in the waste that comes to the outline from outside a part or from inside an \
        opening. It keeps clear of all other cuts and of the edge of the sheet. Where no corner of an outline has room for it, \
        the cut begins on the outline, with the mark that is burned there.",
    wrong: "board { subtract { circle \"95 mm\"; circle \"3 mm\" } }\nrun \"out\" { cut \"board\" lead-in=\"4 mm\" }",
    right: "board { subtract { circle \"95 mm\"; circle \"3 mm\" } }\nrun \"out\" { cut \"board\" lead-in=\"1 mm\" }",
};

pub(in crate::plan) static OVERCUT_LONG: Finding = Finding {
    rule: "cut/overcut-long",
    severity: Severity::Warning,
    title: "an overcut burns much of its line a second time",
    explanation: "An overcut runs past the point where a closed line closes, so that nothing hangs there: half a millimetre to \
        two are usual (common practice, no source). More than a quarter of the line is most likely a slip of the decimal point \
        or of the unit; that limit is our judgement. No more than half of a line is ever burned twice.",
    wrong: "run \"out\" { cut \"board\" overcut=\"500 mm\" }",
    right: "run \"out\" { cut \"board\" overcut=\"0.5 mm\" }",
};

pub(super) fn overcut_long((count, all): (usize, usize), shortest: Mm, past: Mm, asked: &Written) -> Diagnostic {
    let round = if all == 1 { "is" } else { "the shortest is" };
    let label = format!("{round} {} mm long", fixed(shortest.get(), 1));
    Diagnostic::new(
        &OVERCUT_LONG,
        format!("an overcut of {past} is more than a quarter of {}", some_of(count, all, "closed line")),
    )
    .at(asked.span, label)
    .because("what is cut already is burned again, wider and darker, and thin stock may take fire")
    .repair("half a millimetre to two are usual: `overcut=\"0.5 mm\"`")
}

pub(super) fn overcut_of_held(node: &OperationNode, asked: &Written) -> Diagnostic {
    Diagnostic::new(&NOTHING_CLOSED, "no line of this cut is closed once its bridges are left".to_owned())
        .at(asked.span, "has no effect")
        .also(node.tabs.as_ref().map_or(node.head, |t| t.span), "each line ends at a bridge")
        .because("no cut runs past its beginning; the parts hang on their bridges")
        .repair("leave out the overcut, or the bridges")
}

pub(super) fn nothing_closed(node: &OperationNode, asked: Span) -> Diagnostic {
    Diagnostic::new(&NOTHING_CLOSED, "no line of this cut is closed".to_owned())
        .at(asked, "has no effect")
        .also(node.head, "cuts open lines and seams only")
        .because("there is nothing to be held, and no waste to begin in")
        .repair("leave it out, or cut the closed outline in an operation of its own")
}

pub(super) fn no_room_for_tabs(tabs: &Tabs, asked: &Spanned<u32>, node: &OperationNode) -> Diagnostic {
    let which = some_of(tabs.without, tabs.without + tabs.outlines, "outline");
    let is = if tabs.without == 1 { "is" } else { "are" };
    let bridges = if asked.value == 1 { "bridge" } else { "bridges" };
    Diagnostic::new(
        &NO_ROOM_FOR_TABS,
        format!("{which} of this cut {is} too short for {} {bridges} of {}", asked.value, tabs.width),
    )
    .at(asked.span, "so many each")
    .also(node.head, "cut all round where they have no room")
    .because("what is cut out there is not held: it may tilt into the beam, or fall")
    .repair("ask for fewer or narrower ones, or cut the small outlines in an operation of their own")
}

pub(super) fn no_room_for_lead_in(leads: &LeadIns, asked: &Written) -> Diagnostic {
    let which = some_of(leads.without, leads.without + leads.begun, "line");
    let has = if leads.without == 1 { "has" } else { "have" };
    Diagnostic::new(
        &NO_ROOM_FOR_LEAD_IN,
        format!("{which} of this cut {has} no room for a lead-in of {}", leads.length),
    )
    .at(asked.span, "no room for it in the waste")
    .because("the cut begins on the outline there, where the beam leaves a mark as it goes on")
    .repair("make it shorter, or leave more room between the parts and to the edge of the sheet")
}

/// `the outline`, `2 of 5 outlines`.
fn some_of(count: usize, all: usize, what: &str) -> String {
    match (count, all) {
        (1, 1) => format!("the {what}"),
        (_, all) if count == all => format!("all {all} {what}s"),
        _ => format!("{count} of {all} {what}s"),
    }
}
