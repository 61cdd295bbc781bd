//! Drawing a text within a limit of time, whatever the font does.

use super::error::{FontProblem, LetteringError};
use super::{Drawn, LetteringRequest, draw};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

/// Ten seconds: a page of an ornate face takes well under one.
const LIMIT: Duration = Duration::from_secs(10);

/// Enough for the deepest composition and charstring nesting that the font reader follows.
const STACK: usize = 8 << 20;

/// A request that owns what it needs, because the thread it goes to may have to be abandoned.
struct Owned {
    text: String,
    font: Vec<u8>,
    font_file: String,
}

/// Draws the text on another thread and waits for it.
///
/// A thread cannot be stopped from outside; one that does not finish is left to itself, and ends with the
/// process.
pub(super) fn run(request: &LetteringRequest) -> Result<Drawn, LetteringError> {
    run_within(request, LIMIT)
}

fn run_within(request: &LetteringRequest, limit: Duration) -> Result<Drawn, LetteringError> {
    let owned = Owned {
        text: request.text.to_owned(),
        font: request.font.to_vec(),
        font_file: request.font_file.to_owned(),
    };
    let rest = LetteringRequest { text: "", font: &[], font_file: "", ..*request };
    let (sender, receiver) = channel();
    let work = move || {
        let request =
            LetteringRequest { text: &owned.text, font: &owned.font, font_file: &owned.font_file, ..rest };
        // The receiver is gone only after the limit, when nobody wants the answer any more.
        let _ = sender.send(draw(&request));
    };
    let file = request.font_file.to_owned();
    if std::thread::Builder::new().stack_size(STACK).spawn(work).is_err() {
        return Err(LetteringError::Font { file, problem: FontProblem::Unreadable });
    }
    match receiver.recv_timeout(limit) {
        Ok(result) => result,
        Err(RecvTimeoutError::Timeout) => Err(LetteringError::TookTooLong { file }),
        // The thread died: a fault of the reader that this font found.
        Err(RecvTimeoutError::Disconnected) => {
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
