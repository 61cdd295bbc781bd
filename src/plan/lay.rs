//! How the sheet lies in the machine: which sheet, and with which side up.
//!
//! A plan counts in the frame of the front throughout, so that whatever is burned on either side can be compared where
//! it lies. Only the files of a turned run are mirrored, by [`Run::on_page`].

use super::dots::Dots;
use super::model::{Burn, CleanUp, Operation, Plan, Run};
use crate::geometry::Once;
use crate::recipe::{MirrorAxis, SheetCorner};
use crate::shop::OperationKind;
use crate::units::Mm;
use kurbo::{Affine, Point, Rect};
use std::borrow::Cow;
use std::sync::Arc;

/// What lies on the bed during a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Laid {
    /// A sheet of the stock, counted from 1: a new one for each run that asks for it.
    Sheet(usize),
    /// Scrap, which becomes no part of the piece.
    Scrap,
}

impl Laid {
    /// The number of the sheet; `None` for scrap.
    pub const fn sheet(self) -> Option<usize> {
        match self {
            Self::Sheet(number) => Some(number),
            Self::Scrap => None,
        }
    }
}

/// How the sheet lies during a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lay {
    /// What lies on the bed.
    pub on: Laid,
    /// How it is turned over; `None` where its face lies up.
    pub turned: Option<Turned>,
}

impl Default for Lay {
    /// The first sheet, its face up.
    fn default() -> Self {
        Self { on: Laid::Sheet(1), turned: None }
    }
}

/// A sheet with its back up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turned {
    /// Which of its edges change places.
    pub over: MirrorAxis,
    /// The middle of the board, which stays where it is.
    pub about: Point,
}

impl Turned {
    /// From the front to where it lies once the sheet is turned; the same way back.
    pub fn movement(self) -> Affine {
        self.over.about(self.about)
    }

    /// How far the turned sheet lies from where the sheet was, to the right or down; nothing where the board lies in its
    /// middle.
    pub fn shift(self, sheet: (Mm, Mm)) -> Mm {
        Mm::new(match self.over {
            MirrorAxis::LeftRight => 2.0 * self.about.x - sheet.0.get(),
            MirrorAxis::TopBottom => 2.0 * self.about.y - sheet.1.get(),
        })
    }
}

/// A corner cut from scrap, into which the sheets of later runs are pushed.
#[derive(Clone, Debug)]
pub struct Fixture {
    /// Its name.
    pub name: String,
    /// The corner of the sheet that lies in it.
    pub corner: SheetCorner,
    /// How far it is cut along each edge of the sheet.
    pub arm: Mm,
    /// How much scrap is left beside those edges.
    pub width: Mm,
}

impl Run {
    /// From the front to the page of its file.
    pub fn movement(&self) -> Affine {
        self.lay.movement()
    }

    /// The box around everything it burns, on the page of its file.
    pub fn burned_on_page(&self) -> Option<Rect> {
        Some(self.movement().transform_rect_bbox(self.burned?))
    }

    /// An operation of it as it lies on the page of its file.
    pub fn on_page<'a>(&self, operation: &'a Operation) -> Cow<'a, Operation> {
        match self.lay.turned {
            None => Cow::Borrowed(operation),
            Some(turned) => Cow::Owned(operation.mirrored(turned)),
        }
    }
}

impl Lay {
    /// From the front to where it lies.
    pub fn movement(self) -> Affine {
        self.turned.map_or(Affine::IDENTITY, Turned::movement)
    }

    /// Whether the same side of the same piece lies up.
    pub fn shows_the_same_as(self, other: Self) -> bool {
        (self.on, self.turned.is_some()) == (other.on, other.turned.is_some())
    }
}

impl Plan {
    /// Every side that is burned, in the order in which they come to lie up, each as it lies first.
    pub fn sides(&self) -> Vec<Lay> {
        let mut sides: Vec<Lay> = Vec::new();
        for run in &self.runs {
            if !sides.iter().any(|side| side.shows_the_same_as(run.lay)) {
                sides.push(run.lay);
            }
        }
        sides
    }

    /// What is burned on a side, with its run, as seen from the front; cuts show on both sides.
    pub fn on_side(&self, side: Lay) -> impl Iterator<Item = (&Run, &Operation)> {
        let runs = self.runs.iter().filter(move |run| run.lay.on == side.on);
        let all = runs.flat_map(|run| run.operations.iter().map(move |o| (run, o)));
        all.filter(move |(run, o)| o.kind == OperationKind::Cut || run.lay.shows_the_same_as(side))
    }

    /// The same as it lies when that side is up.
    pub fn seen_on_side(&self, side: Lay) -> impl Iterator<Item = (&Run, Cow<'_, Operation>)> {
        self.on_side(side).map(move |(run, operation)| {
            (run, side.turned.map_or(Cow::Borrowed(operation), |turned| Cow::Owned(operation.mirrored(turned))))
        })
    }
}

impl Operation {
    /// The same burned from the other side.
    pub fn mirrored(&self, turned: Turned) -> Self {
        let movement = turned.movement();
        let burn = match &self.burn {
            Burn::Area(region) => Burn::Area(region.transform(movement)),
            Burn::Lines(lines) => Burn::Lines(lines.iter().map(|l| movement * l.clone()).collect()),
            Burn::Dots(dots) => Burn::Dots(Box::new(dots.mirrored(turned))),
        };
        let clean_up = CleanUp {
            once: self.clean_up.once.iter().map(|o| Once { at: movement * o.at, ..*o }).collect(),
            outlines: self.clean_up.outlines.iter().map(|l| movement * l.clone()).collect(),
            ..self.clean_up.clone()
        };
        Self { burn, clean_up, bounds: self.bounds.map(|b| movement.transform_rect_bbox(b)), ..self.clone() }
    }
}

impl Dots {
    /// The same dots burned from the other side.
    fn mirrored(&self, turned: Turned) -> Self {
        let movement = turned.movement();
        Self {
            bitmap: Arc::new(match turned.over {
                MirrorAxis::LeftRight => self.bitmap.mirrored(),
                MirrorAxis::TopBottom => self.bitmap.upside_down(),
            }),
            bounds: movement.transform_rect_bbox(self.bounds),
            region: self.region.transform(movement),
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turning_twice_changes_nothing_and_keeps_the_line_it_turns_about() {
        let about = Point::new(70.0, 40.0);
        for (over, moved) in [MirrorAxis::LeftRight, MirrorAxis::TopBottom]
            .into_iter()
            .zip([Point::new(130.0, 25.0), Point::new(10.0, 55.0)])
        {
            let turned = Turned { over, about };
            assert_eq!(turned.movement() * Point::new(10.0, 25.0), moved);
            assert_eq!(turned.movement() * turned.movement() * Point::new(10.0, 25.0), Point::new(10.0, 25.0));
            assert_eq!(turned.movement() * about, about);
        }
    }

    #[test]
    fn a_sheet_with_the_board_in_its_middle_stays_where_it_is() {
        let turned = |over, x, y| Turned { over, about: Point::new(x, y) };
        let sheet = (Mm::new(300.0), Mm::new(200.0));
        assert_eq!(turned(MirrorAxis::LeftRight, 150.0, 20.0).shift(sheet), Mm::ZERO);
        // The right edge, 180 mm from the middle of the board, comes to lie 180 mm left of it: 60 mm beyond the old left.
        assert_eq!(turned(MirrorAxis::LeftRight, 120.0, 20.0).shift(sheet), Mm::new(-60.0));
        assert_eq!(turned(MirrorAxis::TopBottom, 120.0, 110.0).shift(sheet), Mm::new(20.0));
    }
}
