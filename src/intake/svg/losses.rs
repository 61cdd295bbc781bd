//! What is lost between a drawing and a burned piece: the rules.

use crate::diagnostics::{Finding, Severity};

/// An artwork file holds text that is not outlined.
pub static TEXT_NOT_OUTLINED: Finding = Finding {
    rule: "artwork/text-not-outlined",
    severity: Severity::Warning,
    title: "an artwork file holds text that is not outlined",
    explanation: "Text in an SVG is letters plus the name of a font, and the font lies on the computer that \
                  drew it. On any other computer the letters look different or are missing, so text is never \
                  taken from artwork unless the recipe names a file for each font. It can also be turned into \
                  paths in the drawing's editor, or be written as `lettering`. It is an error when nothing \
                  else is left.",
    wrong: "artwork \"sign\" file=\"art/with-text.svg\"",
    right: "artwork \"sign\" file=\"art/with-text.svg\" { font \"Gentium\" file=\"fonts/gentium.ttf\" }",
};

/// A text asks for a font without a file.
pub static FONT_NOT_NAMED: Finding = Finding {
    rule: "artwork/font-not-named",
    severity: Severity::Error,
    title: "text in an artwork asks for a font that the recipe names no file for",
    explanation: "Once a recipe names fonts for an artwork, all text in it is outlined, each with the font it asks for. Another \
                  font never stands in: the words would come out in other letters and another length, unnoticed until they \
                  are burned. Text that is not wanted can be dropped.",
    wrong: "artwork \"sign\" file=\"art/in-two-fonts.svg\" { font \"Gentium\" file=\"fonts/gentium.ttf\" }",
    right: "artwork \"sign\" file=\"art/in-two-fonts.svg\" {\n    font \"Gentium\" file=\"fonts/gentium.ttf\"\n    \
            font \"Charis\" file=\"fonts/charis.ttf\"\n}",
};

/// A font lacks a letter.
pub static GLYPH_MISSING: Finding = Finding {
    rule: "artwork/glyph-missing",
    severity: Severity::Error,
    title: "a font has no outline for a character of an artwork's text",
    explanation: "Other programs put a letter of another font in its place, or an empty box, without a word. Here nothing is \
                  put in its place. Fonts made of pictures have no outlines at all.",
    wrong: "artwork \"sign\" file=\"art/greek.svg\" { font \"serif\" file=\"fonts/latin-only.ttf\" }",
    right: "artwork \"sign\" file=\"art/greek.svg\" { font \"serif\" file=\"fonts/latin-and-greek.ttf\" }",
};

/// A font is not in the style asked for.
pub static FONT_STYLE: Finding = Finding {
    rule: "artwork/font-style",
    severity: Severity::Warning,
    title: "text in an artwork asks for a style that the fonts named do not have",
    explanation: "Bold and italic letters lie in font files of their own. Where the recipe names only the plain one, the text is \
                  set in that.",
    wrong: "artwork \"sign\" file=\"art/bold.svg\" { font \"Gentium\" file=\"fonts/gentium.ttf\" }",
    right: "artwork \"sign\" file=\"art/bold.svg\" { font \"Gentium\" file=\"fonts/gentium-bold.ttf\" }",
};

/// An artwork file holds an embedded picture.
pub static EMBEDDED_PICTURE: Finding = Finding {
    rule: "artwork/embedded-picture",
    severity: Severity::Warning,
    title: "an artwork file holds an embedded picture",
    explanation: "A picture inside an SVG is made of pixels, and has neither outline nor ink. It is left \
                  out of the artwork. A `photo` figure can burn it from the same file, and a scanned drawing \
                  can be traced to paths.",
    wrong: "artwork \"pond\" file=\"art/with-photo.svg\"",
    right: "artwork \"pond\" file=\"art/with-photo.svg\" { drop \"image\" }",
};

/// An artwork file links to another file.
pub static LINKED_FILE: Finding = Finding {
    rule: "artwork/linked-file",
    severity: Severity::Warning,
    title: "an artwork file links to another file",
    explanation: "The drawing shows something that lies in another file or on the network. Such links are \
                  never followed: the recipe names every file that a build reads, so that a friend gets the \
                  same piece, and a drawing from the net cannot read your disk.",
    wrong: "<image href=\"../photos/pond.jpg\"/>",
    right: "artwork \"pond\" file=\"art/pond.svg\"",
};

/// An artwork file holds elements that cannot be burned.
pub static NOT_A_DRAWING: Finding = Finding {
    rule: "artwork/not-a-drawing",
    severity: Severity::Warning,
    title: "an artwork file holds elements that cannot be burned",
    explanation: "Scripts, animations, embedded web content, sound and video have no fixed shape. They are \
                  left out, and the rest is taken as it stands when nothing has run.",
    wrong: "<rect width=\"10\" height=\"10\"><animate attributeName=\"x\" to=\"20\"/></rect>",
    right: "<rect x=\"20\" width=\"10\" height=\"10\"/>",
};

/// An artwork file refers to an element that it does not hold.
pub static DANGLING_REFERENCE: Finding = Finding {
    rule: "artwork/dangling-reference",
    severity: Severity::Warning,
    title: "an artwork file refers to an element that it does not hold",
    explanation: "A fill, stroke, clip path or copy points at an id that no element has. Viewers leave the \
                  shape out or show it plain, each in its own way. Here a missing fill or stroke paints \
                  nothing, a missing clip path clips nothing, and a missing original has no copies.",
    wrong: "<path fill=\"url(#gone)\" d=\"M0 0h9v9z\"/>",
    right: "<path fill=\"black\" d=\"M0 0h9v9z\"/>",
};

/// Elements of an artwork file share one id.
pub static SAME_ID: Finding = Finding {
    rule: "artwork/same-id",
    severity: Severity::Advice,
    title: "elements of an artwork file share one id",
    explanation: "An id names one element. Where two have it, references and selectors by reference mean the \
                  first one in the file; the selector `#id` means all of them.",
    wrong: "<g id=\"reed\"/><g id=\"reed\"/>",
    right: "<g id=\"reed\"/><g id=\"reed-2\"/>",
};

/// A style sheet in an artwork file is not understood in part.
pub static STYLE_NOT_UNDERSTOOD: Finding = Finding {
    rule: "artwork/style-not-understood",
    severity: Severity::Warning,
    title: "a style sheet in an artwork file is not understood in part",
    explanation: "Style sheets in drawings are read as far as tags, ids, classes and attributes go. At-rules \
                  such as `@media` and `@import`, variables and selectors by position are skipped, and \
                  shapes that they colour keep what they have without them.",
    wrong: "<style>path:nth-child(2) { fill: none }</style>",
    right: "<style>.outline { fill: none }</style>",
};

/// A shape in an artwork file has a gradient.
pub static GRADIENT: Finding = Finding {
    rule: "artwork/gradient",
    severity: Severity::Warning,
    title: "a shape in an artwork file has a gradient",
    explanation: "An area is burned with one setting and has one tone. A gradient is taken as its mean \
                  colour: the shape becomes ink if that is dark and stays blank if it is near white.",
    wrong: "<circle r=\"9\" fill=\"url(#sunset)\"/>",
    right: "<circle r=\"9\" fill=\"#333\"/>",
};

/// A shape in an artwork file is filled with a pattern that cannot be drawn.
pub static PATTERN: Finding = Finding {
    rule: "artwork/pattern",
    severity: Severity::Warning,
    title: "a shape in an artwork file is filled with a pattern that cannot be drawn",
    explanation: "A pattern is a picture repeated as a fill. Tiles of flat shapes are drawn one by one. Where there are over 4000, \
                  or gradients, pictures, text or further patterns in them, the shape is taken as solid ink.",
    wrong: "<rect width=\"40\" height=\"40\" fill=\"url(#dots)\"/>",
    right: "<g clip-path=\"url(#box)\"><circle r=\"1\"/></g>",
};

/// A mask in an artwork file has soft parts.
pub static MASK: Finding = Finding {
    rule: "artwork/mask",
    severity: Severity::Warning,
    title: "a mask in an artwork file has soft parts",
    explanation: "A mask shows parts of a drawing by the brightness of another one. A mask of plain black and white shapes is \
                  applied exactly, as a clip path is. Greys, gradients and pictures in a mask fade what it shows, which a \
                  burned area cannot: the shape is taken where the mask is more than half bright.",
    wrong: "<g mask=\"url(#fade)\"><path d=\"M0 0h9v9z\"/></g>",
    right: "<g clip-path=\"url(#outline)\"><path d=\"M0 0h9v9z\"/></g>",
};

/// An element of an artwork file has a filter.
pub static FILTER: Finding = Finding {
    rule: "artwork/filter",
    severity: Severity::Warning,
    title: "an element of an artwork file has a filter",
    explanation: "Filters blur, light and colour the pixels of a drawing. They have no outline, and the \
                  shape is taken without them.",
    wrong: "<path filter=\"url(#shadow)\" d=\"M0 0h9v9z\"/>",
    right: "<path d=\"M0 0h9v9z\"/>",
};

/// A shape in an artwork file is translucent.
pub static TRANSLUCENT: Finding = Finding {
    rule: "artwork/translucent",
    severity: Severity::Warning,
    title: "a shape in an artwork file is translucent",
    explanation: "A burned area has one tone, and what lies beneath does not shine through. A translucent shape \
                  becomes solid ink if it looks darker on white paper than a third of black does, takes away what \
                  lies beneath if it looks white even on black, and otherwise changes nothing. Shadows and \
                  highlights are often the shapes to drop.",
    wrong: "<path opacity=\"0.3\" d=\"M0 0h9v9z\"/>",
    right: "<path d=\"M0 0h9v9z\"/>",
};

/// A dashed line has more dashes than can be drawn.
pub static TOO_MANY_DASHES: Finding = Finding {
    rule: "artwork/too-many-dashes",
    severity: Severity::Warning,
    title: "a dashed line has more dashes than can be drawn",
    explanation: "Dashes are drawn one by one. A line of over 20 000 of them is finer than any laser spot \
                  and would only exhaust the computer, so it is drawn through.",
    wrong: "<path stroke=\"black\" stroke-dasharray=\"0.0001\" d=\"M0 0H500\"/>",
    right: "<path stroke=\"black\" stroke-dasharray=\"2\" d=\"M0 0H500\"/>",
};

/// A shape lies farther out than any bed.
pub static FAR_AWAY: Finding = Finding {
    rule: "artwork/far-away",
    severity: Severity::Error,
    title: "a shape in an artwork file lies farther out than any bed",
    explanation: "Coordinates of more than 10 m are a slip or a broken transform. They would also spoil the precision \
                  of everything else in the drawing.",
    wrong: "<circle cx=\"1e30\" r=\"2\"/>",
    right: "<circle cx=\"10\" r=\"2\"/>",
};

/// A shape in an artwork file reaches over its page.
pub static OUTSIDE_PAGE: Finding = Finding {
    rule: "artwork/outside-page",
    severity: Severity::Warning,
    title: "a shape in an artwork file reaches over its page",
    explanation: "The width and height or the view box of a drawing are its page, and viewers show nothing \
                  outside it. Areas are cut off at its edge here too, and lines that lie outside are left \
                  out; a line along the edge is kept whole.",
    wrong: "<svg width=\"50mm\" height=\"50mm\" viewBox=\"0 0 50 50\"><circle cx=\"50\" cy=\"25\" r=\"20\"/></svg>",
    right: "<svg width=\"70mm\" height=\"50mm\" viewBox=\"0 0 70 50\"><circle cx=\"50\" cy=\"25\" r=\"20\"/></svg>",
};

/// A clip path hides a whole shape.
pub static CLIPPED_AWAY: Finding = Finding {
    rule: "artwork/clipped-away",
    severity: Severity::Advice,
    title: "a clip path hides a whole shape",
    explanation: "Clip paths are applied exactly. A shape of which nothing is left may be an editor's \
                  leftover, or a sign that the clip path has slipped.",
    wrong: "<g clip-path=\"url(#left-half)\"><circle cx=\"90\" r=\"5\"/></g>",
    right: "<circle cx=\"90\" r=\"5\"/>",
};

/// A shape in an artwork file could not be drawn.
pub static SHAPE_LOST: Finding = Finding {
    rule: "artwork/shape-lost",
    severity: Severity::Warning,
    title: "a shape in an artwork file could not be drawn",
    explanation: "The shape has no extent: a width, height or radius of zero or below, a path of less than \
                  two points, or a transform that flattens it to nothing.",
    wrong: "<circle r=\"0\"/>",
    right: "<circle r=\"2\"/>",
};

/// A filled shape has no area.
pub static NO_AREA: Finding = Finding {
    rule: "artwork/no-area",
    severity: Severity::Advice,
    title: "a filled shape has neither area nor stroke",
    explanation: "A straight line that is filled but not stroked encloses nothing and shows nowhere. Often a \
                  stroke was taken away by mistake.",
    wrong: "<path fill=\"black\" d=\"M0 0L9 9\"/>",
    right: "<path stroke=\"black\" d=\"M0 0L9 9\"/>",
};

/// White shapes cover darker ones.
pub static WHITE_COVERS: Finding = Finding {
    rule: "artwork/white-covers",
    severity: Severity::Advice,
    title: "white shapes cover darker ones",
    explanation: "Drawings often hide parts behind white shapes. Burning white is impossible, so what lies \
                  beneath is taken away instead, and the ink is what looks dark on screen. Near white is a \
                  relative luminance over 0.8 (the formula of WCAG 2.2 on sRGB).",
    wrong: "<path d=\"M0 0h9v9z\"/><circle r=\"3\" fill=\"white\"/>",
    right: "artwork \"heron\" file=\"art/heron.svg\" { drop \"[fill=\\\"white\\\"]\" }",
};

/// Several flat colours became one inked area.
pub static COLOURS_MERGED: Finding = Finding {
    rule: "artwork/colours-merged",
    severity: Severity::Advice,
    title: "several flat colours became one inked area",
    explanation: "Ink is one area: whatever is not near white. In a picture of many flat colours the parts \
                  run together to one dark shape. Take each colour as a figure of its own and engrave it \
                  with a setting of its own to keep them apart.",
    wrong: "artwork \"heron\" file=\"art/flat-colours.svg\"",
    right: "artwork \"beak\" file=\"art/flat-colours.svg\" { take \"[fill=\\\"#d40000\\\"]\" }",
};

/// An artwork file holds hidden or unpainted shapes.
pub static HIDDEN: Finding = Finding {
    rule: "artwork/hidden",
    severity: Severity::Advice,
    title: "an artwork file holds hidden or unpainted shapes",
    explanation: "Layers that are switched off, shapes without fill and stroke, and fully transparent ones \
                  are not seen on screen and are not burned.",
    wrong: "<path display=\"none\" d=\"M0 0h9v9z\"/>",
    right: "<path d=\"M0 0h9v9z\"/>",
};
