//! `put-back.pdf`: said in full, nothing on another, and what it counts is what its file burns.

use super::printed::Printed;
use super::recipes::Job;
use kerfbook::outputs::{remainder_file, write_remainder};
use kerfbook::plan::{Asked, Part, Remainder, remainder};
use kerfbook::units::Mm;
use std::collections::BTreeSet;
use std::path::Path;

fn left(job: &Job, run: &str, part: Part) -> Remainder {
    let asked = Asked { part, operation: None, overlap: Mm::ZERO, whole: false, passes: None };
    remainder(&job.plan, run, &asked).expect("something is left")
}

#[test]
fn papers_of_remainders_are_legible_and_count_what_is_burned() {
    let job = Job::on_disk(Path::new("recipes/hill-path/hill-path.recipe.kdl"));
    let asked = [
        ("back", Part::After(9)),
        ("front", Part::Pieces(vec![1, 2])),
        ("front", Part::After(6)),
        ("frame", Part::After(1)),
    ];
    for (run, part) in asked {
        let what = format!("{run}: {part:?}");
        let left = left(&job, run, part);
        let files = write_remainder(&job.plan, &left, Some("a `mark` is missing")).expect("it is written");
        let printed = Printed::new(&files.iter().find(|f| f.path == "put-back.pdf").expect("the paper").bytes);
        let (Some(text), Some(pages)) = (printed.text(), printed.words()) else { return };
        for (number, page) in pages.iter().enumerate() {
            page.assert_inside(15.9);
            page.assert_apart(&format!("{what}, page {}", number + 1));
        }
        assert!(!text.contains('`') && !text.contains('…'), "{what}: {text}");
        let numbers: Vec<usize> = left.run.operations.iter().flat_map(|o| o.numbers.iter().copied()).collect();
        let strokes: BTreeSet<usize> = numbers.iter().copied().collect();
        let count = |n: usize, one: &str| {
            format!(
                "{n} {one}{}",
                if n == 1 {
                    ""
                } else if one == "stretch" {
                    "es"
                } else {
                    "s"
                }
            )
        };
        let broken = if strokes.len() < numbers.len() {
            format!("{} of ", count(numbers.len(), "stretch"))
        } else {
            String::new()
        };
        let wanted =
            format!("file {} · {broken}{}", remainder_file(&job.plan, &left), count(strokes.len(), "stroke"));
        assert!(text.contains(&wanted), "{what}: `{wanted}` is missing: {text}");
        assert!(text.contains(&format!("strokes left {} of {}", strokes.len(), left.strokes)), "{what}: {text}");
    }
    let Some(text) = paper(&job, "back", Part::After(9)).text() else { return };
    assert!(text.contains("It burns sheet 1, back up, turned left-right."), "{text}");
    assert!(text.contains("ring: where stroke 10 begins"), "{text}");
}

fn paper(job: &Job, run: &str, part: Part) -> Printed {
    let files = write_remainder(&job.plan, &left(job, run, part), None).expect("it is written");
    Printed::new(&files[0].bytes)
}
