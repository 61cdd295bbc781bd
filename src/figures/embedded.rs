//! Pictures that lie inside a drawing, opened by a selector.

use super::artwork::selectors;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, quoted_list};
use crate::intake::SvgRequest;
use crate::intake::picture::{AN_SVG, Format};
use crate::intake::svg::{EmbeddedPicture, embedded_pictures};
use crate::recipe::Figure;
use crate::schema::TextValue;
use crate::source::FileBytes;
use crate::units::number::fixed;
use kurbo::Affine;
use std::sync::Arc;

pub(super) static NO_EMBEDDED_PICTURE: Finding = Finding {
    rule: "photo/no-embedded-picture",
    severity: Severity::Error,
    title: "a photo names no one picture inside a drawing",
    explanation: "With `element`, a photo is taken out of an SVG: the selector has to find exactly one picture that is embedded \
        in it, whole and readable. `inspect` lists the pictures that a drawing holds.",
    wrong: "photo \"pond\" file=\"art/card.svg\" element=\"image\" { size width=\"80 mm\" }",
    right: "photo \"pond\" file=\"art/card.svg\" element=\"#pond\" { size width=\"80 mm\" }",
};

pub(super) static PLACED_OTHERWISE: Finding = Finding {
    rule: "photo/placed-otherwise",
    severity: Severity::Warning,
    title: "a picture lies turned or mirrored in the drawing it is taken from",
    explanation: "With `element`, a photo is the picture as its pixels are stored. How the drawing turns, mirrors or stretches it \
        is not taken over: say it in the recipe. With a `turn`, a `mirror` or a stretched `size` of its own nothing is said.",
    wrong: "photo \"pond\" file=\"art/card.svg\" element=\"#tilted\" { size width=\"80 mm\" }",
    right: "photo \"pond\" file=\"art/card.svg\" element=\"#tilted\" { size width=\"80 mm\"; turn right=\"30 deg\" }",
};

/// Whether a file is a drawing, which holds pictures at most.
pub(super) fn is_drawing(bytes: &[u8]) -> bool {
    matches!(Format::of(bytes), Format::Other(AN_SVG))
}

/// The finding for a photo that names a drawing and none of the pictures in it.
pub(super) fn which_picture(file: &FileBytes, name: &TextValue) -> Diagnostic {
    let found = embedded_pictures(&SvgRequest::new(&name.text, &file.bytes, name.span));
    let diagnostic =
        Diagnostic::new(&NO_EMBEDDED_PICTURE, format!("`{}` is a drawing, and no picture", name.text))
            .because("the photo is missing from the piece");
    let selector =
        |p: &EmbeddedPicture| if p.element.starts_with('#') { p.element.clone() } else { "image".to_owned() };
    match found.as_slice() {
        [] => diagnostic
            .at(name.span, "holds no embedded picture")
            .repair("name a picture, or bring the drawing in with `artwork`"),
        [one] => diagnostic
            .at(name.span, format!("holds one picture, `{}`", one.element))
            .repair(format!("write `element=\"{}\"` to take that picture", selector(one))),
        several => {
            let names = quoted_list(several.iter().take(4).map(|p| p.element.as_str()), "and");
            diagnostic
                .at(name.span, format!("holds {} pictures: {names}", several.len()))
                .repair(format!("say which with `element=`, such as `element=\"{}\"`", selector(&several[0])))
        }
    }
}

/// The picture that `element` finds in the drawing `file`, as if it were a file of its own.
pub(super) fn picture_in(
    file: &FileBytes,
    name: &TextValue,
    element: &TextValue,
    figure: &Figure,
    sink: &mut Sink,
) -> Option<FileBytes> {
    let take = selectors(std::slice::from_ref(element), sink)?;
    let request = SvgRequest { take: &take, ..SvgRequest::new(&name.text, &file.bytes, name.span) };
    let found = embedded_pictures(&request);
    let why = match found.as_slice() {
        [] => format!("`{}` holds no embedded picture that `{}` finds", name.text, element.text),
        [one] => match &one.bytes {
            Ok(bytes) => {
                let words = one.movement.and_then(moved).filter(|_| !says_how_it_lies(figure));
                if let Some(words) = words {
                    sink.push(placed_otherwise(one, words, name, element));
                }
                let hash = format!("{} {}", file.hash, element.text);
                return Some(FileBytes { bytes: Arc::clone(bytes), hash, path: file.path.clone() });
            }
            Err(why) => format!("the picture `{}` in `{}` cannot be unpacked: {why}", one.element, name.text),
        },
        several => {
            let names = quoted_list(several.iter().take(4).map(|p| p.element.as_str()), "and");
            format!("`{}` finds {} pictures in `{}`: {names}", element.text, several.len(), name.text)
        }
    };
    sink.push(
        Diagnostic::new(&NO_EMBEDDED_PICTURE, why)
            .at(element.span, "has to find one picture")
            .also(name.span, "in this file")
            .because("the photo is missing from the piece")
            .repair(format!("look at its pictures with `kerfbook inspect {}`", name.text)),
    );
    None
}

/// Turns and proportions that differ by less (degrees, and a share) are rounding of an editor.
const SAME_ANGLE: f64 = 0.1;
const SAME_SHARE: f64 = 0.005;

/// What a drawing does to a picture, and what in a recipe does the same.
struct Moved {
    what: String,
    repair: String,
}

/// What a movement does besides shifting and scaling; `None` for nothing.
fn moved(movement: Affine) -> Option<Moved> {
    let [a, b, c, d, _, _] = movement.as_coeffs();
    let (across, down) = (a.hypot(b), c.hypot(d));
    let is_mirrored = movement.determinant() < 0.0;
    // A recipe mirrors first, left and right, and turns then.
    let sign = if is_mirrored { -1.0 } else { 1.0 };
    let turn = libm::atan2(sign * b, sign * a).to_degrees();
    let is_turned = turn.abs() > SAME_ANGLE;
    let is_stretched =
        (across / down - 1.0).abs() > SAME_SHARE || (a * c + b * d).abs() > SAME_SHARE * across * down;
    let (mut what, mut repair) = (Vec::new(), Vec::new());
    if is_mirrored {
        what.push("mirrored".to_owned());
        repair.push("`mirror \"left-right\"`".to_owned());
    }
    if is_turned {
        let way = if turn < 0.0 { "left" } else { "right" };
        let by = fixed(turn.abs(), 1);
        what.push(format!("turned {way} by {by}°"));
        repair.push(format!("`turn {way}=\"{by} deg\"`"));
    }
    if is_stretched {
        what.push("stretched or slanted".to_owned());
        repair.push("a `size` with `stretch=#true`".to_owned());
    }
    let is_moved = is_mirrored || is_turned || is_stretched;
    is_moved.then(|| Moved {
        what: what.join(" and "),
        repair: format!("write {} in the photo", repair.join(" and ")),
    })
}

fn says_how_it_lies(figure: &Figure) -> bool {
    let placing = &figure.placing;
    placing.turn.is_some() || !placing.mirror.is_empty() || placing.size.as_ref().is_some_and(|s| s.stretch)
}

fn placed_otherwise(picture: &EmbeddedPicture, moved: Moved, name: &TextValue, element: &TextValue) -> Diagnostic {
    let message =
        format!("`{}` lies {} in `{}`, and as it is stored in the photo", picture.element, moved.what, name.text);
    Diagnostic::new(&PLACED_OTHERWISE, message)
        .at(element.span, "taken as its pixels are stored")
        .because("the photo looks otherwise on the piece than in the drawing")
        .repair(moved.repair)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_drawing_does_is_said_in_words_of_the_recipe() {
        let said = |movement: Affine| moved(movement).map(|m| (m.what, m.repair));
        assert!(said(Affine::translate((3.0, 4.0)) * Affine::scale(7.0)).is_none());
        // SVG 2, 8.4: rotate(30) turns with the clock, for y runs down.
        let (what, repair) = said(Affine::rotate(30.0_f64.to_radians()) * Affine::scale(2.0)).unwrap();
        assert_eq!(
            (what.as_str(), repair.as_str()),
            ("turned right by 30°", "write `turn right=\"30 deg\"` in the photo")
        );
        assert_eq!(said(Affine::FLIP_X).unwrap().0, "mirrored");
        // Upside down is mirrored left and right and turned by half a turn.
        assert!(said(Affine::FLIP_Y).unwrap().0.starts_with("mirrored and turned"));
        assert_eq!(said(Affine::scale_non_uniform(2.0, 3.0)).unwrap().0, "stretched or slanted");
    }
}
