//! (being written)

pub mod atomic;
pub mod watch;
