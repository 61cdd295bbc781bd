//! File names and element ids, made from names that a maker may spell in any script.

use crate::plan::{Operation, Plan, Run};

/// Longest part of a file name that is taken from a maker's name, in bytes: two of them and the numbers
/// stay far below the 255 bytes that common file systems allow.
const LONGEST: usize = 80;

/// The file of a run: `01-picture.svg`.
pub fn run_file(plan: &Plan, run: &Run) -> String {
    format!("{}-{}.svg", numbered(run.number, plan.runs.len()), plain(&run.name))
}

/// The file of one operation alone: `layers/01-02-score-halo.svg`.
pub fn layer_file(plan: &Plan, run: &Run, operation: &Operation) -> String {
    let run_number = numbered(run.number, plan.runs.len());
    let number = numbered(operation.number, run.operations.len());
    format!("layers/{run_number}-{number}-{}-{}.svg", operation.kind, plain(&operation.name))
}

/// The picture of a photo's dots, beside its layer: `layers/01-01-engrave-portrait.png`.
pub fn picture_file(plan: &Plan, run: &Run, operation: &Operation) -> String {
    let layer = layer_file(plan, run, operation);
    format!("{}.png", layer.strip_suffix(".svg").unwrap_or(&layer))
}

/// The picture of what was found in an artwork: `findings/heron.svg`; of figures with like names with a number behind.
pub(super) fn findings_file(figure: &str, number: usize) -> String {
    let more = if number == 1 { String::new() } else { format!("-{number}") };
    format!("findings/{}{more}.svg", plain(figure))
}

/// The id of an operation's group: an XML name, unique in its run because of the number in it.
pub(super) fn group_id(operation: &Operation) -> String {
    format!("{}-{:02}-{}", operation.kind, operation.number, plain(&operation.name))
}

/// A number with leading zeros, so that files sort in the order of the work.
fn numbered(number: usize, of: usize) -> String {
    let width = of.max(10).to_string().len();
    format!("{number:0width$}")
}

/// A name reduced to letters and digits of any script, joined by hyphens.
///
/// What is kept may stand in a file name on every system and in an XML name.
fn plain(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars() {
        if c.is_alphanumeric() && is_name_character(c) {
            out.push(c);
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
        if out.len() > LONGEST {
            break;
        }
    }
    let kept = out.trim_end_matches('-');
    if kept.is_empty() { "unnamed".to_owned() } else { kept.to_owned() }
}

/// Whether XML 1.0 (fifth edition, production `NameChar`, from memory) lets `c` stand inside a name.
fn is_name_character(c: char) -> bool {
    matches!(c,
        'A'..='Z' | 'a'..='z' | '0'..='9' | '_' | '-' | '.' | '\u{b7}'
        | '\u{c0}'..='\u{d6}' | '\u{d8}'..='\u{f6}' | '\u{f8}'..='\u{37d}' | '\u{37f}'..='\u{1fff}'
        | '\u{200c}'..='\u{200d}' | '\u{203f}'..='\u{2040}' | '\u{2070}'..='\u{218f}'
        | '\u{2c00}'..='\u{2fef}' | '\u{3001}'..='\u{d7ff}' | '\u{f900}'..='\u{fdcf}'
        | '\u{fdf0}'..='\u{fffd}' | '\u{10000}'..='\u{effff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_any_kind_become_safe() {
        assert_eq!(plain("heron & pond"), "heron-pond");
        assert_eq!(plain("../../etc/passwd"), "etc-passwd");
        assert_eq!(plain("Reiher im Röhricht"), "Reiher-im-Röhricht");
        assert_eq!(plain("鷺²"), "鷺");
        assert_eq!(plain("\u{0}\"'<>"), "unnamed");
        assert!(plain(&"長".repeat(400)).len() <= LONGEST + 3);
    }

    #[test]
    fn numbers_sort_as_text_however_many_there_are() {
        assert_eq!(numbered(3, 5), "03");
        assert_eq!(numbered(3, 1200), "0003");
    }
}
