//! Which text each glyph of a shaped stretch tells, for whoever searches or copies it.

use super::face::Face;
use harfrust::{GlyphBuffer, GlyphInfo};
use std::ops::Range;
use unicode_normalization::UnicodeNormalization;

/// The clusters of a stretch: characters and glyphs that belong together.
pub(super) struct Clusters<'a> {
    face: &'a Face,
    text: &'a str,
    /// Bytes of the stretch in the text.
    range: Range<usize>,
    infos: &'a [GlyphInfo],
    /// Where the cluster of each glyph begins in the text, in order.
    starts: Vec<usize>,
}

impl<'a> Clusters<'a> {
    pub fn new(face: &'a Face, text: &'a str, range: Range<usize>, shaped: &'a GlyphBuffer) -> Self {
        let infos = shaped.glyph_infos();
        let mut starts: Vec<usize> = infos.iter().map(|info| range.start + info.cluster as usize).collect();
        starts.sort_unstable();
        Self { face, text, range, infos, starts }
    }

    /// What a glyph stands for: the only character of its cluster, or the one that it is the letter of. A mark may leave its
    /// letter a shape of its own, which then stands for the only character that is left.
    pub fn told(&self, info: &GlyphInfo) -> String {
        if info.glyph_id == 0 {
            return "\u{fffd}".to_owned();
        }
        let cluster = self.text_of(info);
        let mut characters = cluster.chars();
        if let (Some(only), None) = (characters.next(), characters.next()) {
            return only.to_string();
        }
        let is_own = |c: &char| self.face.glyph_of(*c) == Some(info.glyph_id);
        if let Some(own) = cluster.chars().find(is_own) {
            return own.to_string();
        }
        let has_glyph = |c: char| self.glyphs_of(info).any(|glyph| self.face.glyph_of(c) == Some(glyph));
        let mut left = cluster.chars().filter(|c| !has_glyph(*c));
        match (left.next(), left.next()) {
            (Some(only), None) => only.to_string(),
            _ => String::new(),
        }
    }

    /// The two letters that a glyph stands for alone, as lam and alef do in Arabic.
    pub fn ligature(&self, info: &GlyphInfo) -> Option<(char, char)> {
        let mut characters = self.text_of(info).chars();
        let (first, second) = (characters.next()?, characters.next()?);
        (characters.next().is_none() && self.glyphs_of(info).count() == 1).then_some((first, second))
    }

    fn text_of(&self, info: &GlyphInfo) -> &'a str {
        let start = self.range.start + info.cluster as usize;
        let next = self.starts.partition_point(|other| *other <= start);
        let end = self.starts.get(next).copied().unwrap_or(self.range.end);
        self.text.get(start..end).unwrap_or_default()
    }

    fn glyphs_of(&self, info: &GlyphInfo) -> impl Iterator<Item = u32> {
        let cluster = info.cluster;
        self.infos.iter().filter(move |other| other.cluster == cluster).map(|other| other.glyph_id)
    }
}

/// Whether what glyphs tell one after the other is a text, marks on one letter in whatever order (Unicode Standard Annex 15).
pub(super) fn is_told(told: &str, text: &str) -> bool {
    told == text || told.nfd().eq(text.nfd())
}
