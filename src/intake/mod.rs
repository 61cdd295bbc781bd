//! (being written)

pub mod lettering;
