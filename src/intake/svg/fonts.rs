//! The fonts that a recipe names for an artwork's text: these and no others.

use crate::diagnostics::{Finding, Severity};
use crate::source::Span;
use std::sync::Arc;
use usvg::fontdb::{Database, Family, ID, Language, Query, Source, Stretch, Style, Weight};
use usvg::{Font, FontFamily, FontStretch, FontStyle};

/// A font file of no use.
pub static BAD_FONT: Finding = Finding {
    rule: "artwork/bad-font",
    severity: Severity::Error,
    title: "a font file for an artwork is of no use",
    explanation: "A font for burning is a TrueType or OpenType file with outlines. Fonts packed for the web and broken files \
                  cannot be read.",
    wrong: "artwork \"sign\" file=\"art/sign.svg\" { font \"Gentium\" file=\"fonts/gentium.woff2\" }",
    right: "artwork \"sign\" file=\"art/sign.svg\" { font \"Gentium\" file=\"fonts/gentium.ttf\" }",
};

/// A font for the text of an artwork.
#[derive(Clone, Debug)]
pub struct SvgFont<'a> {
    /// The family, as the artwork names it; or one of CSS's five general ones.
    pub family: &'a str,
    /// The file, as the recipe names it.
    pub file: &'a str,
    /// What it holds.
    pub bytes: Arc<[u8]>,
    /// Where the recipe names it.
    pub span: Span,
}

/// CSS's names for fonts of a kind (W3C CSS Fonts Module Level 4, 2.1.3), which a recipe may give a file to as well.
fn name_of(family: &FontFamily) -> &str {
    match family {
        FontFamily::Serif => "serif",
        FontFamily::SansSerif => "sans-serif",
        FontFamily::Cursive => "cursive",
        FontFamily::Fantasy => "fantasy",
        FontFamily::Monospace => "monospace",
        FontFamily::Named(name) => name,
    }
}

/// The fonts under the names that the recipe gives them, and those of them that cannot be read.
pub(super) fn database(fonts: &[SvgFont]) -> (Database, Vec<usize>) {
    let mut all = Database::new();
    let mut bad = Vec::new();
    for (index, font) in fonts.iter().enumerate() {
        let mut own = Database::new();
        own.load_font_source(Source::Binary(Arc::new(Arc::clone(&font.bytes))));
        if own.is_empty() {
            bad.push(index);
        }
        for face in own.faces() {
            let named = |name: String| (name, Language::English_UnitedStates);
            let families = vec![named(font.family.to_lowercase()), named(font.family.to_owned())];
            all.push_face_info(usvg::fontdb::FaceInfo { families, ..face.clone() });
        }
    }
    (all, bad)
}

/// The face for what an element asks for: of the first family that the recipe names, the nearest style.
pub(super) fn face_for(font: &Font, fonts: &Database) -> Option<ID> {
    let stretch = match font.stretch() {
        FontStretch::UltraCondensed => Stretch::UltraCondensed,
        FontStretch::ExtraCondensed => Stretch::ExtraCondensed,
        FontStretch::Condensed => Stretch::Condensed,
        FontStretch::SemiCondensed => Stretch::SemiCondensed,
        FontStretch::Normal => Stretch::Normal,
        FontStretch::SemiExpanded => Stretch::SemiExpanded,
        FontStretch::Expanded => Stretch::Expanded,
        FontStretch::ExtraExpanded => Stretch::ExtraExpanded,
        FontStretch::UltraExpanded => Stretch::UltraExpanded,
    };
    let style = match font.style() {
        FontStyle::Normal => Style::Normal,
        FontStyle::Italic => Style::Italic,
        FontStyle::Oblique => Style::Oblique,
    };
    font.families().iter().find_map(|family| {
        let name = name_of(family).to_lowercase();
        fonts.query(&Query { families: &[Family::Name(&name)], weight: Weight(font.weight()), stretch, style })
    })
}

/// The families that an element asks for, in words.
pub(super) fn families_of(font: &Font) -> String {
    let names: Vec<String> = font.families().iter().map(|f| format!("`{}`", name_of(f))).collect();
    names.join(" or ")
}

/// What a face is not, of what was asked for: bold, or slanted, or the opposite.
pub(super) fn style_missed(font: &Font, face: ID, fonts: &Database) -> Option<&'static str> {
    let face = fonts.face(face)?;
    let slanted = (font.style() != FontStyle::Normal, face.style != Style::Normal);
    match ((font.weight() >= 600, face.weight.0 >= 600), slanted) {
        ((true, false), _) => Some("bold"),
        (_, (true, false)) => Some("italic"),
        ((false, true), _) => Some("not bold"),
        (_, (false, true)) => Some("upright"),
        _ => None,
    }
}

/// Settings by which the resolver lays text out: only with these fonts, and with no other where one lacks a letter.
///
/// Where no family fits, the first font stands in, so that the text comes through to where it is refused by name.
pub(super) fn resolver() -> usvg::FontResolver<'static> {
    usvg::FontResolver {
        select_font: Box::new(|font, fonts| {
            face_for(font, fonts).or_else(|| fonts.faces().next().map(|face| face.id))
        }),
        select_fallback: Box::new(|_, _, _| None),
    }
}
