//! Which revision of a project is checked out, as its version control has written it down.
//!
//! Read from the folder `.git` (its layout is described in gitrepository-layout(5)), without running anything: `HEAD` names
//! a branch or a revision, and a branch lies in a file of its own or in the list `packed-refs`.

use std::fs::File;
use std::io::Read;
use std::path::{Component, Path};

/// Larger files of a version control are not read for one line.
const MOST_BYTES: u64 = 4 * 1024 * 1024;

/// The first digits of a revision: what people quote.
const DIGITS: usize = 10;

/// The revision that is checked out below `root`; `None` where there is none, or where it is written elsewhere.
pub(super) fn revision(root: &Path) -> Option<String> {
    let control = root.join(".git");
    let head = line_of(&control.join("HEAD"))?;
    let whole = match head.strip_prefix("ref: ") {
        None => head,
        Some(name) => branch(&control, name.trim())?,
    };
    let is_hash = 40 <= whole.len() && whole.bytes().all(|b| b.is_ascii_hexdigit());
    is_hash.then(|| whole[..DIGITS].to_owned())
}

fn branch(control: &Path, name: &str) -> Option<String> {
    let is_inside = Path::new(name).components().all(|c| matches!(c, Component::Normal(_)));
    if !name.starts_with("refs/") || !is_inside {
        return None;
    }
    line_of(&control.join(name)).or_else(|| {
        let packed = text_of(&control.join("packed-refs"))?;
        let entries = packed.lines().filter_map(|line| line.split_once(' '));
        entries.filter(|(_, named)| *named == name).map(|(hash, _)| hash.to_owned()).next()
    })
}

fn line_of(path: &Path) -> Option<String> {
    Some(text_of(path)?.lines().next()?.trim().to_owned())
}

/// The text of a regular file that is none of a link to elsewhere.
fn text_of(path: &Path) -> Option<String> {
    let about = std::fs::symlink_metadata(path).ok().filter(std::fs::Metadata::is_file)?;
    if MOST_BYTES < about.len() {
        return None;
    }
    let mut text = String::new();
    File::open(path).ok()?.take(MOST_BYTES).read_to_string(&mut text).ok()?;
    Some(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    const HASH: &str = "0123456789abcdef0123456789abcdef01234567";

    fn project(files: &[(&str, &str)]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            let path = folder.path().join(".git").join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        }
        folder
    }

    fn read(files: &[(&str, &str)]) -> Option<String> {
        revision(project(files).path())
    }

    /// The three places of gitrepository-layout(5): a bare revision, a branch in a file, a branch in `packed-refs`.
    #[test]
    fn a_revision_is_found_wherever_it_is_kept() {
        let line = format!("{HASH}\n");
        let found = Some("0123456789".to_owned());
        assert_eq!(read(&[("HEAD", &line)]), found);
        assert_eq!(read(&[("HEAD", "ref: refs/heads/main\n"), ("refs/heads/main", &line)]), found);
        let packed = format!("# pack-refs with: peeled\nffff {0} x\n{HASH} refs/heads/main\n", "refs/heads/other");
        assert_eq!(read(&[("HEAD", "ref: refs/heads/main\n"), ("packed-refs", &packed)]), found);
    }

    #[test]
    fn what_is_no_revision_gives_none() {
        assert_eq!(read(&[]), None);
        assert_eq!(read(&[("HEAD", "ref: refs/heads/main\n")]), None);
        assert_eq!(read(&[("HEAD", "ref: refs/../../secret\n"), ("secret", HASH)]), None);
        assert_eq!(read(&[("HEAD", "hello\n")]), None);
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(".git"), "gitdir: /elsewhere\n").unwrap();
        assert_eq!(revision(folder.path()), None);
    }
}
