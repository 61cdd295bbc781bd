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
