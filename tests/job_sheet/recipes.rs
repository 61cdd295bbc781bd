//! Jobs for the sheet, compiled from the text of recipes as a maker writes them.

use super::printed::Printed;
use kerfbook::diagnostics::Diagnostic;
use kerfbook::driver::{Build, Request, compile, project_root};
use kerfbook::figures::Cache;
use kerfbook::outputs::job_sheet::job_sheet;
use kerfbook::outputs::{OutputFile, report_json, write_all};
use kerfbook::plan::Plan;
use kerfbook::source::{DiskFiles, MemoryFiles, Sources};
use serde_json::Value;
use std::path::{Path, PathBuf};

/// Two machines that differ in all that a sheet asks of a machine, and stock that nothing is said of.
pub const SHOP: &str = r#"/- kdl-version 2
machine "open-diode" {
    laser "diode" wavelength="450 nm" power="10 W"
    bed "400 mm" "400 mm"
    spot "0.08 mm"
    motion top="400 mm/s" travel="300 mm/s" acceleration="3000 mm/s2"
    start "left-top"
}
machine "shut-tube" air-assist=#true enclosed=#true {
    laser "co2" wavelength="10.6 um" power="40 W"
    bed "500 mm" "300 mm"
    spot "0.14 mm"
    motion top="500 mm/s" travel="400 mm/s" acceleration="4000 mm/s2"
    start "left-top"
    focus gauge="the 5 mm step under the nozzle" depth="2 mm"
}
machine "shut-fibre" enclosed=#true {
    laser "fibre" wavelength="1064 nm" power="20 W"
    bed "17 mm" "17 mm"
    spot "0.05 mm"
    motion top="500 mm/s" travel="400 mm/s" acceleration="4000 mm/s2"
}
stock "lime-3" material="basswood" thickness="3 mm" kerf="0.2 mm"
stock "lime-4" material="basswood" thickness="4 mm"

setting "mark" machine="open-diode" stock="lime-3" operation="engrave" speed="120 mm/s" power="60 %" interval="0.1 mm" air=#false measured="2027-03-06" how="grid"
setting "line" machine="open-diode" stock="lime-3" operation="score" speed="60 mm/s" power="20 %" air=#false measured="2027-03-06" how="grid"
setting "slow" machine="open-diode" stock="lime-3" operation="engrave" speed="2 mm/s" power="10 %" interval="0.1 mm" measured="2027-03-06" how="grid"
setting "mark" machine="shut-tube" stock="lime-3" operation="engrave" speed="300 mm/s" power="30 %" interval="0.12 mm" air=#false measured="2027-03-06" how="grid"
setting "line" machine="shut-tube" stock="lime-3" operation="score" speed="150 mm/s" power="11 %" air=#false measured="2027-03-06" how="grid"
setting "guess" machine="shut-tube" stock="lime-3" operation="score" speed="150 mm/s" power="12 %"
setting "through" machine="shut-tube" stock="lime-3" operation="cut" speed="15 mm/s" power="70 %" passes=2 air=#true measured="2027-03-06" how="ladder"
setting "through" machine="shut-tube" stock="lime-4" operation="cut" speed="9 mm/s" power="80 %" air=#true measured="2027-03-06" how="ladder"
setting "mark" machine="shut-fibre" stock="lime-3" operation="engrave" speed="300 mm/s" power="30 %" interval="0.1 mm" measured="2027-03-06" how="grid"
"#;

/// A compiled job.
pub struct Job {
    /// The plan.
    pub plan: Plan,
    /// Its report.
    pub report: Value,
    sheet: Printed,
    diagnostics: Vec<Diagnostic>,
    sources: Sources,
}

impl Job {
    /// From the text of a recipe below its name, with [`SHOP`] at hand and a photo, `dots.png`.
    pub fn of(body: &str) -> Self {
        Self::in_shop(SHOP, body)
    }

    /// The same in another shop.
    pub fn in_shop(shop: &str, body: &str) -> Self {
        let build = compiled(shop, body);
        let said: Vec<String> =
            build.findings.iter().map(|d| format!("{}: {}", d.finding.rule, d.message)).collect();
        Self::from(build, &format!("{body}\n{said:#?}"))
    }

    /// From a recipe on disk.
    pub fn on_disk(recipe: &Path) -> Self {
        let files = DiskFiles::new(&project_root(recipe), &[]);
        let request = Request { recipe: recipe.to_path_buf(), ..Request::default() };
        Self::from(compile(&request, &files, &Cache::default()), &recipe.display().to_string())
    }

    fn from(build: Build, what: &str) -> Self {
        let Some(plan) = build.plan else { panic!("there is no plan: {what}") };
        let diagnostics: Vec<Diagnostic> = build.findings.iter().cloned().collect();
        let report = report_json(&plan, &diagnostics, &build.sources).expect("it is written");
        let sheet = Printed::new(&job_sheet(&plan, None).expect("it prints"));
        let report = serde_json::from_slice(&report).expect("JSON");
        Self { report, plan, sheet, diagnostics, sources: build.sources }
    }

    /// The text of its sheet; `None` where nothing can read it.
    pub fn text(&self) -> Option<String> {
        self.sheet.text()
    }

    /// Every file of the build.
    pub fn files(&self) -> Vec<OutputFile> {
        write_all(&self.plan, &self.diagnostics, &self.sources, &Cache::default()).expect("every file can be made")
    }

    /// The printed sheet.
    pub const fn sheet(&self) -> &Printed {
        &self.sheet
    }
}

/// Compiles a recipe from memory.
pub fn compiled(shop: &str, body: &str) -> Build {
    let mut files = MemoryFiles::default();
    files.insert("test.shop.kdl", shop.as_bytes());
    files.insert("dots.png", photo());
    files.insert(
        "job.recipe.kdl",
        format!("/- kdl-version 2\nrecipe \"Linden sign\" language=1\nuse \"test.shop.kdl\"\n{body}").as_bytes(),
    );
    let request = Request { recipe: PathBuf::from("job.recipe.kdl"), ..Request::default() };
    compile(&request, &files, &Cache::default())
}

/// A photo of a gradient.
fn photo() -> Vec<u8> {
    let image = image::GrayImage::from_fn(80, 60, |x, y| image::Luma([(x + 2 * y) as u8]));
    let mut bytes = std::io::Cursor::new(Vec::new());
    image.write_to(&mut bytes, image::ImageFormat::Png).expect("a small picture encodes");
    bytes.into_inner()
}
