//! Tests of `puzzle` from outside.

mod boards;
pub mod reference;
mod proofs;
mod lock;
mod chance;
mod refusals;
