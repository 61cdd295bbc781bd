//! The geometry kernel raced against two reference libraries: one row for each figure it has to reach.
//!
//! `cargo bench` prints the table; `cargo bench -- offset` only the rows that name the word. Both sides of a row
//! run in this one process on the same input, in turns, and what counts is the ratio of their processor times:
//! a shared machine spoils times, but both sides alike. `KERFBOOK_CORPORA` names the folder with the large sets
//! of artwork; without it the rows run on the hundred outlines of the tests.

mod inputs;
mod lines;
mod measuring;
mod offset;
mod overlay;
mod race;
mod references;
mod table;

use table::Table;

fn main() {
    if offset::is_child() {
        return;
    }
    let words: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    println!("GEOS {}, Clipper2 2.0.1 (scaled by 10 000)", geos::version().expect("a version"));
    println!("{} shapes of artwork", inputs::artwork().len());
    let mut table = Table::new(words);
    overlay::rows(&mut table);
    offset::rows(&mut table);
    lines::rows(&mut table);
    measuring::rows(&mut table);
}
