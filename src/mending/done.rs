//! What a mend has changed, in words.

use super::said::{elements, shown};
use super::{Change, Extent, MendKind, Site};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, counted, places, quoted_list};
use crate::geometry::Drawing;
use crate::source::Span;
use crate::units::number::fixed;
use kurbo::Point;

macro_rules! changed {
    ($(#[$doc:meta])* $name:ident, $rule:literal, $title:literal, $explanation:literal, $property:literal) => {
        $(#[$doc])*
        pub static $name: Finding = Finding {
            rule: $rule,
            severity: Severity::Advice,
            title: $title,
            explanation: $explanation,
            wrong: concat!("artwork \"heron\" file=\"art/heron.svg\" { mend ", $property, " }"),
            right: "artwork \"heron\" file=\"art/heron.svg\"",
        };
    };
}

changed!(
    /// Gaps were closed.
    CLOSED_GAPS, "mend/closed-gaps", "gaps of an artwork were closed",
    "`mend gaps` joins ends of lines that lie within its length by a straight bridge, draws lines on that stop short of \
     another, and takes filled outlines with so small a gap for closed. Nothing that was drawn is moved.",
    "gaps=\"0.2 mm\""
);
changed!(
    /// Doubled lines were dropped.
    DROPPED_DOUBLES, "mend/dropped-doubles", "lines of an artwork that lay on others were dropped",
    "`mend doubled` keeps one of the lines that run within its length of each other, where they are drawn equally wide.",
    "doubled=\"0.02 mm\""
);
changed!(
    /// Loops were cut off.
    CUT_LOOPS, "mend/cut-loops", "small loops were cut off the lines of an artwork",
    "`mend loops` cuts off what a line draws between two passes of one place, where that is at most so long.",
    "loops=\"0.5 mm\""
);
changed!(
    /// Self-crossing outlines were resolved.
    RESOLVED_CROSSINGS, "mend/resolved-crossings", "closed lines of an artwork that crossed themselves became outlines",
    "`mend crossings` draws the outline of what such a line winds about (the non-zero rule of SVG); what it drew inside is \
     gone.",
    "crossings=#true"
);
changed!(
    /// Specks were dropped.
    DROPPED_SPECKS, "mend/dropped-specks", "specks and pinholes of an artwork were dropped",
    "`mend specks` drops inked dots, pinholes and single short lines that are smaller than its length both ways.",
    "specks=\"0.3 mm\""
);
changed!(
    /// Stray parts were dropped.
    DROPPED_STRAYS, "mend/dropped-strays", "stray parts of an artwork were dropped",
    "`mend stray` drops small parts that lie farther than its length from all others, before the artwork is sized. What is \
     larger than a tenth of the rest is no stray part.",
    "stray=\"20 mm\""
);
changed!(
    /// Thin lines were thickened.
    THICKENED_LINES, "mend/thickened-lines", "thin lines of an artwork were drawn wider",
    "`mend thin` gives lines that are drawn thinner than its length that width where they are engraved. Inked areas are \
     left as they are: an `offset` thickens them.",
    "thin=\"0.1 mm\""
);
changed!(
    /// Nodes were spared.
    FEWER_NODES, "mend/fewer-nodes", "outlines of an artwork were drawn with fewer nodes",
    "`mend nodes` draws those outlines and lines anew that need at most half of their nodes within its length. Corners stay.",
    "nodes=\"0.01 mm\""
);

/// A mend took away a large share.
pub static DROPPED_MUCH: Finding = Finding {
    rule: "mend/dropped-much",
    severity: Severity::Warning,
    title: "a mend takes away a large share of an artwork",
    explanation: "More than a tenth of the ink, or of the length of outlines and lines, is gone: `specks` or `stray` is longer than \
        the details of the drawing, probably because it is burned smaller than it was drawn. A drawing of which nothing would \
        be left is left as it is.",
    wrong: "artwork \"fern\" file=\"art/fern.svg\" { mend specks=\"9 mm\"; size width=\"40 mm\" }",
    right: "artwork \"fern\" file=\"art/fern.svg\" { mend specks=\"0.2 mm\"; size width=\"40 mm\" }",
};

/// More than this share of the ink, or of the length of outlines and lines, is a large one.
const LARGE_SHARE: f64 = 0.1;

/// A mend had nothing to do.
pub static NOTHING_MENDED: Finding = Finding {
    rule: "mend/nothing-to-mend",
    severity: Severity::Advice,
    title: "a mend finds nothing to do",
    explanation: "The artwork has no such fault within that length: it was mended in its file, or has changed. A mend that \
        does nothing may surprise later, when the file changes again. Of `mend` alone, which takes what it finds, nothing is \
        said.",
    wrong: "artwork \"heron\" file=\"art/heron.svg\" { mend gaps=\"0.2 mm\" }",
    right: "artwork \"heron\" file=\"art/heron.svg\"",
};

/// Tells what each mend has changed in `before`. `written` is where a kind of mend is written; the kinds that are not are
/// of the safe set.
pub fn tell(
    changes: &[Change],
    before: &Drawing,
    site: Site,
    written: &dyn Fn(MendKind) -> (Span, bool),
    sink: &mut Sink,
) {
    for change in changes {
        let (span, by_name) = written(change.kind);
        if change.drops_all {
            sink.push(drops_all(change, site, span));
        }
        if change.places.is_empty() {
            continue;
        }
        let at: Vec<Point> = change.places.iter().map(|p| p.at).collect();
        let diagnostic = match dropped_share(change, before) {
            Some(share) => Diagnostic::new(&DROPPED_MUCH, format!("{}: {share}", message(change, site)))
                .repair(format!("look at the preview, and make `{}` smaller", change.kind.word())),
            None => Diagnostic::new(finding(change.kind), message(change, site))
                .repair(refusal(change, changes, by_name)),
        };
        let diagnostic = diagnostic.at(span, places(&at)).because(extent(change));
        sink.push(elements(before, &at, site).into_iter().fold(diagnostic, Diagnostic::in_artwork));
    }
}

/// Tells of the mends that are named and found nothing to do, together; those of the safe set are silent.
pub fn tell_of_idle(
    changes: &[Change],
    site: Site,
    head: Span,
    written: &dyn Fn(MendKind) -> (Span, bool),
    sink: &mut Sink,
) {
    let is_idle = |c: &&Change| c.places.is_empty() && !c.drops_all && written(c.kind).1;
    let idle: Vec<MendKind> = changes.iter().filter(is_idle).map(|c| c.kind).collect();
    let at = match idle.as_slice() {
        [] => return,
        [only] => written(*only).0,
        _ => head,
    };
    let words = quoted_list(idle.iter().map(|kind| kind.word()), "and");
    let (finds, them) = if idle.len() == 1 { ("finds", "it") } else { ("find", "them") };
    sink.push(
        Diagnostic::new(
            &NOTHING_MENDED,
            format!("{words} of this `mend` {finds} nothing to do in `{}`", site.name),
        )
        .at(at, "changes nothing")
        .because("when the file changes it may begin to change something unasked")
        .repair(format!("remove {them}, or allow for more")),
    );
}

/// What share of a drawing was dropped, in words, where that is a large one.
fn dropped_share(change: &Change, before: &Drawing) -> Option<String> {
    if !matches!(change.kind, MendKind::Specks | MendKind::Stray) {
        return None;
    }
    let Extent { length, area, .. } = Extent::of(before);
    let share = |lost: f64, of: f64| if of > 0.0 { -lost / of } else { 0.0 };
    let (of_ink, of_lines) = (share(change.area.get(), area.get()), share(change.length.get(), length.get()));
    let percent = |share: f64| fixed(100.0 * share, 0);
    match () {
        () if of_ink > LARGE_SHARE => Some(format!("{} % of its ink", percent(of_ink))),
        () if of_lines > LARGE_SHARE => Some(format!("{} % of its outlines and lines", percent(of_lines))),
        () => None,
    }
}

/// A mend that would have left nothing.
fn drops_all(change: &Change, Site { name, .. }: Site, span: Span) -> Diagnostic {
    let (word, up_to) = (change.kind.word(), shown(change.up_to));
    Diagnostic::new(&DROPPED_MUCH, format!("all of `{name}` is smaller than the {up_to} of `mend {word}`"))
        .at(span, "nothing was dropped, for nothing would be left")
        .because("the artwork is burned as if there were no such mend")
        .repair(format!("make `{word}` smaller, or the artwork larger"))
}

/// How a mend is refused.
fn refusal(change: &Change, all: &[Change], by_name: bool) -> String {
    if by_name {
        return format!("nothing has to be done; without `{}` it stays as it was drawn", change.kind.word());
    }
    let others = all.iter().filter(|c| c.kind != change.kind);
    let others: Vec<String> =
        others.map(|c| format!("{}=\"{} mm\"", c.kind.word(), fixed(c.up_to.get(), 3))).collect();
    format!(
        "nothing has to be done; to keep it as it was drawn, name the other mends: `mend {}`",
        others.join(" ")
    )
}

fn finding(kind: MendKind) -> &'static Finding {
    match kind {
        MendKind::Stray => &DROPPED_STRAYS,
        MendKind::Specks => &DROPPED_SPECKS,
        MendKind::Doubled => &DROPPED_DOUBLES,
        MendKind::Gaps => &CLOSED_GAPS,
        MendKind::Loops => &CUT_LOOPS,
        MendKind::Crossings => &RESOLVED_CROSSINGS,
        MendKind::Thin => &THICKENED_LINES,
        MendKind::Nodes => &FEWER_NODES,
    }
}

fn message(change: &Change, Site { name, .. }: Site) -> String {
    let count = change.places.len();
    let greatest = shown(change.places[0].size);
    match change.kind {
        MendKind::Stray => {
            format!(
                "dropped {} of `{name}`, the farthest {greatest} off",
                counted(count, "stray part", "stray parts")
            )
        }
        MendKind::Specks => {
            format!("dropped {} of `{name}`, the largest {greatest} across", counted(count, "speck", "specks"))
        }
        MendKind::Doubled => format!(
            "dropped {} of `{name}` that lay on other lines, {} in all",
            counted(count, "stretch", "stretches"),
            shown(change.places.iter().map(|p| p.size).sum())
        ),
        MendKind::Gaps => {
            format!("closed {} of `{name}`, the widest {greatest}", counted(count, "gap", "gaps"))
        }
        MendKind::Loops => {
            format!("cut {} off lines of `{name}`, the longest {greatest} round", counted(count, "loop", "loops"))
        }
        MendKind::Crossings => format!(
            "resolved {} of closed lines of `{name}` with themselves",
            counted(count, "crossing", "crossings")
        ),
        MendKind::Thin => format!(
            "drew {} of `{name}` wider, to {}",
            counted(count, "thin line", "thin lines"),
            shown(change.up_to)
        ),
        MendKind::Nodes => format!(
            "drew {} of `{name}` with fewer nodes, {} segments instead of {} in all",
            counted(count, "outline", "outlines"),
            change.segments.1,
            change.segments.0
        ),
    }
}

/// By how much outlines and ink have grown or shrunk.
fn extent(change: &Change) -> String {
    let grown = |by: f64, unit: &str| match fixed(by.abs(), 2).as_str() {
        "0" => None,
        text => Some(format!("{text} {unit} {}", if by < 0.0 { "less" } else { "more" })),
    };
    let length = grown(change.length.get(), "mm").map(|l| format!("{l} of outlines and lines"));
    let area = grown(change.area.get(), "mm²").map(|a| format!("{a} of ink"));
    match (length, area) {
        (None, None) => "lengths and areas stay as they were to a hundredth".to_owned(),
        (length, area) => length.into_iter().chain(area).collect::<Vec<_>>().join(", "),
    }
}
