//! The cursor: fragments go down the page, and on to the next where there is no room.

use super::paper::{FIRST_TOP, FOOT, SIDE, TOP, size};
use super::style::{LABEL, SECTION, SOFT, hairline, rule};
use super::table::Table;
use super::text::{clipped, fit_line, heading};
use crate::outputs::pdf::{Align, Artifact, Fragment, Page, Role, Weight};
use crate::shop::Paper;
use kurbo::Point;

/// Pages being filled from the top.
pub(super) struct Flow {
    paper: Paper,
    /// What the sheet is, for the head of its pages.
    what: &'static str,
    pages: Vec<Page>,
    y: f64,
    /// Whether a section is open, for whoever has the sheet read aloud.
    in_section: bool,
}

impl Flow {
    /// The first page, empty.
    pub(super) fn new(paper: Paper, what: &'static str) -> Self {
        let mut flow = Self { paper, what, pages: Vec::new(), y: TOP, in_section: false };
        flow.turn();
        flow.y = FIRST_TOP;
        flow
    }

    /// Width of the content, in mm.
    pub(super) fn width(&self) -> f64 {
        size(self.paper).width - 2.0 * SIDE
    }

    /// Height of the content of a whole page, in mm.
    pub(super) fn height(&self) -> f64 {
        size(self.paper).height - TOP - FOOT
    }

    /// What is left of this page, in mm.
    pub(super) fn room(&self) -> f64 {
        size(self.paper).height - FOOT - self.y
    }

    /// Begins a page, unless this one is still empty.
    pub(super) fn turn(&mut self) {
        if self.pages.is_empty() || self.started() {
            let size = size(self.paper);
            self.pages.push(Page { content: Fragment::new(size.width, size.height), bookmark: None });
            self.y = TOP;
        }
    }

    /// Begins a page when less than `needed` mm are left.
    pub(super) fn need(&mut self, needed: f64) {
        if self.room() < needed {
            self.turn();
        }
    }

    /// Leaves `gap` mm free; not at the top of a page.
    pub(super) fn gap(&mut self, gap: f64) {
        if self.started() {
            self.y += gap;
        }
    }

    /// Whether anything stands on this page.
    fn started(&self) -> bool {
        self.y != TOP && self.y != FIRST_TOP
    }

    /// Places a piece as a whole.
    pub(super) fn place(&mut self, piece: &Fragment) {
        self.need(piece.size.height);
        if let Some(page) = self.pages.last_mut() {
            page.content.place((SIDE, self.y), piece);
        }
        self.y += piece.size.height;
    }

    /// Begins a part of the document, which [ends](Self::end) on this page or on a later one.
    pub(super) fn begin(&mut self, role: Role) {
        if let Some(page) = self.pages.last_mut() {
            page.content.begin(role);
        }
    }

    /// Ends the part that was begun last.
    pub(super) fn end(&mut self) {
        if let Some(page) = self.pages.last_mut() {
            page.content.end();
        }
    }

    /// Places a heading and keeps it with the first `with` mm of what follows.
    pub(super) fn head(&mut self, heading: &Fragment, with: f64) {
        self.need(heading.size.height + with);
        self.place(heading);
    }

    /// Begins a section: a heading with a rule under it and an entry in the outline.
    pub(super) fn section(&mut self, title: &str, aside: &str, with: f64) {
        if self.in_section {
            self.end();
        }
        self.begin(Role::Section);
        self.in_section = true;
        let width = self.width();
        let aside_width = LABEL.width(aside);
        let mut heading = heading(title, SECTION, width - aside_width - 4.0, Role::Heading);
        let baseline = heading.size.height - 1.7;
        heading.text(Point::new(width, baseline), Align::Right, aside, LABEL);
        let below = heading.size.height + 0.8;
        heading.line((0.0, below), (width, below), rule());
        heading.size.height = below + 2.6;
        self.gap(7.0);
        self.head(&heading, with);
        if let Some(page) = self.pages.last_mut() {
            page.bookmark.get_or_insert_with(|| clipped(title, 80));
        }
    }

    /// Places a table; its head is repeated on every page.
    pub(super) fn table(&mut self, table: &Table) {
        self.rows(table, 0.0);
    }

    /// The same with a line under it, which never leaves the last row for a page of its own.
    pub(super) fn table_with_foot(&mut self, table: &Table, foot: &Fragment) {
        const GAP: f64 = 1.5;
        self.rows(table, GAP + foot.size.height);
        self.gap(GAP);
        self.place(foot);
    }

    /// Places head and rows, the last where `below` mm more are left.
    fn rows(&mut self, table: &Table, below: f64) {
        let under = |row: usize| if row + 1 == table.rows.len() { below } else { 0.0 };
        self.begin(Role::Table);
        self.head(&table.head, table.least() - table.head.size.height + under(0));
        for (number, row) in table.rows.iter().enumerate() {
            if self.room() < row.size.height + under(number) {
                self.turn();
                self.place(&table.head.clone().artifact(Artifact::Pagination));
            }
            self.place(row);
        }
        self.end();
    }

    /// Writes title, recipe and page number on every page and hands them out.
    pub(super) fn finish(mut self, title: &str, recipe: &str) -> Vec<Page> {
        if self.in_section {
            self.end();
        }
        if 1 < self.pages.len() && !self.started() {
            // Nothing stands on the last page, but parts of the document may end there.
            let ends = self.pages.pop();
            if let (Some(ends), Some(last)) = (ends, self.pages.last_mut()) {
                last.content.place((0.0, 0.0), &ends.content);
            }
        }
        let size = size(self.paper);
        let total = self.pages.len();
        let width = self.width();
        for (i, page) in self.pages.iter_mut().enumerate() {
            let mut edges = Fragment::new(size.width, size.height);
            if 0 < i {
                let strong = LABEL.weight(Weight::Semibold).ink(SOFT);
                fit_line(&mut edges, Point::new(SIDE, 12.0), Align::Left, title, strong, width - 22.0);
                edges.text(Point::new(size.width - SIDE, 12.0), Align::Right, self.what, LABEL);
            }
            let foot = size.height - FOOT + 4.0;
            edges.line((SIDE, foot), (size.width - SIDE, foot), hairline());
            let baseline = foot + 4.6;
            fit_line(&mut edges, Point::new(SIDE, baseline), Align::Left, recipe, LABEL, width - 30.0);
            let number = format!("page {} of {total}", i + 1);
            edges.text(Point::new(size.width - SIDE, baseline), Align::Right, &number, LABEL);
            page.content.place((0.0, 0.0), &edges.artifact(Artifact::Pagination));
        }
        self.pages
    }
}
