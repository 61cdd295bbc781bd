//! Faces cut down to the glyphs that pages use.

use super::document::{Page, PdfError};
use super::face::{Face, FaceId};
use super::fragment::Mark;
use printpdf::ParsedFont;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use subsetter::GlyphRemapper;

/// A face cut down to the glyphs in use.
pub(super) struct Subset {
    pub id: FaceId,
    program: Vec<u8>,
    renumbered: GlyphRemapper,
}

impl Subset {
    /// The faces that pages use, each cut down to what they use of it.
    pub fn of_all(pages: &[Page]) -> Result<Vec<Self>, PdfError> {
        let mut used: BTreeMap<FaceId, BTreeSet<u16>> = BTreeMap::new();
        for mark in pages.iter().flat_map(|page| &page.content.marks) {
            if let Mark::Text { glyphs, .. } = mark {
                for glyph in glyphs {
                    used.entry(glyph.face).or_default().insert(glyph.id);
                }
            }
        }
        used.into_iter().map(|(id, glyphs)| Self::of(id, &glyphs)).collect()
    }

    fn of(id: FaceId, used: &BTreeSet<u16>) -> Result<Self, PdfError> {
        let renumbered = GlyphRemapper::new_from_glyphs_sorted(&used.iter().copied().collect::<Vec<_>>());
        let program = subsetter::subset(id.face().bytes, 0, &renumbered)
            .map_err(|e| PdfError::Font(format!("{}: {e}", id.face().name)))?;
        Ok(Self { id, program, renumbered })
    }

    /// The whole face.
    pub fn face(&self) -> &'static Face {
        self.id.face()
    }

    /// Its name among the resources of the file.
    pub fn name_in_file(&self) -> printpdf::FontId {
        printpdf::FontId(self.face().name.to_owned())
    }

    /// The number of a glyph in the subset.
    pub fn glyph(&self, original: u16) -> u16 {
        self.renumbered.get(original).unwrap_or(0)
    }

    /// The name with six letters before it that tell this subset from others (ISO 32000-1, 9.6.4).
    fn name(&self) -> String {
        let letters = Sha256::digest(&self.program);
        let tag: String = letters.iter().take(6).map(|byte| char::from(b'A' + byte % 26)).collect();
        format!("{tag}+{}", self.face().name)
    }

    /// The font as the file embeds it.
    pub fn parsed(&self) -> ParsedFont {
        let metrics = self.face().metrics();
        let widths: BTreeMap<u16, u16> =
            self.renumbered.remapped_gids().map(|old| (self.glyph(old), self.face().advance(old))).collect();
        let mut font = ParsedFont::with_glyph_data(
            self.program.clone(),
            0,
            Some(self.name()),
            BTreeMap::new(),
            widths,
            metrics.units_per_em,
            printpdf::FontMetrics { ascent: metrics.ascent, descent: metrics.descent },
        );
        let [left, bottom, right, top] = metrics.bounds;
        font.pdf_font_metrics.x_min = left;
        font.pdf_font_metrics.y_min = bottom;
        font.pdf_font_metrics.x_max = right;
        font.pdf_font_metrics.y_max = top;
        font.pdf_font_metrics.us_weight_class = self.id.weight_class();
        font
    }
}
