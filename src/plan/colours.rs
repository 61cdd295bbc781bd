//! Stroke colours.

use crate::shop::{Machine, OperationKind};

/// The colour-blind-safe palette of Okabe and Ito ("Color Universal Design", 2008; values from memory), the pale yellow
/// last because it is hard to see on white paper.
const PALETTE: [&str; 8] =
    ["#000000", "#d55e00", "#0072b2", "#009e73", "#cc79a7", "#e69f00", "#56b4e9", "#f0e442"];

/// The colour of the operation at a place in its run (from 0): the shop's, if it pins one for this kind.
///
/// Colours tell operations apart by their order only; a colour means nothing by itself.
pub fn colour(machine: &Machine, kind: OperationKind, index: usize) -> String {
    machine.colours.get(&kind).cloned().unwrap_or_else(|| PALETTE[index % PALETTE.len()].to_owned())
}
