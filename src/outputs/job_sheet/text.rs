//! Paragraphs: texts in several styles, broken into lines of a width.

use crate::outputs::pdf::{Align, Fragment, Line, Role, Style, Word};
use crate::shaping::{Base, runs_leftwards};
use kurbo::{Point, Size};

/// More lines than any honest paragraph has; what goes beyond ends in an ellipsis.
pub(super) const MOST_LINES: usize = 40;

/// More characters than [`MOST_LINES`] can hold; the rest is not even looked at.
const MOST_CHARACTERS: usize = 6000;

/// What may not be torn apart, and whether a space stands before it: at the end of the line above, for the first of a line.
#[derive(Clone, Debug)]
struct Chunk {
    parts: Vec<Word>,
    width: f64,
    space: bool,
}

/// Breaks words into lines of at most `width` mm, at most `most` of them. What stands at the left stands at the right where
/// the paragraph begins in a script that runs from right to left.
pub(super) fn paragraph(words: &[Word], width: f64, align: Align, most: usize) -> Fragment {
    let mut fragment = Fragment::new(width, 0.0);
    let mut lines = broken(words, width);
    if most < lines.len() {
        lines.truncate(most);
        shorten(lines.last_mut(), width);
    }
    if lines.is_empty() {
        return fragment;
    }
    let base = direction(words);
    let align = if (base, align) == (Base::Leftwards, Align::Left) { Align::Right } else { align };
    for (i, line) in lines.iter().enumerate() {
        let set = Line::of(&joined(line), base);
        let goes_on = lines.get(i + 1).and_then(|next| next.first()).is_some_and(|chunk| chunk.space);
        place(&mut fragment, line, if goes_on { set.before_a_space() } else { set }, align);
    }
    fragment.tagged(Role::Paragraph)
}

/// The direction of a paragraph: that of its first strong letter.
fn direction(words: &[Word]) -> Base {
    // Looked for in each word, so that none of them has to be copied.
    let strong = |word: &&Word| word.text.chars().any(char::is_alphabetic);
    let leftwards = words.iter().find(strong).is_some_and(|word| runs_leftwards(&word.text));
    if leftwards { Base::Leftwards } else { Base::Rightwards }
}

/// A paragraph from the left, as long as it takes.
pub(super) fn text(text: &str, style: Style, width: f64) -> Fragment {
    paragraph(&[Word::new(text, style)], width, Align::Left, MOST_LINES)
}

/// A heading, by its role.
pub(super) fn heading(title: &str, style: Style, width: f64, role: Role) -> Fragment {
    text(title, style, width).tagged(role)
}

/// Smallest share of its size to which type is made smaller before the text is cut off.
const SMALLEST: f64 = 0.6;

/// Makes the type smaller until the text fits into `width` mm; not below [`SMALLEST`] of its size.
pub(super) fn fitted(text: &str, style: Style, width: f64) -> Style {
    let natural = style.width(text);
    let share = if natural <= width { 1.0 } else { (width / natural).max(SMALLEST) };
    style.size(style.size * share)
}

/// Writes one line that takes no more than `width` mm: smaller where it must, cut off where that is not enough.
pub(super) fn fit_line(fragment: &mut Fragment, at: Point, align: Align, text: &str, style: Style, width: f64) {
    let text = clipped(text, 200);
    let style = fitted(&text, style, width);
    let natural = style.width(&text);
    if natural <= width + 1e-6 {
        fragment.text(at, align, &text, style);
        return;
    }
    let mut most = (text.chars().count() as f64 * width / natural) as usize;
    while 1 < most && width < style.width(&clipped(&text, most)) {
        most -= 1;
    }
    fragment.text(at, align, &clipped(&text, most.max(1)), style);
}

/// A text of at most `most` characters; what is cut off leaves an ellipsis.
pub(super) fn clipped(text: &str, most: usize) -> String {
    if text.chars().nth(most).is_none() {
        return text.to_owned();
    }
    text.chars().take(most.saturating_sub(1)).chain(['…']).collect()
}

/// Keeps a quantity on one line: its space does not break.
pub(super) fn kept(quantity: &str) -> String {
    quantity.replace(' ', "\u{a0}")
}

fn broken(words: &[Word], width: f64) -> Vec<Vec<Chunk>> {
    let mut lines: Vec<Vec<Chunk>> = Vec::new();
    let mut used = f64::INFINITY;
    for chunk in chunks(words).into_iter().flat_map(|chunk| torn(chunk, width)) {
        let space = if chunk.space { space_width(&chunk) } else { 0.0 };
        match lines.last_mut() {
            Some(line) if used + space + chunk.width <= width + 1e-6 => {
                used += space + chunk.width;
                line.push(chunk);
            }
            _ => {
                used = chunk.width;
                lines.push(vec![chunk]);
            }
        }
    }
    keep_last_company(&mut lines, width);
    lines
}

/// Moves a word down to a last line that would hold a single one.
fn keep_last_company(lines: &mut [Vec<Chunk>], width: f64) {
    let [.., before, last] = lines else { return };
    let [alone] = last.as_slice() else { return };
    if before.len() < 4 || !alone.space {
        return;
    }
    let space = space_width(alone);
    let fits = before.last().is_some_and(|moved| moved.width + space + alone.width <= width);
    if let Some(moved) = before.pop_if(|_| fits) {
        last.insert(0, moved);
    }
}

fn space_width(chunk: &Chunk) -> f64 {
    chunk.parts.first().map_or(0.0, |part| part.style.width(" "))
}

fn chunks(words: &[Word]) -> Vec<Chunk> {
    let mut chunks: Vec<Chunk> = Vec::new();
    let mut space = true;
    for word in words {
        let mut text = clipped(&word.text, MOST_CHARACTERS);
        text.retain(|c| c != '\r');
        for (i, piece) in text.split([' ', '\n', '\t']).enumerate() {
            space |= 0 < i;
            if piece.is_empty() {
                continue;
            }
            let part = Word::new(piece, word.style);
            let width = word.style.width(piece);
            match chunks.last_mut() {
                Some(chunk) if !space => {
                    chunk.parts.push(part);
                    chunk.width += width;
                }
                _ => chunks.push(Chunk { parts: vec![part], width, space: true }),
            }
            space = false;
        }
    }
    chunks
}

/// Tears a chunk that is wider than a line after its hyphens, and where that is not enough between its letters.
fn torn(chunk: Chunk, width: f64) -> Vec<Chunk> {
    if chunk.width <= width {
        return vec![chunk];
    }
    after_hyphens(&chunk).into_iter().flat_map(|piece| between_letters(piece, width)).collect()
}

fn after_hyphens(chunk: &Chunk) -> Vec<Chunk> {
    let mut pieces: Vec<Chunk> = Vec::new();
    let mut ends = true;
    for part in &chunk.parts {
        for text in part.text.split_inclusive('-') {
            let width = part.style.width(text);
            let word = Word::new(text, part.style);
            match pieces.last_mut().filter(|_| !ends) {
                Some(piece) => {
                    piece.parts.push(word);
                    piece.width += width;
                }
                None => pieces.push(Chunk { parts: vec![word], width, space: pieces.is_empty() && chunk.space }),
            }
            ends = text.ends_with('-');
        }
    }
    pieces
}

fn between_letters(chunk: Chunk, width: f64) -> Vec<Chunk> {
    if chunk.width <= width {
        return vec![chunk];
    }
    let mut pieces: Vec<Chunk> = Vec::new();
    let mut used = 0.0;
    for part in &chunk.parts {
        for letter in part.text.chars() {
            let letter_width = part.style.width(letter.encode_utf8(&mut [0; 4]));
            let joins = !pieces.is_empty() && used + letter_width <= width;
            if !joins {
                pieces.push(Chunk { parts: Vec::new(), width: 0.0, space: pieces.is_empty() && chunk.space });
                used = 0.0;
            }
            used += letter_width;
            let Some(piece) = pieces.last_mut() else { continue };
            piece.width = used;
            match piece.parts.last_mut() {
                Some(last) if last.style == part.style => last.text.push(letter),
                _ => piece.parts.push(Word::new(letter, part.style)),
            }
        }
    }
    pieces
}

/// Ends a line with an ellipsis, taking away what stands in its way.
fn shorten(line: Option<&mut Vec<Chunk>>, width: f64) {
    let Some(line) = line else { return };
    let style = line.last().and_then(|c| c.parts.last()).map_or(super::style::BODY, |part| part.style);
    let dots = style.width("…");
    let total = |line: &[Chunk]| line.iter().map(|c| c.width + space_width(c)).sum::<f64>();
    while 1 < line.len() && width < total(line) + dots {
        line.pop();
    }
    if let [only] = line.as_mut_slice()
        && let Some(part) = only.parts.last_mut()
    {
        while width < only.width + dots && part.text.pop().is_some() {
            only.width = part.style.width(&part.text);
        }
    }
    line.push(Chunk { parts: vec![Word::new("…", style)], width: dots, space: false });
}

/// Places a line, which was set, under what is there.
fn place(fragment: &mut Fragment, line: &[Chunk], set: Line, align: Align) {
    let parts = || line.iter().flat_map(|chunk| &chunk.parts);
    let tallest = |f: fn(Style) -> f64| parts().map(|part| f(part.style)).fold(0.0, f64::max);
    let leading = tallest(Style::leading);
    let baseline = fragment.size.height + f64::midpoint(leading, tallest(Style::capital));
    let width = fragment.size.width;
    let x = match align {
        Align::Left => 0.0,
        Align::Right => width - set.width,
        Align::Centre => (width - set.width) / 2.0,
    };
    fragment.line_of_text(Point::new(x, baseline), set);
    fragment.size = Size::new(width, fragment.size.height + leading);
}

/// The line as few runs, so that whoever searches the file finds whole phrases.
fn joined(line: &[Chunk]) -> Vec<Word> {
    let mut runs: Vec<Word> = Vec::new();
    for (place, chunk) in line.iter().enumerate() {
        for (i, part) in chunk.parts.iter().enumerate() {
            let space = if i == 0 && 0 < place && chunk.space { " " } else { "" };
            match runs.last_mut() {
                Some(last) if last.style == part.style => {
                    last.text.push_str(space);
                    last.text.push_str(&part.text);
                }
                Some(last) => {
                    last.text.push_str(space);
                    runs.push(part.clone());
                }
                None => runs.push(part.clone()),
            }
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::super::style::BODY;
    use super::*;

    fn lines(text: &str, width: f64) -> Vec<String> {
        let broken = broken(&[Word::new(text, BODY)], width);
        broken.iter().map(|line| joined(line).iter().map(|w| w.text.clone()).collect()).collect()
    }

    #[test]
    fn lines_keep_their_width_and_lose_no_word() {
        let text = "Sheet flat, held down with weights or pins that do not burn, outside the travel of the head";
        let broken = lines(text, 40.0);
        assert!(broken.iter().all(|line| BODY.width(line) <= 40.0 + 1e-6));
        assert_eq!(broken.join(" "), text);
    }

    #[test]
    fn no_word_is_left_alone_on_a_last_line() {
        let text = "one two three four five six seven eight nine ten";
        let narrower = BODY.width(text) - 0.1;
        assert_eq!(lines(text, narrower).last().map(String::as_str), Some("nine ten"));
    }

    #[test]
    fn a_word_wider_than_the_line_is_torn() {
        let long = "x".repeat(500);
        let broken = lines(&long, 30.0);
        assert!(1 < broken.len() && broken.iter().all(|line| BODY.width(line) <= 30.0 + 0.1));
        assert_eq!(broken.concat(), long);
    }

    #[test]
    fn a_long_name_is_torn_after_its_hyphens() {
        let name = "ornament-of-the-frame-at-its-corner";
        let broken = lines(name, BODY.width("ornament-of-the-") + 0.2);
        assert_eq!(broken, ["ornament-of-the-", "frame-at-its-", "corner"]);
    }

    #[test]
    fn quantities_stay_together() {
        let text = format!("at {} here", kept("120 mm/s"));
        assert!(lines(&text, 17.0).iter().any(|line| line.contains("120\u{a0}mm/s")));
    }

    #[test]
    fn what_goes_beyond_the_most_lines_ends_in_an_ellipsis() {
        let fragment = paragraph(&[Word::new("word ".repeat(5000), BODY)], 30.0, Align::Left, 3);
        assert!((fragment.size.height - 3.0 * BODY.leading()).abs() < 1e-9);
        assert_eq!(clipped("keepsake", 4), "kee…");
        assert_eq!(clipped("keep", 4), "keep");
    }
}
