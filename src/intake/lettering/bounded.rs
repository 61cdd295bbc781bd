//! Drawing a text within a limit of time, whatever the font does.

use super::error::{FontProblem, LetteringError};
use super::{Drawn, LetteringRequest, draw};
use crate::intake::budget::{self, Failure};
use std::time::Duration;

/// A request that owns what it needs, because the thread it goes to may have to be abandoned.
struct Owned {
    text: String,
    font: Vec<u8>,
    font_file: String,
}

/// Draws the text on another thread and waits for it.
pub(super) fn run(request: &LetteringRequest) -> Result<Drawn, LetteringError> {
    run_within(request, budget::BUDGET)
}

fn run_within(request: &LetteringRequest, limit: Duration) -> Result<Drawn, LetteringError> {
    let owned = Owned {
        text: request.text.to_owned(),
        font: request.font.to_vec(),
        font_file: request.font_file.to_owned(),
    };
    let rest = LetteringRequest { text: "", font: &[], font_file: "", ..*request };
    let work = move || {
        let request =
            LetteringRequest { text: &owned.text, font: &owned.font, font_file: &owned.font_file, ..rest };
        draw(&request)
    };
    let file = request.font_file.to_owned();
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
            font: include_bytes!("../../../tests/fixtures/lettering/charstring-bomb.otf"),
            font_file: "endless.otf",
            size: LetteringSize::Height(Mm::new(10.0)),
            tracking: Mm::ZERO,
            arc: None,
            align: Align::Left,
            line_spacing: Percent::new(120.0),
        };
        let found = run_within(&request, Duration::from_millis(300)).err();
        assert_eq!(found, Some(LetteringError::TookTooLong { file: "endless.otf".to_owned() }));
    }
}
