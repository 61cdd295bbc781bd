//! Pictures that lie inside a drawing, opened by a selector.

use super::artwork::selectors;
use crate::diagnostics::{Diagnostic, Finding, Severity, Sink, quoted_list};
use crate::intake::SvgRequest;
use crate::intake::svg::embedded_pictures;
use crate::schema::TextValue;
use crate::source::FileBytes;
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

/// The picture that `element` finds in the drawing `file`, as if it were a file of its own.
pub(super) fn picture_in(
    file: &FileBytes,
    name: &TextValue,
    element: &TextValue,
    sink: &mut Sink,
) -> Option<FileBytes> {
    let take = selectors(std::slice::from_ref(element), sink)?;
    let request = SvgRequest { take: &take, ..SvgRequest::new(&name.text, &file.bytes, name.span) };
    let found = embedded_pictures(&request);
    let why = match found.as_slice() {
        [] => format!("`{}` holds no embedded picture that `{}` finds", name.text, element.text),
        [one] => match &one.bytes {
            Ok(bytes) => {
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
