//! A font file that has been found fit for use.

use super::error::{FontProblem, LetteringError};
use super::outline;
use super::typeface::{AxisSetting, ClampedAxis, FontFile, written};
use harfrust::FontRef;
use kurbo::Shape;
use skrifa::instance::{Location, LocationRef};
use skrifa::raw::tables::layout::FeatureList;
use skrifa::raw::types::Tag;
use skrifa::raw::{FileRef, TableProvider};
use skrifa::{GlyphId, MetadataProvider};

/// Tables without which nothing can be set.
const NEEDED: [&str; 5] = ["head", "maxp", "cmap", "hhea", "hmtx"];

/// Tables that hold pictures in place of outlines.
const PICTURES: [&str; 4] = ["CBDT", "sbix", "SVG ", "EBDT"];

/// Tables that are read when they are there, and must then lie within the file.
const USED: [&str; 18] = [
    "head", "maxp", "cmap", "hhea", "hmtx", "OS/2", "loca", "glyf", "CFF ", "CFF2", "GDEF", "GSUB", "GPOS",
    "kern", "gvar", "HVAR", "fvar", "avar",
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
    /// The height to which the strokes of a single-line face were drawn.
    Strokes,
}

/// A font, opened and checked, at its place on its axes.
pub(super) struct Font<'a> {
    file: &'a str,
    reader: FontRef<'a>,
    units_per_em: f64,
    location: Location,
}

impl<'a> Font<'a> {
    /// Opens a font file, every axis at its default.
    pub(super) fn open(file: &FontFile<'a>) -> Result<Self, LetteringError> {
        let fail = |problem| LetteringError::Font { file: file.name.to_owned(), problem };
        check_magic(file.bytes).map_err(fail)?;
        let reader = face_of(file).map_err(fail)?;
        check_tables(&reader, file.bytes.len()).map_err(fail)?;
        check_outlines(&reader).map_err(fail)?;
        let units = check_contents(&reader).map_err(fail)?;
        let location = reader.axes().location(std::iter::empty::<(Tag, f32)>());
        Ok(Self { file: file.name, reader, units_per_em: f64::from(units), location })
    }

    /// Moves the font along its axes; what it does not reach is clamped and said.
    ///
    /// An axis that it lacks is an error only where the recipe speaks to this very font.
    pub(super) fn vary(
        &mut self,
        axes: &[AxisSetting],
        is_first: bool,
    ) -> Result<Vec<ClampedAxis>, LetteringError> {
        let known = self.reader.axes();
        let (mut settings, mut clamped) = (Vec::new(), Vec::new());
        for (setting, asked) in axes.iter().enumerate() {
            let Some(axis) = known.get_by_tag(Tag::new(&asked.tag)) else {
                if is_first {
                    let axes = known.iter().map(|a| a.tag().to_string().trim_end().to_owned()).collect();
                    return Err(LetteringError::NoSuchAxis { setting, tag: written(asked.tag), known: axes });
                }
                continue;
            };
            let (least, greatest) = (f64::from(axis.min_value()), f64::from(axis.max_value()));
            // A broken font may have its ends in the wrong order.
            let value = asked.value.min(greatest).max(least);
            if value != asked.value && is_first {
                clamped.push(ClampedAxis { setting, tag: written(asked.tag), least, greatest });
            }
            #[allow(clippy::cast_possible_truncation, reason = "the tables hold 16.16 fixed-point numbers")]
            settings.push((axis.tag(), value as f32));
        }
        self.location = known.location(settings);
        Ok(clamped)
    }

    /// Its place on its axes.
    pub(super) fn location(&self) -> LocationRef<'_> {
        (&self.location).into()
    }

    /// The table that draws a glyph without an outline as a picture or in colour; `None` for what is simply blank.
    pub(super) fn picture_of(&self, glyph: GlyphId) -> Option<&'static str> {
        if self.reader.color_glyphs().get(glyph).is_some() {
            return Some("COLR");
        }
        let is_space = [' ', '\u{a0}'].iter().any(|space| self.glyph_of(*space) == Some(glyph));
        let has =
            |table: &str| Tag::new_checked(table.as_bytes()).is_ok_and(|t| self.reader.table_data(t).is_some());
        PICTURES.into_iter().find(|table| !is_space && has(table))
    }

    /// The tags of its features, each once.
    pub(super) fn features(&self) -> Vec<String> {
        let substitutions = self.reader.gsub().ok().and_then(|t| t.feature_list().ok());
        let positions = self.reader.gpos().ok().and_then(|t| t.feature_list().ok());
        let lists = [substitutions, positions];
        let mut tags: Vec<String> = lists
            .iter()
            .flatten()
            .flat_map(FeatureList::feature_records)
            .map(|record| record.feature_tag().to_string().trim_end().to_owned())
            .collect();
        tags.sort();
        tags.dedup();
        tags
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

/// The chosen font of a file; a file with one font has no other.
fn face_of<'a>(file: &FontFile<'a>) -> Result<FontRef<'a>, FontProblem> {
    let count = match FileRef::new(file.bytes) {
        Ok(FileRef::Collection(collection)) => collection.len(),
        Ok(FileRef::Font(_)) => 1,
        Err(_) => return Err(FontProblem::Directory),
    };
    if !(1..=count).contains(&file.face) {
        return Err(FontProblem::NoSuchFace { wanted: file.face, count });
    }
    FontRef::from_index(file.bytes, file.face - 1).map_err(|_| FontProblem::Directory)
}

/// Tells what a file is from its first four bytes.
fn check_magic(data: &[u8]) -> Result<(), FontProblem> {
    match data.get(..4) {
        Some([0, 1, 0, 0] | b"OTTO" | b"true" | b"ttcf") => Ok(()),
        Some(b"wOFF") => Err(FontProblem::Packed { format: "WOFF" }),
        Some(b"wOF2") => Err(FontProblem::Packed { format: "WOFF2" }),
        _ if data.is_empty() => Err(FontProblem::Empty),
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
