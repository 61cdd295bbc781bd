//! The resolved job.

mod model;

pub use model::{
    Accepted, Burn, FigureUsed, FileUsed, InputUsed, Operation, Piece, Plan, Puzzle, ResolvedSetting, Run, Sheet,
};
