//! The descriptions of the language: their examples decode, and the files made from them are fresh.

mod examples;

use kerfbook::journal::JOURNAL_FILE;
use kerfbook::recipe::{RECIPE_FILE, ROOTS};
use kerfbook::schema::{language_json, reference_page};
use kerfbook::shop::SHOP_FILE;
use std::fmt::Write;
use std::fs;

/// Compares a file in `schema/` with what it is made from, or writes it when asked to.
fn is_fresh(file: &str, made: &str) {
    let path = format!("schema/{file}");
    if std::env::var_os("UPDATE").is_some() {
        fs::write(&path, made).unwrap();
    }
    let kept = fs::read_to_string(&path).unwrap_or_default().replace('\r', "");
    assert!(kept == made, "{path} is stale: run `UPDATE=1 cargo test schema` and commit it");
}

#[test]
fn the_languages_are_written_down_for_programs() {
    is_fresh("recipe.json", &language_json("The recipe language", &[&RECIPE_FILE]));
    is_fresh("shop.json", &language_json("The language of shop files", &[&SHOP_FILE]));
    is_fresh("journal.json", &language_json("The language of journals", &[&JOURNAL_FILE]));
    for file in ["recipe.json", "shop.json", "journal.json"] {
        let text = fs::read_to_string(format!("schema/{file}")).unwrap();
        serde_json::from_str::<serde_json::Value>(&text).unwrap();
    }
}

#[test]
fn the_language_is_written_down_for_people() {
    is_fresh("reference.md", &reference_page("The words of recipes and shop files", &ROOTS));
}

#[test]
fn the_rules_are_written_down() {
    is_fresh("rules.md", &rules_page());
}

/// All rules on one page, area by area.
fn rules_page() -> String {
    let mut rules = kerfbook::rules::all();
    rules.sort_by_key(|r| r.rule);
    let mut page = String::from("# Rules\n\nMade from the rules in the source; do not edit.\n");
    for rule in rules {
        let _ =
            write!(page, "\n## {}\n\n**{}**: {}.\n\n{}\n", rule.rule, rule.severity, rule.title, rule.explanation);
        let _ = write!(
            page,
            "\nRaises it:\n\n```kdl\n{}\n```\n\nMended:\n\n```kdl\n{}\n```\n",
            rule.wrong, rule.right
        );
    }
    page
}
