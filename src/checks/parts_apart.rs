//! Parts of one artwork file that no longer fit each other.

use super::Job;
use super::place::{MOST_NAMED, way};
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink};
use crate::figures::Placed;
use crate::recipe::{Artwork, ArtworkFrame, Figure, FigureKind};
use crate::schema::TextValue;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{Affine, Point, Rect, Vec2};
use std::collections::BTreeMap;

pub(super) static PARTS_APART: Finding = Finding {
    rule: "register/parts-apart",
    severity: Severity::Warning,
    title: "parts of one file no longer fit each other",
    explanation: "Two figures that take different parts of one file fit each other on the piece only where the same box of the \
        file sizes and places both, in the same way. Without `frame`, that is the box around what each takes, and these \
        boxes differ. Nothing is said of parts that lie apart on the piece, or of which one is placed by the other: those \
        are arranged anew on purpose.",
    wrong: "artwork \"dark\" file=\"art/owl.svg\" { take \"#dark\"; size within=\"board\" }\n\
        artwork \"light\" file=\"art/owl.svg\" { take \"#light\"; size within=\"board\" }",
    right: "artwork \"dark\" file=\"art/owl.svg\" frame=\"drawing\" { take \"#dark\"; size within=\"board\" }\n\
        artwork \"light\" file=\"art/owl.svg\" frame=\"drawing\" { take \"#light\"; size within=\"board\" }",
};

/// A share of the size, and an angle in degrees, below which nothing is said of them.
const SAME_SIZE: f64 = 0.001;
const SAME_ANGLE: f64 = 0.05;

/// A part of a file on the sheet.
#[derive(Clone, Copy)]
struct Part<'a> {
    figure: &'a Figure,
    artwork: &'a Artwork,
    placed: &'a Placed,
    frame: Rect,
}

/// Compares each artwork with those that take other parts of the same file.
pub(super) fn check(job: &Job, sink: &mut Sink) {
    let parts: Vec<Part> = job.recipe.figures.iter().filter_map(|figure| part(job, figure)).collect();
    let spot = job.plan.machine.spot;
    let mut by_first: BTreeMap<usize, Vec<(Part, Apart)>> = BTreeMap::new();
    for (i, later) in parts.iter().enumerate() {
        let mut apart = (0..i).filter_map(|first| Some((first, apart(parts[first], *later, spot)?)));
        if let Some((first, by)) = apart.next() {
            by_first.entry(first).or_default().push((*later, by));
        }
    }
    for (first, later) in by_first {
        sink.push(report(parts[first], &later));
    }
}

fn part<'a>(job: &Job<'a>, figure: &'a Figure) -> Option<Part<'a>> {
    let FigureKind::Artwork(artwork) = &figure.kind else { return None };
    let placed = job.figures.get(&figure.name.value)?;
    Some(Part { figure, artwork, placed, frame: placed.frame? })
}

/// How a part lies against where another of its file wants it.
#[derive(Debug)]
struct Apart {
    /// How many times as large it is.
    ratio: f64,
    /// How far it is turned, in degrees with the clock.
    turn: f64,
    is_mirrored: bool,
    /// How far its middle is off.
    shift: Vec2,
    /// How far the farthest corner of its box is off.
    farthest: Mm,
}

/// How two parts that belong together are apart; nothing where they fit, or do not belong together.
fn apart(first: Part, later: Part, spot: Mm) -> Option<Apart> {
    if !are_of_one_picture(first.artwork, later.artwork)
        || is_placed_by(first, later)
        || is_placed_by(later, first)
    {
        return None;
    }
    let apart = compared(first.placed.movement, later.placed.movement, later.frame);
    let is_off = apart.farthest.get() > spot.get() / 2.0;
    let frames = [first, later].map(|p| p.artwork.frame);
    let belong = if frames.contains(&ArtworkFrame::Taken) {
        // What is sized by its own box may be a motif of its own; laid over another part it hardly is.
        let shared = first.frame.intersect(later.frame);
        shared.width() > spot.get() && shared.height() > spot.get()
    } else {
        !lies_beside(&apart, first.frame, later.frame)
    };
    (is_off && belong).then_some(apart)
}

/// Whether two figures take different parts of one file.
fn are_of_one_picture(a: &Artwork, b: &Artwork) -> bool {
    let texts = |list: &[TextValue]| list.iter().map(|t| t.text.clone()).collect::<Vec<_>>();
    let choice = |of: &Artwork| (texts(&of.take), texts(&of.drop));
    a.file.text == b.file.text && choice(a) != choice(b)
}

fn is_placed_by(part: Part, other: Part) -> bool {
    part.figure.placing.figures().iter().any(|name| name.value == other.figure.name.value)
}

/// Whether a part was only moved, by so much that the two pictures lie beside each other: page by page.
fn lies_beside(apart: &Apart, first: Rect, later: Rect) -> bool {
    let whole = first.union(later - apart.shift);
    let is_only_moved =
        (apart.ratio - 1.0).abs() < SAME_SIZE && apart.turn.abs() < SAME_ANGLE && !apart.is_mirrored;
    is_only_moved && (apart.shift.x.abs() >= whole.width() || apart.shift.y.abs() >= whole.height())
}

fn compared(first: Affine, later: Affine, frame: Rect) -> Apart {
    // From where it lies to where the first part wants it.
    let home = first * later.inverse();
    let off = |p: Point| p - home * p;
    let corners =
        [(frame.x0, frame.y0), (frame.x1, frame.y0), (frame.x1, frame.y1), (frame.x0, frame.y1)].map(Point::from);
    let farthest = corners.map(|p| off(p).hypot()).into_iter().fold(0.0, f64::max);
    let [a, b, ..] = home.inverse().as_coeffs();
    let is_mirrored = home.determinant() < 0.0;
    Apart {
        ratio: home.determinant().abs().sqrt().recip(),
        turn: if is_mirrored { 0.0 } else { libm::atan2(b, a).to_degrees() },
        is_mirrored,
        shift: off(frame.center()),
        farthest: Mm::new(farthest),
    }
}

fn report(first: Part, later: &[(Part, Apart)]) -> Diagnostic {
    let mut named: Vec<String> =
        later.iter().take(MOST_NAMED).map(|(part, _)| format!("`{}`", part.figure.name.value)).collect();
    if later.len() > MOST_NAMED {
        named.push(format!("{} more", later.len() - MOST_NAMED));
    }
    let names = listed(&named);
    let other = &first.figure.name.value;
    let file = &first.artwork.file.text;
    let message = match later {
        [_] => format!("{names} does not fit `{other}`, which is a part of the same `{file}`"),
        _ => format!("{names} do not fit `{other}`, which is a part of the same `{file}`"),
    };
    let farthest = later.iter().map(|(_, apart)| apart.farthest.get()).fold(0.0, f64::max);
    let frames = || later.iter().map(|(part, _)| part.artwork.frame);
    let is_one_frame = first.artwork.frame != ArtworkFrame::Taken && frames().all(|f| f == first.artwork.frame);
    let label = |(part, apart): &(Part, Apart)| format!("{}, {}", sized_by(*part), in_words(apart));
    let mut diagnostic = Diagnostic::new(&PARTS_APART, message)
        .at(later[0].0.figure.head, label(&later[0]))
        .also(first.figure.head, sized_by(first));
    for other in later[1..].iter().take(MOST_NAMED - 1) {
        diagnostic = diagnostic.also(other.0.figure.head, label(other));
    }
    diagnostic
        .because(format!(
            "what meets in the file is up to {} mm apart on the piece, with gaps and doubled edges",
            fixed(farthest, 2)
        ))
        .repair(if is_one_frame {
            "give all of them the same `size`, `turn`, `mirror` and `place`"
        } else {
            "write `frame=\"drawing\"` in all of them, with the same `size`, `turn`, `mirror` and `place`"
        })
}

/// `a`, `a and b`, `a, b and c`.
fn listed(words: &[String]) -> String {
    match words {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        _ => words.concat(),
    }
}

const fn sized_by(part: Part) -> &'static str {
    match part.artwork.frame {
        ArtworkFrame::Taken => "sized and placed by the box around what it takes",
        ArtworkFrame::Drawing => "sized and placed by the box around all that the file draws",
        ArtworkFrame::Page => "sized and placed by the page of the file",
    }
}

/// How a part lies, in words: `1.25 times as large and 3 mm to the left of where it belongs`.
fn in_words(apart: &Apart) -> String {
    let mut words = Vec::new();
    if (apart.ratio - 1.0).abs() >= SAME_SIZE {
        words.push(format!("{} times as large", fixed(apart.ratio, 3)));
    }
    if apart.is_mirrored {
        words.push("mirrored".to_owned());
    }
    if apart.turn.abs() >= SAME_ANGLE {
        let way = if apart.turn < 0.0 { "left" } else { "right" };
        words.push(format!("turned {way} by {}°", fixed(apart.turn.abs(), 1)));
    }
    let shift = way(apart.shift);
    if !shift.is_empty() {
        words.push(format!("its middle {shift} of where it belongs"));
    }
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: Rect = Rect::new(10.0, 10.0, 30.0, 20.0);

    #[test]
    fn what_moved_both_alike_is_not_apart() {
        let movement = Affine::translate((5.0, 7.0)) * Affine::scale(2.0);
        let same = compared(movement, movement, FRAME);
        assert!(same.farthest.get() < 1e-9 && in_words(&same).is_empty());
    }

    #[test]
    fn size_turn_mirror_and_shift_are_told_apart() {
        // By hand: twice as large about the left top corner, the middle (20, 15) lies where (10, 7.5) belongs.
        let larger = compared(Affine::IDENTITY, Affine::scale(2.0), FRAME);
        assert!((larger.ratio - 2.0).abs() < 1e-12 && (larger.shift - Vec2::new(10.0, 7.5)).hypot() < 1e-12);
        assert!((larger.farthest.get() - 15.0_f64.hypot(10.0)).abs() < 1e-12);
        // y runs down, so a positive angle turns with the clock.
        let turned = compared(Affine::IDENTITY, Affine::rotate(std::f64::consts::FRAC_PI_2), FRAME);
        assert!((turned.turn - 90.0).abs() < 1e-9 && (turned.ratio - 1.0).abs() < 1e-12);
        assert!(compared(Affine::IDENTITY, Affine::FLIP_X, FRAME).is_mirrored);
        let moved = compared(Affine::IDENTITY, Affine::translate((0.0, -3.0)), FRAME);
        assert_eq!(in_words(&moved), "its middle 3 mm up of where it belongs");
    }

    #[test]
    fn pages_beside_each_other_are_meant() {
        let beside = |dx: f64| {
            let apart = compared(Affine::IDENTITY, Affine::translate((dx, 0.0)), FRAME + Vec2::new(dx, 0.0));
            lies_beside(&apart, FRAME, FRAME + Vec2::new(dx, 0.0))
        };
        assert!(beside(20.0) && beside(-35.0) && !beside(6.0));
    }
}
