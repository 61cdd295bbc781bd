//! Tests of `puzzle` from outside.

mod boards;
mod reference;
mod proofs;
mod lock;
mod chance;
mod refusals;
