//! Letters with marks, composed of a letter and strokes.
//!
//! Which letter and marks a character is made of is its canonical decomposition in the Unicode Character Database.

use super::Letter;
use super::drawn;
use super::marks::{Mark, strokes_of};
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::decompose_canonical;

/// Letters that are struck through, which have no decomposition, each with the letter it is made from.
const STRUCK: [(Mark, &str); 2] = [(Mark::Slash, "ŁLłlØOøo"), (Mark::Bar, "ĐDđdĦHħhÐDŦTŧt")];

/// Signs that stand for one that a single stroke draws in the same way.
const ALIKE: [(char, char); 15] = [
    ('\u{a0}', ' '),
    ('\u{202f}', ' '),
    ('\u{2018}', '\''),
    ('\u{2019}', '\''),
    ('\u{201a}', ','),
    ('\u{201c}', '"'),
    ('\u{201d}', '"'),
    ('\u{201e}', '"'),
    ('\u{2010}', '-'),
    ('\u{2011}', '-'),
    ('\u{2013}', '-'),
    ('\u{2014}', '-'),
    ('\u{2212}', '-'),
    ('\u{131}', 'i'),
    ('\u{237}', 'j'),
];

/// Marks that follow their letter as characters of their own, put together with it.
pub(super) fn composed(line: &str) -> Vec<char> {
    line.nfc().collect()
}

/// A character's letter; `None` when it can neither be found nor composed.
pub(super) fn letter(letters: &[Letter], character: char) -> Option<Letter> {
    if let Some(found) = unmarked(letters, character) {
        return Some(found);
    }
    let mut parts = Vec::new();
    decompose_canonical(character, |part| parts.push(part));
    let (base, marks) = parts.split_first()?;
    let marks: Vec<Mark> = marks.iter().map(|mark| Mark::of(*mark, *base)).collect::<Option<_>>()?;
    let (mut letter, dot) = (unmarked(letters, *base).filter(|_| !marks.is_empty())?, plain(letters, '.')?);
    if matches!(base, 'i' | 'j') && marks.iter().any(|mark| mark.is_above()) {
        without_dot(&mut letter);
    }
    for mark in marks {
        let strokes = strokes_of(mark, *base, &letter.strokes, &dot.strokes);
        letter.strokes.extend(strokes);
        letter.advance += mark.room(*base);
    }
    Some(letter)
}

/// A letter of the face.
fn plain(letters: &[Letter], character: char) -> Option<Letter> {
    let index = (character as usize).checked_sub(32).filter(|_| (' '..='~').contains(&character))?;
    letters.get(index).cloned()
}

/// A letter without marks: of the face, struck through, or drawn from others.
fn unmarked(letters: &[Letter], character: char) -> Option<Letter> {
    let of_face = |c: char| plain(letters, c);
    let alike = || {
        let (_, other) = ALIKE.iter().find(|(sign, _)| *sign == character)?;
        let mut letter = of_face(*other)?;
        if matches!(other, 'i' | 'j') {
            without_dot(&mut letter);
        }
        Some(letter)
    };
    let struck = || {
        let (mark, base) = STRUCK.iter().find_map(|(mark, pairs)| {
            let pairs: Vec<char> = pairs.chars().collect();
            pairs.chunks_exact(2).find(|pair| pair[0] == character).map(|pair| (*mark, pair[1]))
        })?;
        let mut letter = of_face(base)?;
        let strokes = strokes_of(mark, base, &letter.strokes, &[]);
        letter.strokes.extend(strokes);
        Some(letter)
    };
    of_face(character).or_else(alike).or_else(struck).or_else(|| drawn::letter(&of_face, character))
}

/// Takes the dot off an `i` or `j`: what lies wholly above the small letters.
fn without_dot(letter: &mut Letter) {
    letter.strokes.retain(|stroke| stroke.iter().any(|p| p.y <= 14.5));
}
