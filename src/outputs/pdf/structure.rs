//! What the parts of a page are to somebody who cannot see them (ISO 32000-1, 14.8: tagged PDF).
//!
//! A part begins and ends among the marks of fragments. The pages of a document are one stream of marks, so a table that
//! begins on one page may end on the next.

use kurbo::{Rect, Vec2};

/// The role of an element, by the standard structure types.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Role {
    /// A heading and what stands under it.
    Section,
    /// The heading of the whole document.
    Title,
    /// The heading of a section, or of a part right under the title.
    Heading,
    /// The heading of a part of a section.
    Subheading,
    /// A paragraph.
    Paragraph,
    /// Items, and how their labels count.
    List(Numbering),
    /// An item of a list: a label and a body.
    Item,
    /// The number of an item, or the term that its body explains.
    Label,
    /// The box of an item that is ticked off on paper.
    TickBox,
    /// What an item says.
    Body,
    /// Rows of cells.
    Table,
    /// A row of a table.
    Row,
    /// The head of a column.
    ColumnHead,
    /// A cell.
    Cell,
    /// Something to look at, with what it tells in words and the room that it takes.
    Figure(Figure),
    /// A stretch whose glyphs stand in another order than its text, with the text.
    Span(String),
}

/// How the labels of a list count (ISO 32000-1, table 347).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Numbering {
    /// By numbers.
    Decimal,
    /// Not: a box before each.
    Boxes,
    /// Not: each is a term.
    Terms,
}

/// Something to look at.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Figure {
    /// What it tells, for whoever cannot see it.
    pub alternative: String,
    /// The box around it.
    pub frame: Rect,
}

/// What is no part of the text (ISO 32000-1, 14.8.2.2).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Artifact {
    /// What stands on every page, or once more on the next.
    Pagination,
    /// Marks for the hands that trim and join.
    Page,
    /// Lines and boxes.
    Layout,
    /// The ground under a text.
    Background,
}

/// What begins.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Tag {
    /// A part of the text.
    Element(Role),
    /// No part of it.
    Artifact(Artifact),
}

impl Role {
    /// Its structure type.
    pub(super) const fn structure_type(&self) -> &'static str {
        match self {
            Self::Section => "Sect",
            Self::Title => "H1",
            Self::Heading => "H2",
            Self::Subheading => "H3",
            Self::Paragraph => "P",
            Self::List(_) => "L",
            Self::Item => "LI",
            Self::Label | Self::TickBox => "Lbl",
            Self::Body => "LBody",
            Self::Table => "Table",
            Self::Row => "TR",
            Self::ColumnHead => "TH",
            Self::Cell => "TD",
            Self::Figure(_) => "Figure",
            Self::Span(_) => "Span",
        }
    }

    /// Whether it only holds other elements.
    pub(super) const fn is_grouping(&self) -> bool {
        matches!(self, Self::Section | Self::List(_) | Self::Item | Self::Table | Self::Row)
    }

    /// Whether what is drawn in it belongs to it: in all others, lines and areas only set the text off.
    pub(super) const fn is_drawn(&self) -> bool {
        matches!(self, Self::Figure(_) | Self::TickBox)
    }

    /// Whether it stands even where nothing is in it: a row has as many cells as its head.
    pub(super) const fn may_be_empty(&self) -> bool {
        matches!(self, Self::ColumnHead | Self::Cell)
    }
}

impl Numbering {
    /// The value of the attribute `ListNumbering`; nothing where it is the one taken anyway.
    pub(super) const fn attribute(self) -> Option<&'static str> {
        match self {
            Self::Decimal => Some("Decimal"),
            Self::Boxes => Some("Square"),
            Self::Terms => None,
        }
    }
}

impl Artifact {
    /// Its type (ISO 32000-1, table 330).
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Pagination => "Pagination",
            Self::Page => "Page",
            Self::Layout => "Layout",
            Self::Background => "Background",
        }
    }
}

impl Tag {
    /// The same, elsewhere on the page.
    pub(super) fn moved(&self, by: Vec2) -> Self {
        match self {
            Self::Element(Role::Figure(Figure { alternative, frame })) => {
                Self::Element(Role::Figure(Figure { alternative: alternative.clone(), frame: *frame + by }))
            }
            other => other.clone(),
        }
    }
}
