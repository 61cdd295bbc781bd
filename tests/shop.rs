//! What a recipe takes from a shop: numbers for the machine and stock at hand, shades from cards, kerfs of settings.

use kerfbook::diagnostics::Severity;
use kerfbook::driver::{Build, Request, compile, project_root};
use kerfbook::figures::Cache;
use kerfbook::outputs::report_json;
use kerfbook::plan::{Operation, SeamCut};
use kerfbook::recipe::Instead;
use kerfbook::shop::OperationKind;
use kerfbook::source::{DiskFiles, MemoryFiles};
use kerfbook::units::{Mm, Percent};
use std::path::PathBuf;

const DEMO: &str = "recipes/heron-pond/heron-pond.recipe.kdl";

const SHOP: &str = r#"
machine "bench" { laser "co2" wavelength="10.6 um" power="40 W"; bed "400 mm" "400 mm"; spot "0.12 mm"; optics focal="50.8 mm" beam="7 mm" quality="1.3"; motion top="400 mm/s" acceleration="3000 mm/s2"; start "page"; }
stock "alder-3" material="alder" thickness="3 mm" kerf="0.16 mm" curl="0.4 mm"
setting "dark" machine="bench" stock="alder-3" operation="engrave" speed="120 mm/s" power="60 %" interval="0.1 mm" focus="0 mm" measured="2027-03-06"
setting "through" machine="bench" stock="alder-3" operation="cut" speed="12 mm/s" power="95 %" focus="-1.5 mm" measured="2027-03-06"
setting "slow" machine="bench" stock="alder-3" operation="cut" speed="6 mm/s" power="95 %" focus="-1.5 mm" kerf="0.24 mm" measured="2027-03-06"
shade-card "tones" machine="bench" stock="alder-3" setting="dark" { step power="10 %" darkness="6 %"; step power="28 %" darkness="38 %"; step power="62 %" darkness="100 %"; }
"#;

/// A recipe on a board of 100 x 60 mm with the given figures and runs.
fn compiled(inside: &str) -> Build {
    let mut files = MemoryFiles::default();
    let head = "recipe \"Tones\"\nuse \"bench.shop.kdl\"\nmachine \"bench\"\nstock \"alder-3\"\nsheet \"140 mm\" \"100 mm\"";
    let text = format!("{head}\nboard {{ rectangle \"100 mm\" \"60 mm\" }}\n{inside}");
    files.insert("tones.recipe.kdl", text.as_bytes());
    files.insert("bench.shop.kdl", SHOP.as_bytes());
    compile(
        &Request { recipe: PathBuf::from("tones.recipe.kdl"), ..Request::default() },
        &files,
        &Cache::default(),
    )
}

fn operations(build: &Build) -> Vec<&Operation> {
    let said: Vec<&str> = build.findings.iter().map(|d| d.message.as_str()).collect();
    build.plan.as_ref().unwrap_or_else(|| panic!("{said:#?}")).runs.iter().flat_map(|r| &r.operations).collect()
}

const THREE_TONES: &str = "shape \"a\" { circle \"9 mm\" left=\"30 mm\" }
shape \"b\" { circle \"9 mm\" }
shape \"c\" { circle \"9 mm\" right=\"30 mm\" }
run \"all\" { engrave \"a\" shade=\"6 %\"; engrave \"b\" shade=\"60 %\"; engrave \"c\" shade=\"100 %\"; cut \"board\" setting=\"through\" }";

#[test]
fn figures_have_shades_of_their_own() {
    let build = compiled(THREE_TONES);
    let read: Vec<(Percent, Percent, Percent)> = operations(&build)
        .iter()
        .filter_map(|o| {
            let setting = o.setting.as_ref()?;
            let card = setting.card.as_ref()?;
            Some((setting.power, card.lighter.0, card.darker.0))
        })
        .collect();
    let of = |values: [f64; 3]| values.map(Percent::new);
    // scipy.interpolate.PchipInterpolator([6, 38, 100], [10, 28, 62])(60) with scipy 1.17.1, to a hundredth.
    for ((power, lighter, darker), [p, l, d]) in
        read.iter().zip([of([10.0, 10.0, 28.0]), of([40.18, 28.0, 62.0]), of([62.0, 28.0, 62.0])])
    {
        assert!((power.get() - p.get()).abs() < 0.006, "{power} {p}");
        assert_eq!((*lighter, *darker), (l, d));
    }
    assert_eq!(read.len(), 3);
}

#[test]
fn the_report_says_where_a_shade_was_read_and_how_the_beam_meets_the_stock() {
    let build = compiled(THREE_TONES);
    let findings: Vec<_> = build.findings.iter().cloned().collect();
    let report = report_json(build.plan.as_ref().unwrap(), &findings, &build.sources).unwrap();
    let report: serde_json::Value = serde_json::from_slice(&report).unwrap();
    let operations = &report["runs"][0]["operations"];
    assert_eq!(operations[1]["setting"]["shade_card"]["name"], "tones");
    assert_eq!(operations[1]["setting"]["shade_card"]["darker"]["darkness_percent"], 100);
    let number = |value: &serde_json::Value| value.as_f64().unwrap();
    // The Rayleigh range of a spot of 0.12 mm at 10.6 µm and M² 1.3: π d² / (4 λ M²), by hand 0.8207 mm.
    assert!((number(&report["machine"]["rayleigh_mm"]) - 0.821).abs() < 1e-3);
    let cut = &operations[3]["focus"];
    assert_eq!((number(&cut["at_mm"]), number(&cut["usual_from_mm"])), (-1.5, -3.0));
    // In the middle of the stock both faces are 1.5 mm off: 0.12 mm · √(1 + (1.5 / 0.8207)²) = 0.250 mm.
    for face in ["upper_width_mm", "lower_width_mm"] {
        assert!((number(&cut[face]) - 0.25).abs() < 1e-3, "{cut}");
    }
    assert_eq!(cut["is_within_depth"], false);
    assert_eq!(report["stock"]["curl_mm"], 0.4);
}

#[test]
fn a_cut_has_the_kerf_of_its_setting() {
    let cut = |setting: &str| {
        let build =
            compiled(&format!("run \"all\" {{ cut \"board\" setting=\"{setting}\" beam=\"waste-side\" }}"));
        let operation = operations(&build)[0].clone();
        (operation.finished.unwrap().kerf, operation.bounds.unwrap().width())
    };
    let (thin, wide) = (cut("through"), cut("slow"));
    assert_eq!((thin.0, wide.0), (Mm::new(0.16), Mm::new(0.24)));
    assert!((thin.1 - 100.16).abs() < 0.01 && (wide.1 - 100.24).abs() < 0.01, "{thin:?} {wide:?}");
}

/// A recipe moves to another machine by one word: every number comes from there, and so does the kerf of its cuts.
#[test]
fn a_recipe_moves_to_another_machine_by_one_word() {
    let on = |machine: Option<&str>| {
        let recipe = PathBuf::from(DEMO);
        let files = DiskFiles::new(&project_root(&recipe), &[]);
        let instead = Instead { machine: machine.map(str::to_owned), stock: None };
        compile(&Request { recipe, instead, ..Request::default() }, &files, &Cache::default())
    };
    let (bench, tube) = (on(None), on(Some("alcove-tube")));
    let kerf = |build: &Build| {
        let seams = operations(build).into_iter().find_map(|o| o.seams);
        seams.and_then(SeamCut::gap).expect("the demo is a puzzle")
    };
    assert_eq!((kerf(&bench), kerf(&tube)), (Mm::new(0.16), Mm::new(0.2)));
    for (a, b) in operations(&bench).into_iter().zip(operations(&tube)) {
        assert_eq!(a.figures, b.figures);
        if a.kind != OperationKind::Guide {
            let speed = |o: &Operation| o.setting.as_ref().unwrap().speed;
            assert_ne!(speed(a), speed(b), "{:?}", a.figures);
        }
    }
    let nowhere = on(Some("alcove-tub"));
    let told: Vec<&str> =
        nowhere.findings.iter().filter(|d| d.severity == Severity::Error).map(|d| d.finding.rule).collect();
    assert_eq!(told, ["recipe/unknown-in-shop"]);
}
