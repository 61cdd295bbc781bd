//! The report against its schema, and its schema against the file in `schema/`.

use super::sample::{self, SPAN};
use kerfbook::diagnostics::{ArtworkPlace, Diagnostic, Finding, Severity};
use kerfbook::outputs::report::{report_json, schema};
use kerfbook::plan::Plan;
use kurbo::Point;
use serde_json::Value;
use std::path::Path;

static THIN_NECK: Finding = Finding {
    rule: "puzzle/thin-neck",
    severity: Severity::Warning,
    title: "a knob that would break",
    explanation: "",
    wrong: "",
    right: "",
};

fn findings() -> Vec<Diagnostic> {
    let place = ArtworkPlace {
        figure: None,
        file: "art/heron.svg".into(),
        element: Some("#bird".into()),
        position: Some((12, 3)),
        at: Some(Point::new(1.0 / 3.0, 20.0)),
    };
    let mut accepted = Diagnostic::new(&THIN_NECK, "the neck of knob 3 is 1.9 mm wide")
        .at(SPAN, "drawn here")
        .also(SPAN, "limit set here")
        .in_artwork(place)
        .because("it breaks when the piece is pulled out")
        .repair_with("use fewer pieces", SPAN, "puzzle");
    accepted.accepted = Some("the pieces stay glued".into());
    vec![accepted, Diagnostic::new(&THIN_NECK, "nowhere in particular")]
}

fn report(plan: &Plan) -> Value {
    let bytes = report_json(plan, &findings(), &sample::sources()).unwrap();
    serde_json::from_slice(&bytes).unwrap()
}

#[test]
fn the_schema_in_the_repository_is_fresh() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("schema/report.schema.json");
    if std::env::var_os("UPDATE").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, schema()).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == schema(), "`schema/report.schema.json` is out of date: run the tests with UPDATE=1");
}

#[test]
fn a_report_fits_its_schema() {
    // JSON Schema 2020-12, checked by a validator that knows nothing of our types.
    let schema: Value = serde_json::from_str(&schema()).unwrap();
    jsonschema::meta::validate(&schema).expect("a valid schema");
    let validator = jsonschema::draft202012::new(&schema).expect("a schema that compiles");
    let mut plan = sample::plan();
    let errors: Vec<String> = validator.iter_errors(&report(&plan)).map(|e| e.to_string()).collect();
    assert!(errors.is_empty(), "{errors:#?}");

    plan.board = None;
    plan.puzzle = None;
    plan.runs.clear();
    assert!(validator.is_valid(&report(&plan)));

    let mut spoiled = report(&plan);
    spoiled["sheet"]["width"] = Value::from(3);
    assert!(!validator.is_valid(&spoiled), "an unknown field has to be refused");
    let mut spoiled = report(&plan);
    spoiled["diagnostics"][0]["severity"] = Value::from("fatal");
    assert!(!validator.is_valid(&spoiled), "an unknown severity has to be refused");
}

#[test]
fn numbers_are_the_plans_with_their_units() {
    let plan = sample::plan();
    let report = report(&plan);
    assert_eq!(report["sheet"]["width_mm"], 304.8);
    assert_eq!(report["machine"]["wavelength_nm"], 450);
    assert_eq!(report["time_s"], 4525.2);
    let run = &report["runs"][1];
    // The board's outline is the widest thing cut; its middle is (44.45 + 260.35) / 2 across.
    assert_eq!(run["file"], "02-separate.svg");
    assert_eq!(run["burned"]["centre"]["x_mm"], 152.4);
    assert_eq!(run["burned"]["width_mm"], 215.9);
    let cut = &run["operations"][1];
    assert_eq!((&cut["kind"], &cut["setting"]["power_percent"]), (&"cut".into(), &95.into()));
    // A rounded rectangle: 2 (w + h) - 8 r + 2 pi r.
    let round = 2.0 * (215.9 + 279.4) - 8.0 * 5.0 + std::f64::consts::TAU * 5.0;
    assert!((cut["length_mm"].as_f64().unwrap() - round).abs() < 0.01);
    assert!(report["runs"][0]["operations"][3]["setting"].is_null(), "guides have no setting");
}

#[test]
fn pieces_prove_that_nothing_is_lost() {
    let report = report(&sample::plan());
    let pieces = report["puzzle"]["pieces_area_mm2"].as_f64().unwrap();
    let board = report["board"]["area_mm2"].as_f64().unwrap();
    // A rounded rectangle: w h - (4 - pi) r².
    let closed_form = 215.9 * 279.4 - (4.0 - std::f64::consts::PI) * 25.0;
    assert!((board - closed_form).abs() < 0.1, "{board} against {closed_form}");
    assert!((pieces - board).abs() < 0.1, "{pieces} mm² of pieces on a board of {board} mm²");
    assert_eq!(report["puzzle"]["pieces"].as_array().unwrap().len(), 15);
}

#[test]
fn findings_name_their_places_and_their_excuse() {
    let report = report(&sample::plan());
    let found = &report["diagnostics"][0];
    assert_eq!(found["rule"], "puzzle/thin-neck");
    assert_eq!(found["place"]["file"], "heron.recipe.kdl");
    assert_eq!((&found["place"]["line"], &found["place"]["end_column"]), (&1.into(), &7.into()));
    assert_eq!(found["artwork"][0]["at"]["x_mm"], 0.333_333);
    assert_eq!(found["repair"]["edit"]["replacement"], "puzzle");
    assert_eq!(found["accepted_because"], "the pieces stay glued");
    assert!(report["diagnostics"][1]["place"].is_null());
}

#[test]
fn fields_keep_the_order_of_the_types() {
    let bytes = report_json(&sample::plan(), &findings(), &sample::sources()).unwrap();
    let text = String::from_utf8(bytes.clone()).unwrap();
    let at = |key: &str| text.find(&format!("\n  \"{key}\"")).unwrap_or_else(|| panic!("no `{key}`"));
    let keys = ["report_version", "title", "sheet", "machine", "files", "runs", "puzzle", "diagnostics"];
    assert!(keys.map(at).is_sorted());
    assert_eq!(bytes, report_json(&sample::plan(), &findings(), &sample::sources()).unwrap());
}

#[test]
fn pictures_are_told_in_words() {
    let report: serde_json::Value =
        serde_json::from_slice(&report_json(&sample::plan(), &findings(), &sample::sources()).unwrap()).unwrap();
    let shows = |file: &str| {
        let all = report["pictures"].as_array().unwrap();
        all.iter().find(|p| p["file"] == file).map(|p| p["shows"].as_str().unwrap().to_owned())
    };
    let front = shows("preview.png").unwrap();
    assert!(front.starts_with("The finished piece, 216 by 279 mm of birch plywood, seen from above."), "{front}");
    assert!(front.contains("Engraved: heron, sun.") && front.ends_with("Cut: pieces, board."), "{front}");
    assert!(shows("pieces.png").unwrap().contains("The 15 pieces"));
    assert!(shows("preview-back.png").is_none());
}
