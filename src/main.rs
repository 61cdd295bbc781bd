//! The `kerfbook` command: only turns a result into an exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    kerfbook::cli::run()
}
