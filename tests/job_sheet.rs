//! The job sheet: complete, true to the plan, and the same bytes every time.

mod keepsake;

use kerfbook::outputs::job_sheet::job_sheet;

#[test]
fn show() {
    let png = std::env::var("SHEET_PNG").ok().map(|p| std::fs::read(p).unwrap());
    let pdf = job_sheet(&keepsake::plan(), png.as_deref()).unwrap();
    std::fs::write("/tmp/sheet.pdf", pdf).unwrap();
}
