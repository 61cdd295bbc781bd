//! A font file that has been found fit for use.

use super::error::{FontProblem, LetteringError};
use super::outline;
use harfrust::FontRef;
use kurbo::Shape;
use skrifa::raw::TableProvider;
use skrifa::raw::types::Tag;
use skrifa::{GlyphId, MetadataProvider};

/// Tables without which nothing can be set.
const NEEDED: [&str; 5] = ["head", "maxp", "cmap", "hhea", "hmtx"];

/// Tables that hold pictures in place of outlines.
const PICTURES: [&str; 4] = ["CBDT", "sbix", "SVG ", "EBDT"];

/// Tables that are read when they are there, and must then lie within the file.
const USED: [&str; 16] = [
    "head", "maxp", "cmap", "hhea", "hmtx", "OS/2", "loca", "glyf", "CFF ", "CFF2", "GDEF", "GSUB", "GPOS",
    "kern", "gvar", "HVAR",
];

/// What the height of the capitals was measured on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CapitalsFrom {
    /// The outline of a flat capital: Latin `H`, Greek `Η` or Cyrillic `Н`.
    Letter(char),
    /// The font's own note, `sCapHeight` of table `OS/2`, because it has none of those letters.
    ///
    /// A note may be wrong by a per cent or so, or speak of another letter; hence the outline goes first.
    Note,
    /// The ascender of table `hhea`: the font has neither capitals nor a note. Scripts without capitals
    /// then get about the size that they would have beside Latin ones.
    Ascender,
}

/// A font, opened and checked.
pub(super) struct Font<'a> {
    file: &'a str,
    reader: FontRef<'a>,
    units_per_em: f64,
}

impl<'a> Font<'a> {
    /// Opens a font file; of a collection, its first font.
    pub(super) fn open(data: &'a [u8], file: &'a str) -> Result<Self, LetteringError> {
        let fail = |problem| LetteringError::Font { file: file.to_owned(), problem };
        check_magic(data).map_err(fail)?;
        let reader = FontRef::from_index(data, 0).map_err(|_| fail(FontProblem::Directory))?;
        check_tables(&reader, data.len()).map_err(fail)?;
        check_outlines(&reader).map_err(fail)?;
        let units = check_contents(&reader).map_err(fail)?;
        Ok(Self { file, reader, units_per_em: f64::from(units) })
    }

    /// The error that this font has a problem.
    pub(super) fn fail(&self, problem: FontProblem) -> LetteringError {
        LetteringError::Font { file: self.file.to_owned(), problem }
    }

    /// The parsed tables.
    pub(super) fn reader(&self) -> &FontRef<'a> {
        &self.reader
    }

    /// Font units to the em.
    pub(super) fn units_per_em(&self) -> f64 {
        self.units_per_em
    }

    /// The glyph of a character; `None` when the font lacks it.
    pub(super) fn glyph_of(&self, character: char) -> Option<GlyphId> {
        self.reader.charmap().map(character).filter(|g| *g != GlyphId::NOTDEF)
    }

    /// Height of the capitals above the baseline in font units, and what it was measured on.
    pub(super) fn capitals(&self) -> Result<(f64, CapitalsFrom), LetteringError> {
        for letter in ['H', '\u{397}', '\u{41d}'] {
            let Some(glyph) = self.glyph_of(letter) else { continue };
            let path = outline::of_glyph(self, glyph)?;
            let height = path.bounding_box().y1;
            if !path.is_empty() && 0.0 < height {
                return Ok((height, CapitalsFrom::Letter(letter)));
            }
        }
        let note = self.reader.os2().ok().and_then(|os2| os2.s_cap_height()).unwrap_or(0);
        if 0 < note {
            return Ok((f64::from(note), CapitalsFrom::Note));
        }
        let ascender = self.reader.hhea().map_or(0, |hhea| hhea.ascender().to_i16());
        if 0 < ascender {
            return Ok((f64::from(ascender), CapitalsFrom::Ascender));
        }
        Err(self.fail(FontProblem::NoCapitals))
    }
}

/// Tells what a file is from its first four bytes.
fn check_magic(data: &[u8]) -> Result<(), FontProblem> {
    match data.get(..4) {
        Some([0, 1, 0, 0] | b"OTTO" | b"true" | b"ttcf") => Ok(()),
        Some(b"wOFF") => Err(FontProblem::Packed { format: "WOFF" }),
        Some(b"wOF2") => Err(FontProblem::Packed { format: "WOFF2" }),
        _ => Err(FontProblem::NotAFont),
    }
}

/// Checks that the needed tables exist and that all that are used lie within the file.
fn check_tables(reader: &FontRef, length: usize) -> Result<(), FontProblem> {
    let records = reader.table_directory().table_records();
    for record in records {
        let end = u64::from(record.offset()) + u64::from(record.length());
        let tag = record.tag().to_string();
        if (length as u64) < end && USED.contains(&tag.as_str()) {
            return Err(FontProblem::TableCut { table: tag });
        }
    }
    let has = |table: &str| records.iter().any(|r| r.tag() == table);
    NEEDED.into_iter().find(|t| !has(t)).map_or(Ok(()), |table| Err(FontProblem::TableMissing { table }))
}

/// Checks that the font has outlines at all, and tells what it has in their place.
fn check_outlines(reader: &FontRef) -> Result<(), FontProblem> {
    let has = |table: &str| Tag::new_checked(table.as_bytes()).is_ok_and(|tag| reader.table_data(tag).is_some());
    if has("glyf") && !has("loca") {
        return Err(FontProblem::TableMissing { table: "loca" });
    }
    if let Some(table) = ["glyf", "CFF ", "CFF2"].into_iter().find(|t| has(t)) {
        let readable = reader.outline_glyphs().format().is_some();
        return if readable { Ok(()) } else { Err(FontProblem::TableUnreadable { table }) };
    }
    Err(FontProblem::NoOutlines { pictures: PICTURES.into_iter().find(|t| has(t)) })
}

/// Parses the needed tables once and returns the units per em.
fn check_contents(reader: &FontRef) -> Result<u16, FontProblem> {
    let unreadable = |table| FontProblem::TableUnreadable { table };
    let head = reader.head().map_err(|_| unreadable("head"))?;
    reader.maxp().map_err(|_| unreadable("maxp"))?;
    reader.cmap().map_err(|_| unreadable("cmap"))?;
    reader.hhea().map_err(|_| unreadable("hhea"))?;
    reader.hmtx().map_err(|_| unreadable("hmtx"))?;
    if !reader.charmap().has_map() {
        return Err(unreadable("cmap"));
    }
    // The OpenType standard allows 16 to 16384; zero would divide.
    let units = head.units_per_em();
    if (16..=16_384).contains(&units) { Ok(units) } else { Err(unreadable("head")) }
}
