//! Drawing a text within a limit of time, whatever the font does.

use super::error::{FontProblem, LetteringError};
use super::track::Along;
use super::typeface::{AxisSetting, FeatureSetting, FontFile, Typeface};
use super::{Drawn, LetteringRequest, draw};
use crate::intake::budget::{self, Failure};
use std::time::Duration;

/// A request that owns what it needs, because the thread it goes to may have to be abandoned.
struct Owned {
    text: String,
    font: Option<OwnedFont>,
    fallbacks: Vec<OwnedFont>,
    axes: Vec<AxisSetting>,
    features: Vec<FeatureSetting>,
    along: Option<Along>,
}

struct OwnedFont {
    bytes: Vec<u8>,
    name: String,
    face: u32,
}

impl OwnedFont {
    fn of(file: &FontFile) -> Self {
        Self { bytes: file.bytes.to_vec(), name: file.name.to_owned(), face: file.face }
    }

    fn lent(&self) -> FontFile<'_> {
        FontFile { bytes: &self.bytes, name: &self.name, face: self.face }
    }
}

impl Owned {
    fn of(request: &LetteringRequest) -> Self {
        let font = match &request.typeface {
            Typeface::Font(file) => Some(OwnedFont::of(file)),
            Typeface::Strokes(_) => None,
        };
        Self {
            text: request.text.to_owned(),
            font,
            fallbacks: request.fallbacks.iter().map(OwnedFont::of).collect(),
            axes: request.axes.to_vec(),
            features: request.features.to_vec(),
            along: request.along.cloned(),
        }
    }
}

/// Draws the text on another thread and waits for it.
pub(super) fn run(request: &LetteringRequest) -> Result<Drawn, LetteringError> {
    match &request.typeface {
        Typeface::Font(file) => run_within(request, file.name, budget::BUDGET),
        // The strokes are our own and end.
        Typeface::Strokes(_) => draw(request),
    }
}

fn run_within(request: &LetteringRequest, font: &str, limit: Duration) -> Result<Drawn, LetteringError> {
    let owned = Owned::of(request);
    let (size, tracking, arc) = (request.size, request.tracking, request.arc);
    let (align, line_spacing) = (request.align, request.line_spacing);
    let work = move || {
        let Some(font) = &owned.font else { return Err(LetteringError::NothingToSet) };
        let fallbacks: Vec<FontFile> = owned.fallbacks.iter().map(OwnedFont::lent).collect();
        draw(&LetteringRequest {
            text: &owned.text,
            typeface: Typeface::Font(font.lent()),
            fallbacks: &fallbacks,
            axes: &owned.axes,
            features: &owned.features,
            size,
            tracking,
            arc,
            along: owned.along.as_ref(),
            align,
            line_spacing,
        })
    };
    let file = font.to_owned();
    match budget::run(limit, work) {
        Ok(result) => result,
        Err(Failure::TooSlow) => Err(LetteringError::TookTooLong { file }),
        // The thread died: a fault of the reader that this font found.
        Err(Failure::Panicked | Failure::NoThread) => {
            Err(LetteringError::Font { file, problem: FontProblem::Unreadable })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::lettering::{Align, LetteringSize};
    use crate::units::{Mm, Percent};

    /// The `H` of this font calls subroutines, sixty each, eight deep: 10^14 strokes.
    #[test]
    fn an_outline_without_end_is_given_up() {
        let request = LetteringRequest {
            text: "H",
            typeface: Typeface::Font(FontFile {
                bytes: include_bytes!("../../../tests/fixtures/lettering/charstring-bomb.otf"),
                name: "endless.otf",
                face: 1,
            }),
            fallbacks: &[],
            axes: &[],
            features: &[],
            size: LetteringSize::Height(Mm::new(10.0)),
            tracking: Mm::ZERO,
            arc: None,
            along: None,
            align: Align::Left,
            line_spacing: Percent::new(120.0),
        };
        let found = run_within(&request, "endless.otf", Duration::from_millis(300)).err();
        assert_eq!(found, Some(LetteringError::TookTooLong { file: "endless.otf".to_owned() }));
    }
}
