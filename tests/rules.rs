//! The examples of every rule do what they are shown for: `wrong` raises it, and `right` does not.

mod framed;

use framed::{Frame, compile};
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Rules whose `wrong` cannot be tried as it stands, each with the reason. `tests/cases` raises every one of them.
const NOT_TRIED: &[(&str, &str)] = &[
    ("air/not-there", "leaves out what does not matter"),
    ("artwork/bad-font", FILE),
    ("artwork/colours-merged", FILE),
    ("artwork/doubled-lines", FILE),
    ("artwork/embedded-picture", FILE),
    ("artwork/filled-and-stroked", FILE),
    ("artwork/font-not-named", FILE),
    ("artwork/font-style", FILE),
    ("artwork/glyph-missing", FILE),
    ("artwork/malformed", FILE),
    ("artwork/mask", PART),
    ("artwork/near-ends", FILE),
    ("artwork/no-page", FILE),
    ("artwork/no-physical-size", FILE),
    ("artwork/node-flood", FILE),
    ("artwork/not-svg", FILE),
    ("artwork/pattern", PART),
    ("artwork/pixel-steps", FILE),
    ("artwork/reader-failed", FILE),
    ("artwork/small-loops", FILE),
    ("artwork/specks", FILE),
    ("artwork/stray-parts", FILE),
    ("artwork/text-not-outlined", FILE),
    ("artwork/too-deep", FILE),
    ("artwork/too-large", FILE),
    ("artwork/too-slow", FILE),
    ("cost/two-currencies", "shows two files at once"),
    ("focus/curled-sheet", PART),
    ("focus/outside-stock", PART),
    ("input/unknown-set", COMMAND),
    ("journal/not-a-day", FILE),
    ("journal/nothing-changed", FILE),
    ("lettering/axis-out-of-range", FILE),
    ("lettering/bridge-too-wide", FILE),
    ("lettering/fans-out", FIGURE),
    ("lettering/letters-collide", FIGURE),
    ("lettering/no-such-axis", FILE),
    ("lettering/no-such-feature", FILE),
    ("material/only-marked", PART),
    ("mend/closed-gaps", FILE),
    ("mend/cut-loops", FILE),
    ("mend/dropped-doubles", FILE),
    ("mend/dropped-much", FILE),
    ("mend/dropped-specks", FILE),
    ("mend/dropped-strays", FILE),
    ("mend/fewer-nodes", FILE),
    ("mend/resolved-crossings", FILE),
    ("mend/thickened-lines", FILE),
    ("photo/burns-the-other-way", FILE),
    ("photo/dots-finer-than-spot", FIGURE),
    ("photo/dots-too-fine", FILE),
    ("photo/nearly-flat", FILE),
    ("photo/no-embedded-picture", FILE),
    ("photo/no-tone-card", FIGURE),
    ("photo/not-alone", FIGURE),
    ("photo/not-engraved", FIGURE),
    ("photo/one-tone", FILE),
    ("photo/other-tone-card", FILE),
    ("photo/placed-otherwise", FILE),
    ("photo/single-pixel", FILE),
    ("photo/stock-tones-assumed", FIGURE),
    ("photo/too-few-pixels", FILE),
    ("photo/too-many-dots", FILE),
    ("photo/two-intervals", FIGURE),
    ("photo/vignette-misses", FIGURE),
    ("picture/broken", FILE),
    ("picture/colours-approximate", FILE),
    ("picture/colours-converted", FILE),
    ("picture/fully-transparent", FILE),
    ("picture/name-differs", FILE),
    ("picture/not-a-picture", FILE),
    ("picture/over-white", FILE),
    ("picture/reader-failed", FILE),
    ("picture/several", FILE),
    ("picture/too-many-pixels", FILE),
    ("picture/too-slow", FILE),
    ("picture/turned-upright", FILE),
    ("picture/variant-not-read", FILE),
    ("plan/shade-card-outdated", PART),
    ("plan/which-shade-card", PART),
    ("puzzle/through-detail", FILE),
    ("recipe/file-name", COMMAND),
    ("recipe/font-tag", PART),
    ("register/centres-differ", "depends on where the figures lie"),
    ("register/parts-apart", FILE),
    ("repeat/does-not-fit", FILE),
    ("repeat/fewer-rows", FILE),
    ("repeat/no-column", FILE),
    ("repeat/no-such-rows", FILE),
    ("repeat/outside-cell", FILE),
    ("repeat/taken-name", FILE),
    ("repeat/too-many-figures", FILE),
    ("setting/not-dated", PART),
    ("shop/bad-tone-card", PART),
    ("shop/no-spot", PART),
    ("shop/optics-differ", PART),
    ("speed/run-up-short", PART),
    ("source/not-a-recipe", COMMAND),
    ("source/not-text", FILE),
    ("source/outside-project", "a project in memory has no outside"),
    ("source/use-circle", "shows two files at once"),
    ("syntax/nested-too-deep", "leaves out what does not matter"),
    ("syntax/not-a-text", FILE),
    ("syntax/text-too-large", FILE),
    ("table/bad-column", FILE),
    ("table/empty", FILE),
    ("table/not-text", FILE),
    ("table/open-quote", FILE),
    ("table/ragged", FILE),
    ("table/too-large", FILE),
    ("trace/both-sides", FILE),
    ("trace/coarse-pixels", FILE),
    ("trace/dots-left-out", FILE),
    ("trace/halved", FILE),
    ("trace/holds-solids", FILE),
    ("trace/loose-lines", FILE),
    ("trace/no-contrast", FILE),
    ("trace/nothing-traced", FILE),
    ("trace/seams-lost", FILE),
    ("trace/specks-left-out", FILE),
    ("trace/too-much", FILE),
];

const FILE: &str = "depends on a file that is not shown";
const COMMAND: &str = "is a command";
const PART: &str = "is a part of what it takes to raise it";
const FIGURE: &str = "names a figure that is not shown";

/// What rules about something that is missing, or about a choice, need of the frame.
fn frame(rule: &str) -> Frame {
    match rule {
        "recipe/no-board" => Frame { without: Some("board"), ..Frame::default() },
        "recipe/nothing-burned" => Frame { without: Some("run"), ..Frame::default() },
        "plan/which-setting" => Frame { choice: true, ..Frame::default() },
        "puzzle/no-kerf" => {
            Frame { extra: Some("puzzle \"pieces\" of=\"board\" pieces=15 seed=\"pond\""), ..Frame::default() }
        }
        "kerf/not-measured" => Frame {
            extra: Some("inlay \"sun-in\" of=\"sun\" piece=\"insert\" gap=\"0.05 mm\""),
            ..Frame::default()
        },
        "plan/no-shade-card" => Frame { stock: Some("lime-4"), ..Frame::default() },
        _ => Frame::default(),
    }
}

/// The rules that a piece raises in its frame.
fn raised(rule: &str, piece: &str) -> BTreeSet<&'static str> {
    let build = compile(piece, frame(rule));
    build.iter().flat_map(|b| b.findings.iter()).map(|d| d.finding.rule).collect()
}

#[test]
fn a_mended_example_does_not_raise_its_rule() {
    let faults: Vec<String> = kerfbook::rules::all()
        .par_iter()
        .filter(|rule| raised(rule.rule, rule.right).contains(rule.rule))
        .map(|rule| format!("{}:\n    {}", rule.rule, rule.right.replace('\n', "\n    ")))
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn a_wrong_example_raises_its_rule() {
    let fault = |rule: &&kerfbook::diagnostics::Finding| {
        let is_excused = NOT_TRIED.iter().any(|(name, _)| *name == rule.rule);
        let found = raised(rule.rule, rule.wrong);
        (found.contains(rule.rule) == is_excused)
            .then(|| format!("{}: {found:?}\n    {}", rule.rule, rule.wrong.replace('\n', "\n    ")))
    };
    let faults: Vec<String> = kerfbook::rules::all().par_iter().filter_map(fault).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
