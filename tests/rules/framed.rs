//! A piece of recipe, shop file or drawing in a whole project around it.

use kerfbook::driver::{self, Build, Request};
use kerfbook::figures::Cache;
use kerfbook::source::MemoryFiles;
use std::fs;
use std::path::PathBuf;

const SHOP: &str = include_str!("../cases/shared/bench.shop.kdl");
const DRAWING: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"60mm\" height=\"60mm\" viewBox=\"0 0 60 60\">\n\
    <g id=\"bird\" class=\"reeds\"><path d=\"M5 5H20V20H5Z\"/></g>\n";

/// The nodes of a recipe that a piece of one may leave out: a word that tells whether it is there, and the node.
const AROUND: &[(&str, &str)] = &[
    ("recipe \"", "recipe \"Pond\" language=1"),
    ("machine \"bench", "machine \"bench-diode\""),
    ("\nsheet ", "sheet \"400 mm\" \"400 mm\""),
    ("board", "board { rectangle \"8.5 in\" \"11 in\" }"),
    ("input \"day\"", "input \"day\" kind=\"date\" default=\"2027-08-14\""),
    ("input \"picture\"", "input \"picture\" kind=\"file\" default=\"art/heron.svg\""),
    ("input \"level\"", "input \"level\" kind=\"choice\" default=\"hard\" { option \"hard\"; option \"easy\" }"),
    ("input \"size\"", "input \"size\" kind=\"count\" default=3"),
    ("shape \"sun\"", "shape \"sun\" { circle \"18 mm\" }"),
    ("\"heron\" file", "artwork \"heron\" file=\"art/heron.svg\""),
    ("lettering \"date\"", "lettering \"date\" \"4 May\" font=\"fonts/a.ttf\" height=\"9 mm\""),
];

/// Compiles a piece in its frame; `None` for what is no piece of a file, such as a command.
pub fn compile(piece: &str) -> Option<Build> {
    if piece.starts_with('(') || piece.starts_with("kerfbook ") {
        return None;
    }
    let mut files = MemoryFiles::default();
    let (recipe, shop, drawing) = match piece.split([' ', '\n']).next().unwrap_or_default() {
        word if word.starts_with('<') => (String::new(), String::new(), drawing(piece)),
        "lesson" | "shade-card" | "setting" => (String::new(), piece.to_owned(), String::new()),
        "stock" if piece.contains("material") => (String::new(), piece.to_owned(), String::new()),
        "step" => (
            String::new(),
            format!(
                "shade-card \"lime\" machine=\"bench-diode\" stock=\"lime-4\" setting=\"dark\" {{\n{piece}\n}}"
            ),
            String::new(),
        ),
        "engrave" | "score" | "cut" => {
            (format!("run \"picture\" {{\n    {piece}\n}}"), String::new(), String::new())
        }
        "size" | "place" | "turn" | "rectangle" | "weld" | "circle" => {
            (format!("shape \"piece\" {{\n    circle \"5 mm\"\n    {piece}\n}}"), String::new(), String::new())
        }
        "take" => {
            (format!("artwork \"heron\" file=\"art/heron.svg\" {{\n    {piece}\n}}"), String::new(), String::new())
        }
        "about" => (format!("recipe \"Pond\" {{\n    {piece}\n}}"), String::new(), String::new()),
        "#" | "/*" => (piece.to_owned(), String::new(), String::new()),
        _ => (piece.to_owned(), String::new(), String::new()),
    };
    let drawing = if drawing.is_empty() { format!("{DRAWING}</svg>") } else { drawing };
    let names_stock = recipe.contains("stock");
    let known_shop = if shop.contains("\"birch-3\" material") {
        SHOP.replace("stock \"birch-3\" material", "stock \"other\" material")
    } else {
        SHOP.to_owned()
    };
    let mut whole = String::new();
    for (word, node) in AROUND {
        if !format!("\n{recipe}").contains(word)
            || (*word == "board" && !recipe.contains("board {") && !recipe.contains("board\n"))
        {
            whole.push_str(node);
            whole.push('\n');
        }
    }
    if !names_stock {
        whole.push_str("stock \"birch-3\"\n");
    }
    if !recipe.contains("run ") {
        whole.push_str("run \"separate\" { cut \"board\" }\n");
    }
    let head = if recipe.starts_with("/- kdl-version") { String::new() } else { "/- kdl-version 2\n".to_owned() };
    let text = format!(
        "{}use \"shared.shop.kdl\"\nuse \"own.shop.kdl\"\n{whole}",
        if head.is_empty() { format!("{recipe}\n") } else { format!("{head}{recipe}\n") }
    );
    files.insert("pond.recipe.kdl", text.into_bytes());
    files.insert("shared.shop.kdl", known_shop.into_bytes());
    files.insert("own.shop.kdl", shop.into_bytes());
    files.insert("bench.shop.kdl", Vec::new());
    for name in ["art/heron.svg", "art/moon.svg", "art/map.svg"] {
        files.insert(name, drawing.clone().into_bytes());
    }
    let font = fs::read("tests/fixtures/lettering/Roboto-subset.ttf").unwrap();
    for name in ["fonts/a.ttf", "fonts/latin-only.ttf", "gentium.ttf"] {
        files.insert(name, font.clone());
    }
    files.insert("fonts/a.woff2", b"wOF2\0\x01\0\0".to_vec());
    let request = Request { recipe: PathBuf::from("pond.recipe.kdl"), sets: Vec::new() };
    Some(driver::compile(&request, &files, &Cache::default()))
}

/// A whole drawing from a piece of one.
fn drawing(piece: &str) -> String {
    if piece.starts_with("<svg") {
        let namespace = if piece.contains("width") && piece.contains("viewBox") {
            piece.replacen("<svg ", "<svg xmlns=\"http://www.w3.org/2000/svg\" ", 1)
        } else {
            piece.to_owned()
        };
        return if piece.ends_with("</svg>") {
            namespace
        } else {
            format!("{namespace}<path d=\"M5 5H20V20H5Z\"/></svg>")
        };
    }
    format!("{DRAWING}{piece}</svg>")
}
