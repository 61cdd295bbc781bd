//! The fonts of one setting, in the order in which they are asked.

use super::error::LetteringError;
use super::font::Font;
use super::typeface::{AxisSetting, ClampedAxis, FontFile};

/// The font of a setting and those that help out where it lacks a character.
pub(super) struct Fonts<'a> {
    all: Vec<Font<'a>>,
}

impl<'a> Fonts<'a> {
    /// Opens the fonts and moves them along their axes.
    pub(super) fn open(
        first: &FontFile<'a>,
        fallbacks: &[FontFile<'a>],
        axes: &[AxisSetting],
    ) -> Result<(Self, Vec<ClampedAxis>), LetteringError> {
        let mut font = Font::open(first)?;
        let clamped = font.vary(axes, true)?;
        let mut all = vec![font];
        for file in fallbacks {
            let mut font = Font::open(file)?;
            font.vary(axes, false)?;
            all.push(font);
        }
        Ok((Self { all }, clamped))
    }

    /// All of them.
    pub(super) fn all(&self) -> &[Font<'a>] {
        &self.all
    }

    /// The one that the setting is made in, which its size is measured on.
    pub(super) fn first(&self) -> &Font<'a> {
        &self.all[0]
    }

    /// A font by its number, from 0.
    pub(super) fn font(&self, face: usize) -> &Font<'a> {
        &self.all[face]
    }

    /// Units of the first font to one unit of this one, at the same em.
    pub(super) fn ratio(&self, face: usize) -> f64 {
        self.first().units_per_em() / self.all[face].units_per_em()
    }
}
