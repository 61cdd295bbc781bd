//! Jobs that are hard to print: on every page of each, no word leaves its page and no two words lie on each other.
//!
//! `KERFBOOK_SHOW_HARD` names a folder into which the sheets are written, to be looked at.

use super::recipes::{Job, SHOP};
use std::fmt::Write as _;

/// Sixty operations with long names, each with numbers of its own.
pub fn sixty() -> Job {
    let mut body = "machine \"open-diode\"\nstock \"lime-3\"\nsheet \"300 mm\" \"200 mm\"\n".to_owned();
    let name = |i: usize| format!("ornament-{i:02}-of-the-frame-at-its-north-western-corner");
    for i in 0..60 {
        let (x, y) = (15 + i % 10 * 28, 15 + i / 10 * 28);
        let (n, side) = (name(i), 6 + i % 5);
        let _ = writeln!(
            body,
            "shape \"{n}\" {{ rectangle \"{side} mm\" \"{side} mm\"; place left=\"sheet\" top=\"sheet\" right=\"{x} mm\" down=\"{y} mm\" }}"
        );
    }
    for (run, first) in [("the-lighter-half-of-all-the-ornaments-of-the-frame", 0), ("the-darker-half", 30)] {
        let _ = writeln!(body, "run \"{run}\" {{");
        for i in first..first + 30 {
            let (kind, setting) = if i % 3 == 2 { ("score", "line") } else { ("engrave", "mark") };
            let _ = writeln!(body, "    {kind} \"{}\" setting=\"{setting}\" power=\"{} %\"", name(i), 20 + i);
        }
        body.push_str("}\n");
    }
    Job::of(&body)
}

/// Names and texts in scripts that are written from right to left and without spaces.
fn scripts() -> Job {
    let shop = SHOP.replace(
        "measured=\"2027-03-06\" how=\"grid\"",
        "measured=\"2027-03-06\" how=\"شبكة الإعدادات، المربع الرابع\"",
    );
    Job::in_shop(
        &shop,
        r#"
input "اسم" kind="text" default="مالك الحزين عند البركة" about="池塘边的苍鹭，写在图画下面"
machine "open-diode"
stock "lime-3"
sheet "120 mm" "90 mm"
shape "苍鹭与芦苇" { rectangle "40 mm" "20 mm"; place centre="sheet" }
shape "حلقة-كبيرة" { circle "60 mm"; place centre="sheet" }
run "先刻画面再刻轮廓" { engrave "苍鹭与芦苇" setting="mark"; score "حلقة-كبيرة" setting="line" }
lesson "薄板翘曲，左边没有对准焦点" before="压住四个角，逐一检查焦点"
lesson "انحنى اللوح" during="راقب الحافة اليسرى"
"#,
    )
}

/// Everything at once: a title without end, 300 pieces on a sheet of a metre, twenty lessons, a score of accepted findings.
fn everything() -> Job {
    let long = "a heron by the pond that looks at the reeds and the reeds that look at the heron ".repeat(4);
    let mut shop = SHOP.replace("bed \"500 mm\" \"300 mm\"", "bed \"1200 mm\" \"900 mm\"");
    for i in 0..20 {
        let moment = ["before", "during", "pausing", "after"][i % 4];
        let _ = writeln!(shop, "lesson \"{long} ({i})\" {moment}=\"see to number {i} of all that went wrong\"");
    }
    let mut body = format!(
        "machine \"shut-tube\"\nstock \"lime-3\"\nsheet \"1000 mm\" \"800 mm\" curl=\"1.2 mm\"\nboard {{ rectangle \"900 mm\" \"700 mm\" }}\n\
         puzzle \"pieces\" of=\"board\" pieces=300 seed=\"{long}\"\n"
    );
    for i in 0..20 {
        let _ = writeln!(
            body,
            "shape \"tick-{i}\" {{ line {{ point; point right=\"12.345678 mm\" }}; place left=\"sheet\" top=\"sheet\" right=\"{} mm\" down=\"10 mm\"; \
             allow \"layout/outside-board\" because=\"{long}\" }}",
            20 + 40 * i
        );
    }
    let ticks: Vec<String> = (0..20).map(|i| format!("\"tick-{i}\"")).collect();
    let _ = writeln!(
        body,
        "run \"the-reeds-that-look-at-the-heron-and-the-heron-at-them\" {{ score {} setting=\"guess\" speed=\"499.9999 mm/s\" power=\"99.99 %\" passes=50\n cut \"pieces\" seams=\"shared\" setting=\"through\"\n cut \"board\" setting=\"through\" }}",
        ticks.join(" ")
    );
    Job::in_shop(&shop, &body)
}

/// As little as can be, on a sheet like a stamp.
fn little() -> Job {
    Job::of(
        "machine \"shut-fibre\"\nstock \"lime-3\"\nsheet \"16 mm\" \"14 mm\"\nshape \"o\" { circle \"2 mm\"; place centre=\"sheet\" }\nrun \"r\" { engrave \"o\" setting=\"mark\" }\n",
    )
}

fn jobs() -> [(&'static str, Job); 4] {
    [("sixty", sixty()), ("scripts", scripts()), ("everything", everything()), ("little", little())]
}

#[test]
fn on_hard_jobs_no_word_leaves_its_page_or_lies_on_another() {
    for (name, job) in jobs() {
        if let Ok(folder) = std::env::var("KERFBOOK_SHOW_HARD") {
            std::fs::write(format!("{folder}/{name}.pdf"), job.sheet().bytes()).expect("room for it");
        }
        let Some(pages) = job.sheet().words() else { return };
        assert!(pages.len() < 60, "{name}: {} pages", pages.len());
        for (number, page) in pages.iter().enumerate() {
            page.assert_inside(15.9);
            page.assert_apart(&format!("{name}, page {}", number + 1));
        }
        assert!(!job.text().is_some_and(|text| text.contains('`')), "{name}: nobody types a backtick on paper");
    }
}

/// A page does not begin with what belongs to the page before, nor end with a heading; a list that goes on says so.
#[test]
fn pages_begin_with_a_head_and_never_end_with_one() {
    for (name, job) in jobs() {
        let Some(pages) = job.sheet().pages() else { return };
        for (number, page) in pages.iter().enumerate() {
            let place = format!("{name}, page {}", number + 1);
            // The page's own text comes first, then its head, then its foot.
            let foot = page.rfind(" job.recipe.kdl · version").expect("every page has a foot");
            let own = page[..foot].trim_end_matches("Linden sign Job sheet").trim_end();
            assert!(!own.starts_with("whole run"), "{place}: the foot of a table stands alone");
            // Of sections, what stands beside the heading comes last.
            for heading in [
                " operations",
                " settings",
                "why the recipe goes on",
                "(continued)",
                "Before the start",
                "While it burns",
                "Pausing and resuming",
                "Notes",
            ] {
                assert!(!own.ends_with(heading), "{place} ends with `{heading}`");
            }
        }
    }
}
