//! Why a text cannot be set.

use crate::geometry::GeometryError;
use crate::units::{Mm, Percent};
use std::fmt;

/// Why a text cannot be set.
#[derive(Clone, Debug, PartialEq)]
pub enum LetteringError {
    /// The font file is of no use.
    Font {
        /// Its name.
        file: String,
        /// What is wrong with it.
        problem: FontProblem,
    },
    /// A length is not finite, over 10 m, or not above zero where it must be.
    Length {
        /// Which one (`height`, `width`, `tracking`, `arc radius`).
        word: &'static str,
        /// What it is.
        found: Mm,
    },
    /// The line spacing is not between 0 and 10 000 %.
    LineSpacing {
        /// What it is.
        found: Percent,
    },
    /// The text is empty or holds only spaces.
    NothingToSet,
    /// More characters than are set in one figure.
    TextTooLong {
        /// How many there are.
        found: usize,
        /// How many there may be.
        most: usize,
    },
    /// A character that is a command to a terminal rather than a sign (a tab, an escape).
    ControlCharacter {
        /// The character.
        character: char,
        /// Its line in the text, from 1.
        line: usize,
        /// Its place in the line, in characters, from 1.
        column: usize,
    },
    /// Tracking would tear letters apart that are written joined.
    JoinedScript {
        /// The script, in English (`Arabic`).
        script: &'static str,
    },
    /// An axis that the font does not have.
    NoSuchAxis {
        /// Which of the axis settings, from 0.
        setting: usize,
        /// The axis.
        tag: String,
        /// The axes that it has.
        known: Vec<String>,
    },
    /// A feature that none of the fonts has is to be switched on.
    NoSuchFeature {
        /// Which of the feature settings, from 0.
        setting: usize,
        /// The feature.
        tag: String,
        /// The features that the first font has.
        known: Vec<String>,
    },
    /// A width is asked for, but nothing of the text has ink.
    NoInk,
    /// A width is asked for that tracking alone exceeds.
    TooMuchTracking {
        /// The width that was asked for.
        width: Mm,
    },
    /// A line is longer than the circle it runs along.
    ArcTooShort {
        /// Which line, from 1.
        line: usize,
        /// Its length.
        length: Mm,
        /// The way around the circle.
        around: Mm,
    },
    /// A text is longer than the line it runs along.
    LineTooShort {
        /// The length of the text.
        length: Mm,
        /// What the line offers.
        offered: Mm,
    },
    /// Several lines are to run along one line.
    SeveralLinesAlong {
        /// How many.
        lines: usize,
    },
    /// Nothing can run along this line: it has no length.
    NoLine,
    /// Later lines would lie at or beyond the centre of the circle.
    ArcTooSmall {
        /// Which line, from 1.
        line: usize,
        /// The radius that is left for it.
        radius: Mm,
    },
    /// The outlines hold more segments than can be worked on in bounded time.
    TooDetailed {
        /// How many there may be.
        most: usize,
    },
    /// The geometry kernel refuses the outlines.
    Geometry(GeometryError),
    /// Setting the text took longer than it ever should.
    TookTooLong {
        /// The font's name.
        file: String,
    },
}

/// What is wrong with a font file. Tables are named by their four-letter tags, as in the OpenType standard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FontProblem {
    /// It holds nothing.
    Empty,
    /// A collection holds fewer fonts than the one that is asked for.
    NoSuchFace {
        /// Which one, from 1.
        wanted: u32,
        /// How many there are.
        count: u32,
    },
    /// It does not begin like any font.
    NotAFont,
    /// It is a font packed for the web (`WOFF`, `WOFF2`) and must be unpacked first.
    Packed {
        /// The packing.
        format: &'static str,
    },
    /// Its list of tables is broken.
    Directory,
    /// It lacks a table that is needed.
    TableMissing {
        /// The table.
        table: &'static str,
    },
    /// A table reaches beyond the end of the file, which is probably cut short.
    TableCut {
        /// The table.
        table: String,
    },
    /// A table cannot be read.
    TableUnreadable {
        /// The table.
        table: &'static str,
    },
    /// It draws its glyphs as pictures, not as outlines.
    NoOutlines {
        /// The table that holds the pictures, where there is one.
        pictures: Option<&'static str>,
    },
    /// A glyph has no outline of its own: it is a picture or is put together of coloured layers.
    GlyphIsPicture {
        /// The glyph's number.
        glyph: u32,
        /// The table that draws it.
        table: &'static str,
    },
    /// The outline of a glyph cannot be read.
    Glyph {
        /// The glyph's number.
        glyph: u32,
        /// The table it is in.
        table: &'static str,
    },
    /// A glyph is built of absurdly many parts.
    GlyphTooComplex {
        /// The glyph's number.
        glyph: u32,
    },
    /// The font has neither capitals nor a note of their height, so that a height cannot be kept.
    NoCapitals,
    /// Reading it failed in a way that was not foreseen.
    Unreadable,
}

impl fmt::Display for LetteringError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Font { file, problem } => write!(f, "font `{file}`: {problem}"),
            Self::Length { word, found } => {
                write!(f, "expected a {word} that lettering can have, found {found}")
            }
            Self::LineSpacing { found } => write!(f, "expected a line spacing of 0 to 10000 %, found {found}"),
            Self::NothingToSet => f.write_str("expected a text, found nothing but spaces"),
            Self::TextTooLong { found, most } => {
                write!(f, "expected at most {most} characters, found {found}")
            }
            Self::ControlCharacter { character, line, column } => write!(
                f,
                "expected signs that can be drawn, found the control character U+{:04X} in line {line}, character {column}",
                u32::from(*character)
            ),
            Self::JoinedScript { script } => {
                write!(f, "tracking would tear {script} letters apart, which are written joined")
            }
            Self::NoSuchAxis { tag, known, .. } if known.is_empty() => {
                write!(f, "the font has no axis `{tag}`: it is not a variable font")
            }
            Self::NoSuchAxis { tag, .. } => write!(f, "the font has no axis `{tag}`"),
            Self::NoSuchFeature { tag, .. } => write!(f, "the font has no feature `{tag}`"),
            Self::LineTooShort { length, offered } => {
                write!(f, "the text is {length} long, but the line it runs along offers only {offered}")
            }
            Self::SeveralLinesAlong { lines } => {
                write!(f, "expected a text of one line along a figure, found {lines} lines")
            }
            Self::NoLine => f.write_str("there is no line or outline to run along"),
            Self::NoInk => f.write_str("nothing of this text has ink, so it cannot be given a width"),
            Self::TooMuchTracking { width } => {
                write!(f, "the tracking alone is wider than the {width} that the text may take")
            }
            Self::ArcTooShort { line, length, around } => {
                write!(f, "line {line} is {length} long, but the circle is only {around} around")
            }
            Self::ArcTooSmall { line, radius } => {
                write!(f, "line {line} would need a circle of {radius} radius")
            }
            Self::TooDetailed { most } => {
                write!(f, "the outlines of this text hold more than {most} segments")
            }
            Self::Geometry(problem) => f.write_str(match problem {
                GeometryError::NotFinite => "an outline has a coordinate that is not a number",
                GeometryError::TooFar => "the lettering would reach farther than 10 m",
                GeometryError::TooMany => "the outlines hold more segments than can be welded",
            }),
            Self::TookTooLong { file } => {
                write!(f, "font `{file}`: drawing its glyphs does not come to an end")
            }
        }
    }
}

impl fmt::Display for FontProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAFont => f.write_str("expected a TrueType or OpenType file, found something else"),
            Self::Packed { format } => {
                write!(f, "expected a TrueType or OpenType file, found one packed as {format}: unpack it first")
            }
            Self::Empty => f.write_str("expected a TrueType or OpenType file, found an empty file"),
            Self::NoSuchFace { wanted, count: 1 } => {
                write!(f, "expected a font it holds, found number {wanted} where there is only one")
            }
            Self::NoSuchFace { wanted, count } => {
                write!(
                    f,
                    "expected a font from 1 to {count}, as many as the collection holds, found number {wanted}"
                )
            }
            Self::Directory => f.write_str("its list of tables is broken"),
            Self::TableMissing { table } => write!(f, "it has no table `{table}`"),
            Self::TableCut { table } => write!(f, "table `{table}` reaches beyond the end of the file"),
            Self::TableUnreadable { table } => write!(f, "table `{table}` cannot be read"),
            Self::NoOutlines { pictures: Some(table) } => {
                write!(f, "it draws its glyphs as pictures (table `{table}`), not as outlines")
            }
            Self::NoOutlines { pictures: None } => f.write_str("it holds no outlines"),
            Self::GlyphIsPicture { glyph, table } => {
                write!(f, "glyph {glyph} is drawn in colour by table `{table}` and has no outline")
            }
            Self::Glyph { glyph, table } => write!(f, "glyph {glyph} in table `{table}` cannot be read"),
            Self::GlyphTooComplex { glyph } => write!(f, "glyph {glyph} is built of too many parts"),
            Self::NoCapitals => f.write_str("it tells no height of capitals; give a width instead"),
            Self::Unreadable => f.write_str("it cannot be read"),
        }
    }
}

impl std::error::Error for LetteringError {}
