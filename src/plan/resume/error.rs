//! Why nothing can be made of what was asked for.

use crate::diagnostics::{near_names, quoted_list};
use crate::plan::Plan;
use crate::units::Mm;
use std::fmt;

/// Why a remainder cannot be made.
#[derive(Clone, Debug, PartialEq)]
pub enum ResumeError {
    /// There is no run of that name.
    NoRun {
        /// What was asked for.
        name: String,
        /// The names of the runs, those that are spelt alike first.
        runs: Vec<String>,
    },
    /// A run has no such operation, or that one is not burned.
    NoOperation {
        /// The run.
        run: String,
        /// What was asked for.
        number: usize,
        /// The numbers of those that are burned.
        burned: Vec<usize>,
    },
    /// A stroke number that the run does not have.
    NoStroke {
        /// The run.
        run: String,
        /// What was asked for.
        number: usize,
        /// The number of its last stroke.
        last: usize,
    },
    /// The last stroke is burned already.
    AllBurned {
        /// The run.
        run: String,
        /// The number of its last stroke.
        last: usize,
    },
    /// The rows of which engraving are meant is not clear.
    WhichEngraving {
        /// The run.
        run: String,
        /// The numbers of its engravings.
        engravings: Vec<usize>,
    },
    /// The rows asked for lie above or below the engraving.
    NoRow {
        /// How far from the top edge of the page was asked for.
        from_top: Mm,
        /// Where the engraving begins.
        first: Mm,
        /// Where it ends.
        last: Mm,
    },
    /// There is no puzzle whose pieces could be named.
    NoPuzzle,
    /// There is no piece of that number.
    NoPiece {
        /// What was asked for.
        number: usize,
        /// How many there are.
        pieces: usize,
    },
    /// A piece does not come free in the run.
    NotFreed {
        /// The run.
        run: String,
        /// The number of the piece.
        piece: usize,
    },
    /// A piece comes free with the last stroke of the run only.
    FreedLast {
        /// The run.
        run: String,
        /// The number of the piece.
        piece: usize,
        /// The number of the last stroke.
        last: usize,
    },
    /// Nothing of the run lies in what was asked for.
    Nothing {
        /// The run.
        run: String,
    },
}

impl ResumeError {
    /// No run of a name, with the names that there are.
    pub(super) fn no_run(name: &str, plan: &Plan) -> Self {
        let near = near_names(name, plan.runs.iter().map(|r| r.name.as_str()));
        let runs = if near.is_empty() { plan.runs.iter().map(|r| r.name.as_str()).collect() } else { near };
        Self::NoRun { name: name.to_owned(), runs: runs.into_iter().map(str::to_owned).collect() }
    }
}

impl fmt::Display for ResumeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let listed = |numbers: &[usize]| numbers.iter().map(usize::to_string).collect::<Vec<_>>().join(", ");
        match self {
            Self::NoRun { name, runs } => {
                let known = quoted_list(runs.iter().map(String::as_str), "and");
                write!(f, "there is no run `{name}`; there is {known}")
            }
            Self::NoOperation { run, number, burned } => {
                write!(f, "run `{run}` burns no operation {number}; its operations are {}", listed(burned))
            }
            Self::NoStroke { run, number, last } => {
                write!(
                    f,
                    "run `{run}` has no stroke {number}: its strokes are 1 to {last}, as the job sheet counts them"
                )
            }
            Self::AllBurned { run, last } => {
                write!(f, "nothing of run `{run}` is left after stroke {last}, which is its last")
            }
            Self::WhichEngraving { run, engravings } if engravings.is_empty() => {
                write!(f, "run `{run}` engraves nothing, so it has no rows")
            }
            Self::WhichEngraving { run, engravings } => write!(
                f,
                "run `{run}` has several engravings; add `--operation` with the number of the one that stopped: {}",
                listed(engravings)
            ),
            Self::NoRow { from_top, first, last } => write!(
                f,
                "the engraving lies from {first} to {last} below the top edge of the page; at {from_top} it has not begun, or \
                 is done"
            ),
            Self::NoPuzzle => f.write_str("the recipe has no puzzle, so there are no pieces"),
            Self::NoPiece { number, pieces } => {
                write!(
                    f,
                    "there is no piece {number}: the pieces are 1 to {pieces}, as the puzzle key numbers them"
                )
            }
            Self::NotFreed { run, piece } => write!(
                f,
                "piece {piece} does not come free in run `{run}`: something holds it that the run does not cut"
            ),
            Self::FreedLast { run, piece, last } => write!(
                f,
                "piece {piece} comes free with stroke {last}, the last of run `{run}`, so nothing is left after it; where it \
                 still hangs on, `--pieces {piece}` cuts round it once more"
            ),
            Self::Nothing { run } => {
                write!(
                    f,
                    "nothing of run `{run}` lies there; name its operation with `--operation` where it is no cut"
                )
            }
        }
    }
}

impl std::error::Error for ResumeError {}
