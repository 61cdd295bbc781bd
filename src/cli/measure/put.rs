//! From numbers to the shop file, and what is said on the way.

use super::arguments::Writing;
use crate::cli::bench::OpenShop;
use crate::cli::{MessageFormat, Outcome, print_findings_of, say};
use crate::diagnostics::Sink;
use crate::driver;
use crate::entries::{Entry, ShopText};
use crate::readings::{self, ReadingError, Row};
use crate::recipe::load_shop_text;
use crate::shop::Shop;
use crate::source::{DiskFiles, FileBytes, Files, Sources};
use crate::table::{self, Remarks};
use crate::units::number::fixed;
use crate::units::{MmPerSecond, parse_unit};
use std::path::Path;

/// What entries are written into.
pub(super) fn shop_text(open: &OpenShop) -> ShopText<'_> {
    ShopText { text: &open.sources.get(open.loaded.source).text, nodes: &open.loaded.nodes }
}

/// The readings of a table; one that cannot be read is told of and refused.
pub(super) fn of_table<T>(
    path: &Path,
    layouts: &[&[&str]],
    read: impl Fn(&Row, &[String]) -> Result<T, ReadingError>,
) -> Result<Vec<T>, Outcome> {
    let shown = path.to_string_lossy().replace('\\', "/");
    let files = DiskFiles::new(Path::new("."), &[]);
    let file = files
        .open_named(path)
        .map_err(|error| refused(crate::recipe::read_failure(&error, &shown, None).message))?;
    let (mut sources, mut sink) = (Sources::default(), Sink::new());
    let Some(table) = table::read(&file, &shown, None, Remarks::Hash, &mut sources, &mut sink) else {
        print_findings_of(&sink, &sources, MessageFormat::Human);
        return Err(Outcome::RecipeErrors);
    };
    let table = readings::Table::of(&table, &sources, layouts).map_err(refused)?;
    table.rows.iter().map(|row| read(row, &table.columns)).collect::<Result<_, _>>().map_err(refused)
}

/// A speed as it is written into a shop file, in a unit of its own.
pub(super) fn said_speed(speed: MmPerSecond, unit: &str) -> String {
    let size = parse_unit(unit).map_or(1.0, |u| u.size.0 as f64 / u.size.1 as f64);
    format!("{} {unit}", fixed(speed.get() / size, 3))
}

/// Says how the numbers came about.
pub(super) fn tell(arithmetic: &[String], warnings: &[String]) {
    let lines: String = arithmetic.iter().map(|line| format!("{line}\n")).collect();
    say(&mut std::io::stdout(), &lines);
    for warning in warnings {
        say(&mut std::io::stderr(), &format!("warning: {warning}\n"));
    }
}

/// Writes an entry, when the file that comes out is a shop file without errors which says what was measured. The shop that it
/// holds then.
pub(super) fn put(
    path: &Path,
    open: &OpenShop,
    entry: &Entry,
    holds: impl Fn(&Shop) -> bool,
    writing: &Writing,
) -> Result<Shop, Outcome> {
    let source = open.sources.get(open.loaded.source);
    let real = source.path.clone().unwrap_or_else(|| path.to_path_buf());
    let file = FileBytes { path: real.clone(), bytes: entry.text.as_bytes().into(), hash: String::new() };
    let (mut sources, mut sink) = (Sources::default(), Sink::new());
    let read_back = load_shop_text(&file, path, &open.files, &mut sources, &mut sink);
    let Some(shop) = read_back.map(|loaded| loaded.shop).filter(|shop| !sink.has_errors() && holds(shop)) else {
        print_findings_of(&sink, &sources, MessageFormat::Human);
        return Err(refused(
            "the shop file would not say what was measured, so nothing was written; write it by hand. Lines are those of \
             the file as it would be",
        ));
    };
    let changes: String = entry.changes.iter().map(|line| format!("{line}\n")).collect();
    say(&mut std::io::stdout(), &changes);
    if entry.text == *source.text {
        say(&mut std::io::stderr(), &format!("{} says so already\n", path.display()));
        return Ok(shop);
    }
    if writing.print {
        say(&mut std::io::stdout(), &difference(&source.text, &entry.text));
        return Ok(shop);
    }
    let outside = |why: String| {
        say(&mut std::io::stderr(), &format!("error: cannot write `{}`: {why}\n", path.display()));
        Outcome::OutsideFailed
    };
    let now = std::fs::read(&real).map_err(|e| outside(e.to_string()))?;
    if now != source.text.as_bytes() {
        return Err(outside("it was changed while this ran; run it again".to_owned()));
    }
    driver::write_file(&real, entry.text.as_bytes()).map_err(|e| outside(e.to_string()))?;
    say(&mut std::io::stderr(), &format!("wrote {}\n", path.display()));
    Ok(shop)
}

/// The lines that differ, old ones after `-`, new ones after `+`.
fn difference(old: &str, new: &str) -> String {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    let before = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let rest = old.len().min(new.len()) - before;
    let after = old.iter().rev().zip(new.iter().rev()).take(rest).take_while(|(a, b)| a == b).count();
    let marked = |sign: char, lines: &[&str]| lines.iter().map(|l| format!("{sign} {l}\n")).collect::<String>();
    let line = format!("line {}:\n", before + 1);
    line + &marked('-', &old[before..old.len() - after]) + &marked('+', &new[before..new.len() - after])
}

/// Says why nothing was written.
pub(super) fn refused(error: impl std::fmt::Display) -> Outcome {
    say(&mut std::io::stderr(), &format!("error: {error}\n"));
    Outcome::RecipeErrors
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_lines_that_differ_are_shown() {
        assert_eq!(difference("a\nb\nc\n", "a\nx\nc\n"), "line 2:\n- b\n+ x\n");
        assert_eq!(difference("a\nc\n", "a\nb\nc\n"), "line 2:\n+ b\n");
        assert_eq!(difference("a\na\n", "a\na\na\n"), "line 3:\n+ a\n");
    }
}
