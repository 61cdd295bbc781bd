//! Files and places in them.
//!
//! In: paths. Out: bytes, and for texts a [`SourceId`] that every [`Span`] carries to the last stage,
//! so that any later finding can point back at what was written.
//!
//! Invariant: besides `driver` and `cli`, this is the only floor that touches the disk, and it does so
//! only through [`Files`], which remembers every path asked for: that list is what `watch` watches.

mod files;
mod revision;
mod span;

pub use files::{Access, DiskFiles, FileBytes, Files, MAX_FILE_BYTES, MemoryFiles, ReadError, sha256};
pub use span::{Position, Source, SourceId, Sources, Span, Spanned};
