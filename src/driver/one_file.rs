//! Replaces a single file as one step: the old one stays until the new one is complete on the disk.

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Puts `bytes` in the place of `path`, or makes that file.
///
/// The new file is written beside the old one, gets its permissions, and is renamed over it. A link is followed: the file
/// that it leads to is replaced.
///
/// # Errors
/// When anything cannot be written; the old file is as it was then.
pub fn write_file(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let target = path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
    let beside = beside(&target)?;
    let written = write_new(&beside, bytes, &target).and_then(|()| fs::rename(&beside, &target));
    if written.is_err() {
        // The failure itself is worth more to the reader than one to clear up after it.
        let _ = fs::remove_file(&beside);
        return written;
    }
    if let Some(folder) = target.parent() {
        // Makes the name durable. Windows cannot and need not.
        let _ = File::open(folder).and_then(|f| f.sync_all());
    }
    Ok(())
}

fn beside(target: &Path) -> io::Result<PathBuf> {
    let name = target.file_name().and_then(|n| n.to_str());
    let name = name.ok_or_else(|| {
        io::Error::new(ErrorKind::InvalidInput, format!("`{}` cannot be the name of a file", target.display()))
    })?;
    Ok(target.with_file_name(format!(".{name}.kerfbook-new")))
}

fn write_new(beside: &Path, bytes: &[u8], target: &Path) -> io::Result<()> {
    // Left over from a run that was interrupted; no other program gives files such names.
    if beside.exists() {
        fs::remove_file(beside)?;
    }
    let mut file = OpenOptions::new().write(true).create_new(true).open(beside)?;
    file.write_all(bytes)?;
    if let Ok(about) = fs::metadata(target) {
        file.set_permissions(about.permissions())?;
    }
    file.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_made_and_replaced_and_nothing_is_left_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bench.shop.kdl");
        write_file(&path, b"one").unwrap();
        write_file(&path, b"two").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"two");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn what_cannot_be_written_leaves_all_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let missing = folder.path().join("no-such-folder").join("a.kdl");
        assert!(write_file(&missing, b"one").is_err());
        assert!(write_file(folder.path(), b"one").is_err(), "a folder is no file");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_and_the_permissions_of_its_file_stay() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (real, link) = (folder.path().join("real.kdl"), folder.path().join("link.kdl"));
        fs::write(&real, b"one").unwrap();
        fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).unwrap();
        symlink(&real, &link).unwrap();
        write_file(&link, b"two").unwrap();
        assert_eq!(fs::read(&real).unwrap(), b"two");
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o640);
    }
}
