//! The page that every SVG file shares: the whole sheet or the test piece, in millimetres, and one group an operation.

use super::clusters::clusters;
use super::dot_picture::data_address;
use super::names::group_id;
use super::path_data::path_data;
use crate::plan::{Burn, Dots, Operation, ResolvedSetting};
use crate::units::Mm;
use crate::units::number::coordinate;
use kurbo::BezPath;
use svg::Document;
use svg::node::element::{Description, Group, Image, Path, Title};

/// Width of the lines of cuts and scores, in mm.
///
/// Wide enough to be seen on a screen and on paper at full size, and no wider than the usual kerf, so
/// that nobody and no reader takes a line for an area. It says nothing of the kerf: the path is the
/// middle of the beam.
const LINE_WIDTH: f64 = 0.1;

/// Writes a page of a width and height that holds `operations`, in their order.
pub(super) fn page<'a>(
    (width, height): (Mm, Mm),
    title: &str,
    about: &str,
    operations: impl IntoIterator<Item = &'a Operation>,
) -> Vec<u8> {
    let (width, height) = (coordinate(width.get()), coordinate(height.get()));
    let mut document = Document::new()
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .add(Title::new(legible(title)))
        .add(Description::new().add(svg::node::Text::new(legible(about))));
    for operation in operations {
        document = document.add(group(operation));
    }
    let declaration = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>";
    format!("{declaration}\n{document}\n").into_bytes()
}

/// One operation: its numbers as text for people, its paths for the machine.
fn group(operation: &Operation) -> Group {
    let mut group = Group::new()
        .set("id", group_id(operation))
        .set("data-operation", operation.kind.word())
        .set("data-order", operation.number)
        .set("data-name", legible(&operation.name))
        .set("data-figures", legible(&operation.figures.join(", ")));
    if let (Some(first), Some(last)) = (operation.numbers.first(), operation.numbers.last()) {
        group =
            group.set("data-strokes", if first == last { first.to_string() } else { format!("{first}-{last}") });
    }
    if let Some(setting) = &operation.setting {
        group = with_setting(group, setting);
    }
    match &operation.burn {
        Burn::Area(region) => {
            for cluster in clusters(region) {
                group = group.add(area(path_data(cluster), &operation.colour));
            }
        }
        Burn::Dots(dots) => group = group.add(photo(dots)),
        Burn::Lines(lines) => {
            for (one, number) in lines.iter().zip(numbers(operation)) {
                let path = line(one, &operation.colour);
                group = group.add(match number {
                    Some(number) => path.set("data-stroke", number),
                    None => path,
                });
            }
        }
    }
    group
}

/// The number of each of its lines, as they are counted through the run; guides have none.
fn numbers(operation: &Operation) -> impl Iterator<Item = Option<usize>> + '_ {
    operation.numbers.iter().copied().map(Some).chain(std::iter::repeat(None))
}

fn with_setting(group: Group, setting: &ResolvedSetting) -> Group {
    let mut group = group;
    if !setting.name.is_empty() {
        group = group.set("data-setting", legible(&setting.name));
    }
    if setting.is_trial {
        group = group.set("data-trial", "yes");
    }
    group = group
        .set("data-speed", setting.speed.to_string())
        .set("data-power", setting.power.to_string())
        .set("data-passes", setting.passes);
    if let Some(interval) = setting.interval {
        group = group.set("data-interval", interval.to_string());
    }
    if let Some(focus) = setting.focus {
        group = group.set("data-focus", focus.to_string());
    }
    if let Some(air) = setting.air {
        group = group.set("data-air", if air { "on" } else { "off" });
    }
    group
}

/// Colours stand on every path, not on the group: not every reader lets them be inherited.
fn area(data: String, colour: &str) -> Path {
    Path::new().set("d", data).set("fill", legible(colour)).set("fill-rule", "evenodd").set("stroke", "none")
}

/// A photo: width and height in millimetres, and no reader may smooth what lies between its dots.
fn photo(dots: &Dots) -> Image {
    let number = |value: f64| coordinate(value);
    Image::new()
        .set("x", number(dots.bounds.x0))
        .set("y", number(dots.bounds.y0))
        .set("width", number(dots.bounds.width()))
        .set("height", number(dots.bounds.height()))
        .set("preserveAspectRatio", "none")
        .set("image-rendering", "pixelated")
        .set("href", data_address(dots))
}

fn line(path: &BezPath, colour: &str) -> Path {
    Path::new()
        .set("d", path_data([path]))
        .set("fill", "none")
        .set("stroke", legible(colour))
        .set("stroke-width", coordinate(LINE_WIDTH))
}

/// The text with every character that XML 1.0 forbids (production `Char`) shown as U+FFFD.
pub(super) fn legible(text: &str) -> String {
    let allowed = |c: char| matches!(c, '\t' | '\n' | '\r' | ' '..='\u{fffd}' | '\u{10000}'..);
    text.chars().map(|c| if allowed(c) { c } else { char::REPLACEMENT_CHARACTER }).collect()
}
