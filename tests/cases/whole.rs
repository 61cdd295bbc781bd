//! What no small file can hold: made here, in a folder for the time of the test.

use kerfbook::driver::{Build, Request, compile};
use kerfbook::figures::Cache;
use kerfbook::source::DiskFiles;
use std::fs;

fn compile_text(text: &[u8]) -> Build {
    let folder = tempfile::tempdir().unwrap();
    let recipe = folder.path().join("case.recipe.kdl");
    fs::write(&recipe, text).unwrap();
    compile(&Request { recipe, ..Request::default() }, &DiskFiles::new(folder.path(), &[]), &Cache::default())
}

fn rules(build: &Build) -> Vec<&str> {
    build.findings.iter().map(|d| d.finding.rule).collect()
}

#[test]
fn a_text_of_megabytes_is_refused() {
    let text = "// reeds\n".repeat(kerfbook::syntax::MAX_TEXT_BYTES / 9 + 1);
    assert_eq!(rules(&compile_text(text.as_bytes())), ["syntax/text-too-large"]);
}
