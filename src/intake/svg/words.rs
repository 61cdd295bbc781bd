//! Text: written for the resolver with what it is painted with, and painted once it is laid out.

use super::cascade::Style;
use super::document::{NodeId, href, id_of, is_svg, tag};
use super::fonts::{face_for, families_of, style_missed};
use super::kinds::Kind;
use super::markup::{Changes, text_to};
use super::painter::{Light, Painter};
use super::prepare::{Around, Stop, Writer};
use roxmltree::Node;
use simplecss::Declaration;
use usvg::{Group, Text};

const XML_NAMESPACE: &str = "http://www.w3.org/XML/1998/namespace";
/// Characters of a text that are quoted in a finding.
const QUOTED: usize = 24;

impl<'a, 'd> Writer<'a, 'd> {
    /// A text, where there are fonts to set it in.
    pub(super) fn text(
        &mut self,
        node: Node<'a, 'd>,
        declared: &[Declaration],
        around: &Around,
    ) -> Result<(), Stop> {
        let holds_letters = |n: Node| n.is_text() && n.text().is_some_and(|t| !t.trim().is_empty());
        if !node.descendants().any(holds_letters) {
            return Ok(());
        }
        if !self.sets_text {
            let family = self.inherited(node, "font-family", declared);
            let family = family.unwrap_or_else(|| "no font named".to_owned());
            let short: String = family.chars().take(60).filter(|c| !c.is_control()).collect();
            self.census.remark(Kind::Text, id_of(node), short.replace(['"', '\''], ""));
            return Ok(());
        }
        self.expected.insert(id_of(node));
        for &(kind, by) in &around.marks {
            self.census.note(kind, by);
        }
        let mut changes = Changes::default();
        changes.attributes.push(("id", self.name(node)));
        let spaces = node.ancestors().find_map(|n| n.attribute((XML_NAMESPACE, "space")));
        changes.attributes.extend(spaces.map(|s| ("xml:space", s.to_owned())));
        self.clip(node, &around.style, &mut changes)?;
        self.words(node, "text", declared, &around.style, changes)
    }

    fn words(
        &mut self,
        node: Node<'a, 'd>,
        name: &str,
        declared: &[Declaration],
        style: &Style,
        mut changes: Changes,
    ) -> Result<(), Stop> {
        self.paint(node, "fill", &style.fill, &mut changes)?;
        self.paint(node, "stroke", &style.stroke, &mut changes)?;
        if name == "textPath" {
            let target = href(node).and_then(|l| l.strip_prefix('#')).and_then(|id| self.document.by_id(id));
            if let Some(id) = target.map(|t| self.define(t)).transpose()?.flatten() {
                changes.attributes.push(("href", format!("#{id}")));
            }
        }
        self.open(node, name, declared, &changes);
        for child in node.children() {
            if child.is_text() {
                text_to(&mut self.body, child.text().unwrap_or_default());
            } else if is_svg(child) && matches!(tag(child), "tspan" | "textPath" | "a") {
                self.step_in(child)?;
                let declared = self.cascade.declarations(child);
                let own = Style::of(child, &declared, style);
                if !own.removed {
                    let name = if tag(child) == "a" { "tspan" } else { tag(child) };
                    self.words(child, name, &declared, &own, Changes::default())?;
                }
                self.line.pop();
            }
        }
        self.close(name);
        Ok(())
    }
}

impl Painter<'_, '_> {
    /// Paints a text, if every letter of it is there.
    pub(super) fn text(&mut self, text: &Text, light: &Light) {
        let node = self.origins.get(text.id()).copied();
        self.current = node.or(self.current);
        self.seen.extend(node);
        let Some(node) = self.current else { return };
        if self.fonts_are_named(text, node) && self.letters_are_there(text, node) {
            self.group(text.flattened(), light);
        }
    }

    fn fonts_are_named(&mut self, text: &Text, node: NodeId) -> bool {
        let mut all = true;
        for (chunk, span) in text.chunks().iter().flat_map(|c| c.spans().iter().map(move |s| (c, s))) {
            let piece = chunk.text().get(span.start()..span.end()).unwrap_or_default().trim();
            if piece.is_empty() {
                continue;
            }
            let asked = families_of(span.font());
            match face_for(span.font(), self.fonts) {
                None => {
                    all = false;
                    self.census.remark(Kind::FontNotNamed, node, format!("{asked} for {}", quoted(piece)));
                }
                Some(face) => {
                    if let Some(missed) = style_missed(span.font(), face, self.fonts) {
                        self.census.remark(
                            Kind::FontStyle,
                            node,
                            format!("{missed} {asked} for {}", quoted(piece)),
                        );
                    }
                }
            }
        }
        all
    }

    fn letters_are_there(&mut self, text: &Text, node: NodeId) -> bool {
        let whole: String = text.chunks().iter().map(usvg::TextChunk::text).collect();
        let mut all = true;
        for glyph in text.layouted().iter().flat_map(|span| &span.positioned_glyphs) {
            let Some(letter) = glyph.text.chars().find(|c| !c.is_whitespace() && !c.is_control()) else {
                continue;
            };
            if glyph.id.0 == 0 {
                all = false;
                let family = self.fonts.face(glyph.font).and_then(|f| f.families.last()).map_or("", |f| &f.0);
                let code = letter as u32;
                let what = format!("`{letter}` (U+{code:04X}) of `{family}` in {}", quoted(whole.trim()));
                self.census.remark(Kind::GlyphMissing, node, what);
            }
        }
        if is_pictured(text.flattened()) {
            all = false;
            let what = format!("letters made of colours or pictures in {}", quoted(whole.trim()));
            self.census.remark(Kind::GlyphMissing, node, what);
        }
        all
    }
}

/// Whether some letter is no plain outline: made of pixels, of colours or of a drawing of its own.
fn is_pictured(letters: &Group) -> bool {
    letters.children().iter().any(|child| !matches!(child, usvg::Node::Path(_)))
}

/// The start of a text in quotation marks.
fn quoted(text: &str) -> String {
    let short: String = text.chars().take(QUOTED).map(|c| if c.is_control() { ' ' } else { c }).collect();
    let more = if text.chars().count() > QUOTED { "…" } else { "" };
    format!("“{short}{more}”")
}
