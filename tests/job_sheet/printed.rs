//! A PDF read back by other people's programs.

use std::io::Write;
use std::process::Command;

/// A PDF in a file of its own.
pub struct Printed {
    file: tempfile::NamedTempFile,
    bytes: Vec<u8>,
}

/// A text with every run of white space as one space.
pub fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Printed {
    /// Puts the bytes where a program can read them.
    pub fn new(bytes: &[u8]) -> Self {
        let mut file = tempfile::NamedTempFile::with_suffix(".pdf").expect("a temporary file");
        file.write_all(bytes).expect("room for it");
        Self { file, bytes: bytes.to_vec() }
    }

    /// The bytes of the file.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Exit code and words of a program run on the file; `None` (and a note) when it is not installed.
    pub fn run(&self, program: &str, before: &[&str], after: &[&str]) -> Option<(i32, String)> {
        let made = Command::new(program).args(before).arg(self.file.path()).args(after).output();
        let Ok(output) = made else {
            println!("skipped: {program} is not installed");
            return None;
        };
        let mut said = String::from_utf8_lossy(&output.stdout).into_owned();
        said.push_str(&String::from_utf8_lossy(&output.stderr));
        Some((output.status.code().unwrap_or(-1), said))
    }

    /// The text of all pages, in the order in which it is drawn.
    pub fn text(&self) -> Option<String> {
        self.run("pdftotext", &["-raw", "-enc", "UTF-8"], &["-"]).map(|(_, text)| flat(&text))
    }

    /// The text of every page.
    pub fn pages(&self) -> Option<Vec<String>> {
        let (_, text) = self.run("pdftotext", &["-raw", "-enc", "UTF-8"], &["-"])?;
        Some(text.split('\u{c}').map(flat).filter(|page| !page.is_empty()).collect())
    }

    /// The text of one page, numbered from 1.
    pub fn page_text(&self, number: usize) -> Option<String> {
        self.pages().map(|pages| pages[number - 1].clone())
    }

    /// Width and height of every page, in points.
    pub fn page_sizes(&self) -> Vec<(f64, f64)> {
        let file = lopdf::Document::load_mem(&self.bytes).expect("it loads");
        let number = |object: &lopdf::Object| object.as_float().map(f64::from).expect("a number");
        file.page_iter()
            .map(|page| {
                let page = file.get_dictionary(page).expect("a page");
                let media = page.get(b"MediaBox").and_then(lopdf::Object::as_array).expect("a box");
                (number(&media[2]) - number(&media[0]), number(&media[3]) - number(&media[1]))
            })
            .collect()
    }

    /// The words of every page with their boxes, in points.
    pub fn words(&self) -> Option<Vec<Words>> {
        let (_, html) = self.run("pdftotext", &["-bbox"], &["-"])?;
        let mut pages: Vec<Words> = Vec::new();
        for line in html.lines().map(str::trim) {
            if line.starts_with("<page ") {
                let size = (attribute(line, "width"), attribute(line, "height"));
                pages.push(Words { size, list: Vec::new() });
            } else if line.starts_with("<word ") {
                let edges = ["xMin", "yMin", "xMax", "yMax"].map(|name| attribute(line, name));
                let text = line.split(['>', '<']).nth(2).unwrap_or_default().to_owned();
                pages.last_mut().expect("words stand on pages").list.push((edges, text));
            }
        }
        Some(pages)
    }
}

fn attribute(line: &str, name: &str) -> f64 {
    let start = line.find(&format!("{name}=\"")).expect("the attribute is there") + name.len() + 2;
    line[start..].split('"').next().and_then(|v| v.parse().ok()).expect("a number")
}

/// The words of one page.
pub struct Words {
    size: (f64, f64),
    list: Vec<([f64; 4], String)>,
}

impl Words {
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// The boxes of a word, wherever it stands: left, top, right and bottom edge in points.
    pub fn boxes(&self, word: &str) -> Vec<[f64; 4]> {
        self.list.iter().filter(|(_, text)| text == word).map(|(edges, _)| *edges).collect()
    }

    /// No word comes nearer than `margin` mm to the left or right edge, or than 6 mm to the others: what a
    /// desk printer leaves blank (common practice, no source).
    pub fn assert_inside(&self, margin: f64) {
        let margin = margin / 25.4 * 72.0;
        for ([x0, y0, x1, y1], word) in &self.list {
            let across = margin <= *x0 && *x1 <= self.size.0 - margin;
            let down = 17.0 <= *y0 && *y1 <= self.size.1 - 17.0;
            assert!(across && down, "`{word}` leaves the page: {x0} {y0} {x1} {y1}");
        }
    }

    /// No two words share ink: boxes, made as low as small letters, do not overlap.
    pub fn assert_apart(&self, place: &str) {
        let core = |[x0, y0, x1, y1]: [f64; 4]| [x0 + 0.2, y0 + (y1 - y0) * 0.35, x1 - 0.2, y1 - (y1 - y0) * 0.3];
        for (i, (a, word)) in self.list.iter().enumerate() {
            for (b, other) in &self.list[i + 1..] {
                let (a, b) = (core(*a), core(*b));
                let apart = a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
                assert!(apart, "{place}: `{word}` and `{other}` overlap: {a:?} {b:?}");
            }
        }
    }
}
