//! `watch`: a build after every save.

use super::{BuildArguments, Outcome, build_with, say};
use crate::driver::watch::{WatchOptions, watch};
use crate::figures::Cache;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;
use std::time::Instant;

/// Watches until the program is ended.
pub(super) fn run(arguments: &BuildArguments) -> Outcome {
    let cache = Cache::default();
    let options = WatchOptions { outputs: vec![output_folder(arguments)], ..WatchOptions::default() };
    let result = watch(&options, &AtomicBool::new(false), |changed| {
        for path in changed {
            say(&mut std::io::stderr(), &format!("\n{} changed\n", shown(path)));
        }
        let started = Instant::now();
        let files = arguments.compile.files();
        let (build, outcome) = build_with(arguments, &files, &cache);
        let seconds = started.elapsed().as_secs_f64();
        let end = match outcome {
            Outcome::Done => format!("built in {seconds:.2} s; waiting for a change\n"),
            _ => format!("not built ({seconds:.2} s), the last good outputs stay; waiting for a change\n"),
        };
        say(&mut std::io::stderr(), &end);
        build.accesses
    });
    match result {
        Ok(()) => Outcome::Done,
        Err(error) => {
            say(&mut std::io::stderr(), &format!("error: cannot watch: {error}\n"));
            Outcome::OutsideFailed
        }
    }
}

/// Where every round writes: watched never.
fn output_folder(arguments: &BuildArguments) -> PathBuf {
    let folder = arguments.out.clone().unwrap_or_else(|| PathBuf::from("out"));
    std::path::absolute(&folder).unwrap_or(folder)
}

/// A path as seen from where the command runs, if it lies there.
fn shown(path: &Path) -> String {
    let here = std::env::current_dir().unwrap_or_default();
    path.strip_prefix(here).unwrap_or(path).display().to_string()
}
