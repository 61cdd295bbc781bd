//! Stroke colours.

use super::model::{Operation, Run};
use crate::shop::Machine;
use std::collections::BTreeMap;

/// The colour-blind-safe palette of Okabe and Ito ("Color Universal Design", 2008; values from memory), the pale yellow
/// last because it is hard to see on white paper.
const PALETTE: [&str; 8] =
    ["#000000", "#d55e00", "#0072b2", "#009e73", "#cc79a7", "#e69f00", "#56b4e9", "#f0e442"];

/// Gives every operation of a job its colour: the shop's, if it pins one for this kind, else one that no other
/// operation of the job has.
///
/// Programs that read the files may keep numbers by colour from one file to the next, so only what burns the same
/// figures with the same numbers has the same colour in two runs. A colour means nothing by itself.
pub fn paint(runs: &mut [Run], machine: &Machine) {
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for operation in runs.iter_mut().flat_map(|r| &mut r.operations) {
        let next = known.len();
        let index = *known.entry(what_and_how(operation)).or_insert(next);
        // A card burns one kind of operation with many numbers: one pinned colour would set them all alike.
        let pinned = machine.colours.get(&operation.kind).filter(|_| !is_trial(operation));
        operation.colour = pinned.cloned().unwrap_or_else(|| free(index));
    }
}

/// What an operation burns and with which numbers, as a key.
fn what_and_how(operation: &Operation) -> String {
    format!("{} {:?} {:?}", operation.kind, operation.figures, operation.setting)
}

fn is_trial(operation: &Operation) -> bool {
    operation.setting.as_ref().is_some_and(|s| s.is_trial)
}

fn free(index: usize) -> String {
    PALETTE.get(index).map_or_else(|| further(index), |c| (*c).to_owned())
}

/// A colour beyond the palette: channels stepped through so that thousands of numbers give as many colours, none of
/// them pale.
fn further(index: usize) -> String {
    // 97, 57 and 23 have no factor in common with the 192 steps of a channel.
    let channel = |step: usize| (index * step) % 192;
    format!("#{:02x}{:02x}{:02x}", channel(97), channel(57), (index / 192 + index * 23) % 192)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn ten_thousand_operations_have_as_many_colours() {
        let all: BTreeSet<String> = (8..10_008).map(further).collect();
        assert_eq!(all.len(), 10_000);
        assert!(PALETTE.iter().all(|c| !all.contains(*c)));
    }
}
