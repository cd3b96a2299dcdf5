//! A disk that gets full, at every stage of the work: it is told which file did not fit, what is
//! whole stays, nothing half-made is left, and the next run makes the rest.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Mutex;

use countoff::deliver::{DeliverError, Quota};
use countoff::render::{Made, Progress, RenderError};
use tempfile::TempDir;

use super::harness::{Prepared, Quiet};

/// Every kind of file that there is.
const LESSON: &str = r#"
    format = 1
    title = "One chord in the hall"
    tempos = [400]
    [files]
    formats = ["wav", "flac"]
    bar-times = true
    zip = true
    [[chart]]
    name = "one chord"
    key = "C"
    A = "| C6 |"
    [[track]]
    name = "left hand"
    chart = "one chord"
    comp = "shells"
    choruses = 1
    ending = "short"
"#;

/// Notes how much room is left whenever a file is whole.
struct Offsets {
    quota: Quota,
    left: Mutex<Vec<u64>>,
}

impl Progress for Offsets {
    fn made(&self, _: &Made) {
        self.left.lock().unwrap().push(self.quota.left().unwrap());
    }
    fn tagged(&self, _: &str) {}
    fn kept(&self, _: &str) {}
    fn left_alone(&self, _: &str) {}
}

/// All files with their content, but for the times, which are another copy's.
fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(here) = folders.pop() {
        for entry in std::fs::read_dir(here).unwrap().map(Result::unwrap) {
            let path = entry.path();
            let name = path.strip_prefix(folder).unwrap().to_str().unwrap().to_owned();
            if path.is_dir() {
                folders.push(path);
            } else if !name.starts_with(".countoff.") {
                all.insert(name, std::fs::read(path).unwrap());
            }
        }
    }
    all
}

#[test]
fn a_full_disk_is_told_with_the_file_and_outlived() {
    const ROOM: u64 = 1 << 30;
    let prepared = Prepared::of(LESSON);
    let home = TempDir::new().unwrap();
    let undisturbed = home.path().join("undisturbed");
    let quota = Quota::of(ROOM);
    let offsets = Offsets { quota: quota.clone(), left: Mutex::default() };
    prepared.make(&undisturbed, quota.clone(), &offsets).unwrap();
    let right = contents(&undisturbed);

    let mut written = vec![0];
    written.extend(offsets.left.lock().unwrap().iter().map(|left| ROOM - left));
    written.push(ROOM - quota.left().unwrap());
    let points: BTreeSet<u64> = written
        .windows(2)
        .flat_map(|stage| {
            let (from, to) = (stage[0], stage[1]);
            let between = |eighths| from + (to - from) * eighths / 8;
            [from, from + 1, between(4), between(7), to.saturating_sub(1)].map(|at| at.min(to - 1))
        })
        .collect();
    assert!(points.len() > 30, "{points:?}");

    let mut did_not_fit = BTreeSet::new();
    for room in points {
        let folder = home.path().join(room.to_string());
        let error = prepared.make(&folder, Quota::of(room), &Quiet).unwrap_err();
        let RenderError::Deliver(DeliverError::Full { path, .. }) = &error else {
            panic!("{room} bytes: {error}");
        };
        let said = error.to_string();
        assert!(said.contains("the disk is full"), "{said}");
        assert!(path.starts_with(folder.canonicalize().unwrap()), "{room} bytes: {said}");
        assert!(said.contains(path.to_str().unwrap()), "{said}");
        did_not_fit.insert(path.extension().unwrap().to_str().unwrap().to_owned());
        for (name, content) in contents(&folder) {
            let whole = right.get(&name).unwrap_or_else(|| panic!("{room} bytes left {name}"));
            assert!(name == "manifest.json" || content == *whole, "{room} bytes: {name}");
        }
        prepared.make(&folder, Quota::default(), &Quiet).unwrap();
        assert!(contents(&folder) == right, "{room} bytes: the set differs");
        std::fs::remove_dir_all(folder).unwrap();
    }
    let kinds = ["csv", "flac", "html", "json", "mid", "musicxml", "pdf", "svg", "wav", "zip"];
    assert_eq!(did_not_fit.iter().collect::<Vec<_>>(), kinds);
}
