//! The commands that make the test cards which a job lacks.

use super::setting::Bench;
use crate::shop::OperationKind;

/// The command for a card of speeds and powers, in quotation marks.
pub(super) fn settings_card(bench: &Bench, operation: OperationKind) -> String {
    format!("`kerfbook card settings --operation {operation} {}`", on(bench))
}

/// The command for a card of shades, in quotation marks.
pub(super) fn shade_card(bench: &Bench) -> String {
    format!("`kerfbook card shade {}`", on(bench))
}

/// The command for a card of shades that is burned with a setting, in quotation marks.
pub(super) fn shade_card_with(setting: &str, bench: &Bench) -> String {
    format!("`kerfbook card shade {} --setting {}`", on(bench), shell_word(setting))
}

fn on(bench: &Bench) -> String {
    let sources = bench.sources;
    let file = &sources.get(sources.entrance(bench.stock.span.source)).name;
    let [file, machine, stock] = [file, &bench.machine.name, &bench.stock.name].map(|word| shell_word(word));
    format!("--shop {file} --machine {machine} --stock {stock}")
}

/// A word as it is typed into a shell: in quotes where it holds anything that a shell reads itself.
fn shell_word(word: &str) -> String {
    let is_plain = |c: char| c.is_alphanumeric() || matches!(c, '.' | '_' | '-' | '/');
    if !word.is_empty() && word.chars().all(is_plain) {
        return word.to_owned();
    }
    format!("'{}'", word.replace('\'', "'\\''"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shell_reads_words_as_they_are_meant() {
        assert_eq!(shell_word("shops/bench-2.shop.kdl"), "shops/bench-2.shop.kdl");
        assert_eq!(shell_word("long bench"), "'long bench'");
        assert_eq!(shell_word("maker's"), "'maker'\\''s'");
    }
}
