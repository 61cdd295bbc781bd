//! The kinds of things in a drawing that cannot be burned as they are, and what is said of each.

use crate::diagnostics::{Finding, Severity};

/// One kind of thing that is treated alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    Text,
    Picture,
    LinkedFile,
    NotADrawing,
    DanglingReference,
    SameId,
    StyleNotUnderstood,
    Gradient,
    Pattern,
    Mask,
    Filter,
    Translucent,
    TooManyDashes,
    FarAway,
    OutsidePage,
    ClippedAway,
    Lost,
    NoArea,
    WhiteCovers,
    ColoursMerged,
    Hidden,
}

/// How a kind is reported.
pub(super) struct Entry {
    pub kind: Kind,
    pub finding: &'static Finding,
    /// What there is one of, and what there are several of.
    pub one: &'static str,
    pub many: &'static str,
    /// What became of it; put after the names.
    pub fate: &'static str,
    pub consequence: &'static str,
    pub repair: &'static str,
}

/// An artwork file holds text that is not outlined.
pub static TEXT_NOT_OUTLINED: Finding = Finding {
    rule: "artwork/text-not-outlined",
    severity: Severity::Warning,
    title: "an artwork file holds text that is not outlined",
    explanation: "Text in an SVG is letters plus the name of a font, and the font lies on the computer that \
                  drew it. On any other computer the letters look different or are missing, so text is never \
                  taken from artwork: it has to be turned into paths in the drawing's editor, or be written \
                  in the recipe, where the font is a file of the project. It is an error when nothing else \
                  is left.",
    wrong: "artwork \"sign\" file=\"art/with-text.svg\"",
    right: "lettering \"sign\" \"Heron pond\" font=\"fonts/serif.ttf\" height=\"12 mm\"",
};

/// An artwork file holds an embedded picture.
pub static EMBEDDED_PICTURE: Finding = Finding {
    rule: "artwork/embedded-picture",
    severity: Severity::Warning,
    title: "an artwork file holds an embedded picture",
    explanation: "A picture inside an SVG is made of pixels, and has neither outline nor ink. It is left \
                  out. A scanned drawing can be traced to paths in the drawing's editor; a photo cannot be \
                  burned as an outline.",
    wrong: "artwork \"pond\" file=\"art/with-photo.svg\"",
    right: "artwork \"pond\" file=\"art/traced.svg\"",
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

/// A shape in an artwork file is filled with a pattern.
pub static PATTERN: Finding = Finding {
    rule: "artwork/pattern",
    severity: Severity::Warning,
    title: "a shape in an artwork file is filled with a pattern",
    explanation: "A pattern is a picture repeated as a fill. The shape is taken as solid ink. Editors can \
                  turn a pattern into objects, which then are burned as drawn.",
    wrong: "<rect width=\"40\" height=\"40\" fill=\"url(#dots)\"/>",
    right: "<g clip-path=\"url(#box)\"><circle r=\"1\"/></g>",
};

/// An element of an artwork file has a mask.
pub static MASK: Finding = Finding {
    rule: "artwork/mask",
    severity: Severity::Warning,
    title: "an element of an artwork file has a mask",
    explanation: "A mask fades parts of a drawing by the brightness of another one. It is not applied: the \
                  whole shape is taken. A clip path, which hides by outline, is applied exactly.",
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

/// Every kind, in the order in which they are reported.
pub(super) static ENTRIES: [Entry; 21] = [
    Entry {
        kind: Kind::Text,
        finding: &TEXT_NOT_OUTLINED,
        one: "a text",
        many: "texts",
        fate: "left out because text is not an outline",
        consequence: "the words are missing from the piece",
        repair: "turn the text into paths in the drawing's editor, or write it as a `lettering` figure",
    },
    Entry {
        kind: Kind::Picture,
        finding: &EMBEDDED_PICTURE,
        one: "an embedded picture",
        many: "embedded pictures",
        fate: "left out because pixels are not an outline",
        consequence: "the picture is missing from the piece",
        repair: "trace it to paths in the drawing's editor, or drop it: `drop \"image\"`",
    },
    Entry {
        kind: Kind::LinkedFile,
        finding: &LINKED_FILE,
        one: "a link to another file",
        many: "links to other files",
        fate: "left out: other files and addresses are never read through a drawing",
        consequence: "what the other file shows is missing from the piece",
        repair: "embed the linked drawing in its editor, or name the file in the recipe as a figure of its own",
    },
    Entry {
        kind: Kind::NotADrawing,
        finding: &NOT_A_DRAWING,
        one: "an element that draws nothing",
        many: "elements that draw nothing",
        fate: "left out: scripts, movement, web content and media cannot be burned",
        consequence: "a shape that a script or an animation would show is missing, or stays where it starts",
        repair: "draw the final state as plain shapes",
    },
    Entry {
        kind: Kind::DanglingReference,
        finding: &DANGLING_REFERENCE,
        one: "a reference to an element that it does not hold",
        many: "references to elements that it does not hold",
        fate: "taken as if there were no such fill, stroke, clip path or copy",
        consequence: "shapes may be missing, or show where they should be hidden",
        repair: "put the missing element back, or take the reference away",
    },
    Entry {
        kind: Kind::SameId,
        finding: &SAME_ID,
        one: "an element with an id that an earlier one has",
        many: "elements with an id that an earlier one has",
        fate: "where a reference means the earlier one",
        consequence: "a copy or a clip path may show another shape than was meant",
        repair: "give each element its own id",
    },
    Entry {
        kind: Kind::StyleNotUnderstood,
        finding: &STYLE_NOT_UNDERSTOOD,
        one: "a style sheet with parts that are not understood",
        many: "style sheets with parts that are not understood",
        fate: "skipped there",
        consequence: "shapes may have another colour than on screen, and be burned or left out by mistake",
        repair: "save the drawing with its styles written as attributes on each element",
    },
    Entry {
        kind: Kind::Gradient,
        finding: &GRADIENT,
        one: "a shape with a gradient",
        many: "shapes with gradients",
        fate: "taken as flat, in the mean tone of its gradient",
        consequence: "the shape is burned evenly all over, or left out where its mean is near white",
        repair: "give it a flat colour, or draw the shading as lines",
    },
    Entry {
        kind: Kind::Pattern,
        finding: &PATTERN,
        one: "a shape filled with a pattern",
        many: "shapes filled with a pattern",
        fate: "taken as solid",
        consequence: "the whole shape is burned, not only the marks of the pattern",
        repair: "turn the pattern into objects in the drawing's editor",
    },
    Entry {
        kind: Kind::Mask,
        finding: &MASK,
        one: "an element with a mask",
        many: "elements with masks",
        fate: "taken without the mask",
        consequence: "parts that the mask hides are burned as well",
        repair: "cut the shape to its outline in the drawing's editor, or use a clip path, which is applied",
    },
    Entry {
        kind: Kind::Filter,
        finding: &FILTER,
        one: "an element with a filter",
        many: "elements with filters",
        fate: "taken without the filter",
        consequence: "blur, shadow and glow are not burned",
        repair: "take the filter away in the drawing's editor, or draw the shadow as a shape",
    },
    Entry {
        kind: Kind::Translucent,
        finding: &TRANSLUCENT,
        one: "a translucent or blended shape",
        many: "translucent or blended shapes",
        fate: "taken as ink where it looks dark on white paper, and as nothing where it looks pale",
        consequence: "the shape is burned as dark as a solid one, or not at all",
        repair: "give it a solid colour, or drop it: `drop \"…\"`",
    },
    Entry {
        kind: Kind::TooManyDashes,
        finding: &TOO_MANY_DASHES,
        one: "a line with more dashes than can be drawn",
        many: "lines with more dashes than can be drawn",
        fate: "drawn through",
        consequence: "the line is burned whole",
        repair: "use longer dashes",
    },
    Entry {
        kind: Kind::FarAway,
        finding: &FAR_AWAY,
        one: "a shape that lies over 10 m from the corner of its page",
        many: "shapes that lie over 10 m from the corner of their page",
        fate: "farther out than any bed",
        consequence: "the shape cannot be burned",
        repair: "move it on to the page, or correct its transform or coordinates",
    },
    Entry {
        kind: Kind::OutsidePage,
        finding: &OUTSIDE_PAGE,
        one: "a shape that reaches over its page",
        many: "shapes that reach over its page",
        fate: "cut off at the edge of the page, as every viewer does",
        consequence: "what lies outside the page is missing from the piece",
        repair: "fit the page to the drawing in its editor",
    },
    Entry {
        kind: Kind::ClippedAway,
        finding: &CLIPPED_AWAY,
        one: "a shape that its clip path hides altogether",
        many: "shapes that their clip paths hide altogether",
        fate: "left out, as in every viewer",
        consequence: "the shape is missing from the piece",
        repair: "release the clip path in the drawing's editor if the shape is wanted",
    },
    Entry {
        kind: Kind::Lost,
        finding: &SHAPE_LOST,
        one: "a shape that could not be drawn",
        many: "shapes that could not be drawn",
        fate: "without size, or without a path to draw",
        consequence: "the shape is missing from the piece",
        repair: "give it a size over zero, and path data that start with `M`",
    },
    Entry {
        kind: Kind::NoArea,
        finding: &NO_AREA,
        one: "a filled shape without area and stroke",
        many: "filled shapes without area and stroke",
        fate: "of which nothing can be seen in any viewer",
        consequence: "nothing of it is burned",
        repair: "give it a stroke if the line is wanted",
    },
    Entry {
        kind: Kind::WhiteCovers,
        finding: &WHITE_COVERS,
        one: "a white shape that covers darker ones",
        many: "white shapes that cover darker ones",
        fate: "taken out of what lies beneath",
        consequence: "the covered parts stay blank, as they look on screen",
        repair: "drop the white shapes if the parts beneath are wanted: `drop \"[fill=\\\"white\\\"]\"`",
    },
    Entry {
        kind: Kind::ColoursMerged,
        finding: &COLOURS_MERGED,
        one: "several flat colours",
        many: "flat colours",
        fate: "merged into one inked area",
        consequence: "edges between two colours are not burned where both are dark",
        repair: "take the colours apart into figures of their own: `take \"[fill=\\\"#d40000\\\"]\"`",
    },
    Entry {
        kind: Kind::Hidden,
        finding: &HIDDEN,
        one: "a hidden or unpainted shape",
        many: "hidden or unpainted shapes",
        fate: "left out",
        consequence: "what is not seen on screen is not burned",
        repair: "if it is wanted, show it in the drawing's editor",
    },
];
