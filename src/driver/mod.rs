//! Building: the whole way from a recipe's file to a folder of outputs.
//!
//! In: a [`Request`]. Out: a [`Build`], which holds the findings and, where there are no errors, the files; and
//! [`write()`], which puts them in place as one step.
//!
//! Invariant: a build that fails leaves the last good folder as it was; nothing here knows of the command line.

mod build;
mod record;
mod resume;
pub mod each;
pub mod atomic;
pub mod rows;
mod written;
mod one_file;
pub mod watch;

pub use build::{Build, Request, build, compile, project_root, seen_from_file, write};
pub use one_file::write_file;
pub use record::{RecordError, RecordRequest, Recorded, record};
pub use resume::{Earlier, Marked, ResumeFailure, ResumeRequest, Resumed, marked_area, resume};
