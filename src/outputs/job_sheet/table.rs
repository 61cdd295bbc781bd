//! Tables of text, and lists of a name and its value.

use super::style::{BODY, LABEL, SOFT, hairline};
use super::text::paragraph;
use crate::outputs::pdf::{Align, Cell, Fragment, Numbering, Role, Word};

/// Space between two columns, in mm.
const GUTTER: f64 = 3.0;

/// More lines than a cell of an honest table has.
const MOST_LINES: usize = 8;

/// A column.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    /// Its heading.
    pub title: &'static str,
    /// Its width in mm, gutter included; zero takes what the others leave.
    pub width: f64,
    /// Where its lines stand.
    pub align: Align,
}

/// A column from the left.
pub(super) const fn column(title: &'static str, width: f64) -> Column {
    Column { title, width, align: Align::Left }
}

/// A column of numbers.
pub(super) const fn numbers(title: &'static str, width: f64) -> Column {
    Column { title, width, align: Align::Right }
}

/// Rows under a head that is repeated on every page.
#[derive(Clone, Debug)]
pub(super) struct Table {
    /// The head.
    pub head: Fragment,
    /// The rows, each kept whole.
    pub rows: Vec<Fragment>,
}

impl Table {
    /// What has to stand together at least: the head and the first row.
    pub(super) fn least(&self) -> f64 {
        self.head.size.height + self.rows.first().map_or(0.0, |row| row.size.height)
    }
}

/// Lays a table out over `width` mm.
pub(super) fn table(columns: &[Column], rows: &[Vec<Cell>], width: f64) -> Table {
    let taken: f64 = columns.iter().map(|c| c.width).sum();
    let elastic = columns.iter().filter(|c| c.width <= 0.0).count().max(1) as f64;
    let resolved: Vec<Column> = columns
        .iter()
        .map(|c| if c.width <= 0.0 { Column { width: (width - taken) / elastic, ..*c } } else { *c })
        .collect();
    let titles: Vec<Cell> = columns.iter().map(|c| vec![Word::new(c.title, LABEL)]).collect();
    Table {
        head: row(&resolved, &titles, width, 0.4, &[Role::ColumnHead]).tagged(Role::Row),
        rows: rows
            .iter()
            .map(|cells| row(&resolved, cells, width, 1.0, &[Role::Cell]).tagged(Role::Row))
            .collect(),
    }
}

/// Cells beside each other; the last role is that of all further ones too.
fn row(columns: &[Column], cells: &[Cell], width: f64, pad: f64, roles: &[Role]) -> Fragment {
    let mut fragment = Fragment::new(width, 0.0);
    let mut x = 0.0;
    let mut height: f64 = 0.0;
    for (i, (column, cell)) in columns.iter().zip(cells).enumerate() {
        let last = i + 1 == columns.len();
        let gutter = if last { 0.0 } else { GUTTER };
        let piece = paragraph(cell, column.width - gutter, column.align, MOST_LINES);
        let piece = match roles.get(i).or(roles.last()) {
            Some(role) => piece.tagged(role.clone()),
            None => piece,
        };
        fragment.place((x, pad), &piece);
        height = height.max(piece.size.height);
        x += column.width;
    }
    fragment.size.height = height + 2.0 * pad;
    fragment.line((0.0, fragment.size.height), (width, fragment.size.height), hairline());
    fragment
}

/// Names at the left, values beside them, one pair a row.
pub(super) fn facts(pairs: &[(&str, Cell)], name_width: f64, width: f64) -> Fragment {
    let columns = [column("", name_width), column("", width - name_width)];
    let mut list = Fragment::new(width, 0.0);
    list.begin(Role::List(Numbering::Terms));
    for (name, value) in pairs.iter().filter(|(_, value)| !value.is_empty()) {
        let label = BODY.ink(SOFT);
        let cells = [vec![Word::new(*name, label)], value.clone()];
        list.stack(0.0, &row(&columns, &cells, width, 0.7, &[Role::Label, Role::Body]).tagged(Role::Item));
    }
    list.end();
    list
}
