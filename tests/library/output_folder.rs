//! Files appear only when whole, and nothing foreign is touched.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use countoff::deliver::{DeliverError, FileState, Folder, OwnFile};

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

fn empty() -> (tempfile::TempDir, Folder) {
    let home = tempfile::tempdir().unwrap();
    let folder = Folder::open(&home.path().join("set"), []).unwrap();
    (home, folder)
}

#[test]
fn a_file_has_its_name_only_once_it_is_whole() {
    let (_home, folder) = empty();
    let mut file = folder.create(Path::new("02-band/a.wav")).unwrap();
    file.write_all(b"half").unwrap();
    let track = folder.root().join("02-band");
    assert_eq!(names(&track), [".a.wav.unfinished"]);
    file.write_all(b" and half").unwrap();
    let path = file.commit(&folder).unwrap();
    assert_eq!(names(&track), ["a.wav"]);
    assert_eq!(fs::read(path).unwrap(), b"half and half");
}

#[test]
fn a_dropped_file_leaves_nothing() {
    let (_home, folder) = empty();
    let mut file = folder.create(Path::new("a.wav")).unwrap();
    file.write_all(b"half").unwrap();
    drop(file);
    assert!(names(folder.root()).is_empty());
}

#[test]
fn a_foreign_file_is_refused_and_stays_as_it_is() {
    let (_home, folder) = empty();
    fs::write(folder.root().join("a.wav"), b"mine").unwrap();
    fs::create_dir(folder.root().join("b.wav")).unwrap();
    let error = folder.create(Path::new("b.wav")).unwrap_err();
    assert!(matches!(error, DeliverError::Foreign { .. }), "{error}");
    // Also where it comes while ours is being written.
    for name in ["a.wav", "c.wav"] {
        let mut file = folder.create(Path::new(name)).unwrap();
        file.write_all(b"ours").unwrap();
        fs::write(folder.root().join(name), b"mine").unwrap();
        assert!(matches!(file.commit(&folder), Err(DeliverError::Foreign { .. })));
        assert_eq!(fs::read(folder.root().join(name)).unwrap(), b"mine");
    }
    assert_eq!(names(folder.root()), ["a.wav", "b.wav", "c.wav"]);
    assert!(matches!(folder.remove(Path::new("a.wav")), Err(DeliverError::Foreign { .. })));
}

#[test]
fn a_file_whose_bytes_are_ours_is_ours() {
    let (_home, folder) = empty();
    fs::write(folder.root().join("a.wav"), b"the same").unwrap();
    assert_eq!(folder.state(Path::new("a.wav")).unwrap(), FileState::Unknown);
    let mut file = folder.create(Path::new("a.wav")).unwrap();
    file.write_all(b"the same").unwrap();
    file.commit(&folder).unwrap();
    assert_eq!(names(folder.root()), ["a.wav"]);
}

/// With its size and its time as they were, so that only its bytes can tell.
#[test]
fn a_file_that_was_changed_since_it_was_made_stays() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("a.musicxml");
    fs::write(&path, b"made").unwrap();
    let time = path.metadata().unwrap().modified().unwrap();
    let made = OwnFile::Content(blake3::hash(b"made").to_hex().to_string());
    let folder = Folder::open(home.path(), [(PathBuf::from("a.musicxml"), made)]).unwrap();
    let a = Path::new("a.musicxml");
    let mut file = folder.create(a).unwrap();
    file.write_all(b"new").unwrap();
    fs::write(&path, b"mine").unwrap();
    fs::File::options().write(true).open(&path).unwrap().set_modified(time).unwrap();
    // What was seen a moment ago is not read again; a new run reads it.
    drop(file);
    let made = OwnFile::Content(blake3::hash(b"made").to_hex().to_string());
    let folder = Folder::open(home.path(), [(PathBuf::from("a.musicxml"), made)]).unwrap();
    assert_eq!(folder.state(a).unwrap(), FileState::Changed);
    assert!(matches!(folder.create(a), Err(DeliverError::Foreign { .. })));
    assert!(matches!(folder.remove(a), Err(DeliverError::Foreign { .. })));
    assert_eq!(fs::read(&path).unwrap(), b"mine");
}

#[test]
fn a_file_of_an_earlier_run_is_replaced_whole() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("a.wav"), b"old").unwrap();
    let old = OwnFile::Content(blake3::hash(b"old").to_hex().to_string());
    let folder = Folder::open(home.path(), [(PathBuf::from("a.wav"), old)]).unwrap();
    let mut file = folder.create(Path::new("a.wav")).unwrap();
    file.write_all(b"new").unwrap();
    assert_eq!(fs::read(home.path().join("a.wav")).unwrap(), b"old");
    file.commit(&folder).unwrap();
    assert_eq!(fs::read(home.path().join("a.wav")).unwrap(), b"new");
}

#[test]
fn nothing_is_made_outside_the_folder() {
    let (home, folder) = empty();
    let absolute = home.path().join("a.wav");
    let paths = ["../a.wav", "x/../../a.wav", "", "a\\..\\b.wav", "c:a.wav", "a\n.wav"];
    for path in paths.map(Path::new).into_iter().chain([absolute.as_path()]) {
        let error = folder.create(path).unwrap_err();
        assert!(matches!(error, DeliverError::Outside { .. }), "{error}");
        assert!(folder.read(path).is_err());
    }
    assert_eq!(names(home.path()), ["set"]);
}

#[cfg(unix)]
#[test]
fn a_link_does_not_lead_out_of_the_folder() {
    let (home, folder) = empty();
    fs::create_dir(home.path().join("elsewhere")).unwrap();
    std::os::unix::fs::symlink(home.path().join("elsewhere"), folder.root().join("link")).unwrap();
    fs::write(home.path().join("elsewhere/a.wav"), b"elsewhere").unwrap();
    for path in ["link/a.wav", "link/new/a.wav"].map(Path::new) {
        let error = folder.create(path).unwrap_err();
        assert!(matches!(error, DeliverError::Outside { .. }), "{error}");
        assert!(folder.read(path).is_err());
        assert_eq!(folder.stamp(path), None);
    }
    assert_eq!(names(&home.path().join("elsewhere")), ["a.wav"]);
    // A link at the file's own place is foreign, wherever it points.
    std::os::unix::fs::symlink(home.path().join("gone"), folder.root().join("a.wav")).unwrap();
    let error = folder.create(Path::new("a.wav")).unwrap_err();
    assert!(matches!(error, DeliverError::Foreign { .. }), "{error}");
}

#[test]
fn what_a_killed_run_left_is_cleared_and_nothing_else() {
    let (_home, folder) = empty();
    let track = folder.root().join("01-shells");
    fs::create_dir(&track).unwrap();
    for name in [".a.wav.unfinished", "notes.unfinished", ".hidden", "a.wav"] {
        fs::write(track.join(name), b"x").unwrap();
        fs::write(folder.root().join(name), b"x").unwrap();
    }
    folder.clean().unwrap();
    assert_eq!(names(&track), [".hidden", "a.wav", "notes.unfinished"]);
    assert_eq!(names(folder.root()), [".hidden", "01-shells", "a.wav", "notes.unfinished"]);
    // One that is in the way is ours as well.
    fs::write(folder.root().join(".b.wav.unfinished"), b"x").unwrap();
    folder.create(Path::new("b.wav")).unwrap().commit(&folder).unwrap();
    assert!(fs::read(folder.root().join("b.wav")).unwrap().is_empty());
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_made_is_named() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("file"), b"x").unwrap();
    let error = Folder::open(&home.path().join("file/set"), []).unwrap_err();
    assert!(error.to_string().contains("file/set"), "{error}");
}
