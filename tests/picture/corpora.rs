//! Real and hostile pictures, where they have been fetched: each is read or refused, in bounded time.

use super::read;
use std::path::{Path, PathBuf};
use std::time::Instant;

fn pictures(folder: &Path, found: &mut Vec<PathBuf>) {
    let Ok(listing) = std::fs::read_dir(folder) else { return };
    let mut entries: Vec<PathBuf> = listing.filter_map(|e| Some(e.ok()?.path())).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() { pictures(&path, found) } else { found.push(path) }
    }
}

#[test]
fn real_pictures_come_through() {
    let Some(root) = std::env::var_os("KERFBOOK_CORPORA").map(PathBuf::from) else {
        println!("skipped: set not fetched");
        return;
    };
    let mut files = Vec::new();
    pictures(&root.join("raster"), &mut files);
    assert!(!files.is_empty());
    for file in files {
        let bytes = std::fs::read(&file).unwrap();
        let start = Instant::now();
        let (picture, said) = read(&file.to_string_lossy(), &bytes);
        let took = start.elapsed().as_secs_f64();
        let name = file.strip_prefix(&root).unwrap().display();
        assert!(took < 5.0, "{name}: {took} s");
        assert!(said.iter().all(|line| !line.contains("reader-failed")), "{name}: {said:?}");
        let what = picture.map_or("refused".to_owned(), |p| {
            let mean = |plane: kerfbook::raster::Plane| {
                plane.values.iter().map(|&v| f64::from(v)).sum::<f64>() / plane.values.len() as f64
            };
            format!("{} x {} coded {:.5} light {:.5}", p.width, p.height, mean(p.coded()), mean(p.luminance()))
        });
        println!("{name}: {what} {took:.2} s");
        for line in said {
            println!("    {}", line.replace(&*root.to_string_lossy(), ""));
        }
    }
}
