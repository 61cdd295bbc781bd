//! Seams, backs and trays: what leaves the plan is what comes out of the sheet.

mod back;
mod order;
mod per_piece;
mod traced;

use kerfbook::driver::{Build, Request, build, compile};
use kerfbook::figures::Cache;
use kerfbook::plan::{Burn, Operation, Plan};
use kerfbook::source::MemoryFiles;
use kurbo::BezPath;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// The kerf of the stock in the invented workshop.
const KERF: f64 = 0.16;

fn files(body: &str) -> (MemoryFiles, Request) {
    let mut files = MemoryFiles::default();
    files.insert("bench.shop.kdl", std::fs::read("tests/cases/shared/bench.shop.kdl").unwrap());
    let head = "/- kdl-version 2\nrecipe \"Tray\" language=1\nuse \"bench.shop.kdl\"\nmachine \"bench-diode\"\n\
        stock \"alder-3\"\n";
    files.insert("tray.recipe.kdl", format!("{head}{body}").into_bytes());
    (files, Request { recipe: PathBuf::from("tray.recipe.kdl"), ..Request::default() })
}

fn compiled(body: &str) -> Build {
    let (files, request) = files(body);
    compile(&request, &files, &Cache::default())
}

fn plan(body: &str) -> Plan {
    let build = compiled(body);
    let said: Vec<String> = build.findings.iter().map(|d| format!("{}: {}", d.finding.rule, d.message)).collect();
    build.plan.unwrap_or_else(|| panic!("{said:#?}"))
}

/// The files of a build that raises no finding but advice.
fn made(body: &str) -> BTreeMap<String, Vec<u8>> {
    let (files, request) = files(body);
    let (build, made) = build(&request, &files, &Cache::default());
    let said: Vec<&str> = build.findings.iter().map(|d| d.finding.rule).collect();
    assert!(said.is_empty(), "{said:?}");
    made.unwrap().unwrap().into_iter().map(|f| (f.path, f.bytes)).collect()
}

fn lines(operation: &Operation) -> &[BezPath] {
    let Burn::Lines(lines) = &operation.burn else { panic!("lines") };
    lines
}
