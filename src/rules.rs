//! The list of all rules: what `explain`, `allow` and the tests go through.

use crate::diagnostics::Finding;
use crate::{checks, figures, intake, journal, mending, plan, recipe, schema, shop, syntax, table};

/// All rules, floor by floor.
pub fn all() -> Vec<&'static Finding> {
    let floors: [&[&'static Finding]; 13] = [
        syntax::RULES,
        table::RULES,
        schema::RULES,
        shop::RULES,
        mending::RULES,
        journal::RULES,
        recipe::RULES,
        intake::svg::RULES,
        intake::picture::RULES,
        figures::RULES,
        figures::TRACE_RULES,
        plan::RULES,
        checks::RULES,
    ];
    floors.concat()
}

/// The rule of a name.
pub fn find(name: &str) -> Option<&'static Finding> {
    all().into_iter().find(|f| f.rule == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_shaped_alike() {
        let mut names: Vec<&str> = all().iter().map(|f| f.rule).collect();
        let is_word = |w: &str| !w.is_empty() && w.chars().all(|c| c.is_ascii_lowercase() || c == '-');
        for name in &names {
            assert!(name.split_once('/').is_some_and(|(area, what)| is_word(area) && is_word(what)), "{name}");
        }
        names.sort_unstable();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count);
    }

    #[test]
    fn every_rule_explains_itself() {
        for rule in all() {
            for text in [rule.title, rule.explanation, rule.wrong, rule.right] {
                assert!(!text.trim().is_empty(), "{}", rule.rule);
            }
        }
    }
}
