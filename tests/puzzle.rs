//! Tests of `puzzle` from outside.

mod boards;
pub mod reference;
mod proofs;
mod lock;
mod misfit;
mod chance;
mod whimsies;
mod refusals;
mod apart;
