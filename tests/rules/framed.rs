//! A piece of recipe, shop file or drawing in a whole project around it.

use kerfbook::driver::{self, Build, Request};
use kerfbook::figures::Cache;
use kerfbook::source::MemoryFiles;
use std::fs;
use std::path::PathBuf;

/// The start of every drawing; pieces of drawings may refer to its definitions.
const DRAWING: &str =
    "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"60mm\" height=\"60mm\" viewBox=\"0 0 60 60\">
<linearGradient id=\"sunset\"><stop stop-color=\"black\"/></linearGradient>
<pattern id=\"dots\" width=\"2\" height=\"2\"><circle r=\"1\"/></pattern>
<clipPath id=\"left-half\"><rect width=\"30\" height=\"60\"/></clipPath>
<clipPath id=\"outline\"><rect width=\"60\" height=\"60\"/></clipPath>
<g id=\"bird\" class=\"far\"><path d=\"M5 5H20V20H5Z\"/></g>
";

/// What a whole recipe needs: what tells that a piece brings it itself, and the node that is added otherwise.
const AROUND: &[(&str, &str)] = &[
    ("\nrecipe ", "recipe \"Pond\" language=1"),
    ("\nmachine \"bench", "machine \"bench-diode\""),
    ("\nstock", "stock \"frame\""),
    ("\nsheet ", "sheet \"400 mm\" \"400 mm\""),
    ("\nboard", "board { rectangle \"8.5 in\" \"11 in\" }"),
    ("\ninput \"day\"", "input \"day\" kind=\"date\" default=\"2027-08-14\""),
    ("\ninput \"picture\"", "input \"picture\" kind=\"file\" default=\"art/heron.svg\""),
    ("\ninput \"level\"", "input \"level\" kind=\"choice\" default=\"hard\" { option \"hard\"; option \"easy\" }"),
    ("\ninput \"size\"", "input \"size\" kind=\"count\" default=3"),
    ("\nshape \"sun\"", "shape \"sun\" { circle \"18 mm\" }"),
    ("\nartwork \"heron\"", "artwork \"heron\" file=\"art/heron.svg\" { size width=\"60 mm\" }"),
    ("\nlettering \"date\"", "lettering \"date\" \"4 May\" font=\"fonts/a.ttf\" height=\"9 mm\""),
];

/// A piece by the file that it belongs to.
enum Piece {
    Recipe(String),
    Shop(String),
    Drawing(String),
}

/// What a rule needs of the frame.
#[derive(Clone, Copy, Debug, Default)]
pub struct Frame {
    /// The node that has to be missing.
    pub without: Option<&'static str>,
    /// Whether the shop has two engrave settings.
    pub choice: bool,
    /// One more node.
    pub extra: Option<&'static str>,
    /// The stock; the one that the piece describes where it does.
    pub stock: Option<&'static str>,
}

/// Compiles a piece in its frame; `None` for what is no piece of a file, such as a command.
pub fn compile(piece: &str, frame: Frame) -> Option<Build> {
    if piece.starts_with('(') || piece.starts_with("kerfbook ") {
        return None;
    }
    let mut files = MemoryFiles::default();
    let (recipe, shop, drawing) = match sorted(piece) {
        Piece::Recipe(recipe) => (recipe, String::new(), format!("{DRAWING}</svg>")),
        Piece::Shop(shop) => (String::new(), shop, format!("{DRAWING}</svg>")),
        Piece::Drawing(drawing) => (String::new(), String::new(), drawing),
    };
    let stock = described_stock(&shop).or(frame.stock).unwrap_or("birch-3");
    let text = whole_recipe(&recipe, frame).replace("stock \"frame\"", &format!("stock \"{stock}\""));
    files.insert("pond.recipe.kdl", text.into_bytes());
    files.insert("shared.shop.kdl", shared_shop(stock, &shop, frame.choice).into_bytes());
    files.insert("own.shop.kdl", shop.into_bytes());
    files.insert("bench.shop.kdl", Vec::new());
    for name in ["art/heron.svg", "art/moon.svg", "art/map.svg", "heron.svg"] {
        files.insert(name, drawing.clone().into_bytes());
    }
    let font = fs::read("tests/fixtures/lettering/Roboto-subset.ttf").unwrap();
    for name in ["fonts/a.ttf", "fonts/latin-only.ttf", "gentium.ttf"] {
        files.insert(name, font.clone());
    }
    files.insert("fonts/a.woff2", b"wOF2\0\x01\0\0".to_vec());
    let request = Request { recipe: PathBuf::from("pond.recipe.kdl"), ..Request::default() };
    Some(driver::compile(&request, &files, &Cache::default()))
}

fn sorted(piece: &str) -> Piece {
    let inside = |head: &str| Piece::Recipe(format!("{head} {{\n    {piece}\n}}"));
    match piece.split([' ', '\n']).next().unwrap_or_default() {
        word if word.starts_with('<') => Piece::Drawing(whole_drawing(piece)),
        "lesson" | "shade-card" | "setting" => Piece::Shop(piece.to_owned()),
        "stock" if piece.contains("material") => Piece::Shop(piece.to_owned()),
        "machine" if piece.contains("laser") => Piece::Shop(piece.to_owned()),
        "step" => Piece::Shop(format!(
            "shade-card \"lime\" machine=\"bench-diode\" stock=\"lime-4\" setting=\"dark\" {{\n{piece}\n}}"
        )),
        "engrave" | "score" | "cut" => inside("run \"picture\""),
        "size" | "place" | "turn" | "rectangle" | "weld" | "circle" => {
            Piece::Recipe(format!("shape \"piece\" {{\n    circle \"5 mm\"\n    {piece}\n}}"))
        }
        "take" => inside("artwork \"heron\" file=\"art/heron.svg\""),
        "about" => inside("recipe \"Pond\""),
        _ => Piece::Recipe(piece.to_owned()),
    }
}

fn whole_recipe(piece: &str, frame: Frame) -> String {
    let lines = format!("\n{piece}");
    let is_left_out = |word: &str| frame.without.is_some_and(|without| word.trim_start().starts_with(without));
    // An input that nothing names would be a finding of its own.
    let is_named = |node: &str| {
        let input = node.strip_prefix("input \"").and_then(|rest| rest.split('"').next());
        input.is_none_or(|name| piece.contains(&format!("{{{name}")))
    };
    let added = AROUND.iter().filter(|(own, node)| !lines.contains(own) && !is_left_out(own) && is_named(node));
    let mut around: Vec<String> = added.map(|(_, node)| (*node).to_owned()).collect();
    around.extend(frame.extra.map(str::to_owned));
    if !piece.contains("cut \"board") && !is_left_out("run") {
        around.push(run(piece, &around));
    }
    let uses = "use \"shared.shop.kdl\"\nuse \"own.shop.kdl\"";
    if piece.starts_with("/-") {
        return format!("{piece}\n{uses}\n{}\n", around.join("\n"));
    }
    // The frame comes first, so that a comment that is never closed does not hide it.
    format!("/- kdl-version 2\n{uses}\n{}\n{piece}\n", around.join("\n"))
}

/// A run that burns what the piece draws, or the heron, and names every figure of the frame.
fn run(piece: &str, around: &[String]) -> String {
    let figures = around.iter().filter(|n| ["shape", "artwork", "lettering"].iter().any(|w| n.starts_with(w)));
    let names: Vec<String> = figures.map(|n| format!("\"{}\"", n.split('"').nth(1).unwrap())).collect();
    let guide = if names.is_empty() { String::new() } else { format!("guide {}; ", names.join(" ")) };
    let engrave = if piece.contains("run ") {
        String::new()
    } else {
        format!("engrave \"{}\" setting=\"dark\"; ", drawn(piece).unwrap_or("heron"))
    };
    format!("run \"all\" {{ {engrave}{guide}cut \"board\" }}")
}

/// The name of the first lettering or artwork of a piece.
fn drawn(piece: &str) -> Option<&str> {
    let line = piece.lines().find(|l| l.starts_with("lettering ") || l.starts_with("artwork "))?;
    line.split('"').nth(1)
}

/// The name of the only stock that a piece of a shop file describes.
fn described_stock(shop: &str) -> Option<&str> {
    let mut stocks = shop.lines().filter(|l| l.starts_with("stock "));
    stocks.next().filter(|_| stocks.next().is_none()).and_then(|l| l.split('"').nth(1))
}

/// The shop of the cases with the stock that the examples name, and all its settings for the stock of the frame.
fn shared_shop(stock: &str, own: &str, choice: bool) -> String {
    let shop = include_str!("../cases/shared/bench.shop.kdl").replace("alder", "birch");
    let is_described = |line: &str| {
        line.starts_with("stock ") && own.contains(&format!("stock \"{}\"", line.split('"').nth(1).unwrap()))
    };
    let lines = shop.lines().filter(|l| !is_described(l));
    let mut shop = lines.collect::<Vec<_>>().join("\n");
    if !shop.contains(&format!("stock=\"{stock}\"")) {
        shop = shop.replace("stock=\"birch-3\"", &format!("stock=\"{stock}\""));
    }
    if choice {
        shop.push_str("\nsetting \"soft\" like=\"dark\" power=\"40 %\"\n");
    }
    shop
}

fn whole_drawing(piece: &str) -> String {
    if !piece.starts_with("<svg") {
        return format!("{DRAWING}{piece}</svg>");
    }
    let ink = "<path d=\"M5 5H9V9Z\"/>";
    let namespace = "xmlns=\"http://www.w3.org/2000/svg\"";
    // The examples about sizes leave out what every drawing has.
    let is_about_size = piece.contains("viewBox") && !piece.contains("xmlns");
    let piece =
        if is_about_size { piece.replacen("<svg", &format!("<svg {namespace}"), 1) } else { piece.to_owned() };
    if piece.ends_with("</svg>") { piece } else { format!("{piece}{ink}</svg>") }
}
