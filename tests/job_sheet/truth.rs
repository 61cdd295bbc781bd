//! What stands on the sheet is what stands in `report.json`: every table and every figure in text, number for number.
//!
//! Each row is put together from the report, written as the sheet writes it, and has to stand on the sheet as a whole. Lengths
//! and speeds are rounded to a thousandth, times up to what an estimate can be (1 s below 20 s, 5 s below 2 min, 15 s below
//! 5 min, 1 min below 2 h, else 5 min).

use super::printed::flat;
use super::recipes::Job;
use kerfbook::units::number::fixed;
use kerfbook::units::{Mm, MmPerSecond, Percent, Watts};
use serde_json::Value;
use std::fmt::Write as _;
use std::path::PathBuf;

/// A report, and the text of the sheet that has to agree with it.
struct Truth<'a> {
    name: String,
    report: &'a Value,
    text: String,
    speed_unit: &'a str,
}

impl Truth<'_> {
    /// The words stand on the sheet, one after the other. A word that is too long for its line may be torn.
    fn says(&self, words: &str) {
        let words = flat(&words.replace('`', ""));
        let squeezed = |text: &str| text.replace(' ', "");
        let may_be_torn = words.split(' ').any(|word| 16 < word.chars().count());
        let stands = self.text.contains(&words) || may_be_torn && squeezed(&self.text).contains(&squeezed(&words));
        assert!(stands, "{}: the sheet does not say `{words}`\n{}", self.name, self.text);
    }
}

/// Three lines of figures hold about so many characters.
const MOST_NAMED: usize = 60;

fn text(value: &Value) -> &str {
    value.as_str().expect("a text")
}
fn list(value: &Value) -> &[Value] {
    value.as_array().expect("a list")
}
fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}
fn mm(value: &Value) -> String {
    Mm::new(number(value)).to_string()
}
fn percent(value: &Value) -> String {
    Percent::new(number(value)).to_string()
}
fn inches(length: f64) -> String {
    fixed(length / 25.4, 3)
}
/// `180 × 130 mm` and `7.087 × 5.118 in`.
fn size(value: &Value) -> (String, String) {
    let (w, h) = (number(&value["width_mm"]), number(&value["height_mm"]));
    (format!("{} × {} mm", fixed(w, 3), fixed(h, 3)), format!("{} × {} in", inches(w), inches(h)))
}

/// A time as it stands on the sheet: rounded up, for nobody complains of a job that ends early.
fn duration(seconds: f64) -> String {
    let whole = seconds.ceil() as u64;
    let step = match whole {
        0..=19 => 1,
        20..=119 => 5,
        120..=299 => 15,
        300..=7199 => 60,
        _ => 300,
    };
    let s = whole.div_ceil(step) * step;
    match (s / 3600, s % 3600 / 60, s % 60) {
        (0, 0, s) => format!("{s} s"),
        (0, m, 0) => format!("{m} min"),
        (0, m, s) => format!("{m} min {s} s"),
        (h, m, _) => format!("{h} h {m} min"),
    }
}

fn estimated(of: &Value) -> String {
    format!("{} ± {}", duration(number(&of["time_s"])), percent(&of["time_doubt"]["percent"]))
}

fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// The first page.
fn glance(truth: &Truth) {
    let report = truth.report;
    truth.says(text(&report["title"]));
    truth.says(text(&report["about"]));
    let runs = list(&report["runs"]);
    truth.says(&format!(
        "burning, estimated {} visits to the machine {}",
        estimated(report),
        counted(runs.len(), "run", "runs")
    ));
    let stock = &report["stock"];
    truth.says(&format!("stock {}, {}", text(&stock["name"]), mm(&stock["thickness_mm"])));
    truth.says(&format!("Stock {} {}", text(&stock["name"]), text(&stock["material"])));
    truth.says(&format!("Thickness {} as measured for the shop file", mm(&stock["thickness_mm"])));
    let (metric, imperial) = size(&report["sheet"]);
    truth.says(&format!("Sheet {metric} ({imperial})"));
    if !report["board"].is_null() {
        let (metric, imperial) = size(&report["board"]["bounds"]);
        truth.says(&format!("Finished {metric} ({imperial})"));
    }
    let machine = &report["machine"];
    truth.says(&format!("Machine {} {}", text(&machine["name"]), text(&machine["about"])));
    let kind = match text(&machine["kind"]) {
        "co2" => "CO₂ laser",
        "fibre" => "fibre laser",
        _ => "diode laser",
    };
    let nanometres = number(&machine["wavelength_nm"]);
    let wavelength = if nanometres < 3000.0 {
        format!("{} nm", fixed(nanometres, 0))
    } else {
        format!("{} µm", fixed(nanometres / 1000.0, 2))
    };
    let case = if machine["enclosed"].as_bool().expect("known") { "enclosed" } else { "open beam" };
    truth.says(&format!("Beam {kind}, {wavelength}, {}, {case}", Watts::new(number(&machine["power_w"]))));
    let mut so_far = 0.0;
    for run in runs {
        let time = number(&run["time_s"]);
        so_far += time;
        truth.says(&format!(
            "{} {} {} {} {} {}",
            run["number"],
            text(&run["name"]),
            text(&run["file"]),
            list(&run["operations"]).len(),
            duration(time),
            duration(so_far)
        ));
    }
    cost(truth);
    for input in list(&report["inputs"]) {
        let default = if input["is_default"] == true { " the recipe’s default" } else { "" };
        truth.says(&format!(
            "{} {} {}{default}",
            text(&input["name"]),
            text(&input["about"]),
            text(&input["value"])
        ));
    }
    for file in list(&report["files"]) {
        truth.says(&format!("{} {}", text(&file["path"]), &text(&file["sha256"])[..12]));
    }
    let version = &report["version"];
    let revision = version["revision"].as_str().map_or_else(String::new, |r| format!(" · revision {r}"));
    truth.says(&format!("version {}{revision}", &text(&version["sha256"])[..12]));
}

fn cost(truth: &Truth) {
    let cost = &truth.report["cost"];
    let money =
        |of: &Value| (!of.is_null()).then(|| format!("{:.2} {}", number(&of["amount"]), text(&of["currency"])));
    let sheets = cost["sheets"].as_u64().expect("a count") as usize;
    if let Some(material) = money(&cost["material"]) {
        truth.says(&format!("{} {material}", counted(sheets, "sheet", "sheets")));
    }
    if let Some(running) = money(&cost["running"]) {
        truth.says(&format!("machine time {running}"));
    }
    if let (Some(total), Some(_), Some(_)) =
        (money(&cost["total"]), money(&cost["material"]), money(&cost["running"]))
    {
        truth.says(&format!("Cost {total}: {}", counted(sheets, "sheet", "sheets")));
    }
}

/// Where each run starts and what it burns there.
fn starts(truth: &Truth) {
    for run in list(&truth.report["runs"]).iter().filter(|run| !run["burned_on_page"].is_null()) {
        let at = &run["start"]["on_sheet"];
        let (x, y) = (number(&at["x_mm"]), number(&at["y_mm"]));
        let over = size(&run["burned_on_page"]).0;
        truth.says(&format!("x {}, y {} x {} in, y {} in", Mm::new(x), Mm::new(y), inches(x), inches(y)));
        truth.says(&over);
    }
}

/// A speed in the shop's unit, where that is not mm/s, and in mm/s.
fn speed(speed: f64, unit: &str, mark: &str) -> String {
    let own = match unit {
        "in/min" => Some(speed * 60.0 / 25.4),
        "in/s" => Some(speed / 25.4),
        "mm/min" => Some(speed * 60.0),
        _ => None,
    };
    match own {
        Some(own) => format!("{} {unit}{mark} {}", fixed(own, 1), MmPerSecond::new(speed)),
        None => format!("{}{mark}", MmPerSecond::new(speed)),
    }
}

fn amount(operation: &Value) -> String {
    let (area, length) = (number(&operation["area_mm2"]), number(&operation["length_mm"]));
    match () {
        () if 100.0 <= area => format!("{} cm²", fixed(area / 100.0, 1)),
        () if 0.0 < area => format!("{} mm²", fixed(area, 1)),
        () if 10_000.0 <= length => format!("{} m", fixed(length / 1000.0, 2)),
        () => format!("{} mm", fixed(length, 0)),
    }
}

fn strokes(operation: &Value) -> String {
    match (operation["first_stroke"].as_u64(), operation["last_stroke"].as_u64()) {
        (Some(first), Some(last)) if first == last => format!("stroke {first}"),
        (Some(first), Some(last)) => format!("strokes {first}–{last}"),
        _ => String::new(),
    }
}

/// What a cut comes to.
fn comes_out(operation: &Value) -> String {
    if !operation["seams"].is_null() {
        let gap = &operation["seams"]["gap_mm"];
        return match text(&operation["seams"]["cut"]) {
            "shared" if gap.is_null() => "seams once, from the middle outwards".to_owned(),
            "shared" => format!("seams once, from the middle outwards; {} between pieces", mm(gap)),
            _ if number(gap) < 0.0 => {
                format!("piece by piece, from the middle outwards; press of {}", Mm::new(-number(gap)))
            }
            _ => format!("piece by piece, from the middle outwards; gap of {}", mm(gap)),
        };
    }
    let finished = &operation["finished"];
    if finished.is_null() {
        return String::new();
    }
    let (on_line, waste_side) = (size(&finished["on_line"]).0, size(&finished["waste_side"]).0);
    match text(&finished["beam"]) {
        "on-line" => format!("comes out {on_line} (on the waste side {waste_side})"),
        _ => format!("comes out {waste_side} (on the line {on_line})"),
    }
}

/// A row of a run's table, from the number to the strokes, and the notes under it.
fn operation(truth: &Truth, of: &Value, so_far: f64) {
    let kind = text(&of["kind"]);
    let title = format!("{}{}", kind[..1].to_uppercase(), &kind[1..]);
    let figures: Vec<&str> = list(&of["figures"]).iter().map(text).collect();
    let head = format!("{} {} {title} {}", of["number"], text(&of["colour"]), figures.join(", "));
    let times = format!("{} {} {} {}", duration(number(&of["time_s"])), duration(so_far), amount(of), strokes(of));
    let setting = &of["setting"];
    if setting.is_null() {
        truth.says(&format!("{head} drawn for people, not burned"));
        return;
    }
    let overridden: Vec<&str> = list(&setting["overridden"]).iter().map(text).collect();
    let trial = setting["on_trial"] == true;
    let mark = |word: &str| if overridden.contains(&word) && !trial { " †" } else { "" };
    let mut fine = String::new();
    if !setting["interval_mm"].is_null() {
        let _ = write!(fine, "interval {}{} ", mm(&setting["interval_mm"]), mark("interval"));
    }
    if !setting["focus_mm"].is_null() {
        let _ = write!(fine, "focus {}{} ", mm(&setting["focus_mm"]), mark("focus"));
    }
    if let Some(on) = setting["air"].as_bool() {
        let _ = write!(fine, "air {}{} ", if on { "on" } else { "off" }, mark("air"));
    }
    let shade = &setting["shade_percent"];
    let shade = if shade.is_null() { String::new() } else { format!("shade {}", percent(shade)) };
    // A long list of figures goes on in the report only; what is there of it begins as it does.
    let (head, figures) = match figures.as_slice() {
        [first, _, ..] if MOST_NAMED < figures.join(", ").len() => {
            truth.says(&format!("{} {} {title} {first}, ", of["number"], text(&of["colour"])));
            (String::new(), "…")
        }
        _ => (head, ""),
    };
    truth.says(&format!("{head}{figures} setting {} {}", text(&setting["name"]), comes_out(of)));
    truth.says(&format!(
        "{} {}{} {shade} {}{} {fine} {times}",
        speed(number(&setting["speed_mm_s"]), truth.speed_unit, mark("speed")),
        percent(&setting["power_percent"]),
        mark("power"),
        setting["passes"],
        mark("passes"),
    ));
    notes(truth, of, setting, &overridden);
}

fn notes(truth: &Truth, of: &Value, setting: &Value, overridden: &[&str]) {
    let dots = &of["dots"];
    if !dots.is_null() {
        truth.says(&format!(
            "photo: {} × {} dots, {} apart",
            dots["columns"],
            dots["rows"],
            mm(&dots["pitch_mm"])
        ));
        truth.says(&format!("{} % of them burned", fixed(number(&dots["coverage_percent"]), 0)));
    }
    if let Some(card) = setting["shade_card"].as_object() {
        let patch =
            |of: &Value| format!("{} (shade {})", percent(&of["power_percent"]), percent(&of["darkness_percent"]));
        truth.says(&format!(
            "shade by card {}, read between powers of {} and {}",
            text(&card["name"]),
            patch(&card["lighter"]),
            patch(&card["darker"])
        ));
    }
    if let Some(when) = setting["measured"].as_str() {
        truth.says(&format!("measured {when}"));
    }
    if let Some(how) = setting["how"].as_str() {
        truth.says(how);
    }
    if !overridden.is_empty() && setting["on_trial"] != true {
        truth.says(&format!("† changed in the recipe: {}", overridden.join(", ")));
    }
}

fn runs(truth: &Truth) {
    for run in list(&truth.report["runs"]) {
        let operations = list(&run["operations"]);
        truth.says(&format!("Run {} · {}", run["number"], text(&run["name"])));
        truth.says(&format!(
            "file {} · {}",
            text(&run["file"]),
            counted(operations.len(), "operation", "operations")
        ));
        let (mut so_far, mut moves) = (0.0, 0.0);
        for of in operations {
            so_far += number(&of["time_s"]);
            let passes = of["setting"]["passes"].as_f64().unwrap_or(1.0);
            moves += number(&of["travel_mm"]) * passes;
            operation(truth, of, so_far);
        }
        if !operations.is_empty() {
            truth.says(
                &format!("whole run {} , {moves:.0} mm of moves with the beam off in it", estimated(run))
                    .replace(" ,", ","),
            );
        }
    }
}

/// The key: its numbers, and every piece once, in order.
fn puzzle(truth: &Truth) {
    let puzzle = &truth.report["puzzle"];
    if puzzle.is_null() {
        return;
    }
    let pieces = list(&puzzle["pieces"]);
    let numbers: Vec<String> = pieces.iter().map(|piece| piece["number"].to_string()).collect();
    truth.says(&numbers.join(" "));
    if puzzle["seed"].is_null() {
        return truth.says(&format!("pieces {} seams traced", pieces.len()));
    }
    truth.says(&format!(
        "pieces {} rows × columns {} × {} seed {} narrowest neck {} least undercut {}",
        pieces.len(),
        puzzle["rows"],
        puzzle["columns"],
        text(&puzzle["seed"]),
        mm(&puzzle["narrowest_neck_mm"]),
        mm(&puzzle["least_undercut_mm"]),
    ));
}

/// What is burned on an offcut first.
fn test_piece(truth: &Truth) {
    let piece = &truth.report["test_piece"];
    if piece.is_null() {
        return;
    }
    let tries = list(&piece["tries"]);
    truth.says(&format!(
        "file {} · {} · {}",
        text(&piece["file"]),
        counted(tries.len(), "setting", "settings"),
        estimated(piece)
    ));
    truth.says(&format!("of at least {}", size(&piece["page"]).0));
    for tried in tries {
        let steps: Vec<String> =
            list(&tried["steps"]).iter().map(|s| format!("{}.{}", s["run"], s["operation"])).collect();
        let setting = &tried["setting"];
        truth.says(&format!(
            "{} {} {} · {}",
            text(&tried["label"]),
            steps.join(", "),
            text(&tried["kind"]),
            text(&setting["name"])
        ));
        let hundredths = |of: &Value| format!("{} mm", fixed(number(of), 2));
        if !tried["square_mm"].is_null() {
            truth.says(&format!(
                "the square is {} wide and its opening {}, at a kerf of {}",
                hundredths(&tried["square_mm"]),
                hundredths(&tried["opening_mm"]),
                mm(&setting["kerf_mm"])
            ));
        } else if tried["of_photo"] == false && !setting["shade_card"].is_null() {
            truth.says(&format!(
                "shade {}: between the patches of card {}",
                percent(&setting["shade_percent"]),
                text(&setting["shade_card"]["name"])
            ));
        }
    }
}

/// Lessons, lines of the shop, what is warned of, and what was accepted with its reasons.
fn words(truth: &Truth) {
    let report = truth.report;
    for lesson in list(&report["lessons"]) {
        truth.says(&format!("Lesson: {} ({})", text(&lesson["action"]), text(&lesson["text"])));
    }
    for reminder in list(&report["reminders"]) {
        truth.says(text(&reminder["text"]));
    }
    let is_open = |found: &&Value| found["severity"] == "warning" && found["accepted_because"].is_null();
    for found in list(&report["diagnostics"]).iter().filter(is_open) {
        truth.says(&format!("{} {}", text(&found["rule"]), text(&found["message"])));
    }
    for found in list(&report["diagnostics"]).iter().filter(|found| !found["accepted_because"].is_null()) {
        truth.says(&format!(
            "{} {} {}",
            text(&found["rule"]),
            text(&found["message"]),
            text(&found["accepted_because"])
        ));
    }
}

fn agrees(name: &str, job: &Job) {
    let Some(text) = job.text() else { return };
    let truth =
        Truth { name: name.to_owned(), report: &job.report, text, speed_unit: &job.plan.machine.speed_unit };
    glance(&truth);
    starts(&truth);
    runs(&truth);
    puzzle(&truth);
    test_piece(&truth);
    words(&truth);
}

fn recipes() -> Vec<PathBuf> {
    let folders = std::fs::read_dir("recipes").expect("the recipes").map(|e| e.expect("an entry").path());
    let mut all: Vec<PathBuf> = folders
        .filter(|path| path.is_dir())
        .flat_map(|folder| std::fs::read_dir(folder).expect("a folder").map(|e| e.expect("an entry").path()))
        .filter(|file| file.to_string_lossy().ends_with(".recipe.kdl"))
        .collect();
    all.sort();
    all
}

#[test]
fn every_demo_sheet_says_what_its_report_says() {
    let all = recipes();
    assert!(5 < all.len());
    for recipe in all {
        agrees(&recipe.display().to_string(), &Job::on_disk(&recipe));
    }
}

#[test]
fn sixty_operations_say_what_their_report_says() {
    agrees("sixty", &super::hard::sixty());
}

/// The check itself fails where a number is off.
#[test]
#[should_panic(expected = "the sheet does not say")]
fn a_report_that_says_something_else_is_noticed() {
    let mut job = Job::on_disk(&PathBuf::from("recipes/hill-path/hill-path.recipe.kdl"));
    let power = &mut job.report["runs"][2]["operations"][1]["setting"]["power_percent"];
    *power = Value::from(number(power) + 0.01);
    agrees("changed", &job);
    // Where nothing can read the sheet, the test has to end as it is expected to.
    assert!(job.text().is_some(), "the sheet does not say anything: no program to read it");
}
