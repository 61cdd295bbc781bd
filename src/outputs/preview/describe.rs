//! The pictures in words, for those who cannot see them.

use super::{further_sides, layers, pieces};
use crate::plan::{Laid, Lay, Operation, Plan};
use crate::shop::OperationKind;
use crate::units::number::fixed;
use std::collections::BTreeSet;
use std::fmt::Write;

/// Names that are told of each kind of operation, and characters of each.
const MOST_NAMES: usize = 6;
const MOST_LETTERS: usize = 40;

/// Every picture of a job: the name of its file, and what it shows.
pub(crate) fn pictures(plan: &Plan) -> Vec<(String, String)> {
    let front = std::iter::once(("preview.png".to_owned(), described(plan, Lay::default())));
    let sides = further_sides(plan).into_iter().map(|(side, file)| (file, described(plan, side)));
    let tray = layers::in_tray(plan).map(|_| {
        ("preview-tray.png".to_owned(), "The finished piece laid into its tray, seen from above.".to_owned())
    });
    let apart = pieces::pulled_apart(plan).map(|puzzle| {
        let words = format!("The {} pieces of the puzzle pulled apart, seen from above.", puzzle.pieces.len());
        ("pieces.png".to_owned(), words)
    });
    front.chain(sides).chain(tray).chain(apart).collect()
}

/// A side in a few sentences: what it is, what it is made of, how large it is, what is burned on it.
fn described(plan: &Plan, side: Lay) -> String {
    let what = match (side.on, side.turned) {
        (Laid::Sheet(1), None) => "The finished piece".to_owned(),
        (Laid::Sheet(1), Some(_)) => "The back of the finished piece".to_owned(),
        (Laid::Sheet(number), None) => format!("What is cut from sheet {number}"),
        (Laid::Sheet(number), Some(_)) => format!("The back of what is cut from sheet {number}"),
        (Laid::Scrap, _) => "What is cut from scrap".to_owned(),
    };
    let size = layers::size(plan, side);
    let (width, height) = (fixed(size.width, 0), fixed(size.height, 0));
    let material = short(if plan.stock.material.is_empty() { &plan.stock.name } else { &plan.stock.material });
    let mut text = format!("{what}, {width} by {height} mm of {material}, seen from above.");
    for (kind, verb) in
        [(OperationKind::Engrave, "Engraved"), (OperationKind::Score, "Scored"), (OperationKind::Cut, "Cut")]
    {
        let operations = plan.on_side(side).map(|(_, operation)| operation).filter(|o| o.kind == kind);
        if let Some(names) = names(operations) {
            let _ = write!(text, " {verb}: {names}.");
        }
    }
    text
}

/// The figures of operations, each once; `None` where there are none.
fn names<'a>(operations: impl Iterator<Item = &'a Operation>) -> Option<String> {
    let mut seen = BTreeSet::new();
    let all: Vec<&str> =
        operations.flat_map(|o| &o.figures).map(String::as_str).filter(|name| seen.insert(*name)).collect();
    let told: Vec<String> = all.iter().take(MOST_NAMES).map(|name| short(name)).collect();
    let rest = all.len() - told.len();
    let more = if rest > 0 { format!(" and {rest} more") } else { String::new() };
    (!told.is_empty()).then(|| format!("{}{more}", told.join(", ")))
}

fn short(name: &str) -> String {
    let kept: String = name.chars().take(MOST_LETTERS).collect();
    if kept.len() == name.len() { kept } else { format!("{kept}…") }
}
