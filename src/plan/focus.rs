//! Where the focus of an operation stands, how wide the beam is at the faces of the stock then, and how far the sheet may
//! lie out of its place.
//!
//! The focus that a setting was measured with is what is burned; nothing here changes it. Heights count from the upper
//! face: negative ones lie in the stock.

use super::model::Operation;
use crate::shop::{Machine, OperationKind, Stock, Waist};
use crate::units::Mm;

/// The focus of an operation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Focus {
    /// Its height above the upper face; at the face where the setting does not say.
    pub at: Mm,
    /// Whether the setting says so.
    pub is_stated: bool,
    /// Between which heights it usually stands, the lower first: at the face for marks, in the stock for cuts.
    pub usual: (Mm, Mm),
    /// How wide the beam is; `None` where nothing tells how it widens.
    pub widths: Option<Widths>,
    /// How far the sheet may lie out of its place; `None` where nothing tells.
    pub room: Option<Room>,
}

/// How wide the beam is where it meets the stock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Widths {
    /// Diameter at the upper face.
    pub upper: Mm,
    /// Diameter at the lower face; only of cuts.
    pub lower: Option<Mm>,
    /// The depth of focus: twice the Rayleigh range (the confocal parameter), within which the beam is at most √2 times
    /// its narrowest.
    pub depth: Mm,
    /// Whether all that is to be burned lies in it: the thickness of a cut, the face of a mark.
    pub is_within_depth: bool,
}

/// How far a sheet may lie out of its place before an operation fails.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// How far it may rise or sink.
    pub either_way: Mm,
    /// Whether that was measured on the machine; else it is the Rayleigh range, over which the irradiance in the middle of
    /// the beam falls to half where the focus stood (ISO 11146-1). Half is a judgement of this project.
    pub is_measured: bool,
}

impl Room {
    fn of(machine: &Machine, waist: Option<Waist>) -> Option<Self> {
        match machine.focus_depth {
            Some(depth) => Some(Self { either_way: depth / 2.0, is_measured: true }),
            None => waist.map(|waist| Self { either_way: waist.rayleigh, is_measured: false }),
        }
    }

    /// Whether it bears such a curl when the focus is set for half of it: the sheet then lies off by half both ways.
    pub fn bears_split(&self, curl: Mm) -> bool {
        curl / 2.0 <= self.either_way
    }
}

impl Focus {
    /// The focus of an operation; `None` of what is not burned.
    pub fn of(operation: &Operation, machine: &Machine, stock: &Stock) -> Option<Self> {
        let stated = operation.setting.as_ref()?.focus;
        let at = stated.unwrap_or(Mm::ZERO);
        // A mark has to be sharp at the face only.
        let deep = if operation.kind == OperationKind::Cut { stock.thickness } else { Mm::ZERO };
        let waist = machine.waist();
        Some(Self {
            at,
            is_stated: stated.is_some(),
            usual: (-deep, Mm::ZERO),
            widths: waist.map(|waist| widths(waist, at, deep)),
            room: Room::of(machine, waist),
        })
    }
}

fn widths(waist: Waist, at: Mm, deep: Mm) -> Widths {
    let farthest = at.abs().max((at + deep).abs());
    Widths {
        upper: waist.width_at(at),
        lower: (deep > Mm::ZERO).then(|| waist.width_at(at + deep)),
        depth: waist.rayleigh * 2.0,
        is_within_depth: farthest <= waist.rayleigh,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn waist() -> Waist {
        Waist { spot: Mm::new(0.1), rayleigh: Mm::new(1.0) }
    }

    #[test]
    fn a_cut_thinner_than_the_depth_of_focus_lies_in_it() {
        let thin = widths(waist(), Mm::new(-0.5), Mm::new(1.0));
        assert!(thin.is_within_depth && thin.depth == Mm::new(2.0));
        assert_eq!(Some(thin.upper), thin.lower);
        let thick = widths(waist(), Mm::new(-1.0), Mm::new(3.0));
        assert!(!thick.is_within_depth);
        // d0 √(1 + 2²)
        assert!((thick.lower.unwrap().get() - 0.1 * 5.0_f64.sqrt()).abs() < 1e-12);
    }
}
