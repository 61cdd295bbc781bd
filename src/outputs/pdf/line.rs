//! A line of text in several styles: shaped, and each part of it where it is seen.

use super::face::{Glyph, plain};
use super::fragment::{POINT, Style, Word};
use crate::shaping::{Base, Stretch, stretches};

/// A line, set.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    /// Its parts in the order in which they are read, which is not always that from left to right.
    pub(super) parts: Vec<Part>,
    /// Its width in mm.
    pub width: f64,
}

/// A part of a line in one direction and one style.
#[derive(Clone, Debug)]
pub(super) struct Part {
    /// Where it begins, in mm from the left end of the line.
    pub x: f64,
    pub style: Style,
    /// From left to right.
    pub glyphs: Vec<Glyph>,
    /// Its text, where it runs leftwards.
    pub said: Option<String>,
}

impl Line {
    /// Sets words one after the other; spaces between them are theirs.
    pub(crate) fn of(words: &[Word], base: Base) -> Self {
        if base != Base::Leftwards && words.iter().all(|word| word.style.weight.sets(&word.text)) {
            let rightwards = words.iter().map(|word| (word.style, word.style.weight.shape(&word.text), None));
            return Self { parts: placed(rightwards), width: 0.0 }.measured();
        }
        let words: Vec<Word> = words.iter().map(|word| Word::new(plain(&word.text), word.style)).collect();
        let text: String = words.iter().map(|word| word.text.as_str()).collect();
        let seen = stretches(&text, base).into_iter().flat_map(|stretch| by_style(&words, &stretch));
        let (starts, parts): (Vec<usize>, Vec<_>) = seen
            .map(|(stretch, style)| {
                let said = stretch.leftwards.then(|| text[stretch.range.clone()].to_owned());
                (stretch.range.start, (style, style.weight.shape_stretch(&text, &stretch), said))
            })
            .unzip();
        let mut line = Self { parts: placed(parts.into_iter()), width: 0.0 }.measured();
        let mut read: Vec<(usize, Part)> = starts.into_iter().zip(line.parts).collect();
        read.sort_by_key(|(start, _)| *start);
        line.parts = read.into_iter().map(|(_, part)| part).collect();
        line
    }

    /// The same with a space after what is read last, which takes no room: it tells the next line's first word from this
    /// line's last one (ISO 32000-1, 14.8.2.5).
    pub(crate) fn before_a_space(mut self) -> Self {
        if let Some(last) = self.parts.last_mut() {
            let space = last.style.weight.shape(" ");
            match &mut last.said {
                Some(said) => {
                    said.push(' ');
                    last.x -= width(&space, last.style);
                    last.glyphs.splice(0..0, space);
                }
                None => last.glyphs.extend(space),
            }
        }
        self
    }

    /// The same with its width, while its last part is the one at the right.
    fn measured(self) -> Self {
        let width = self.parts.last().map_or(0.0, |part| part.x + width(&part.glyphs, part.style));
        Self { width, ..self }
    }
}

/// A stretch in parts of one style, from left to right.
fn by_style(words: &[Word], stretch: &Stretch) -> Vec<(Stretch, Style)> {
    let mut start = 0;
    let mut parts = Vec::new();
    for word in words {
        let range = start.max(stretch.range.start)..(start + word.text.len()).min(stretch.range.end);
        start += word.text.len();
        if !range.is_empty() {
            parts.push((Stretch { range, ..stretch.clone() }, word.style));
        }
    }
    if stretch.leftwards {
        parts.reverse();
    }
    parts
}

/// Places parts beside each other from left to right.
fn placed(parts: impl Iterator<Item = (Style, Vec<Glyph>, Option<String>)>) -> Vec<Part> {
    let mut right = 0.0;
    parts
        .map(|(style, glyphs, said)| {
            let x = right;
            right += width(&glyphs, style);
            Part { x, style, glyphs, said }
        })
        .collect()
}

/// Width of glyphs in mm.
fn width(glyphs: &[Glyph], style: Style) -> f64 {
    glyphs.iter().map(|glyph| f64::from(glyph.advance)).sum::<f64>() / 1000.0 * style.size * POINT
}

#[cfg(test)]
mod tests {
    use super::super::face::Weight;
    use super::super::ink::Ink;
    use super::*;

    fn word(text: &str) -> Word {
        Word::new(text, Style { weight: Weight::Regular, size: 10.0, ink: Ink::hex(0) })
    }

    /// Unicode Standard Annex 9, rules L1 and L2: in a line from right to left, what is read first stands at the right, and
    /// a number between two Hebrew words stays between them and keeps its digits in their order.
    #[test]
    fn what_is_read_first_stands_first_in_its_direction() {
        let line = Line::of(&[word("\u{5e2}\u{5e5} 12 \u{5d3}\u{5e7}")], Base::OfText);
        let places: Vec<f64> = line.parts.iter().map(|part| part.x).collect();
        assert!(places.is_sorted_by(|a, b| b < a), "{places:?}");
        assert_eq!(line.parts[0].said.as_deref(), Some("\u{5e2}\u{5e5} "));
        let digits: String = line.parts[1].glyphs.iter().map(|g| g.text.as_str()).collect();
        assert_eq!((line.parts[1].said.as_deref(), digits.as_str()), (None, "12"));
    }

    /// A Latin name in two styles within a line from right to left keeps its own direction.
    #[test]
    fn styles_do_not_turn_a_line_round() {
        let strong = Word { style: word("").style.weight(Weight::Semibold), ..word("def \u{5d3}") };
        let line = Line::of(&[word("\u{5e2} abc "), strong], Base::OfText);
        let mut parts: Vec<&Part> = line.parts.iter().collect();
        parts.sort_by(|a, b| a.x.total_cmp(&b.x));
        let seen: String = parts.iter().flat_map(|part| &part.glyphs).map(|glyph| glyph.text.as_str()).collect();
        assert_eq!(seen, "\u{5d3} abc def \u{5e2}");
        let sum: f64 = line.parts.iter().map(|part| width(&part.glyphs, part.style)).sum();
        assert!((line.width - sum).abs() < 1e-9);
    }

    #[test]
    fn a_line_in_house_takes_what_its_words_take() {
        let words = [word("Lay "), word("the sheet")];
        let line = Line::of(&words, Base::OfText);
        assert!((line.width - words.iter().map(|w| w.style.width(&w.text)).sum::<f64>()).abs() < 1e-9);
        assert!(line.parts.iter().all(|part| part.said.is_none()));
    }
}
