//! A build in a watch gives the bytes of a build from nothing, whatever was built before.

use kerfbook::cache::Cache;
use kerfbook::driver::{Request, build, project_root};
use kerfbook::outputs::OutputFile;
use kerfbook::source::DiskFiles;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

const SHOP: &str = concat!(
    include_str!("fixtures/machine.kdl"),
    r#"stock "birch" material="birch plywood" thickness="3.1 mm" kerf="0.16 mm"
stock "oak" material="oak veneer board" thickness="4 mm" kerf="0.2 mm"
"#
);

fn settings() -> String {
    let of = |stock: &str| {
        format!(
            r#"
setting "dark-{stock}" machine="bench" stock="{stock}" operation="engrave" speed="120 mm/s" power="62 %" interval="0.1 mm"
setting "light-{stock}" machine="bench" stock="{stock}" operation="score" speed="60 mm/s" power="18 %"
setting "through-{stock}" machine="bench" stock="{stock}" operation="cut" speed="5 mm/s" power="95 %" passes=2
"#
        )
    };
    of("birch") + &of("oak")
}

const RECIPE: &str = r#"
recipe "Pond tag" language=1
use "bench.shop.kdl"
input "day" kind="date" default="2027-08-14"
machine "bench"
stock "birch"
sheet "90 mm" "70 mm"
board { rectangle "60 mm" "45 mm" corner="5 mm" }
artwork "reed" file="reed.svg" {
    size height="12 mm"
    place centre="board" up="8 mm"
}
lettering "date" "{day:%-d %B %Y}" font="letters.ttf" height="3 mm" {
    place centre="board" bottom="board" up="6 mm"
}
shape "ring" {
    circle "9 mm"
    place left="board" top="board" right="5 mm" down="5 mm"
}
puzzle "pieces" of="board" pieces=4 seed="tag"
run "all" {
    engrave "reed" "date"
    score "ring"
    cut "pieces" seams="shared"
    cut "board"
}
"#;

const REED: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="30mm" viewBox="0 0 20 30">
<path d="M2 30 C4 20 4 10 3 0 C6 10 7 20 6 30 Z"/><rect x="10" y="5" width="5" height="20"/></svg>"#;

const OTHER_REED: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="30mm" viewBox="0 0 20 30">
<path d="M2 30 C4 20 4 10 3 0 C6 10 7 20 6 30 Z"/><circle cx="13" cy="15" r="6"/></svg>"#;

/// A project of its own on disk.
struct Project(TempDir);

impl Project {
    fn new() -> Self {
        let place = TempDir::new().unwrap();
        let font = concat!(env!("CARGO_MANIFEST_DIR"), "/recipes/heron-pond/fonts/alegreya-medium.ttf");
        fs::copy(font, place.path().join("letters.ttf")).unwrap();
        let project = Self(place);
        project.write("bench.shop.kdl", &(SHOP.to_owned() + &settings()));
        project.write("reed.svg", REED);
        project.write("tag.recipe.kdl", RECIPE);
        project
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn write(&self, name: &str, text: &str) {
        fs::write(self.path(name), text).unwrap();
    }

    fn edit(&self, from: &str, to: &str) {
        let text = fs::read_to_string(self.path("tag.recipe.kdl")).unwrap();
        assert!(text.contains(from), "{from}");
        self.write("tag.recipe.kdl", &text.replace(from, to));
    }

    fn build(&self, cache: &Cache) -> Vec<OutputFile> {
        let recipe = self.path("tag.recipe.kdl");
        let files = DiskFiles::new(&project_root(&recipe), &[]);
        let (build, made) = build(&Request { recipe, ..Request::default() }, &files, cache);
        let findings: Vec<String> = build.findings.iter().map(|f| f.message.clone()).collect();
        made.unwrap().unwrap_or_else(|| panic!("{findings:?}"))
    }
}

fn file<'a>(files: &'a [OutputFile], path: &str) -> &'a OutputFile {
    files.iter().find(|f| Path::new(&f.path) == Path::new(path)).unwrap()
}

/// Fails if anything that an edit changes is missing from what a result is kept under.
#[test]
fn a_warm_build_gives_the_bytes_of_a_cold_one() {
    let project = Project::new();
    let warm = Cache::default();
    let mut last = project.build(&warm);
    let edits: [(&str, &dyn Fn()); 7] = [
        ("another day", &|| project.edit("2027-08-14", "2028-01-05")),
        ("a figure moved", &|| project.edit("right=\"5 mm\"", "right=\"9 mm\"")),
        ("another picture", &|| project.write("reed.svg", OTHER_REED)),
        ("another stock", &|| project.edit("stock \"birch\"", "stock \"oak\"")),
        ("a smaller board", &|| project.edit("\"60 mm\" \"45 mm\"", "\"58 mm\" \"45 mm\"")),
        ("other seams", &|| project.edit("seed=\"tag\"", "seed=\"tag-2\"")),
        ("another shop", &|| {
            project.write("bench.shop.kdl", &(SHOP.to_owned() + &settings()).replace("62 %", "30 %"));
        }),
    ];
    for (what, edit) in edits {
        edit();
        let (now, cold) = (project.build(&warm), project.build(&Cache::default()));
        assert_eq!(now.len(), cold.len(), "{what}");
        for (now, cold) in now.iter().zip(&cold) {
            assert!(now == cold, "{what}: `{}` is another than `{}` from nothing", now.path, cold.path);
        }
        assert!(file(&now, "preview.png") != file(&last, "preview.png"), "{what}: it shows in the preview");
        last = now;
    }
}

/// The same with what was built before taken back, and on other numbers of threads.
#[test]
fn an_edit_taken_back_gives_the_first_bytes_on_any_number_of_threads() {
    let project = Project::new();
    let warm = Cache::default();
    let first = project.build(&warm);
    project.edit("2027-08-14", "2031-12-31");
    project.build(&warm);
    project.edit("2031-12-31", "2027-08-14");
    for threads in [1, 5] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        assert!(pool.install(|| project.build(&warm)) == first);
        assert!(pool.install(|| project.build(&Cache::default())) == first);
    }
}
