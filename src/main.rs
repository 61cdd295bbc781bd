//! The `kerfbook` command.

fn main() {}
