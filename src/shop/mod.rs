//! What a workshop owns and has measured.

mod model;

pub use model::{LaserKind, Lesson, Machine, Moment, OperationKind, Setting, ShadeCard, StartPoint, Stock};
