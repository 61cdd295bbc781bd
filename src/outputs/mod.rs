//! (being written)

pub mod job_sheet;
mod pdf;
