//! Papers as other people's readers see them: tagged as the standard says, in reading order, in every script.
//!
//! The structure is read object by object here, and as text by poppler; where that is not installed, a test says so and passes.

mod scripts;
pub mod tagged;

use crate::job_sheet::printed::{Printed, flat};

/// The text of a file in the order of its structure, by poppler, without the names of the elements; nothing where poppler is
/// not installed.
pub fn read_aloud(bytes: &[u8]) -> Option<String> {
    let (code, said) = Printed::new(bytes).run("pdfinfo", &["-struct-text"], &[])?;
    assert_eq!(code, 0, "{said}");
    let texts = said.lines().map(str::trim).filter_map(|line| line.strip_prefix('"')?.strip_suffix('"'));
    Some(flat(&texts.collect::<String>()))
}

/// What reads the structure here finds what is broken: a bar that belongs to nothing, and a stretch that nothing claims.
#[test]
fn what_belongs_to_nothing_is_found() {
    let sheet =
        kerfbook::outputs::job_sheet::job_sheet(&crate::job_sheet::keepsake::plan(), None).expect("it prints");
    tagged::read("as it is", &sheet);
    for painted in
        ["0 0 9 9 re f", "/P <</MCID 0>> BDC 0 0 9 9 re f EMC", "/P <</MCID 99999>> BDC 0 0 9 9 re f EMC"]
    {
        let mut file = lopdf::Document::load_mem(&sheet).expect("it loads");
        let page = file.page_iter().next().expect("there is a page");
        file.add_page_contents(page, painted.into()).expect("it can be added");
        let mut bytes = Vec::new();
        file.save_to(&mut bytes).expect("room for it");
        let read = std::panic::catch_unwind(|| tagged::read("changed", &bytes));
        assert!(read.is_err(), "{painted}");
    }
}
